"""A document of several pages: a head on each page, tables that flow over pages, and 'page n of m' at the foot.

Cells wrap, never overlap and are never cut; a line break in a cell begins a new paragraph (so that texts of two
directions are not mixed in one line). All lists have the same style: a heavy title, hairlines, no boxes, no grey. What
goes onto which page is decided at the end (`page_breaks`).
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial

from intake.documents.page_breaks import Hold, Strip, fill
from intake.documents.signing import INITIALS_MM, initials_above, signature_strip
from intake.documents.table_columns import BODY_PT, GAP_MM, HEAD_PT, ColumnWidths, TableColumn, size_columns
from intake.documents.table_rows import (
    HEAD_RULE_PT,
    ROW_SPACE_MM,
    WHOLE_LINES,
    TableRows,
    cell_strips,
)
from intake.documents.text_fit import ASCENT_EM, Fitted, Measure, line_mm, setter_for
from intake.documents.text_lines import Cell, Span, set_lines, set_part
from intake.model.pages import (
    Align,
    Bookmark,
    ContentOf,
    ElementKind,
    Mark,
    Page,
    RuledLine,
    StructureElement,
    Text,
)
from intake.model.papers import A4_MM
from intake.units.convert import pt_to_mm
from intake.units.language import say

__all__ = ["BODY_PT", "GAP_MM", "MARGIN_MM", "SMALL_PT", "Head", "Sheet", "TableColumn"]
MARGIN_MM = 16.0
SMALL_PT = HEAD_PT
TITLE_PT, HEADING_PT, LEAST_TITLE_PT = 18.0, 11.0, 9.0
FOOT_MM = 7.0
UNDER_HEAD_MM = 5.5
"""From the last line of the page's head to what follows; the rule is between."""
FACTS_MM = 1.6
"""Between two rows of facts."""


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


