"""Draw the covers and sides of an invented book, flat and evenly lit, at a given scale.

A cover has a picture after its subject, the title, the contributors, a text and, on the back, the symbol. All sizes are
in millimetres of the cover, x to the right and y down from its top left corner.
"""

import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import photograph_art as art
import weblate_fonts
from bidi.algorithm import get_display
from numpy.typing import NDArray
from photograph_symbols import draw_symbol
from PIL import Image, ImageDraw, ImageFont

FONTS = Path(weblate_fonts.__file__).parent / "static" / "weblate_fonts"
DIGITS = str(FONTS / "source-code" / "ttf" / "SourceCodePro-Medium.ttf")
MARGIN_MM = 13.0
INSET_MM = (66.0, 34.0)
"""Width and height of the small picture beside the symbol."""
GUIDE_MM = 160.0
"""A cover narrower than this is a walking guide's or a paperback's, set in smaller type."""

Colour = tuple[int, int, int]
INKS: tuple[tuple[Colour, Colour], ...] = (
    ((38, 58, 66), (226, 214, 190)),
    ((233, 226, 210), (74, 58, 46)),
    ((96, 46, 42), (240, 222, 196)),
    ((62, 78, 56), (232, 228, 204)),
    ((206, 190, 158), (52, 48, 60)),
    ((44, 46, 74), (220, 212, 224)),
    ((168, 92, 58), (252, 238, 214)),
    ((112, 132, 132), (250, 246, 236)),
    ((214, 216, 206), (38, 66, 78)),
    ((58, 40, 52), (230, 206, 186)),
    ((190, 150, 84), (44, 36, 30)),
    ((88, 110, 130), (246, 240, 226)),
)
"""Ground and ink of the covers."""


@dataclass(frozen=True, slots=True)
class Book:
    """What is printed on a book, and how large it is."""

    key: str
    number: str
    printed: str
    add_on: str
    title: str
    contributors: str
    publisher: str
    language: str
    subject: str
    text: str
    soft: bool
    width_mm: float
    height_mm: float
    thickness_mm: float
    magnification: float = 1.0
    cut: float = 1.0
    corner: str = "right"
    tinted: bool = False
    front: bool = False
    crushed: str = ""
    """The lower corner that is crushed: "left" or "right"."""

    @property
    def inks(self) -> tuple[Colour, Colour]:
        """Ground and ink, the same for every picture of one edition."""
        return INKS[zlib.crc32(self.key.split("-", maxsplit=1)[0].encode()) % len(INKS)]

    @property
    def spine_left(self) -> bool:
        """Whether the spine is at the left of the side that lies up."""
        return self.front != (self.language in {"heb", "jpn"})


def font(book: Book, size_px: float, *, bold: bool = False) -> ImageFont.FreeTypeFont:
    """Return a font that has the letters of the book's language."""
    weight = "Bd" if bold else "Rg"
    if book.language == "jpn":
        path = FONTS / "kurinto" / "ttf" / f"KurintoSansJP-{weight}.ttf"
    elif book.language == "eng":
        path = FONTS / "source-sans" / "ttf" / f"SourceSans3-{'Semibold' if bold else 'Regular'}.ttf"
    else:
        path = FONTS / "kurinto" / "ttf" / f"KurintoSans-{weight}.ttf"
    return ImageFont.truetype(str(path), max(round(size_px), 4), layout_engine=ImageFont.Layout.BASIC)


def broken(text: str, face: ImageFont.FreeTypeFont, width_px: float, glue: str) -> list[str]:
    """Break a text into lines no wider than `width_px`, at `glue`; where that is empty, anywhere."""
    words = text.split(glue) if glue else list(text)
    lines = [""]
    for word in words:
        longer = lines[-1] + glue + word if lines[-1] else word
        if face.getlength(longer) <= width_px or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def write(
    pen: ImageDraw.ImageDraw,
    book: Book,
    text: str,
    at: tuple[float, float],
    width: float,
    size: float,
    *,
    bold: bool = False,
) -> float:
    """Write a paragraph from `at` (px) in the book's ink and return the y below it; Hebrew is set from the right."""
    face = font(book, size, bold=bold)
    x, y = at
    rtl = book.language == "heb"
    for line in broken(text, face, width, "" if book.language == "jpn" else " "):
        shown = get_display(line) if rtl else line
        pen.text((x + width if rtl else x, y), shown, font=face, fill=book.inks[1], anchor="ra" if rtl else "la")
        y += size * 1.34
    return y


CRUSHED_MM = 26.0
BOARD: Colour = (186, 174, 152)


def draw_cover(book: Book, px_per_mm: float) -> NDArray[np.uint8]:
    """Draw the side of a book that lies up, as an RGB array."""
    cover = draw_side(book, px_per_mm)
    return crush(cover, book, px_per_mm) if book.crushed else cover


def crush(cover: NDArray[np.uint8], book: Book, px_per_mm: float) -> NDArray[np.uint8]:
    """Return a cover with a lower corner pushed in: the cloth rubbed to the board, and creased beside it."""
    rng = np.random.default_rng(zlib.crc32(f"crushed {book.key}".encode()))
    high, wide = cover.shape[:2]
    y, x = np.mgrid[0:high, 0:wide]
    across = (wide - 1 - x if book.crushed == "right" else x) / px_per_mm
    away = across + (high - 1 - y) / px_per_mm + 5 * art.smooth_noise(rng, (high, wide), (40, 40), 3)
    rubbed = np.clip((CRUSHED_MM - away) / 3, 0, 1)[..., None] * np.array([0.9])
    crease = 0.5 * np.exp(-(((away - CRUSHED_MM * 1.25) / 0.9) ** 2)) + 0.4 * np.exp(-(((away - 14) / 1.1) ** 2))
    shown = cover + rubbed * (np.array(BOARD) - cover)
    return np.asarray(np.clip(shown * (1 - crease[..., None]), 0, 255).astype(np.uint8))


