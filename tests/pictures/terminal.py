"""Draws what a terminal shows as an SVG picture: text with ANSI colours on standard input, SVG on standard output.

Usage: CLICOLOR_FORCE=1 lope check harbour | python3 tests/pictures/terminal.py 'lope check harbour' > check.svg
"""

import html
import re
import sys

# The terminal's own colour names, in shades that keep their contrast on a dark ground and that people who
# confuse red and green can still tell apart; every level is also a word and a mark of its own shape.
COLOURS = {"30": "#7f8794", "31": "#ff9d76", "32": "#8fd0b0", "33": "#f2d06b", "34": "#8ab8ff", "35": "#d3a8f0",
           "36": "#7fd3e0", "37": "#e6e6e6", "90": "#9aa3b2", "91": "#ff9d76", "93": "#f2d06b", "94": "#8ab8ff", "96": "#7fd3e0"}
ADVANCE, LINE, MARGIN = 8.43, 19, 18


def spans(line):
    """The stretches of a line with their style: (text, colour, bold)."""
    colour, bold = None, False
    for piece in re.split(r"(\x1b\[[0-9;]*m)", line):
        code = re.fullmatch(r"\x1b\[([0-9;]*)m", piece)
        if not code:
            if piece:
                yield piece, colour, bold
            continue
        for part in code.group(1).split(";"):
            if part in ("", "0"):
                colour, bold = None, False
            elif part == "1":
                bold = True
            elif part == "2":
                colour = COLOURS["90"]
            elif part in COLOURS:
                colour = COLOURS[part]


def main():
    lines = ["$ " + sys.argv[1]] + sys.stdin.read().rstrip("\n").split("\n")
    plain = [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in lines]
    width = 2 * MARGIN + ADVANCE * max(map(len, plain))
    height = 2 * MARGIN + LINE * len(lines)
    print(f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.0f}" height="{height}" role="img">')
    print(f"<title>{html.escape(sys.argv[1])}</title>")
    print('<rect width="100%" height="100%" rx="8" fill="#1d2129"/>')
    print('<g font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="14" fill="#e6e6e6">')
    for number, line in enumerate(lines):
        column = 0
        for text, colour, bold in spans(line):
            x, y = MARGIN + ADVANCE * column, MARGIN + LINE * number + 14
            style = (f' fill="{colour}"' if colour else "") + (' font-weight="bold"' if bold else "")
            column += len(text)
            if text.strip():
                length = f' textLength="{ADVANCE * len(text):.1f}" xml:space="preserve"'
                print(f'<text x="{x:.1f}" y="{y}"{length}{style}>{html.escape(text)}</text>')
    print("</g>\n</svg>")


main()
