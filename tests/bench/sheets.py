"""Writing what is seen: a book of 1,000 tunes of about 2 KB as one PDF document (the aim is 10 s) and as a page for
browsers, and a picture of one of them beside resvg, which only draws the SVG that Lope wrote. Medians; programs
are started anew each time, resvg is called within this one.
"""

import os
import statistics
import subprocess
import tempfile
import time

import resvg_py
import samples

COUNT, SIZE, ROUNDS = 1_000, 2_000, 5


def median(work):
    """Milliseconds of the middle run, after one that does not count."""
    times = []
    for _ in range(ROUNDS + 1):
        began = time.perf_counter()
        work()
        times.append((time.perf_counter() - began) * 1000)
    return statistics.median(times[1:])


def make(*args):
    """A run of `lope make`."""
    return lambda: subprocess.run(["lope", "make", *args], check=True, capture_output=True)


def main():
    cache = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".cache")
    book = os.path.join(cache, "book-of-sheets")
    samples.book(book, COUNT, SIZE, False)
    tune = os.path.join(book, sorted(os.listdir(book))[0])
    if os.path.isdir(tune):
        tune = os.path.join(tune, sorted(os.listdir(tune))[0])
    with tempfile.TemporaryDirectory() as folder:
        for ending in ("pdf", "html", "txt"):
            out = os.path.join(folder, f"book.{ending}")
            took = median(make(book, out))
            print(f"{COUNT} tunes to .{ending}: {took:8.0f} ms, {os.path.getsize(out) / 1e6:.1f} MB", flush=True)
        svg, png = os.path.join(folder, "tune.svg"), os.path.join(folder, "tune.png")
        for out in (svg, png):
            print(f"a tune to {out[-4:]}: {median(make(tune, out)):8.1f} ms, the program's start included", flush=True)
        with open(svg, encoding="utf-8") as file:
            text = file.read()
        # With our fonts alone: looking for those of the machine would be most of it.
        fonts = os.path.join(cache, "..", "..", "server", "sheet", "fonts")
        faces = [os.path.join(fonts, f"{face}.ttf") for face in ("Regular", "Bold", "Italic")]
        draw = lambda: resvg_py.svg_to_bytes(svg_string=text, dpi=150, font_files=faces, skip_system_fonts=True)
        took = median(draw)
        print(f"resvg draws that SVG: {took:8.1f} ms", flush=True)


if __name__ == "__main__":
    main()
