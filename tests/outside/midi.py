"""Our MIDI files as mido, pretty_midi and music21 read them: every onset, length, pitch and level against the
exact schedule, in ticks and in seconds; and what General MIDI and the standard say of the rest.

- mido reads the bytes: ticks, channels, programs, meters, and its own sum of the tempos.
- pretty_midi makes notes of them, in seconds.
- music21 makes notes of them, in quarter notes.
"""

import io
import json
import sys
from fractions import Fraction

import mido
import pretty_midi
from music21 import midi as midi21
from music21.midi.translate import getNotesFromEvents, getTimeForEvents, midiEventsToNote

BANJO = 105  # General MIDI's program 106, counted from 1
DRUMS = 9  # its channel 10


def notes_by_mido(file):
    """(channel, key, velocity, on, off) of every note, in ticks."""
    notes, sounding = [], {}
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity > 0:
                place = (message.channel, message.note)
                assert place not in sounding, f"{place} begins again at {now} before it ended"
                sounding[place] = (message.velocity, now)
            elif message.type in ("note_on", "note_off"):
                velocity, on = sounding.pop((message.channel, message.note))
                notes.append((message.channel, message.note, velocity, on, now))
    assert not sounding, sounding
    return notes


def check_bytes(asked, file):
    assert (file.type, file.ticks_per_beat) == (1, 10080)
    notes = notes_by_mido(file)
    strings = sorted((on, channel, key, velocity, off) for channel, key, velocity, on, off in notes if channel != DRUMS)
    expected = sorted(
        (Fraction(sound["on"]) * 40320, sound["string"] - 1, sound["key"], sound["level"], Fraction(sound["off"]) * 40320)
        for sound in asked["sounds"]
    )
    assert len(strings) == len(expected), (len(strings), len(expected))
    half = Fraction(1, 2)
    unmatched = list(expected)
    for on, channel, key, velocity, off in strings:
        match = next(note for note in unmatched if note[1:4] == (channel, key, velocity) and abs(note[0] - on) <= half)
        assert abs(match[4] - off) <= half, (match, off)
        unmatched.remove(match)
    clicks = sorted(on for channel, _, _, on, _ in notes if channel == DRUMS)
    assert clicks == [Fraction(click) * 40320 for click in asked["clicks"]], asked["clicks"]
    programs = [(message.channel, message.program) for track in file.tracks for message in track if message.type == "program_change"]
    assert programs == [(channel, BANJO) for channel in range(5)], programs
    assert file.tracks[0].name == asked["title"], file.tracks[0].name


def check_seconds(asked, file, data):
    """mido and pretty_midi each add up the tempos for themselves. A tempo is whole microseconds a quarter."""
    allowed = 1e-4 + 1e-6 * asked["quarters"]
    now, ons = 0.0, []
    for message in file:
        now += message.time
        if message.type == "note_on" and message.velocity > 0 and message.channel != DRUMS:
            ons.append(now)
    expected = sorted(sound["seconds"][0] for sound in asked["sounds"])
    assert len(ons) == len(expected), (len(ons), len(expected))
    assert all(abs(ours - theirs) < allowed for ours, theirs in zip(expected, sorted(ons)))
    pretty = pretty_midi.PrettyMIDI(io.BytesIO(data))
    notes = [note for instrument in pretty.instruments if not instrument.is_drum for note in instrument.notes]
    assert all(instrument.program == BANJO for instrument in pretty.instruments if not instrument.is_drum)
    theirs = [(note.pitch, note.velocity, note.start, note.end) for note in notes]
    for sound in asked["sounds"]:
        start, end = sound["seconds"]
        near = lambda note: abs(note[2] - start) < allowed and abs(note[3] - end) < allowed
        assert any(note[:2] == (sound["key"], sound["level"]) and near(note) for note in theirs), sound


def check_score(asked, data):
    """music21's notes before it bars, ties and voices them for print, in quarter notes."""
    file = midi21.MidiFile()
    file.readstr(data)
    theirs = []
    for track in file.tracks:
        for timed in getNotesFromEvents(getTimeForEvents(track)):
            note = midiEventsToNote(timed, file.ticksPerQuarterNote)
            start = timed.onTime / file.ticksPerQuarterNote
            if timed.event.channel != DRUMS + 1:
                theirs.append((note.pitch.midi, start, start + float(note.quarterLength)))
    for sound in asked["sounds"]:
        start, end = float(Fraction(sound["on"]) * 4), float(Fraction(sound["off"]) * 4)
        near = lambda note: abs(note[1] - start) < 1e-4 and abs(note[2] - end) < 1e-4
        assert any(note[0] == sound["key"] and near(note) for note in theirs), (sound, start, end)


def main():
    question = json.load(sys.stdin)
    sounds = 0
    for asked in question:
        data = bytes.fromhex(asked["file"])
        file = mido.MidiFile(file=io.BytesIO(data), charset="utf-8")
        # A sound of less than a tick is not heard.
        tick = lambda moment: int(Fraction(moment) * 40320 + Fraction(1, 2))
        asked["sounds"] = [sound for sound in asked["sounds"] if tick(sound["on"]) != tick(sound["off"])]
        check_bytes(asked, file)
        check_seconds(asked, file, data)
        check_score(asked, data)
        sounds += len(asked["sounds"])
    print(f"{sounds} sounds agree")


main()
