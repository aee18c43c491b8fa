"""Sheets as files, against programs that had no part in making them.

- PDF by Poppler: pdfinfo (page sizes, ISO 216 and ANSI letter to a point; tagged, language), pdffonts (all
  embedded, subset, mapped to text), pdftotext (every word and fret), pdftoppm (what it looks like).
- PNG by Pillow, SVG by Chromium and resvg; HTML by html5lib, strictly, which holds it to the WHATWG's rules of
  parsing.
- The pictures of one page are compared square by square, after a blur: they differ in how edges are smoothed.
"""

import io
import json
import re
import subprocess
import sys
from pathlib import Path

import html5lib
import resvg_py
from PIL import Image, ImageChops, ImageFilter, ImageStat

SQUARE = 10
PAPER = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "letter": (8.5 * 72, 11 * 72)}


def run(*args):
    """What a program says on standard output."""
    done = subprocess.run([str(arg) for arg in args], capture_output=True, timeout=120, check=True)
    return done.stdout.decode()


def document(path, pages, paper, words, frets, title):
    """A PDF document as Poppler sees it."""
    info = run("pdfinfo", path)
    said = dict(line.split(":", 1) for line in info.splitlines() if ":" in line)
    assert said["Title"].strip() == title, said
    assert said["Tagged"].strip() == "yes" and int(said["Pages"]) == pages, said
    size = [float(number) for number in re.findall(r"[\d.]+", said["Page size"])[:2]]
    assert all(abs(is_ - should) < 1 for is_, should in zip(size, PAPER[paper])), (size, paper)
    fonts = run("pdffonts", path).splitlines()[2:]
    assert fonts and all(re.search(r"yes yes yes\s+\d+\s+\d+$", font) for font in fonts), fonts
    text = run("pdftotext", "-raw", path, "-")
    flat = " ".join(text.split())
    for word in words:
        assert word in flat, f"{word!r} is not in {path}"
    found = sum(len(re.findall(rf"\b{fret}\b", text)) for fret in {str(fret) for fret in frets})
    assert found >= len(frets), f"{found} numbers, {len(frets)} frets in {path}"


def shot(path, width, height, scale):
    """What Chromium shows of a file."""
    out = Path(f"{path}.shot.png")
    run("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
        f"--force-device-scale-factor={scale}", f"--window-size={width},{height}",
        f"--screenshot={out}", f"--virtual-time-budget=2000", f"file://{path}")
    return Image.open(out).convert("L")


def differ(one, other):
    """How much two pictures differ, from 0 to 1, where that is most: over squares of some dots."""
    assert abs(one.width - other.width) <= 2 and abs(one.height - other.height) <= 2, (one.size, other.size)
    size = (min(one.width, other.width), min(one.height, other.height))
    soft = [picture.crop((0, 0, *size)).filter(ImageFilter.GaussianBlur(3)) for picture in (one, other)]
    difference = ImageChops.difference(*soft)
    squares = difference.resize((size[0] // SQUARE, size[1] // SQUARE), Image.Resampling.BOX)
    return ImageStat.Stat(squares).extrema[0][1] / 255


def without(picture, area):
    """A picture with nothing in an area."""
    picture = picture.copy()
    picture.paste(255, area)
    return picture


def alike(folder, dots, faces, most, fret):
    """One page as a PDF document, an SVG and a PNG picture, as four programs see it."""
    folder = Path(folder)
    ours = Image.open(folder / "page.png").convert("L")
    svg = (folder / "page.svg").read_text()
    family = "".join(
        f"@font-face{{font-family:'Lope Sheet';src:url('file://{file}');{style}}}"
        for file, style in zip(faces, ("", "font-weight:bold", "font-style:italic"))
    )
    page = folder / "page.html"
    page.write_text(f"<!DOCTYPE html><style>{family}body{{margin:0}}svg{{display:block}}</style>{svg}")
    browser = shot(page, ours.width * 96 // dots + 1, ours.height * 96 // dots + 1, dots / 96)
    run("pdftoppm", "-png", "-r", dots, "-singlefile", folder / "page.pdf", folder / "poppler")
    drawn = resvg_py.svg_to_bytes(svg_string=svg, dpi=dots, font_files=faces, skip_system_fonts=True, background="white")
    others = {
        "Chromium draws the SVG": browser,
        "resvg draws the SVG": Image.open(io.BytesIO(bytes(drawn))).convert("L"),
        "Poppler draws the PDF": Image.open(folder / "poppler.png").convert("L"),
    }
    far = {who: differ(ours, other) for who, other in others.items()}
    print("sheets:", {who: round(one, 3) for who, one in far.items()})
    print("sheets: without a fret", round(differ(ours, without(ours, fret)), 3))
    assert all(one < most for one in far.values()), f"as the PNG is not: {far}"
    # The measure tells what it must: that one fret is gone is seen.
    assert differ(ours, without(ours, fret)) > most, "the comparison would not see that a fret is gone"


question = json.load(sys.stdin)
for one in question["documents"]:
    document(**one)
for path in question["pages"]:
    html5lib.HTMLParser(strict=True).parse(Path(path).read_text())
alike(**question["alike"])
print("sheets: good")
