"""The pictures of the README, made anew and held against the kept ones.

Usage: gallery.py PROGRAM FOLDER [--write], FOLDER as `make` of the hill-climb
buggy leaves it. Pictures that the program draws must be the same dot for dot;
pages go through a renderer that is not ours, whose grey may change with its
version, so they are compared in coarse squares. `--write` keeps the new ones.
"""

import pathlib
import subprocess
import sys
import tempfile

import numpy as np
import pypdfium2
from PIL import Image

KEPT = pathlib.Path("output/gallery")
DPI = 64
SQUARE = 8
# Of 255: a moved line or another number is more, another smoothing is less.
MOST_SQUARE = 48


def pages(pdf):
    """Text and grey picture of each page."""
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage().get_text_range()
        yield " ".join(text.split()), lambda p=page: p.render(scale=DPI / 72, grayscale=True).to_pil().convert("L")


def page_with(pdf, *words):
    for text, picture in pages(pdf):
        if all(w in text for w in words):
            return picture()
    sys.exit(f"{pdf}: no page has {words}")


def top(picture, share):
    return picture.crop((0, 0, picture.width, int(picture.height * share)))


def squares(picture):
    grey = np.asarray(picture.convert("L"), dtype=float)
    h, w = (n // SQUARE * SQUARE for n in grey.shape)
    return grey[:h, :w].reshape(h // SQUARE, SQUARE, w // SQUARE, SQUARE).mean(axis=(1, 3))


def main():
    program, buggy = sys.argv[1], pathlib.Path(sys.argv[2])
    write = "--write" in sys.argv
    drawn, printed = {}, {}
    with tempfile.TemporaryDirectory() as place:
        place = pathlib.Path(place)
        run = lambda *a: subprocess.run([program, "-q", *map(str, a)], check=True, stdout=subprocess.DEVNULL)
        run("make", "templates/jobs/sprayer-trailer/job.toml", "--out", place / "trailer")
        run("new", place / "new", "--part", "tank-strap", "--title", "Tank under the buggy")
        drawn["assembly"] = Image.open(buggy / "assembly.png").convert("L")
        drawn["sprayer-trailer"] = Image.open(place / "trailer/assembly.png").convert("L")
        drawn["strap"] = Image.open(buggy / "parts/tank-strap.png").convert("L")
        templates, packet = buggy / "drilling-templates.pdf", buggy / "packet.pdf"
        printed["template"] = page_with(templates, "OUTSIDE FACE UP", "Column bearing seat")
        printed["wrap"] = page_with(templates, "WRAP ROUND", "Strap hanger A")
        printed["tile"] = page_with(templates, "TILE 1 of")
        printed["saw-list"] = top(page_with(packet, "Saw list", "chalk"), 0.86)
        printed["measuring-sheet"] = page_with(place / "new/measuring-sheet.pdf", "What to measure")
    faults = 0
    for name, picture in {**drawn, **printed}.items():
        file = KEPT / f"{name}.png"
        if write:
            picture.quantize(16).save(file, optimize=True) if name in printed else picture.save(file, optimize=True)
        kept = Image.open(file).convert("L")
        if kept.size != picture.size:
            said = f"was {kept.size}, is {picture.size}"
        elif name in drawn:
            off = int((np.asarray(kept) != np.asarray(picture)).sum())
            said = f"{off} dots differ" if off else ""
        else:
            most = np.abs(squares(kept) - squares(picture)).max()
            said = f"differs by {most:.0f} of 255 in a square" if most > MOST_SQUARE else ""
        faults += bool(said)
        print(f"{file}: {said or 'as made'}")
    sys.exit(f"{faults} pictures differ; gallery.py PROGRAM FOLDER --write keeps the new ones" if faults else 0)


main()
