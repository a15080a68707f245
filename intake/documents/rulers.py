"""A serial as a ruler with its editions as bars beneath: on paper, on a screen and in a page of HTML the same.

The ruler's band is filled where a part is held and open where one is missing, with the missing parts written above it,
in as many rows as keeps them apart; what has no room there is among the words of the heading, and a line says so.
Beneath, an edition that is owned is a filled bar, one still boxed is hatched, one not owned is outlined.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from intake.documents.long_names import fit_name
from intake.documents.text_fit import ENDLESS_MM, Measure, Setter, line_mm
from intake.model.pages import Align, Mark, Page, Rectangle, RuledLine, Text
from intake.model.papers import A4_MM
from intake.model.rulers import BarFill, DrawnSerial, RulerBar, RulerLine
from intake.units.language import say, term

MARGIN_MM = 12.0
NAME_MM = 52.0
"""Left of the ruler, for the titles of the editions."""
BAND_MM = 4.0
BAR_MM = 3.4
ROW_MM = 5.6
TICK_MM = 1.4
HATCH_MM = 1.3
LEAST_MM = 0.5
"""A part is never drawn narrower, or one of thousands would be invisible."""
HELD_GREY = 0.25
LABEL_ROWS = 3
"""Rows of words above the ruler's band."""
APART_MM = 0.8
LEFT_OUT = term("Gaps without a number have no room for it here; the heading names them all.")
OPEN = term("open in the ruler: missing")
TITLE_PT, WORDS_PT, NAME_PT, SMALL_PT = 13.0, 8.5, 7.5, 6.5
Span = tuple[int, int]


