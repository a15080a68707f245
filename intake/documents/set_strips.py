"""The volumes of a set as spines in a row, with the gaps open.

A volume is filled on a shelf, half filled when it is out of its box, hatched in a box, crossed when it is missing, and
an empty outline where there is no copy.
"""

from collections.abc import Iterator

from intake.documents.text_fit import Measure, Setter, line_mm
from intake.model.pages import Align, Mark, Page, Rectangle, RuledLine, Text
from intake.model.set_strips import DrawnSet, SpineFill

WIDTH_MM = 82.0
MARGIN_MM = 2.0
SPINE_MM = (6.0, 15.0)
PITCH_MM = 8.0
NAME_PT = (4.5, 8.0)
LEGEND_PT = 7.0
FILLED_GREY = 0.25
HATCH_MM = 2.0


def lay_out_strip(drawn: DrawnSet, *, measure: Measure, width_mm: float = WIDTH_MM) -> Page:
    """Lay out a set in as many rows as its volumes need, with a legend of the fills that occur.

    Args:
        drawn: its volumes.
        measure: (text, size_pt, bold) -> width in mm.
        width_mm: of the drawing.
    """
    setter = Setter(measure)
    width, height = SPINE_MM
    a_row = max(1, int((width_mm - 2 * MARGIN_MM) // PITCH_MM))
    marks: list[Mark] = []
    y = MARGIN_MM
    for begin in range(0, len(drawn.spines), a_row):
        for nth, spine in enumerate(drawn.spines[begin : begin + a_row]):
            x = MARGIN_MM + nth * PITCH_MM
            marks += draw_spine(spine.fill, x, y, width, height)
            name = setter.fit(spine.name, PITCH_MM - 0.4, line_mm(NAME_PT[1]), NAME_PT)
            below = y + height + line_mm(NAME_PT[1])
            marks += [Text(x + width / 2, below, line, name.size_pt, align=Align.CENTRE) for line in name.lines[:1]]
        y += height + line_mm(NAME_PT[1]) + 2.5
    y += 0.5
    for fill in dict.fromkeys(spine.fill for spine in drawn.spines):
        marks += draw_spine(fill, MARGIN_MM, y, 5.0, 3.0)
        marks.append(Text(MARGIN_MM + 6.5, y + 2.6, fill.value, LEGEND_PT))
        y += 4.6
    return Page(width_mm, y + MARGIN_MM, tuple(marks))


def draw_spine(fill: SpineFill, x: float, y: float, width: float, height: float) -> Iterator[Mark]:
    """Draw one spine with its upper left corner at a point."""
    if fill is SpineFill.FILLED:
        yield Rectangle(x, y, width, height, 0.5, FILLED_GREY)
        return
    yield Rectangle(x, y, width, height, 0.3 if fill is SpineFill.OPEN else 0.8, 1.0)
    if fill is SpineFill.HALF:
        yield Rectangle(x, y + height / 2, width, height / 2, 0.5, FILLED_GREY)
    elif fill is SpineFill.CROSSED:
        yield RuledLine(x, y, x + width, y + height, 0.8)
        yield RuledLine(x, y + height, x + width, y, 0.8)
    elif fill is SpineFill.HATCHED:
        at = y + HATCH_MM / 2
        while at < y + height:
            yield RuledLine(x, at, x + width, at, 0.6)
            at += HATCH_MM / 2
