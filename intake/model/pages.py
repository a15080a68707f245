"""A finished page: marks at positions in millimetres, independent of the output format.

The origin is the top left corner of the page; x increases to the right and y downwards. Everything is black unless
stated otherwise. Nothing here depends on a font, a file or a page format.
"""

from dataclasses import dataclass
from enum import StrEnum


class Align(StrEnum):
    """Which point of a line of text is at its x."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text.

    Attributes:
        x_mm, y_mm: the left end, middle or right end (`align`) of the baseline.
        text: in logical order; right-to-left text is reordered when it is drawn.
        rotation_deg: anticlockwise about (x_mm, y_mm).
    """

    x_mm: float
    y_mm: float
    text: str
    size_pt: float
    bold: bool = False
    align: Align = Align.LEFT
    rotation_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class RuledLine:
    """A straight line from one point to another."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    width_pt: float = 0.4


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle with an outline, a fill, or both.

    Attributes:
        line_pt: width of the outline; 0 draws none.
        grey: the fill, from 0 (black) to 1 (white); None for no fill.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    line_pt: float = 0.4
    grey: float | None = None


@dataclass(frozen=True, slots=True)
class Symbol:
    """A bar code or a matrix code, without its quiet zones.

    Attributes:
        x_mm, y_mm: the top left corner of the first module.
        rows: from the top, one character per module: "1" dark, "0" light; all of equal length.
        heights_mm: the height of each row; a matrix code has `module_mm` throughout.
        alt: what is read aloud in its place.
    """

    x_mm: float
    y_mm: float
    module_mm: float
    rows: tuple[str, ...]
    heights_mm: tuple[float, ...]
    alt: str = ""

    @property
    def width_mm(self) -> float:
        """Return the width of the drawn modules."""
        return len(self.rows[0]) * self.module_mm

    @property
    def height_mm(self) -> float:
        """Return the height of the drawn modules."""
        return sum(self.heights_mm)


@dataclass(frozen=True, slots=True)
class PlacedPicture:
    """A picture (PNG or JPEG bytes), scaled to fill the rectangle; `alt` is read aloud in its place."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    data: bytes
    alt: str = ""


@dataclass(frozen=True, slots=True)
class Bookmark:
    """Where a section begins: drawn nowhere, listed among the bookmarks of a file."""

    y_mm: float
    title: str


class ElementKind(StrEnum):
    """What a part of a document is to who has it read aloud (standard structure types, ISO 32000-1, 14.8.4)."""

    TITLE = "H1"
    HEADING = "H2"
    PARAGRAPH = "P"
    LIST = "L"
    ITEM = "LI"
    NAME = "Lbl"
    FACT = "LBody"
    TABLE = "Table"
    ROW = "TR"
    HEAD_CELL = "TH"
    CELL = "TD"


@dataclass(frozen=True, slots=True, eq=False)
class StructureElement:
    """One part of a document, on one page or on several; `within` is the part that it is a part of."""

    kind: ElementKind
    within: "StructureElement | None" = None


@dataclass(frozen=True, slots=True)
class ContentOf:
    """Drawn nowhere: the texts from here to the next of these are of this part, in the order of reading.

    Those of None are no part of the document: what is repeated on every page, such as the page's number. A text before
    the first of these on a page is a paragraph of its own. Rules and frames are never a part, symbols and pictures
    always.
    """

    element: StructureElement | None


Mark = Text | RuledLine | Rectangle | Symbol | PlacedPicture | Bookmark | ContentOf


@dataclass(frozen=True, slots=True)
class Page:
    """A sheet, or one label of a roll, and the marks on it."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintReport:
    """The result of writing a document.

    Attributes:
        pages: how many pages it has.
        missing: each character that no font has, printed as a replacement sign, in order of first use.
    """

    pages: int
    missing: tuple[str, ...] = ()
