"""Our MusicXML scores as others read them.

- lxml holds each against the W3C's schema for MusicXML 4.0 (the XSD in the PyPI package musicxml; those of XML and
  XLink that it imports are in xmlschema), and reads the tablature: this file plays it by its bar lines.
- music21 reads the same file, plays its repeats and gives the pitches, moments and lengths.

Standard input: a list of {"title", "musicxml", "notes"}. A note is [onset and length in whole notes, MIDI
key number, string, fret, what sounds it], as they are played.
"""

import json
import sys
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

from lxml import etree
from music21 import converter

STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def package(name):
    return Path(find_spec(name).origin).parent


class Imported(etree.Resolver):
    """Finds the schemas that the standard's names by address in the package that carries them."""

    def resolve(self, url, _id, context):
        schemas = package("xmlschema") / "schemas"
        for name, path in (("xlink.xsd", "XLINK/xlink.xsd"), ("xml.xsd", "XML/xml.xsd")):
            if url.endswith("/" + name) and "schemas" not in url:
                return self.resolve_filename(str(schemas / path), context)
        return None


def schema():
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(Imported())
    path = package("musicxml") / "generate_classes/musicxml_4_0.xsd"
    return etree.XMLSchema(etree.parse(str(path), parser))


def order(measures):
    """The measures in the order of playing, by repeats and endings."""
    start, played, at, passes, within = 0, [], 0, 1, None
    while at < len(measures):
        measure = measures[at]
        if measure.find("barline/repeat[@direction='forward']") is not None and at != start:
            start, passes = at, 1
        opens = measure.find("barline/ending[@type='start']")
        if opens is not None:
            within = [int(number) for number in opens.get("number").split(",")]
        if within is not None and passes not in within:
            # Not this time: on to where the ending is over.
            while measures[at].find("barline[@location='right']/ending") is None:
                at += 1
            at, within = at + 1, None
            continue
        played.append(measure)
        closes = measure.find("barline[@location='right']/ending")
        back = measure.find("barline/repeat[@direction='backward']")
        times = int(back.get("times", 2)) if back is not None else 1
        before = min(within) - 1 if closes is not None else 0
        goes_back = back is not None and passes - before < times
        within = None if closes is not None else within
        if goes_back:
            at, passes = start, passes + 1
        else:
            if back is not None or (closes is not None and closes.get("type") == "discontinue"):
                start, passes = at + 1, 1
            at += 1
    return played


def pitch(note):
    alter = int(note.findtext("pitch/alter", "0"))
    return 12 * (int(note.findtext("pitch/octave")) + 1) + STEPS[note.findtext("pitch/step")] + alter


def how(note):
    technical = note.find("notations/technical")
    for name, path in (
        ("Hammer", "notations/technical/hammer-on[@type='stop']"),
        ("Pull", "notations/technical/pull-off[@type='stop']"),
        ("Slide", "notations/slide[@type='stop']"),
        ("Thumb", "notations/technical/pluck"),
    ):
        if note.find(path) is not None:
            return name
    assert technical is not None
    return "Strike"


def by_lxml(root):
    """Every note as it is played: [onset, length, key, string, fret, how]"""
    part = root.findall("part")[-1]
    whole = 4 * int(part.findtext("measure/attributes/divisions"))
    now, notes, sounding = Fraction(0), [], []
    for measure in order(part.findall("measure")):
        for note in measure.findall("note"):
            length = Fraction(int(note.findtext("duration")), whole)
            if note.find("chord") is not None:
                now -= length
            elif note.find("tie[@type='stop']") is None:
                sounding = []
            if note.find("rest") is None:
                place = [int(note.findtext(f"notations/technical/{name}")) for name in ("string", "fret")]
                if note.find("tie[@type='stop']") is not None:
                    held = next(held for held in sounding if held[3:5] == place and held[0] + held[1] == now)
                    held[1] += length
                else:
                    sounding.append([now, length, pitch(note), *place, how(note)])
                    notes.append(sounding[-1])
            now += length
    return notes


def by_music21(text):
    """Every note as it is played: [onset, length, key]."""
    part = converter.parse(text, format="musicxml").parts[-1].expandRepeats().flatten().stripTies()
    notes = []
    for sound in part.notes:
        if "ChordSymbol" not in sound.classes:
            place = [Fraction(sound.offset) / 4, Fraction(sound.quarterLength) / 4]
            notes += [[*place, key.midi] for key in sound.pitches]
    return notes


def same(title, ours, theirs, judge):
    ours, theirs = sorted(ours), sorted(theirs)
    for mine, other in zip(ours, theirs):
        assert mine == other, f"{title}, {judge}: {[str(it) for it in mine]} and {[str(it) for it in other]}"
    assert len(ours) == len(theirs), f"{title}, {judge}: {len(ours)} and {len(theirs)} notes"


def main():
    standard, notes = schema(), 0
    for score in json.load(sys.stdin):
        title, text = score["title"], score["musicxml"]
        root = etree.fromstring(text.encode())
        standard.validate(root)
        assert not standard.error_log, f"{title}: {standard.error_log.last_error}"
        asked = [[Fraction(onset), Fraction(length), *rest] for onset, length, *rest in score["notes"]]
        same(title, asked, by_lxml(root), "lxml")
        same(title, [note[:3] for note in asked], by_music21(text), "music21")
        notes += len(asked)
    print(f"{notes} notes agree")


main()
