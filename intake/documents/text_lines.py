"""Lines of text below one another, at the left, in the middle or at the right of a span of the page."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from intake.documents.text_fit import ASCENT_EM, line_mm
from intake.model.pages import Align, ContentOf, Mark, StructureElement, Text
from intake.units.convert import pt_to_mm

Span = tuple[float, float]
"""Where something begins and how wide it is, in mm."""


@dataclass(frozen=True, slots=True)
class Cell:
    """The lines of one text, how they are set across a span of the page, and of which part of the document they are."""

    lines: Sequence[str]
    span: Span
    bold: bool = False
    align: Align = Align.LEFT
    element: StructureElement | None = None


def set_lines(cell: Cell, size_pt: float, top_mm: float) -> Iterator[Text]:
    """Set the lines of a cell below one another, the first with its top there."""
    x = cell.span[0] + cell.span[1] * {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}[cell.align]
    first, height = top_mm + pt_to_mm(size_pt) * ASCENT_EM, line_mm(size_pt)
    for n, line in enumerate(cell.lines):
        yield Text(x, first + n * height, line, size_pt, cell.bold, cell.align)


def set_part(cell: Cell, size_pt: float, top_mm: float) -> Iterator[Mark]:
    """Set the lines of a cell as `set_lines` does, as a part of the document where the cell is one."""
    if cell.element is not None:
        yield ContentOf(cell.element)
    yield from set_lines(cell, size_pt, top_mm)
