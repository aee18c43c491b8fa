"""Pitches and MIDI numbers against equal temperament at A4 = 440 Hz (ISO 16), music21 and mido.

music21 (pitch.Pitch) names, numbers and tunes every note for itself; mido says what MIDI accepts.
Where the open strings sound is common practice: open G is G4 D3 G3 B3 D4 from string 5 to string 1, and
a string of another tuning is let down or pulled up to the nearest note of its letter.
"""

import json
import re
import sys

import mido
from music21.pitch import Pitch

OPEN_G = ["G4", "D3", "G3", "B3", "D4"]


def nearest(letter, open_g):
    """The note of that letter nearest to the string's pitch in open G."""
    name = letter[0].upper() + letter[1:].replace("b", "-")
    notes = [Pitch(name + str(octave)) for octave in range(1, 7)]
    return min(notes, key=lambda note: (abs(note.midi - Pitch(open_g).midi), -note.midi))


def sounding(tuning, string, fret, capo):
    """What music21 makes of a string stopped at a fret; none where the neck has no such fret."""
    letters = re.findall(r"[A-Ga-g][#b]?", tuning)
    if string == 5 and 1 <= fret <= 5:
        return None
    steps = fret - 5 if string == 5 and fret else fret
    return nearest(letters[5 - string], OPEN_G[5 - string]).transpose(steps + capo)


def main():
    question = json.load(sys.stdin)
    for asked in question:
        ours = asked["midi"]
        theirs = sounding(asked["notes"], asked["string"], asked["fret"], asked["capo"])
        if theirs is None:
            assert ours is None, asked
            continue
        assert ours == theirs.midi, (asked, theirs.nameWithOctave)
        assert Pitch(asked["name"]).midi == theirs.midi, (asked, theirs.nameWithOctave)
        hertz = 440 * 2 ** ((ours - 69) / 12)
        assert abs(theirs.frequency / hertz - 1) < 1e-9, (asked, theirs.frequency, hertz)
        assert mido.Message("note_on", note=ours).note == ours
    print(f"{len(question)} pitches agree")


main()
