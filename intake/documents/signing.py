"""Where people sign: lines at the end of a document, and a place for codes and initials at the foot of every page."""

from collections.abc import Iterator, Sequence

from intake.documents.page_breaks import Strip
from intake.documents.table_columns import GAP_MM, HEAD_PT
from intake.documents.table_rows import HAIRLINE_PT
from intake.documents.text_fit import Setter, line_mm
from intake.documents.text_lines import Cell, Span, set_lines
from intake.model.pages import ContentOf, ElementKind, Mark, RuledLine, StructureElement

NAME_PT = (5.0, HEAD_PT)
SIGNATURE_MM = 16.0
"""Space to sign in, above the line."""
INITIALS_MM, NAME_SHARE = 9.0, 0.55
"""Height of what is initialled on every page, and the share of its width that the name takes."""


def signature_strip(names: Sequence[str], setter: Setter, span: Span) -> Strip:
    """Return a strip with a line for each name, beside one another, with space for place and date."""
    width = (span[1] - GAP_MM * (len(names) - 1)) / len(names)
    fitted = [setter.fit(name, width - GAP_MM, line_mm(HEAD_PT), NAME_PT) for name in names]

    def draw(top_mm: float) -> Iterator[Mark]:
        y = top_mm + SIGNATURE_MM
        for n, name in enumerate(fitted):
            x = span[0] + n * (width + GAP_MM)
            yield ContentOf(StructureElement(ElementKind.PARAGRAPH))
            yield RuledLine(x, y, x + width - GAP_MM, y, HAIRLINE_PT)
            yield from set_lines(Cell(name.lines, (x, 0.0)), name.size_pt, y + 0.8)

    return Strip(SIGNATURE_MM + 6.0, draw)


def initials_above(names: Sequence[str], setter: Setter, span: Span, foot_mm: float) -> list[Mark]:
    """Return names with lines for their codes and initials, beside one another, that end at a height of the page."""
    marks: list[Mark] = []
    width = (span[1] + GAP_MM) / max(1, len(names))
    for n, name in enumerate(names):
        x = span[0] + n * width
        fitted = setter.fit(name, width * NAME_SHARE, line_mm(HEAD_PT), NAME_PT)
        marks += set_lines(Cell(fitted.lines, (x, 0.0)), fitted.size_pt, foot_mm - fitted.height_mm)
        marks.append(RuledLine(x + width * NAME_SHARE + 1.0, foot_mm, x + width - GAP_MM, foot_mm, HAIRLINE_PT))
    return marks