def lay_out(serial: DrawnSerial, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out one serial on as many pages as its editions need.

    Args:
        serial: what is drawn.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height of a page.
    """
    return _Sheets(serial, Setter(measure), paper_mm).pages()


def lay_out_whole(serial: DrawnSerial, *, measure: Measure, width_mm: float) -> Page:
    """Lay out one serial on one page of this width, as high as it needs; for a screen."""
    (page,) = _Sheets(serial, Setter(measure), (width_mm, float("inf"))).pages()
    return page


@dataclass
class _Sheets:
    """The pages being filled; `y` is where the next thing goes."""

    serial: DrawnSerial
    setter: Setter
    paper_mm: tuple[float, float]
    finished: list[Page] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    y: float = MARGIN_MM
    left_out: bool = False

    def pages(self) -> list[Page]:
        self._head(self.serial.title)
        for line in self.serial.lines:
            self._line(line)
        if self.serial.lines:
            self._legend()
        for remark in self.serial.remarks:
            self._remark(remark)
        self._finish()
        return self.finished

    @property
    def _left(self) -> float:
        return MARGIN_MM + NAME_MM

    @property
    def _width(self) -> float:
        return self.paper_mm[0] - self._left - MARGIN_MM

    def _head(self, title: str) -> None:
        across = self.paper_mm[0] - 2 * MARGIN_MM
        heading = self.setter.fit(title, across, line_mm(TITLE_PT), (SMALL_PT, TITLE_PT), bold=True)
        self.y += line_mm(TITLE_PT)
        self.marks += [Text(MARGIN_MM, self.y, text, heading.size_pt, bold=True) for text in heading.lines[:1]]
        words, self.y = self.setter.paragraph(self.serial.words, MARGIN_MM, self.y, across, WORDS_PT)
        self.marks += words
        self.y += line_mm(WORDS_PT)

    def _finish(self) -> None:
        height = self.paper_mm[1]
        whole = self.y + MARGIN_MM if height == float("inf") else height
        self.finished.append(Page(self.paper_mm[0], whole, tuple(self.marks)))
        self.marks, self.y = [], MARGIN_MM

    def _room(self, needed_mm: float) -> bool:
        """Begin a page where there is no room; tell whether one was begun."""
        if self.y + needed_mm <= self.paper_mm[1] - MARGIN_MM:
            return False
        self._finish()
        self._head(say("{title} (page {number})", title=self.serial.title, number=len(self.finished) + 1))
        return True

    def _line(self, line: RulerLine) -> None:
        self._room(4 * ROW_MM)
        self._band(line)
        for bar in line.bars:
            if self._room(ROW_MM):
                self._band(line)
            self._bar(line, bar)
        self.y += ROW_MM

    def _band(self, line: RulerLine) -> None:
        """Draw the ruler: held filled, gaps open with their words above, ticks with numbers below."""
        # The last goes before the others, for it and the first say how far the ruler goes.
        gaps = (*line.gaps[-1:], *line.gaps[:-1])
        labels = [(self._middle(line, span), words) for span, words in gaps]
        rows, left_out = _label_rows(labels, self.setter, (self._left, self._right))
        self.y += line_mm(SMALL_PT) * max(len(rows), 1) + 1.0
        self.left_out = self.left_out or left_out
        if line.name:
            self.marks.append(Text(MARGIN_MM, self.y + BAND_MM - 0.8, line.name, NAME_PT, bold=True))
        for nth, row in enumerate(rows):
            y = self.y - 1.0 - nth * line_mm(SMALL_PT)
            self.marks += [Text(x, y, text, SMALL_PT, align=Align.CENTRE) for x, text in row]
        self.marks.append(Rectangle(self._left, self.y, self._width, BAND_MM, 0.4, HELD_GREY))
        for span, _ in line.gaps:
            x, width = self._across(line, span)
            self.marks.append(Rectangle(x, self.y, width, BAND_MM, 0.4, 1.0))
        below = self.y + BAND_MM
        for tick in line.ticks:
            x, _ = self._across(line, (tick.place, tick.place))
            self.marks.append(RuledLine(x, below, x, below + TICK_MM, 0.4))
        ticks = sorted(line.ticks, key=lambda tick: not tick.begins)
        labels = [(self._across(line, (tick.place, tick.place))[0], tick.label) for tick in ticks]
        baseline = below + TICK_MM + line_mm(SMALL_PT) - 0.4
        edges = MARGIN_MM, self._right + MARGIN_MM - APART_MM
        rows, _ = _label_rows(labels, self.setter, edges, most=1)
        for x, text in rows[0] if rows else ():
            self.marks.append(Text(x, baseline, text, SMALL_PT, align=Align.CENTRE))
        self.y = baseline + 2.0

    def _bar(self, line: RulerLine, bar: RulerBar) -> None:
        name = fit_name(bar.name, bar.ending, NAME_MM - 2.0, (5.0, NAME_PT), self.setter)
        self.marks += [Text(MARGIN_MM, self.y + BAR_MM - 0.7, text, name.size_pt) for text in name.lines[:1]]
        end = self._left
        for span in bar.spans:
            x, width = self._across(line, span)
            self.marks += _filled(x, self.y, width, BAR_MM, bar.fill)
            end = max(end, x + width)
        words = self.setter.unit(bar.parts, bold=False) * SMALL_PT
        if end + 1.5 + words <= self._right:
            self.marks.append(Text(end + 1.5, self.y + BAR_MM - 0.7, bar.parts, SMALL_PT))
        elif (start := self._across(line, bar.spans[0])[0] - 1.5) - words >= self._left:
            self.marks.append(Text(start, self.y + BAR_MM - 0.7, bar.parts, SMALL_PT, align=Align.RIGHT))
        else:
            for text in self.setter.fit(bar.parts, self._width, ENDLESS_MM, (SMALL_PT, SMALL_PT)).lines:
                self.y += line_mm(SMALL_PT)
                self.marks.append(Text(self._left, self.y + BAR_MM, text, SMALL_PT))
        self.y += ROW_MM

    def _legend(self) -> None:
        self._room(3 * ROW_MM)
        x = self._left
        for fill in (*BarFill, None):
            words = say(fill.value if fill else OPEN)
            start = 9.5 if fill else 0.0
            width = start + self.setter.unit(words, bold=False) * SMALL_PT
            if x > self._left and x + width > self._right:
                x, self.y = self._left, self.y + ROW_MM
            if fill:
                self.marks += _filled(x, self.y, 8.0, BAR_MM, fill)
            self.marks.append(Text(x + start, self.y + BAR_MM - 0.7, words, SMALL_PT))
            x += width + 8.0
        self.y += ROW_MM
        if self.left_out:
            left_out, self.y = self.setter.paragraph(say(LEFT_OUT), self._left, self.y, self._width, SMALL_PT)
            self.marks += left_out

    def _remark(self, text: str) -> None:
        words, below = self.setter.paragraph(text, self._left, self.y, self._width, WORDS_PT)
        if self._room(below - self.y):
            words, below = self.setter.paragraph(text, self._left, self.y, self._width, WORDS_PT)
        self.marks += words
        self.y = below

    @property
    def _right(self) -> float:
        return self._left + self._width

    def _across(self, line: RulerLine, span: Span) -> tuple[float, float]:
        """Return where a span begins and how wide it is, in mm."""
        return across(span, line.size, self._left, self._width)

    def _middle(self, line: RulerLine, span: Span) -> float:
        x, width = self._across(line, span)
        return x + width / 2


def across(span: Span, size: int, left_mm: float, width_mm: float) -> tuple[float, float]:
    """Return where a span begins and how wide it is, in mm, on a ruler of `size` parts that begins and is as wide."""
    first, last = span
    width = max((last - first + 1) * width_mm / size, LEAST_MM)
    return min(left_mm + first * width_mm / size, left_mm + width_mm - width), width


def _filled(x: float, y: float, width: float, height: float, fill: BarFill) -> Iterator[Mark]:
    """Draw a rectangle that is filled, hatched or outlined."""
    if fill is BarFill.FILLED:
        yield Rectangle(x, y, width, height, 0.4, HELD_GREY)
        return
    yield Rectangle(x, y, width, height, 0.6, 1.0)
    if fill is BarFill.HATCHED:
        yield from _hatching(x, y, width, height)


def _hatching(x: float, y: float, width: float, height: float) -> Iterator[RuledLine]:
    """Draw strokes at 45 degrees, cut at the rectangle: on each, the way from the left and from the top is the same."""
    way = HATCH_MM
    while way < width + height:
        left, right = max(0.0, way - height), min(width, way)
        yield RuledLine(x + left, y + way - left, x + right, y + way - right, 0.5)
        way += HATCH_MM


Label = tuple[float, str]


def _label_rows(
    labels: Sequence[Label], setter: Setter, edges: tuple[float, float], most: int = LABEL_ROWS
) -> tuple[list[list[Label]], bool]:
    """Return rows of words, each centred at its place or as near as the edges allow, so that none overlap.

    Args:
        labels: place and words, the most important first: each goes into the lowest row where there is room.
        setter: measures words.
        edges: the least and the greatest place of any ink.
        most: count of rows.

    Returns:
        The rows from the lowest, in the order of places, and whether any words were left out.
    """
    rows: list[list[tuple[float, float, str]]] = []
    left_out = False
    for x, text in labels:
        half = setter.unit(text, bold=False) * SMALL_PT / 2
        centre = max(min(x, edges[1] - half), edges[0] + half)
        row = next((row for row in rows if _has_room(row, centre, half)), None)
        if row is None and len(rows) < most:
            rows.append(row := [])
        if row is None or 2 * half > edges[1] - edges[0]:
            left_out = True
            continue
        row.append((centre, half, text))
    return [[(x, text) for x, _, text in sorted(row)] for row in rows], left_out


def _has_room(row: Sequence[tuple[float, float, str]], centre: float, half: float) -> bool:
    return all(abs(centre - other) >= half + width + APART_MM for other, width, _ in row)
