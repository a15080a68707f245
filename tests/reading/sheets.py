"""Printed sheets to photograph: symbols drawn by an encoder that is not ours (zint), on covers with text and pictures.

Every title and name on them is invented.
"""

from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import cv2
import numpy as np
import zint
from PIL import Image, ImageDraw, ImageFont

from intake.reading.symbol_forms import check_digit, ean_number, expand_upc_e
from tests.reading.drawing import Grey, symbol
from tests.reading.scene import SCALE

SIZE = (300, 220)
"""Width and height of a sheet, in modules."""
FONTS = (
    "source-sans/ttf/SourceSans3-Regular.ttf",
    "source-sans/ttf/SourceSans3-Bold.ttf",
    "source-code/ttf/SourceCodePro-Regular.ttf",
)
TEXT = (
    "The Lantern Atlas of Unmapped Rivers Plates Figures after the Originals Volume Second Printing with an Essay by "
    "Orla Venn Tidewater Herbarium Collected Drawings Glass Kilns and Salt Roads Harbour Press Photographs Notes Index"
)
WORDS = TEXT.split()


@dataclass(frozen=True)
class Printed:
    """A symbol as it is printed: its bitmap of `SCALE` pixels to a module, and what it says."""

    bitmap: Grey
    number: str
    form: str
    add_on: str | None = None


def data(random: np.random.Generator, prefix: str, length: int) -> str:
    """Draw digits after a prefix, without the check digit."""
    return prefix + "".join(str(digit) for digit in random.integers(0, 10, length - 1 - len(prefix)))


FORMS = ("ean-13", "ean-13", "ean-13", "upc-a", "ean-8", "upc-e", "add-on 5", "add-on 2")


def printed(random: np.random.Generator, form: str) -> Printed:
    """Draw a symbol of one form with a number drawn at random."""
    extra = None
    if form == "upc-a":
        text, symbology = data(random, str(random.choice(["0", "6", "7"])), 12), zint.Symbology.UPCA
        number = ean_number(text + check_digit(text))
    elif form == "ean-8":
        text, symbology = data(random, str(random.choice(["4", "9", ""])), 8), zint.Symbology.EANX
        number = ean_number(text + check_digit(text))
    elif form == "upc-e":
        # Small digits in some places would have to be abbreviated in another way.
        body = "".join(str(digit) for digit in [*random.integers(3, 10, 5), random.integers(0, 10)])
        text, symbology = f"0{body}", zint.Symbology.UPCE
        long = expand_upc_e(text + "0") or ""
        number = long[:12] + check_digit(long[:12])
    else:
        prefix = str(random.choice(["978", "978", "979", "977", "4", ""]))
        text, symbology = data(random, prefix, 13), zint.Symbology.EANX
        number = text + check_digit(text)
        if form.startswith("add-on"):
            extra = "".join(str(digit) for digit in random.integers(0, 10, int(form[-1])))
    assert number is not None
    bitmap = symbol(symbology, text + (f"+{extra}" if extra else ""), scale=SCALE)
    tall = int(random.integers(30, 66)) * SCALE  # many are printed with their bars cut short
    return Printed(bitmap[max(0, len(bitmap) - tall) :], number, form, extra)


def sheet(
    random: np.random.Generator,
    bars: Printed,
    *,
    ink: int = 25,
    paper: int = 225,
    busy: bool = False,
    covered: float = 0.0,
) -> Grey:
    """Print a symbol in the middle of a sheet.

    Args:
        random: for what lies about it.
        bars: the symbol.
        ink: grey of the bars.
        paper: grey of their ground.
        busy: text and picture all about, close to the quiet zones.
        covered: the share of the symbol's height that something lies over, from below.
    """
    width, height = (side * SCALE for side in SIZE)
    page = cover(random, width, height) if busy else np.full((height, width), int(random.integers(60, 235)), np.uint8)
    bitmap = np.pad(bars.bitmap, ((4 * SCALE, 8 * SCALE), (10 * SCALE, 8 * SCALE)), constant_values=255)
    levels = (ink + bitmap.astype(np.float32) / 255 * (paper - ink)).astype(np.uint8)
    tall, wide = levels.shape
    digits(levels, bars.number, ink)
    left = (width - bars.bitmap.shape[1]) // 2 - 10 * SCALE
    top = (height - bars.bitmap.shape[0]) // 2 - 4 * SCALE
    page[top : top + tall, left : left + wide] = levels
    if covered:
        low = top + 4 * SCALE + round(bars.bitmap.shape[0] * (1 - covered))
        slope = float(random.uniform(-0.1, 0.1))
        lid = np.array([[0, low - slope * width / 2], [width, low + slope * width / 2], [width, height], [0, height]])
        cv2.fillPoly(page, [np.rint(lid).astype(np.int32)], int(random.integers(40, 220)))
    return page


def digits(label: Grey, number: str, ink: int) -> None:
    """Print the number below its bars, as is usual."""
    size = 6 * SCALE
    text = Image.fromarray(label)
    draw = ImageDraw.Draw(text)
    draw.text((label.shape[1] // 2, label.shape[0] - 7 * SCALE), number, fill=ink, font=font(2, size), anchor="ma")
    label[:] = np.asarray(text)


@lru_cache
def font(which: int, size_px: int) -> ImageFont.FreeTypeFont:
    """Open one of the fonts."""
    path = resources.files("weblate_fonts").joinpath("static", "weblate_fonts", *FONTS[which].split("/"))
    with resources.as_file(path) as file:
        return ImageFont.truetype(str(file), size_px)


def cover(random: np.random.Generator, width: int, height: int) -> Grey:
    """Draw a book's back: coarse shapes and lines of text in several sizes."""
    coarse = random.integers(40, 236, (int(random.integers(2, 9)), int(random.integers(2, 9))), np.uint8)
    way = cv2.INTER_CUBIC if random.random() < 0.6 else cv2.INTER_NEAREST
    page = np.asarray(cv2.resize(coarse, (width, height), interpolation=way), np.uint8)
    image = Image.fromarray(page)
    draw = ImageDraw.Draw(image)
    y = 0
    while y < height:
        size = int(random.integers(3, 14)) * SCALE
        line = " ".join(random.choice(WORDS, 18))
        fill = int(random.choice([15, 240]))
        draw.text((int(random.integers(0, 60)), y), line, fill=fill, font=font(int(random.integers(0, 3)), size))
        y += round(size * 1.25)
    return np.asarray(image, np.uint8).copy()
