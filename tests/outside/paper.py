"""The drilling templates through a renderer that is not ours: PDFium, 600 dpi.

Usage: paper.py FOLDER with the paper.pdf and paper.json that
`PAPER_TRUTH=FOLDER cargo test --test paper_random truth` writes. Centres of
holes and ends of check bars must lie within 0.02 mm of where they should be.
"""

import json
import sys

import numpy as np
import pypdfium2

DPI = 600
MM = DPI / 25.4
MOST_MM = 0.02


def centre(dark, x, y, diameter):
    """Centre of a thin circle: mean of its ink in a narrow ring round it, mm."""
    r = diameter / 2 * MM
    reach = int(r + 0.6 * MM) + 2
    cx, cy = x * MM, y * MM
    x0, y0 = int(cx) - reach, int(cy) - reach
    part = dark[y0 : y0 + 2 * reach + 1, x0 : x0 + 2 * reach + 1]
    ys, xs = np.mgrid[0 : part.shape[0], 0 : part.shape[1]]
    xs, ys = xs + x0 + 0.5, ys + y0 + 0.5
    ring = np.abs(np.hypot(xs - cx, ys - cy) - r) < 0.5 * MM
    ink = part * ring
    return (ink * xs).sum() / ink.sum() / MM, (ink * ys).sum() / ink.sum() / MM


def ends(line, low, high):
    """Where ink begins and ends along a line of pixels: by the ink itself, mm."""
    a, b = int((low - 2) * MM), int((low + 2) * MM)
    first = b / MM - line[a:b].sum() / MM
    c, d = int((high - 2) * MM), int((high + 2) * MM)
    last = c / MM + line[c:d].sum() / MM
    return first, last


def main(folder):
    truth = json.load(open(f"{folder}/paper.json"))
    pdf = pypdfium2.PdfDocument(f"{folder}/paper.pdf")
    assert len(pdf) == len(truth), "pages"
    worst, holes, bars = 0.0, 0, 0
    for page, want in zip(pdf, truth):
        grey = page.render(scale=DPI / 72, grayscale=True).to_numpy()
        dark = 1 - grey.reshape(grey.shape[:2]).astype(float) / 255
        height = want["height"]
        for x, y, d in want["circles"]:
            if d < 4:
                continue  # the punch cross reaches into the ring
            fx, fy = centre(dark, x, height - y, d)
            worst = max(worst, abs(fx - x), abs(fy - (height - y)))
            holes += 1
        for x0, y0, x1, y1 in want["bars"]:
            # A row through the end blocks, off the web in the middle.
            if x1 - x0 > y1 - y0:
                row = dark[int((height - y0 - 1) * MM)]
                found, true = ends(row, x0, x1), (x0, x1)
            else:
                column = dark[:, int((x0 + 1) * MM)]
                found, true = ends(column, height - y1, height - y0), (height - y1, height - y0)
            worst = max(worst, abs(found[0] - true[0]), abs(found[1] - true[1]))
            bars += 1
    print(f"outside renderer: {holes} holes, {bars} bars on {len(truth)} pages, worst {worst:.4f} mm")
    assert holes > 50 and bars == 2 * len(truth)
    assert worst < MOST_MM, f"worst {worst} mm"


main(sys.argv[1])