def draw_side(book: Book, px_per_mm: float) -> NDArray[np.uint8]:
    """Draw that side undamaged."""
    s = px_per_mm
    width, height = round(book.width_mm * s), round(book.height_mm * s)
    sheet = Image.new("RGB", (width, height), book.inks[0])
    share = 0.58 if book.front else (0.42 if book.width_mm < GUIDE_MM else 0.55)
    picture = art.draw(book.subject, zlib.crc32(book.key.encode()), book.inks, (width, round(height * share)))
    sheet.paste(picture, (0, 0))
    pen = ImageDraw.Draw(sheet)
    x, y = MARGIN_MM * s, height * share + 9 * s
    room = width - 2 * x
    unit = s * (0.78 if book.width_mm < GUIDE_MM else 1.0)
    if book.front:
        y = write(pen, book, book.title, (x, y), room, 15 * unit, bold=True) + 6 * s
        write(pen, book, book.contributors, (x, y), room, 7 * unit)
        return np.asarray(sheet)
    y = write(pen, book, book.title, (x, y), room, 7.2 * unit, bold=True) + 1.5 * s
    y = write(pen, book, book.contributors, (x, y), room, 4.4 * unit) + 3.5 * s
    write(pen, book, book.text, (x, y), room, 4.9 * unit)
    left, bottom = beside_symbol(book, s)
    if book.publisher:
        write(pen, book, book.publisher, (left, bottom - 5 * s), INSET_MM[0] * s, 3.6 * unit)
    if book.width_mm > GUIDE_MM:
        size = (round(INSET_MM[0] * s), round(INSET_MM[1] * s))
        inset = art.draw(book.subject, zlib.crc32(book.title.encode()), book.inks, size)
        sheet.paste(inset, (round(left), round(bottom - (INSET_MM[1] + 9) * s)))
    if book.number:
        paste_symbol(sheet, book, s)
    return np.asarray(sheet)


def beside_symbol(book: Book, s: float) -> tuple[float, float]:
    """Return left and bottom (px) of the space for the small picture and the publisher's name."""
    if not book.number:
        return MARGIN_MM * s, (book.height_mm - MARGIN_MM) * s
    start, top, end, bottom = symbol_box(book)
    if book.width_mm < GUIDE_MM:
        return MARGIN_MM * s, (top - 3) * s
    left = end + 9 if book.corner == "left" else max(start - 9 - INSET_MM[0], MARGIN_MM)
    return left * s, bottom * s


def symbol_patch(book: Book, s: float) -> Image.Image:
    """Draw the book's symbol at `s` pixels a millimetre."""
    heading = f"ISBN {book.printed}" if book.printed else ""
    return draw_symbol(
        book.number, book.add_on, s, magnification=book.magnification, cut=book.cut, heading=heading, font=DIGITS
    )


def symbol_box(book: Book) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of the symbol's patch, in mm of the cover."""
    patch = symbol_patch(book, 4.0)
    wide, high = patch.width / 4.0, patch.height / 4.0
    left = {
        "left": MARGIN_MM,
        "middle": (book.width_mm - wide) / 2,
        "right": book.width_mm - MARGIN_MM - wide,
    }[book.corner]
    top = book.height_mm - MARGIN_MM - high
    return left, top, left + wide, top + high


def paste_symbol(sheet: Image.Image, book: Book, s: float) -> None:
    """Put the symbol on the cover: on a white patch, or in dark ink on the tinted ground."""
    patch = symbol_patch(book, s)
    left, top, _, _ = symbol_box(book)
    at = (round(left * s), round(top * s))
    if book.tinted:
        ground = np.maximum(np.array(book.inks[0]), 150)
        share = np.asarray(patch, dtype=float)[..., None] / 255
        dark = np.array([24, 26, 34])
        sheet.paste(Image.fromarray((dark + share * (ground - dark)).astype(np.uint8)), at)
    else:
        sheet.paste(patch.convert("RGB"), at)


def draw_spine(book: Book, px_per_mm: float) -> NDArray[np.uint8]:
    """Draw the spine lying on its side, the title along it."""
    s = px_per_mm
    size = (round(book.height_mm * s), max(round(book.thickness_mm * s), 2))
    strip = Image.new("RGB", size, tuple(round(c * 0.94) for c in book.inks[0]))
    letters = min(book.thickness_mm * 0.42, 9) * s
    if letters > 5 and book.thickness_mm > 9:
        title = get_display(book.title) if book.language == "heb" else book.title
        face = font(book, letters, bold=True)
        ImageDraw.Draw(strip).text((14 * s, size[1] / 2), title, font=face, fill=book.inks[1], anchor="lm")
    return np.asarray(strip)


def draw_edge(book: Book, length_mm: float, px_per_mm: float, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Draw the edge of the block between the boards: leaves in cream, boards in the ground colour."""
    high, wide = max(round(book.thickness_mm * px_per_mm), 4), round(length_mm * px_per_mm)
    leaves = 205 + rng.normal(0, 9, (high, 1)) + rng.normal(0, 2.5, (high, wide))
    edge = np.stack([leaves, leaves * 0.965, leaves * 0.88], axis=-1)
    board = max(round((0.5 if book.soft else 3.0) * px_per_mm), 1)
    edge[:board] = edge[-board:] = np.array(book.inks[0]) * 0.82
    if not book.soft:
        edge[board : board + max(board // 2, 1)] *= 0.55  # the shadow under the overhanging board
    return np.clip(edge, 0, 255).astype(np.uint8)
