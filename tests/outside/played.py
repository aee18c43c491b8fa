"""Standard MIDI files made by mido, as a player or another program would make them, with what they should be read as.

Standard output: {"melodies": [{"name", "file", "notes", "bars", "tempo", "labels", "says"}], "refused": [{"name", "file"}]}. A
file is in hexadecimal digits; a note is [onset and length in whole notes, MIDI key number], from the first note on.
Bars are lengths in whole notes, the tempo is that of the meter's beat, labels are onsets and texts, and `says` is what a
remark has to say; each is null where it does not matter.
"""

import io
import json
import random
import sys
from fractions import Fraction

import mido

QUARTER = 480


def track(notes, *, channel=0, name=None, meta=(), jitter=0, gate=1.0, dice=None):
    """A track of (onset, length, key) in whole notes, played up to `jitter` ticks early or late."""
    events = []
    for onset, length, key in notes:
        late = dice.randint(-jitter, jitter) if jitter else 0
        start = max(0, int(onset * 4 * QUARTER) + late)
        stop = max(start + 1, int(start + length * 4 * QUARTER * gate))
        events.append((start, 1, mido.Message("note_on", channel=channel, note=key, velocity=80)))
        events.append((stop, 0, mido.Message("note_off", channel=channel, note=key)))
    made = mido.MidiTrack()
    if name:
        made.append(mido.MetaMessage("track_name", name=name))
    made.extend(meta)
    now = 0
    for at, _, message in sorted(events, key=lambda event: event[:2]):
        made.append(message.copy(time=at - now))
        now = at
    return made


def meter(beats, unit):
    return mido.MetaMessage("time_signature", numerator=beats, denominator=unit)


def file(tracks, kind=1):
    made = mido.MidiFile(type=kind, ticks_per_beat=QUARTER)
    made.tracks.extend(tracks)
    out = io.BytesIO()
    made.save(file=out)
    return out.getvalue()


def row(dice, lengths, bars, bar):
    """Notes one after another that fill the bars, a few of the long ones silent."""
    notes, now = [], Fraction(0)
    while now < bars * bar:
        length = dice.choice(lengths)
        for part in length if isinstance(length, tuple) else (length,):
            if now + part > bars * bar:
                return notes
            silent = part >= Fraction(1, 4) and notes and dice.random() < 0.15
            if not silent:
                notes.append((now, part, dice.randint(60, 79)))
            now += part
    return notes


def asked(notes):
    """What is read of notes that never rest for less than a slot."""
    start = notes[0][0]
    return [[str(onset - start), str(length), key] for onset, length, key in notes]


