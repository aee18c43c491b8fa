"""Our MIDI files played by FluidSynth with the General MIDI sound font TimGM6mb (both Debian packages): what
sounds is heard again as the same notes, by aubio's `yinfft` and by the partials that begin at each onset.
The font's banjo is a few cents off by itself, so a note is one if it is nearer to its key than to the next.
"""

import json
import sys
import tempfile
from pathlib import Path

from hearing import begins, cents_off, heard, play, samples


def main():
    question = json.load(sys.stdin)
    notes = 0
    for asked in question:
        with tempfile.TemporaryDirectory() as folder:
            midi, wav = Path(folder) / "a.mid", str(Path(folder) / "a.wav")
            midi.write_bytes(bytes.fromhex(asked["file"]))
            play(str(midi), wav)
            data, rate = samples(wav)
            if asked["alone"]:
                pitches = heard(wav, "yinfft", 4096)
                for start, end, key in asked["notes"]:
                    off = cents_off(pitches, start + 0.1, min(end, start + 0.4), key)
                    assert off is not None and abs(off) < 50, (start, key, off)
            missed = [note for note in asked["notes"] if not begins(data, rate, note[0], note[2])]
            assert len(missed) <= asked["missed"] * len(asked["notes"]), (len(missed), len(asked["notes"]), missed[:8])
        notes += len(asked["notes"])
    print(f"{notes} notes agree")


main()
