"""Fret positions against equal temperament and the rule of 18.

- Equal temperament: fret n lies at L * (1 - 2^(-n/12)) from the nut; what is left of the string then
  sounds n semitones higher, as music21 tunes them (a string's pitch is inverse to its length).
- The rule of 18, as printed in Scientific American Supplement no. 794, 21 March 1891: the first fret at
  1/18 of the string, each next at 1/18 of what is left. An old approximation: it falls short by under
  half a hundredth of the string over the first twelve frets.
- The luthier's divisor 17.817 (common practice), which is equal temperament to three decimals.
"""

import json
import sys

from music21.interval import Interval
from music21.pitch import Pitch


def by_divisor(scale, divisor, fret):
    left = scale
    for _ in range(fret):
        left -= left / divisor
    return scale - left


def main():
    question = json.load(sys.stdin)
    scale, frets = question["scale_mm"], question["from_nut_mm"]
    for fret, ours in enumerate(frets):
        assert abs(ours - scale * (1 - 2 ** (-fret / 12))) < 1e-9, (fret, ours)
        assert abs(ours - by_divisor(scale, 17.817, fret)) < 0.05, (fret, ours)
        ratio = Pitch("D3").transpose(fret).frequency / Pitch("D3").frequency
        assert abs(scale / (scale - ours) / ratio - 1) < 1e-9, (fret, ours)
        assert Interval(Pitch("D3"), Pitch("D3").transpose(fret)).semitones == fret
        if fret <= 12:
            short = ours - by_divisor(scale, 18, fret)
            assert 0 <= short < 0.005 * scale, (fret, ours, short)
    assert abs(by_divisor(scale, 18, 1) - scale / 18) < 1e-9
    print(f"{len(frets)} frets agree")


main()