class Sheet:
    """A document being set, from its beginning; `finish` makes its pages.

    Args:
        head: of every page.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
        initialled: whose code and initials have a place at the foot of every page.
    """

    def __init__(
        self,
        head: Head,
        measure: Measure,
        paper_mm: tuple[float, float] = A4_MM,
        initialled: Sequence[str] = (),
    ) -> None:
        self.head = head
        self.initialled = initialled
        self.paper_mm = paper_mm
        self.setter = setter_for(measure)
        self.width_mm = paper_mm[0] - 2 * MARGIN_MM
        self._strips: list[Strip] = []
        self._space_mm = 0.0
        self._title()
        self.facts(head.facts)

    def finish(self) -> list[Page]:
        """Return the pages, with page numbers; what was set is let go, as the drawn marks alone are needed."""
        strips, self._strips = self._strips, []
        top = MARGIN_MM + line_mm(HEADING_PT) + UNDER_HEAD_MM
        bottom = self.paper_mm[1] - MARGIN_MM - FOOT_MM - (INITIALS_MM if self.initialled else 0.0)
        filled = fill(strips, later=self._later_head, tops_mm=(MARGIN_MM, top), bottom_mm=bottom)
        foot_y, right = self.paper_mm[1] - MARGIN_MM, self.paper_mm[0] - MARGIN_MM
        mark = self.setter.fit(self.head.mark, self.width_mm - 40.0, line_mm(SMALL_PT), (5.0, SMALL_PT))
        initials = initials_above(self.initialled, self.setter, self._span, foot_y - FOOT_MM)
        foot = [Text(MARGIN_MM, foot_y, line, mark.size_pt) for line in mark.lines]
        out = []
        for number, marks in enumerate(filled, start=1):
            place = say("page {number} of {count}", number=number, count=len(filled))
            count = Text(right, foot_y, place, SMALL_PT, align=Align.RIGHT)
            out.append(Page(*self.paper_mm, (*marks, ContentOf(None), *initials, *foot, count)))
        return out

    def size_columns(self, columns: Sequence[TableColumn], rows: Iterable[Sequence[str]]) -> ColumnWidths:
        """Return columns sized for the rows of several tables, so that these stand in line one below the other."""
        return size_columns(columns, rows, self.setter, self.width_mm)

    def table(
        self,
        columns: Sequence[TableColumn] | ColumnWidths,
        rows: Iterable[Sequence[str]],
        so_far: Callable[[int], str] | None = None,
    ) -> None:
        """Set a table, with its head repeated on every page.

        Args:
            columns: sized for these rows where they are not sized yet.
            rows: as many texts as there are columns.
            so_far: what so many of the rows add up to, carried forward where a page ends.
        """
        rows = list(rows)
        sized = columns if isinstance(columns, ColumnWidths) else self.size_columns(columns, rows)
        self._add(*TableRows(sized, self.setter, self._span, so_far).strips(rows))

    def gap(self) -> None:
        """Leave the space of half a line."""
        self._space_mm += line_mm(BODY_PT) / 2

    def heading(self, text: str) -> None:
        """Set a heading, kept together with what follows."""
        lines = self.setter.lines(text, self.width_mm, HEADING_PT, bold=True)
        self._space_mm += 4.0
        cell = Cell(lines, self._span, bold=True, element=StructureElement(ElementKind.HEADING))
        first, *others = cell_strips([cell], HEADING_PT, foot_mm=1.0)
        strips = [replace(first, draw=partial(self._bookmarked, first, text)), *others]
        self._add(*strips[:-1], replace(strips[-1], hold=Hold.GLUED))

    def paragraph(self, text: str, *, bold: bool = False, size_pt: float = BODY_PT) -> None:
        """Set a text over the whole width; an empty text sets nothing."""
        if text:
            lines = self.setter.lines(text, self.width_mm, size_pt, bold=bold)
            cell = Cell(lines, self._span, bold=bold, element=StructureElement(ElementKind.PARAGRAPH))
            self._add(*cell_strips([cell], size_pt))
            self._space_mm = ROW_SPACE_MM

    def signatures(self, names: Sequence[str]) -> None:
        """Draw a signature line for each name, with space for place and date."""
        self._add(signature_strip(names, self.setter, self._span))

    @contextmanager
    def together(self) -> Iterator[None]:
        """Keep what is set within on one page, as far as a page can hold it; the page may end after it."""
        first = len(self._strips)
        yield
        self._keep(range(first, len(self._strips) - 1))
        self._strips[-1] = replace(self._strips[-1], hold=Hold.FREE)

    @contextmanager
    def closing(self) -> Iterator[None]:
        """Keep what is set within together, and with the last rows before: a page of signatures would sign nothing."""
        first = len(self._strips)
        yield
        self._keep(range(max(0, first - 1), len(self._strips) - 1))

    def place(self, height_mm: float, draw: Callable[[float, float], Iterable[Mark]]) -> None:
        """Set marks that stay together: `draw` is called with the left and the top of a space of that height, in mm."""

        def drawn(top_mm: float) -> Iterator[Mark]:
            yield ContentOf(StructureElement(ElementKind.PARAGRAPH))
            yield from draw(MARGIN_MM, top_mm)

        self._add(Strip(height_mm, drawn))

    def facts(self, facts: Sequence[tuple[str, str]]) -> None:
        """Set (name, text) pairs in two columns, names small above their texts; without a text they are left out."""
        shown = [(name, text) for name, text in facts if text]
        width = (self.width_mm - 2 * GAP_MM) / 2
        spans = ((MARGIN_MM, width), (MARGIN_MM + width + 2 * GAP_MM, width))
        whole = StructureElement(ElementKind.LIST)
        for first in range(0, len(shown), 2):
            pair = zip(spans, shown[first : first + 2], strict=False)
            cells = [self._fact(fact, span, StructureElement(ElementKind.ITEM, whole)) for span, fact in pair]
            # Each name is drawn before its text, so that they are read aloud and copied in this order.
            begin = [(name, replace(texts, lines=texts.lines[:WHOLE_LINES])) for name, texts in cells]
            names_mm = max(len(name.lines) for name, _ in begin) * line_mm(SMALL_PT)
            height = names_mm + max(len(texts.lines) for _, texts in begin) * line_mm(BODY_PT)
            strips = [Strip(height, partial(_set_facts, begin, names_mm))]
            rest = [replace(texts, lines=texts.lines[WHOLE_LINES:]) for _, texts in cells]
            if any(texts.lines for texts in rest):
                strips += cell_strips(rest, BODY_PT)
            last = strips[-1]
            strips[-1] = replace(last, height_mm=last.height_mm + FACTS_MM, hold=Hold.FIRM)
            self._add(*strips)
        if shown:
            self._space_mm = 2.0

    def _fact(self, fact: tuple[str, str], span: Span, item: StructureElement) -> tuple[Cell, Cell]:
        name, text = fact
        lines = self.setter.lines(text, span[1], BODY_PT, bold=True)
        return (
            Cell(self.setter.lines(name, span[1], SMALL_PT), span, element=StructureElement(ElementKind.NAME, item)),
            Cell(lines, span, bold=True, element=StructureElement(ElementKind.FACT, item)),
        )

    def texts(self, fitted: Fitted, x_mm: float, y_mm: float, *, bold: bool = False) -> list[Mark]:
        """Return the marks of a fitted text, with its top left corner at a position."""
        return list(set_lines(Cell(fitted.lines, (x_mm, 0.0), bold), fitted.size_pt, y_mm))

    @property
    def _span(self) -> tuple[float, float]:
        return MARGIN_MM, self.width_mm

    def _add(self, *strips: Strip) -> None:
        """Add strips, the first of them below the space that is asked for so far."""
        self._strips += (replace(strips[0], lead_mm=self._space_mm), *strips[1:])
        self._space_mm = 0.0

    def _bookmarked(self, strip: Strip, title: str, top_mm: float) -> Iterator[Mark]:
        yield Bookmark(top_mm, title)
        yield from strip.draw(top_mm)

    def _keep(self, places: Iterable[int]) -> None:
        for n in places:
            self._strips[n] = self._strips[n].holding(Hold.KEPT)

    def _title(self) -> None:
        """Set the head of the first page, with the whole of the title and of the mark."""
        mark = self._fit_line(self.head.mark, self.width_mm / 3, (LEAST_TITLE_PT, TITLE_PT))
        marks = self.setter.lines(self.head.mark, self.width_mm / 3, mark.size_pt, bold=True)
        width = self.width_mm - self._widest(marks, mark.size_pt) - GAP_MM
        title = self._fit_line(self.head.title, width, (HEADING_PT, TITLE_PT))
        titles = self.setter.lines(self.head.title, width, title.size_pt, bold=True)
        size = max(mark.size_pt, title.size_pt)
        named = Bookmark(MARGIN_MM, f"{self.head.title} {self.head.mark}".strip())
        elements = (StructureElement(ElementKind.TITLE), StructureElement(ElementKind.PARAGRAPH))
        self._add(Strip(0.0, lambda _: [named], Hold.GLUED))
        for n in range(max(1, len(titles), len(marks))):
            lines = (replace(title, lines=tuple(titles[n : n + 1])), replace(mark, lines=tuple(marks[n : n + 1])))
            self._add(Strip(line_mm(size), partial(self._head_line, *lines, size, elements), Hold.KEPT))
        self._add(Strip(UNDER_HEAD_MM, lambda top_mm: [self._head_rule(top_mm)], Hold.FIRM))

    def _later_head(self, _top_mm: float) -> Iterator[Mark]:
        """Draw the head of a page after the first, on one line."""
        sizes = (LEAST_TITLE_PT - 2.0, HEADING_PT)
        mark = self._fit_line(self.head.mark, self.width_mm / 3, sizes)
        title = self._fit_line(self.head.title, self.width_mm - self._widest(mark.lines, mark.size_pt) - GAP_MM, sizes)
        yield from self._head_line(title, mark, HEADING_PT, (None, None), MARGIN_MM)
        yield self._head_rule(MARGIN_MM + line_mm(HEADING_PT))

    def _head_line(
        self,
        title: Fitted,
        mark: Fitted,
        size_pt: float,
        elements: tuple[StructureElement | None, StructureElement | None],
        top_mm: float,
    ) -> Iterator[Mark]:
        """Set a line of the title, and of the mark at its right, on one baseline of a line of this size."""
        base = top_mm + pt_to_mm(size_pt) * ASCENT_EM
        yield ContentOf(elements[0])
        for line in title.lines:
            yield Text(MARGIN_MM, base, line, title.size_pt, bold=True)
        yield ContentOf(elements[1])
        for line in mark.lines:
            yield Text(MARGIN_MM + self.width_mm, base, line, mark.size_pt, bold=True, align=Align.RIGHT)

    def _head_rule(self, top_mm: float) -> Mark:
        y = top_mm + 1.0
        return RuledLine(MARGIN_MM, y, MARGIN_MM + self.width_mm, y, HEAD_RULE_PT)

    def _fit_line(self, text: str, width_mm: float, sizes_pt: tuple[float, float]) -> Fitted:
        return self.setter.fit(text, width_mm, line_mm(sizes_pt[1]), sizes_pt, bold=True)

    def _widest(self, lines: Sequence[str], size_pt: float) -> float:
        return max((self.setter.unit(line, bold=True) * size_pt for line in lines), default=0.0)


def _set_facts(facts: Sequence[tuple[Cell, Cell]], names_mm: float, top_mm: float) -> Iterator[Mark]:
    for name, texts in facts:
        # A short name beside a long one stands right above its text, too.
        yield from set_part(name, SMALL_PT, top_mm + names_mm - len(name.lines) * line_mm(SMALL_PT))
        yield from set_part(texts, BODY_PT, top_mm + names_mm)
