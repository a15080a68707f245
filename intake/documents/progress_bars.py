"""Bars of one scale, one below the other: what is done is filled, what is left is open, what is lost is crossed.

The name stands above each bar and the figures beside it, so that a drawing is as narrow as a phone.
"""

from collections.abc import Iterator

from intake.documents.text_fit import Measure, Setter
from intake.model.move_drawings import DrawnBar, DrawnBars
from intake.model.pages import Mark, Page, Rectangle, RuledLine

WIDTH_MM = 82.0
MARGIN_MM = 3.0
BAR_MM = 3.6
CROSS_MM = 2.0
TITLE_PT, NAME_PT = 10.0, 7.5
DONE_GREY = 0.25


def lay_out_bars(drawn: DrawnBars, *, measure: Measure, width_mm: float = WIDTH_MM) -> Page:
    """Lay out bars on one page, as high as they need.

    Args:
        drawn: the bars; the longest takes the whole width.
        measure: (text, size_pt, bold) -> width in mm.
        width_mm: of the drawing.
    """
    setter = Setter(measure)
    room = width_mm - 2 * MARGIN_MM
    most = max((bar.done + bar.left + bar.lost for bar in drawn.bars), default=0) or 1
    title, y = setter.paragraph(drawn.title, MARGIN_MM, MARGIN_MM, room, TITLE_PT, bold=True)
    marks: list[Mark] = [*title]
    for bar in drawn.bars:
        words, y = setter.paragraph(f"{bar.name}: {bar.words}", MARGIN_MM, y, room, NAME_PT)
        y += 1.0
        marks += [*words, *_bar(bar, MARGIN_MM, y, room / most)]
        y += BAR_MM + 1.0
    return Page(width_mm, y + MARGIN_MM, tuple(marks))


def _bar(bar: DrawnBar, x: float, y: float, mm_each: float) -> Iterator[Mark]:
    done, left, lost = (count * mm_each for count in (bar.done, bar.left, bar.lost))
    if done:
        yield Rectangle(x, y, done, BAR_MM, 0.4, DONE_GREY)
    if lost:
        yield Rectangle(x + done, y, lost, BAR_MM, 0.4, 1.0)
        yield from _crosses(x + done, y, lost)
    if left:
        yield Rectangle(x + done + lost, y, left, BAR_MM, 0.4, 1.0)


def _crosses(x: float, y: float, width: float) -> Iterator[RuledLine]:
    """Cross out a part of a bar, at least once."""
    count = max(1, int(width // CROSS_MM))
    each = width / count
    for nth in range(count):
        left, right = x + nth * each, x + (nth + 1) * each
        yield RuledLine(left, y, right, y + BAR_MM, 0.4)
        yield RuledLine(left, y + BAR_MM, right, y, 0.4)
