"""Rows of cells as strips of a page: a short row whole, a long one line by line, so that it may go on on the next page.

Where it does, its first cell in bold type stands there again with the word "continued".
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from intake.documents.page_breaks import Hold, Strip, repeated
from intake.documents.table_columns import HEAD_PT, ColumnWidths
from intake.documents.text_fit import Setter, line_mm
from intake.documents.text_lines import Cell, Span, set_lines, set_part
from intake.model.pages import Align, ElementKind, Mark, RuledLine, StructureElement
from intake.units.language import say

HAIRLINE_PT, HEAD_RULE_PT = 0.35, 0.9
ROW_SPACE_MM = 1.7
WHOLE_LINES = 14
"""A row or a paragraph of more lines may be split over pages."""
SUM_PT = (5.0, HEAD_PT)
SUM_LINES = (2, 8)
"""The fewest and the most lines that are kept free for what is carried forward; more of them shrink."""


def cell_strips(cells: Sequence[Cell], size_pt: float, foot_mm: float = 0.0) -> list[Strip]:
    """Return cells beside one another as one strip, or as one for each line, with a space under the last.

    The first two lines hold together, and the last two.
    """
    height, count = line_mm(size_pt), max(1, *(len(cell.lines) for cell in cells))
    if count <= WHOLE_LINES:
        return [Strip(count * height + foot_mm, partial(_set_cells, cells, size_pt))]
    strips = []
    for n in range(count):
        part = [replace(cell, lines=cell.lines[n : n + 1]) for cell in cells]
        hold = Hold.GLUED if n in (0, count - 2) else Hold.FREE
        strips.append(Strip(height, partial(_set_cells, part, size_pt), hold))
    return [*strips[:-1], replace(strips[-1], height_mm=height + foot_mm)]


def _set_cells(cells: Sequence[Cell], size_pt: float, top_mm: float) -> Iterator[Mark]:
    for cell in cells:
        yield from set_part(cell, size_pt, top_mm)


class TableRows:
    """Makes the strips of one table.

    Args:
        sized: its columns.
        setter: measures the texts.
        span: where the table begins and how wide it is.
        so_far: what so many of its rows add up to; None where nothing is carried forward.
    """

    def __init__(
        self, sized: ColumnWidths, setter: Setter, span: Span, so_far: Callable[[int], str] | None = None
    ) -> None:
        self.sized = sized
        self.setter = setter
        self.span = span
        self.so_far = so_far
        self.spans = [(span[0] + x, width) for x, width in sized.spans]
        self.table = StructureElement(ElementKind.TABLE)
        self.head = repeated(self._head(None))
        self.sum_mm = 0.0

    def strips(self, rows: Sequence[Sequence[str]]) -> Iterator[Strip]:
        """Yield the head and the rows; the first two rows hold together, and the last two."""
        if self.so_far is not None:
            self.sum_mm = self._longest_sum_mm(self.so_far(len(rows)))
        yield replace(self._head(StructureElement(ElementKind.ROW, self.table)), hold=Hold.GLUED)
        for n, row in enumerate(rows):
            *before, last = self._row(row, partial(self._above, n))
            if n < len(rows) - 1:
                hold = Hold.FIRM if n in (0, len(rows) - 2) else Hold.FREE
                last = replace(last, hold=hold)
                if self.so_far is not None:
                    last = replace(last, below=partial(self._carried, n + 1), below_mm=self.sum_mm)
            yield from before
            yield last

    def _row(self, row: Sequence[str], above: Callable[[], tuple[Strip, ...]]) -> list[Strip]:
        size, element = self.sized.size_pt, StructureElement(ElementKind.ROW, self.table)
        cells = [
            Cell(
                self.setter.lines(text, span[1], size, bold=column.bold),
                span,
                column.bold,
                column.align,
                StructureElement(ElementKind.CELL, element),
            )
            for text, span, column in zip(row, self.spans, self.sized.columns, strict=True)
        ]
        first, *others = cell_strips(cells, size, ROW_SPACE_MM)
        continued = partial(self._continued, row)
        strips = [replace(first, above=above), *(replace(strip, above=continued) for strip in others)]
        last = strips[-1]
        return [*strips[:-1], replace(last, draw=partial(self._ruled, last, HAIRLINE_PT, ROW_SPACE_MM / 2))]

    def _ruled(self, strip: Strip, width_pt: float, above_foot_mm: float, top_mm: float) -> Iterator[Mark]:
        """Draw a strip with a rule a little above its foot."""
        yield from strip.draw(top_mm)
        y = top_mm + strip.height_mm - above_foot_mm
        yield RuledLine(self.span[0], y, self.span[0] + self.span[1], y, width_pt)

    def _head(self, row: StructureElement | None) -> Strip:
        """Return the head of the table, as the first of its rows, or as it is repeated on the next page."""
        cells = [
            Cell(
                self.setter.lines(column.head, span[1], HEAD_PT),
                span,
                align=column.align,
                element=row and StructureElement(ElementKind.HEAD_CELL, row),
            )
            for column, span in zip(self.sized.columns, self.spans, strict=True)
        ]
        lines = max(1, *(len(cell.lines) for cell in cells))
        height = lines * line_mm(HEAD_PT) + 0.8 + ROW_SPACE_MM / 2
        words = Strip(height, partial(_set_cells, cells, HEAD_PT))
        return Strip(height, partial(self._ruled, words, HEAD_RULE_PT, ROW_SPACE_MM / 2))

    def _above(self, row: int) -> tuple[Strip, ...]:
        brought = (
            self._sum(say("Brought forward: {amount}", amount=self.so_far(row)))
            if self.so_far is not None and row
            else ()
        )
        return (self.head, *brought)

    def _carried(self, rows: int) -> tuple[Strip, ...]:
        if self.so_far is None:
            return ()
        return self._sum(say("Carried forward: {amount}", amount=self.so_far(rows)))

    def _longest_sum_mm(self, whole: str) -> float:
        """Return the height for what is carried forward: what all rows add up to has about the most words."""
        words = say("Brought forward: {amount}", amount=whole)
        fewest, most = SUM_LINES
        lines = len(self.setter.lines(words, self.span[1], HEAD_PT, bold=True))
        return max(fewest, min(lines, most)) * line_mm(HEAD_PT) + ROW_SPACE_MM / 2

    def _sum(self, words: str) -> tuple[Strip, ...]:
        fitted = self.setter.fit(words, self.span[1], self.sum_mm, SUM_PT, bold=True)
        cell = Cell(fitted.lines, self.span, bold=True, align=Align.RIGHT)
        return (repeated(Strip(self.sum_mm, partial(set_lines, cell, fitted.size_pt))),)

    def _continued(self, row: Sequence[str]) -> tuple[Strip, ...]:
        bold = [text for text, column in zip(row, self.sized.columns, strict=True) if column.bold and text]
        name = next(iter([*bold, *filter(None, row)]), "").split("\n")[0]
        said = say("{name}, continued", name=name) if name else say("continued")
        words = self.setter.fit(said, self.span[1], line_mm(HEAD_PT), SUM_PT)
        cell = Cell(words.lines, self.span)
        return (self.head, repeated(Strip(line_mm(HEAD_PT), partial(set_lines, cell, words.size_pt))))
