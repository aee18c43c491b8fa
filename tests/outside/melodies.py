"""Published melodies as music21 reads them, from the corpus in its own package.

Source: music21 (Cuthbert and others), corpus `oneills1850`: Francis O'Neill, O'Neill's Music of Ireland
(Chicago, 1903). Standard input: {"jigs": how many}. Standard output: a list of {"title", "musicxml",
"notes"}; a note is [onset in whole notes, MIDI key number, grace, tied].
"""

import json
import sys
from fractions import Fraction

from music21 import corpus
from music21.musicxml.m21ToXml import GeneralObjectExporter

FILE = "oneills1850/0811-0899.abc"


def notes(part):
    for note in part.recurse().notes:
        tied = note.tie is not None and note.tie.type != "start"
        onset = Fraction(note.getOffsetInHierarchy(part)) / 4
        yield [str(onset), note.pitch.midi, note.duration.isGrace, tied]


def jigs(count):
    for score in corpus.parse(FILE).scores:
        part = score.parts[0]
        meters = {time.ratioString for time in part.recurse().getElementsByClass("TimeSignature")}
        # Its measures stand where its meter says, or where they end: only tunes are taken where both agree.
        ends = [measure.offset + measure.highestTime for measure in part.getElementsByClass("Measure")]
        starts = [measure.offset for measure in part.getElementsByClass("Measure")][1:]
        if meters == {"6/8"} and starts == ends[:-1]:
            yield score, part
            count -= 1
            if count == 0:
                return


def main():
    found = []
    for score, part in jigs(json.load(sys.stdin)["jigs"]):
        xml = GeneralObjectExporter(score).parse().decode()
        found.append({"title": score.metadata.title, "musicxml": xml, "notes": list(notes(part))})
    json.dump(found, sys.stdout)


main()
