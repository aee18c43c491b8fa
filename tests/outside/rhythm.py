"""Time sums and tuplets against music21 on the same rhythm.

A rhythm is a meter, the length of a slot, and items: a number is a note of so many slots, a pair [n, m]
is n notes evenly in the time of m slots. music21 adds them up with its own notes and tuplets.
"""

import json
import sys
from fractions import Fraction

from music21.duration import Duration, Tuplet
from music21.meter import TimeSignature
from music21.note import Note
from music21.stream import Measure


def measure(rhythm):
    """The rhythm as a music21 measure."""
    slot = Fraction(rhythm["slot"]) * 4
    bar = Measure()
    bar.timeSignature = TimeSignature(rhythm["meter"])
    for item in rhythm["items"]:
        if isinstance(item, int):
            bar.append(Note("D4", quarterLength=slot * item))
            continue
        actual, normal = item
        for _ in range(actual):
            note = Note("D4", quarterLength=slot)
            note.duration.appendTuplet(Tuplet(actual, normal, Duration(slot)))
            bar.append(note)
    return bar


def whole(quarters):
    """A length in whole notes from music21's quarter notes."""
    return Fraction(quarters).limit_denominator(65535) / 4


def main():
    question = json.load(sys.stdin)
    for rhythm in question["rhythms"]:
        bar = measure(rhythm)
        theirs = [(whole(note.offset), whole(note.quarterLength)) for note in bar.notes]
        ours = [(Fraction(onset), Fraction(length)) for onset, length in rhythm["notes"]]
        assert ours == theirs, (rhythm, theirs)
        assert Fraction(rhythm["length"]) == whole(bar.duration.quarterLength), rhythm
        assert Fraction(rhythm["bar"]) == whole(bar.barDuration.quarterLength), rhythm
    for meter in question["meters"]:
        signature = TimeSignature(meter["meter"])
        assert Fraction(meter["bar"]) == whole(signature.barDuration.quarterLength), meter
        if meter["compound"]:
            assert Fraction(meter["beat"]) == whole(signature.beatDuration.quarterLength), meter
    print(f"{len(question['rhythms'])} rhythms and {len(question['meters'])} meters agree")


main()
