"""Our WAV files as an independent ear hears them: aubio's `yin` (de Cheveigné and Kawahara, 2002) against equal
temperament at A4 = 440 Hz, within 3 cents; `yinfft` as well, where it hears the octave that `yin` does. Files of
one string at a time are judged note by note; in a whole tune every note must begin where the schedule says.
"""

import json
import sys

import numpy

from hearing import begins, cents_off, heard, samples

ALLOWED = 3  # cents


def check_notes(asked):
    by_yin = heard(asked["path"], "yin", 4096)
    by_yinfft = heard(asked["path"], "yinfft", 4096)
    worst = 0
    for start, end, key in asked["notes"]:
        # The window looks back over 93 ms; the rest of the note is its own.
        inside = (start + 0.1, min(end, start + 0.6))
        off = cents_off(by_yin, *inside, key)
        assert off is not None and abs(off) < ALLOWED, (asked["path"], start, key, off)
        other = cents_off(by_yinfft, *inside, key)
        assert other is None or abs(other) > 600 or abs(other) < ALLOWED, (asked["path"], start, key, other)
        worst = max(worst, abs(off))
    return worst


def check_sound(asked, data, rate):
    """As long as it should be, loud enough, never at its limit, and starting and ending in silence."""
    assert rate == 44100
    assert len(data) / rate >= asked["seconds"] - 1e-3
    peak, mean = abs(data).max(), abs(data.mean())
    loud = 20 * numpy.log10(numpy.sqrt((data**2).mean()))
    assert 0.2 < peak < 0.99, peak
    assert mean < 1e-3, mean
    assert -40 < loud < -10, loud
    assert abs(data[0]) < 1e-3 and abs(data[-1]) < 1e-3


def main():
    question = json.load(sys.stdin)
    worst, notes = 0, 0
    for asked in question["strings"]:
        check_sound(asked, *samples(asked["path"]))
        worst = max(worst, check_notes(asked))
        notes += len(asked["notes"])
    for asked in question["tunes"]:
        data, rate = samples(asked["path"])
        check_sound(asked, data, rate)
        missed = [note for note in asked["notes"] if not begins(data, rate, note[0], note[2])]
        assert len(missed) <= asked["missed"] * len(asked["notes"]), (len(missed), len(asked["notes"]), missed[:8])
        notes += len(asked["notes"])
    print(f"{notes} notes agree, the worst by {worst:.2f} cents")


main()
