"""Draw the EAN-13, UPC-A and add-on symbol of a book at true proportions, with its digits and quiet zones.

The bars come from zint (through zint-bindings), which the tool itself does not use. Widths, heights and quiet zones
are those of the GS1 General Specifications for X = 0.33 mm: bars of 22.85 mm, guard bars 5 modules longer, 11 modules
of quiet zone on the left of an EAN-13 and 7 on its right, 9 and 9 for a UPC-A, 5 after an add-on.
"""

import numpy as np
import zint
from PIL import Image, ImageDraw, ImageFont

NOMINAL_X_MM = 0.33
BAR_MODULES = 69
GUARD_MODULES = 5
GRID = 8
"""Pixels that one module is drawn at before it is brought to its size, so that every edge is where it should be."""


Bar = tuple[float, float, bool, bool]
"""Left and width in modules from the first bar, whether it is a guard bar, whether it belongs to the add-on."""


def is_upc(number: str) -> bool:
    """Tell whether a 13-digit number is printed as a UPC-A (its first digit is 0)."""
    return number.startswith("0")


def encode(number: str, add_on: str) -> list[Bar]:
    """Return the bars of a symbol."""
    symbol = zint.Symbol()
    symbol.symbology = zint.Symbology.UPCA if is_upc(number) else zint.Symbology.EANX
    digits = number[1:] if is_upc(number) else number
    symbol.encode(f"{digits}+{add_on}" if add_on else digits)
    symbol.buffer_vector()
    bars = list(symbol.vector.rectangles)
    tallest = max(bar.height for bar in bars)
    first = min(bar.x for bar in bars)
    unit = min(bar.width for bar in bars)
    return [((b.x - first) / unit, b.width / unit, b.y == 0 and b.height == tallest, b.y > 0) for b in bars]


def draw_symbol(
    number: str, add_on: str, px_per_mm: float, *, magnification: float, cut: float, heading: str, font: str
) -> Image.Image:
    """Draw a symbol, black on white.

    Args:
        number: 13 digits.
        add_on: 2 or 5 digits, or empty.
        px_per_mm: scale of the picture.
        magnification: size relative to X = 0.33 mm (0.8 to 2.0 in the standard).
        cut: height of the bars relative to the nominal one; many publishers cut them.
        heading: the line above the bars ("ISBN 978-…"), or empty.
        font: path of a TrueType font with digits of one width.
    """
    left, right = (9, 9) if is_upc(number) else (11, 7)
    bars = encode(number, add_on)
    end = max(x + w for x, w, _, _ in bars)
    top = 11 if heading else 3
    tall = BAR_MODULES * cut
    width, height = left + end + (5 if add_on else right), top + tall + 11
    patch = Image.new("L", (round(width * GRID), round(height * GRID)), 255)
    pen = ImageDraw.Draw(patch)
    for x, w, guard, supplement in bars:
        x0, x1 = (left + x) * GRID, (left + x + w) * GRID - 1
        y0 = top + (9 if supplement else 0)
        y1 = top + tall + (GUARD_MODULES if guard or supplement else 0)
        pen.rectangle((round(x0), round(y0 * GRID), round(x1), round(y1 * GRID)), fill=12)
    face = ImageFont.truetype(font, 10 * GRID, layout_engine=ImageFont.Layout.BASIC)
    for text, x, supplement in digit_places(number, add_on, bars):
        line = top + 8 if supplement else top + tall + 9.5
        pen.text(((left + x) * GRID, line * GRID), text, font=face, fill=12, anchor="ms")
    if heading:
        small = ImageFont.truetype(font, 7 * GRID, layout_engine=ImageFont.Layout.BASIC)
        pen.text(((left + 47.5) * GRID, 8.5 * GRID), heading, font=small, fill=12, anchor="ms")
    scale = NOMINAL_X_MM * magnification * px_per_mm
    size = (round(width * scale), round(height * scale))
    return patch.resize(size, Image.Resampling.BOX if scale < GRID else Image.Resampling.BICUBIC)


def digit_places(number: str, add_on: str, bars: list[Bar]) -> list[tuple[str, float, bool]]:
    """Return every digit, the middle of its place in modules from the first bar, and whether it is the add-on's."""
    if is_upc(number):
        centres = [-5.0, *(np.arange(5) * 7 + 13.5), *(np.arange(5) * 7 + 53.5), 100.0]
        digits = number[1:]
    else:
        centres = [-7.0, *(np.arange(6) * 7 + 6.5), *(np.arange(6) * 7 + 53.5)]
        digits = number
    places = [(d, float(c), False) for d, c in zip(digits, centres, strict=True)]
    if add_on:
        start = min(x for x, _, _, supplement in bars if supplement)
        places += [(d, start + 7.5 + 9 * i, True) for i, d in enumerate(add_on)]
    return places
