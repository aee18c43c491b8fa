"""Makes what pages for browsers carry of the sheet's faces, out of those faces.

    python3 page.py

Kept is Latin with what is written beside it: other letters come from the reader's own fonts. (fonttools 4.68
and brotli 1.2.1 were used.)
"""

from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

KEPT = [(0x20, 0x17F), (0x2010, 0x203A), (0x20AC, 0x20AC), (0x2122, 0x2122), (0x2190, 0x2193), (0x2212, 0x2212)]

for face in ("Regular", "Bold", "Italic"):
    font = TTFont(Path(__file__).parent / f"{face}.ttf", recalcTimestamp=False)
    options = subset.Options(layout_features=["kern"], hinting=False)
    worker = subset.Subsetter(options)
    worker.populate(unicodes=[code for low, high in KEPT for code in range(low, high + 1)])
    worker.subset(font)
    font.flavor = "woff2"
    font.save(Path(__file__).parent / f"{face}.woff2")
