"""A document of several pages: a head on each page, tables that flow over pages, and 'page n of m' at the foot.

Cells wrap and never overlap; a line break in a cell begins a new paragraph (so that texts of two directions are not
mixed in one line). A row is never split over pages; a cell higher than a page is cut. All lists have the same style: a
heavy title, hairlines, no boxes, no grey.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from intake.documents.text_fit import ASCENT_EM, Fitted, Measure, Setter, line_mm
from intake.model.pages import Align, Mark, Page, RuledLine, Text
from intake.model.papers import A4_MM
from intake.units.convert import pt_to_mm

MARGIN_MM = 16.0
BODY_PT = 9.0
SMALL_PT = 7.5
TITLE_PT = 18.0
HAIRLINE_PT = 0.35
HEAD_RULE_PT = 0.9
GAP_MM = 3.0
"""Space between two columns."""
FOOT_MM = 7.0
ROW_SPACE_MM = 1.7
HEADS_MM = 22.0
"""Greatest height of the heads of page and table together."""


@dataclass(frozen=True, slots=True)
class TableColumn:
    """A column of a table; `share` is its width relative to the other columns'."""

    head: str
    share: float
    align: Align = Align.LEFT
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Head:
    """The head of every page: the title, the mark of this document, and on the first page the facts about it.

    Attributes:
        mark: its number, reference or date, printed at the right of the title and at the foot.
        facts: (name, text) pairs; those without a text are left out.
    """

    title: str
    mark: str
    facts: Sequence[tuple[str, str]] = ()


def facts_mm(facts: Sequence[tuple[str, str]]) -> float:
    """Return the approximate height of facts in mm, for texts of one line."""
    rows = (sum(bool(text) for _, text in facts) + 1) // 2
    return rows * (line_mm(SMALL_PT) + line_mm(BODY_PT) + 1.6) + 2.0


