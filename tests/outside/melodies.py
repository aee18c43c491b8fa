"""Published melodies as music21 reads them, from the corpus in its own package.

Source: music21 (Cuthbert and others), corpus `oneills1850`: Francis O'Neill, O'Neill's Music of Ireland (Chicago,
1903); `ryansMammoth`: William Bradbury Ryan's Mammoth Collection (Boston, 1883); `airdsAirs`: James Aird, A
Selection of Scotch, English, Irish and Foreign Airs (Glasgow, from 1782).

Standard input: {"tunes": how many of each book}. Standard output: a list of {"title", "musicxml", "notes"}; a note is
[onset and length in whole notes, MIDI key number, grace, tied].
"""

import json
import sys
from fractions import Fraction
from itertools import islice
from pathlib import Path

from music21 import converter, corpus
from music21.musicxml.m21ToXml import GeneralObjectExporter

BOOK = Path(corpus.__file__).parent


def notes(part):
    for note in part.recurse().notes:
        tied = note.tie is not None and note.tie.type != "start"
        onset = Fraction(note.getOffsetInHierarchy(part)) / 4
        length = Fraction(0) if note.duration.isGrace else Fraction(note.quarterLength) / 4
        yield [str(onset), str(length), note.pitch.midi, note.duration.isGrace, tied]


def scores():
    """Every tune that may be taken, a book at a time; Aird's are so many that each is read alone."""
    yield (converter.parse(BOOK / "oneills1850/0811-0899.abc", number=number) for number in range(811, 900))
    yield (converter.parse(path) for path in sorted((BOOK / "ryansMammoth").glob("*.abc")))
    yield (converter.parse(BOOK / "airdsAirs/book1.abc", number=number) for number in range(1, 200))


def plain(scores):
    """Those of one voice whose measures stand where their meter says, or where they end."""
    for score in scores:
        part = score.parts[0]
        measures = list(part.getElementsByClass("Measure"))
        single = all("Chord" not in note.classes for note in part.recurse().notes)
        ends = [measure.offset + measure.highestTime for measure in measures]
        starts = [measure.offset for measure in measures][1:]
        if len(score.parts) == 1 and single and measures and starts == ends[:-1]:
            yield score, part


def main():
    asked = json.load(sys.stdin)["tunes"]
    found = []
    for book in scores():
        for score, part in islice(plain(book), asked):
            xml = GeneralObjectExporter(score).parse().decode()
            found.append({"title": score.metadata.title, "musicxml": xml, "notes": list(notes(part))})
    json.dump(found, sys.stdout)


main()
