"""Makes the sheet's three faces out of Source Sans 3.

    python3 subset.py PACKAGE

PACKAGE is the unpacked npm package @expo-google-fonts/source-sans-3 (0.4.1 was used, with fonttools
4.68). Kept are Latin, Greek and Cyrillic, punctuation and currency, kerning and the placing of marks. The
licence reserves the name of the original for itself, so the faces are called Lope Sheet.
"""

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

KEPT = [(0x20, 0x24F), (0x2B0, 0x2FF), (0x300, 0x36F), (0x370, 0x3FF), (0x400, 0x52F), (0x1E00, 0x1EFF),
        (0x2000, 0x206F), (0x20A0, 0x20BF), (0x2100, 0x214F), (0x2190, 0x2199), (0x2212, 0x2215)]
FACES = [("400Regular", "400Regular", "Regular"), ("600SemiBold", "600SemiBold", "Bold"),
         ("400Regular_Italic", "400Regular_Italic", "Italic")]

for folder, name, face in FACES:
    font = TTFont(Path(sys.argv[1]) / folder / f"SourceSans3_{name}.ttf", recalcTimestamp=False)
    options = subset.Options(layout_features=["kern", "mark", "mkmk", "ccmp"], hinting=False, notdef_outline=True)
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14]
    worker = subset.Subsetter(options)
    worker.populate(unicodes=[code for low, high in KEPT for code in range(low, high + 1)])
    worker.subset(font)
    called = {1: "Lope Sheet", 2: face, 3: f"LopeSheet-{face}", 4: f"Lope Sheet {face}", 6: f"LopeSheet-{face}"}
    for record in font["name"].names:
        if record.nameID in called:
            record.string = called[record.nameID]
    for gone in (16, 17, 25):
        font["name"].removeNames(nameID=gone)
    font["OS/2"].usWeightClass = 700 if face == "Bold" else 400
    font.save(Path(__file__).parent / f"{face}.ttf")