def main():
    dice = random.Random(4)
    eighth, quarter = Fraction(1, 8), Fraction(1, 4)
    melodies = []

    def add(name, made, notes, bars=None, tempo=None, says=None):
        bars = bars and [str(bar) for bar in bars]
        melodies.append(
            {"name": name, "file": made.hex(), "notes": asked(notes), "bars": bars, "tempo": tempo, "says": says}
        )

    for jitter, gate in ((0, 1.0), (0, 0.9), (12, 0.95), (20, 1.05)):
        says = "are moved to the nearest place" if jitter else None
        reel = row(dice, [eighth, eighth, quarter, (eighth / 2, eighth / 2)], 16, Fraction(1))
        add(f"reel {jitter}", file([track(reel, meta=[meter(4, 4)], jitter=jitter, gate=gate, dice=dice)]), reel, says=says)
        jig = row(dice, [eighth, eighth, quarter, Fraction(3, 8)], 16, Fraction(3, 4))
        add(f"jig {jitter}", file([track(jig, meta=[meter(6, 8)], jitter=jitter, gate=gate, dice=dice)]), jig, says=says)
        third = Fraction(1, 12)
        triplets = row(dice, [quarter, (eighth, eighth), (third, third, third)], 16, Fraction(3, 4))
        add(f"waltz {jitter}", file([track(triplets, meta=[meter(3, 4)], jitter=jitter, gate=gate, dice=dice)]), triplets, says=says)
    tune = row(dice, [eighth, quarter], 8, Fraction(1))
    chords = [(Fraction(bar), Fraction(1), key) for bar in range(8) for key in (48, 52, 55)]
    drums = [(Fraction(beat, 8), eighth / 2, 36) for beat in range(64)]
    one = track(tune, meta=[meter(4, 4)])
    add("one among others", file([mido.MidiTrack([meter(4, 4)]), track(chords, channel=1), track(drums, channel=9), track(tune, name="Lead")]), tune)
    together = mido.merge_tracks([one, track(chords, channel=3), track(drums, channel=9)])
    add("all in one track", file([together], 0), tune)
    add("a tune a track", file([one, track(chords, channel=1)], 2), tune)
    pickup = [(onset + Fraction(7, 8), length, key) for onset, length, key in tune]
    add("a pickup", file([track(pickup, meta=[meter(4, 4)])]), pickup)
    thirds = [(onset, length, key - 4) for onset, length, key in tune]
    add("two voices", file([track(tune + thirds, meta=[meter(4, 4)])]), tune)
    odd = row(dice, [eighth, quarter], 8, Fraction(7, 8))
    add("seven eighths", file([track(odd, meta=[meter(7, 8)], jitter=10, dice=dice)]), odd)

    jig = row(dice, [eighth, eighth, quarter], 8, Fraction(3, 4))
    plain = track(jig, meta=[meter(6, 8)])
    add("held into the next", file([track(jig, meta=[meter(6, 8)], gate=1.4)]), jig)
    one_key = [(onset, length, 67) for onset, length, _ in tune]
    add("struck again before it is let go of", file([track(one_key, meta=[meter(4, 4)], gate=1.2)]), one_key)
    silent = [mido.Message("note_on", note=it.note, velocity=0, time=it.time) if it.type == "note_off" else it for it in plain]
    add("let go of by silent notes, in running status", file([mido.MidiTrack(silent)]), jig)
    add("one track alone", file([plain], 0), jig, tempo=80)

    def slower(at, bpm):
        return mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(bpm), time=int(at * 4 * QUARTER))])

    tempos = slower(0, 90) + slower(1, 80) + slower(1, 70)
    add("tempos", file([tempos, plain]), jig, tempo=60, says="2 changes of tempo left out")
    add("a tempo for the count-in", file([slower(0, 60) + slower(1, 150), track([(on + 1, long, key) for on, long, key in tune], meta=[meter(4, 4)])]), tune, tempo=150)

    def change(at, beats, unit):
        return mido.MidiTrack([meter(beats, unit).copy(time=int(at * 4 * QUARTER))])

    up = [(Fraction(0), eighth, 74), *((onset + eighth, length, key) for onset, length, key in jig)]
    short = [eighth] + 8 * [Fraction(3, 4)]
    add("a pickup in a bar of its own", file([change(0, 1, 8) + change(eighth, 6, 8), track(up)]), up, bars=short)
    mixed = [*tune, *((onset + 8, length, key) for onset, length, key in jig)]
    both = 8 * [1] + 8 * [Fraction(3, 4)]
    add("two meters", file([change(0, 4, 4) + change(8, 6, 8), track(mixed)]), mixed, bars=both)
    early = mido.MidiTrack([meter(4, 4), meter(6, 8).copy(time=8 * 4 * QUARTER - 9)])
    add("a meter that comes early", file([early, track(mixed)]), mixed, bars=both, says="1 change of meter in mid-bar moved to the nearest bar line")
    keys = mido.MidiTrack([mido.MetaMessage("key_signature", key="G"), mido.MetaMessage("key_signature", key="D", time=4 * QUARTER)])
    add("two keys", file([keys, plain]), jig, says="1 change of key left out")
    bent = mido.MidiTrack([mido.Message("pitchwheel", pitch=2000), *plain])
    add("a bent string", file([bent]), jig, says="bends of pitch are left out")

    sung = [(jig[0][0], "Gr\xfcn, "), (jig[1][0], "row-"), (jig[2][0], "ing")]
    lyrics = [mido.MetaMessage("lyrics", text=text, time=int(at * 4 * QUARTER)) for at, text in sung]
    for later, before in zip(reversed(lyrics), reversed(lyrics[:-1])):
        later.time -= before.time
    chords = [mido.MetaMessage("text", text="made by hand"), mido.MetaMessage("text", text="D7", time=3 * QUARTER + 5)]
    labels = sorted([*sung, (Fraction(3, 4), "D7")], key=lambda label: label[0])
    add("sung", file([mido.MidiTrack(lyrics), mido.MidiTrack(chords), plain]), jig, says="1 other text in the file left out, the first `made by hand`")
    melodies[-1]["labels"] = [[str(at), text.strip()] for at, text in labels]

    whole = file([one])
    seconds = bytearray(whole)
    seconds[12:14] = bytes([256 - 25, 40])
    refused = {
        "cut short": whole[: len(whole) // 2],
        "cut in its head": whole[:12],
        "in seconds": bytes(seconds),
        "drums": file([track(drums, channel=9)]),
        "empty": file([mido.MidiTrack()]),
        "no file": b"RIFF1234WAVE",
    }
    refused = [{"name": name, "file": made.hex()} for name, made in refused.items()]
    json.dump({"melodies": melodies, "refused": refused}, sys.stdout)


main()