class Sheet:
    """Pages being filled; `y_mm` is the next free position on the last page, from the top."""

    def __init__(self, head: Head, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> None:
        self.head = head
        self.paper_mm = paper_mm
        self.setter = Setter(measure)
        self.width_mm = paper_mm[0] - 2 * MARGIN_MM
        self.bottom_mm = paper_mm[1] - MARGIN_MM - FOOT_MM
        self.pages: list[list[Mark]] = []
        self.y_mm = 0.0
        self._turn()
        self._facts(head.facts)

    def finish(self) -> list[Page]:
        """Return the pages, with page numbers."""
        foot_y = self.paper_mm[1] - MARGIN_MM
        right = self.paper_mm[0] - MARGIN_MM
        out = []
        for number, marks in enumerate(self.pages, start=1):
            count = Text(right, foot_y, f"page {number} of {len(self.pages)}", SMALL_PT, align=Align.RIGHT)
            out.append(Page(*self.paper_mm, (*marks, Text(MARGIN_MM, foot_y, self.head.mark, SMALL_PT), count)))
        return out

    def table(self, columns: Sequence[TableColumn], rows: Iterable[Sequence[str]]) -> None:
        """Set a table, with its head repeated on every page; a column is at least as wide as each amount in it."""
        rows = list(rows)
        spans = self._spans(columns, [self._amounts_mm(column, n, rows) for n, column in enumerate(columns)])
        self._room(3 * line_mm(BODY_PT) + 4 * ROW_SPACE_MM)
        self._table_head(columns, spans)
        for row in rows:
            cells = [
                self._cell(text, width, bold=column.bold)
                for column, (_, width), text in zip(columns, spans, row, strict=True)
            ]
            height = max(1, *map(len, cells)) * line_mm(BODY_PT)
            if self.y_mm + height + ROW_SPACE_MM > self.bottom_mm + 1e-6:
                self._turn()
                self._table_head(columns, spans)
            for column, span, cell in zip(columns, spans, cells, strict=True):
                self._lines(cell, span, self.y_mm, BODY_PT, bold=column.bold, align=column.align)
            self.y_mm += height + ROW_SPACE_MM / 2
            self._rule(HAIRLINE_PT)
            self.y_mm += ROW_SPACE_MM / 2

    def gap(self) -> None:
        """Leave the space of half a line."""
        self.y_mm += line_mm(BODY_PT) / 2

    def heading(self, text: str) -> None:
        """Set a heading, kept together with what follows."""
        self._room(4 * line_mm(BODY_PT))
        self.y_mm += 4.0
        self._paragraph(text, 11.0, bold=True)
        self.y_mm += 1.0

    def paragraph(self, text: str, *, bold: bool = False, size_pt: float = BODY_PT) -> None:
        """Set a text over the whole width; an empty text sets nothing."""
        if text:
            self._paragraph(text, size_pt, bold=bold)
            self.y_mm += ROW_SPACE_MM

    def signatures(self, names: Sequence[str]) -> None:
        """Draw a signature line for each name, with space for place and date."""
        self._room(24.0)
        self.y_mm += 16.0
        width = (self.width_mm - GAP_MM * (len(names) - 1)) / len(names)
        for n, name in enumerate(names):
            x = MARGIN_MM + n * (width + GAP_MM)
            self._add(RuledLine(x, self.y_mm, x + width - GAP_MM, self.y_mm, HAIRLINE_PT))
            fitted = self.setter.fit(name, width - GAP_MM, line_mm(SMALL_PT), (5.0, SMALL_PT))
            self._lines(fitted.lines, (x, width), self.y_mm + 0.8, fitted.size_pt)
        self.y_mm += 6.0

    def reserve(self, height_mm: float) -> None:
        """Begin a new page unless this height is left, so that what follows stays together."""
        self._room(height_mm)

    def together(self, draw: Callable[[], None]) -> None:
        """Set what `draw` sets on one page: where the end of this page comes between, on a new one.

        A page of signatures alone would be signed for nothing. What is higher than a page flows on.
        """
        pages, marks, y_mm = len(self.pages), len(self.pages[-1]), self.y_mm
        draw()
        if len(self.pages) > pages:
            del self.pages[pages:], self.pages[-1][marks:]
            self.y_mm = y_mm
            self._turn()
            draw()

    def place(self, height_mm: float, draw: Callable[[float, float], Iterable[Mark]]) -> None:
        """Set marks that stay together: `draw` is called with the left and the top of a space of that height, in mm."""
        self._room(height_mm)
        self.pages[-1].extend(draw(MARGIN_MM, self.y_mm))
        self.y_mm += height_mm

    def facts(self, facts: Sequence[tuple[str, str]]) -> None:
        """Set (name, text) pairs in two columns; those without a text are left out."""
        self._room(facts_mm(facts))
        self._facts(facts)

    def texts(self, fitted: Fitted, x_mm: float, y_mm: float, *, bold: bool = False) -> list[Mark]:
        """Return the marks of a fitted text, with its top left corner at a position."""
        size = fitted.size_pt
        first = y_mm + pt_to_mm(size) * ASCENT_EM
        return [Text(x_mm, first + n * line_mm(size), line, size, bold) for n, line in enumerate(fitted.lines)]

    def _add(self, mark: Mark) -> None:
        self.pages[-1].append(mark)

    def _rule(self, width_pt: float) -> None:
        self._add(RuledLine(MARGIN_MM, self.y_mm, self.paper_mm[0] - MARGIN_MM, self.y_mm, width_pt))

    def _room(self, height_mm: float) -> None:
        if self.y_mm + height_mm > self.bottom_mm:
            self._turn()

    def _turn(self) -> None:
        """Begin a page with the head of the document."""
        self.pages.append([])
        size = TITLE_PT if len(self.pages) == 1 else 11.0
        mark = self.setter.fit(self.head.mark, self.width_mm / 2, line_mm(size), (7.0, size), bold=True)
        used = max((self.setter.unit(line, bold=True) * mark.size_pt for line in mark.lines), default=0.0)
        title = self.setter.fit(self.head.title, self.width_mm - used - GAP_MM, line_mm(size), (7.0, size), bold=True)
        base = MARGIN_MM + pt_to_mm(size) * ASCENT_EM
        for line in title.lines:
            self._add(Text(MARGIN_MM, base, line, title.size_pt, bold=True))
        for line in mark.lines:
            self._add(Text(self.paper_mm[0] - MARGIN_MM, base, line, mark.size_pt, bold=True, align=Align.RIGHT))
        self.y_mm = base + 2.5
        self._rule(HEAD_RULE_PT)
        self.y_mm += 3.0

    def _facts(self, facts: Sequence[tuple[str, str]]) -> None:
        """Set the facts in two columns, names small above their texts."""
        shown = [(name, text) for name, text in facts if text]
        width = (self.width_mm - 2 * GAP_MM) / 2
        for first in range(0, len(shown), 2):
            heights = []
            for place, (name, text) in enumerate(shown[first : first + 2]):
                x = MARGIN_MM + place * (width + 2 * GAP_MM)
                self._lines((name,), (x, width), self.y_mm, SMALL_PT)
                lines = self._cell(text, width, bold=True)
                self._lines(lines, (x, width), self.y_mm + line_mm(SMALL_PT), BODY_PT, bold=True)
                heights.append(len(lines) * line_mm(BODY_PT))
            self.y_mm += line_mm(SMALL_PT) + max(heights) + 1.6
        self.y_mm += 2.0

    def _cell(self, text: str, width_mm: float, *, bold: bool) -> list[str]:
        """Return the lines of a cell, at most as many as fit on a page."""
        room = self.bottom_mm - MARGIN_MM - HEADS_MM
        lines: list[str] = []
        for paragraph in text.split("\n"):
            left = room - len(lines) * line_mm(BODY_PT)
            if left < line_mm(BODY_PT):
                break
            lines += self.setter.fit(paragraph, width_mm, left, (BODY_PT, BODY_PT), bold=bold).lines
        return lines

    def _amounts_mm(self, column: TableColumn, at: int, rows: Iterable[Sequence[str]]) -> float:
        """Return the width of the widest amount of money in a column; 0 where there is none."""
        widest = max((self.setter.amounts_unit(row[at], bold=column.bold) for row in rows), default=0.0)
        return widest * BODY_PT

    def _spans(self, columns: Sequence[TableColumn], least_mm: Sequence[float]) -> list[tuple[float, float]]:
        """Return (x, width) of each column: by its share, or what it needs at least where that is more."""
        free = self.width_mm - GAP_MM * (len(columns) - 1)
        shares = {n: column.share for n, column in enumerate(columns)}
        widths: dict[int, float] = {}
        while True:
            unit = (free - sum(widths.values())) / sum(shares.values())
            narrow = [n for n, share in shares.items() if share * unit < least_mm[n]]
            if not narrow or len(narrow) == len(shares):
                break
            for n in narrow:
                widths[n] = least_mm[n]
                del shares[n]
        widths |= {n: share * unit for n, share in shares.items()}
        spans, x = [], MARGIN_MM
        for n in range(len(columns)):
            spans.append((x, widths[n]))
            x += widths[n] + GAP_MM
        return spans

    def _table_head(self, columns: Sequence[TableColumn], spans: Sequence[tuple[float, float]]) -> None:
        for column, span in zip(columns, spans, strict=True):
            fitted = self.setter.fit(column.head, span[1], line_mm(SMALL_PT), (5.0, SMALL_PT))
            self._lines(fitted.lines, span, self.y_mm, fitted.size_pt, align=column.align)
        self.y_mm += line_mm(SMALL_PT) + 0.8
        self._rule(HEAD_RULE_PT)
        self.y_mm += ROW_SPACE_MM / 2

    def _lines(
        self,
        lines: Sequence[str],
        span: tuple[float, float],
        y_mm: float,
        size_pt: float,
        *,
        bold: bool = False,
        align: Align = Align.LEFT,
    ) -> None:
        x = span[0] + span[1] * {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}[align]
        for n, line in enumerate(lines):
            base = y_mm + pt_to_mm(size_pt) * ASCENT_EM + n * line_mm(size_pt)
            self._add(Text(x, base, line, size_pt, bold, align))

    def _paragraph(self, text: str, size_pt: float, *, bold: bool) -> None:
        fitted = self.setter.fit(text, self.width_mm, 1e6, (size_pt, size_pt), bold=bold)
        for line in fitted.lines:
            self._room(line_mm(size_pt))
            self._lines((line,), (MARGIN_MM, self.width_mm), self.y_mm, size_pt, bold=bold)
            self.y_mm += line_mm(size_pt)
