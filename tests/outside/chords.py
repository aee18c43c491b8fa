"""Holds chord tones and scales against music21's.

Source: music21 (Cuthbert and others), `harmony.ChordSymbol` for chord symbols and `scale` for the seven modes.
It has no blues scale: that is taken from its minor scale by degrees 1, 3, 4, 5 and 7 with a lowered fifth, as
textbooks spell it. Standard input: {"chords": [{"symbol", "tones"}], "scales":
[{"tonic", "mode", "tones"}], "blues": [{"tonic", "tones"}]}, tones as pitch classes in order.
"""

import json
import sys

from music21 import harmony, pitch, scale

MODES = {
    "major": scale.MajorScale,
    "dorian": scale.DorianScale,
    "phrygian": scale.PhrygianScale,
    "lydian": scale.LydianScale,
    "mixolydian": scale.MixolydianScale,
    "minor": scale.MinorScale,
    "locrian": scale.LocrianScale,
}
# What music21 calls the endings it does not read as players write them.
FIGURES = {"min": "m", "aug7": "+7", "9": "9", "maj9": "M9", "maj7": "maj7"}


def theirs_of_chord(symbol):
    chord, _, bass = symbol.partition("/")
    root = chord[:2] if chord[1:2] in ("#", "b") else chord[:1]
    figure = chord[len(root):]
    figure = FIGURES.get(figure, figure)
    name = root.replace("b", "-") + figure
    if bass:
        name += "/" + bass.replace("b", "-")
    if figure == "5":
        return {pitch.Pitch(root.replace("b", "-")).transpose(steps).pitchClass for steps in (0, 7)}
    if figure == "add9":
        triad = harmony.ChordSymbol(root.replace("b", "-"))
        return set(triad.pitchClasses) | {triad.root().transpose(2).pitchClass}
    return set(harmony.ChordSymbol(name).pitchClasses)


def main():
    asked = json.load(sys.stdin)
    wrong = []
    for chord in asked["chords"]:
        theirs = theirs_of_chord(chord["symbol"])
        if theirs != set(chord["tones"]):
            wrong.append((chord, sorted(theirs)))
    for one in asked["scales"]:
        tonic = pitch.Pitch(one["tonic"])
        theirs = {found.pitchClass for found in MODES[one["mode"]](tonic).getPitches()}
        if theirs != set(one["tones"]):
            wrong.append((one, sorted(theirs)))
    for one in asked["blues"]:
        minor = scale.MinorScale(pitch.Pitch(one["tonic"]))
        theirs = {minor.pitchFromDegree(degree).pitchClass for degree in (1, 3, 4, 5, 7)}
        theirs.add(minor.pitchFromDegree(5).transpose(-1).pitchClass)
        if theirs != set(one["tones"]):
            wrong.append((one, sorted(theirs)))
    for found in wrong:
        print(*found)
    sys.exit(1 if wrong else 0)


main()
