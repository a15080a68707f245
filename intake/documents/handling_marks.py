"""Handling marks in black on white: this project's own drawings, with the names of ISO 780:2015.

Each is drawn with straight strokes in a square of 100 units and scaled. They are not copies of the standard's artwork:
if a carrier requires that, stick its marks on. ISO 780 requires black, or black on a contrasting panel; its sizes are
100, 150 and 200 mm in height (from memory), smaller only where the package is. Each name is printed below its mark.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from intake.documents.text_fit import Measure, Setter
from intake.documents.text_lines import Cell, set_lines
from intake.model.moving_papers import HandlingMark
from intake.model.pages import Align, Mark, Page, RuledLine, Text
from intake.units.convert import G_PER_KG, mm_to_pt
from intake.units.language import say

Stroke = tuple[float, float, float, float, float]
"""x1, y1, x2, y2 and thickness, in hundredths of the square."""
ARC_STEP = math.radians(6)
NAME_PT = (5.0, 8.0)
NAME_PART = 0.28
"""Share of the height used by the name."""
STANDARD_MM = 100.0
"""The smallest height of a mark in ISO 780 (from memory)."""
STACKING_EM, STACKING_BASELINE = 15.0, 31.0
"""Size and baseline of the figure of the stacking limit, in hundredths of the square."""
STACKING_ASCENDER = 0.71
"""Height of its "k" as a share of its size."""
SHEET_NAME_PT = (12.0, 18.0)
SHEET_NAME_MM = 14.0


@dataclass(frozen=True, slots=True)
class Square:
    """The position of a mark: its top left corner and its side, including the name below it."""

    x_mm: float
    y_mm: float
    side_mm: float

    @property
    def drawing_mm(self) -> float:
        """Return the height of the drawing without its name."""
        return self.side_mm * (1 - NAME_PART)


def lay_out_sheets(
    marks: Sequence[HandlingMark], *, measure: Measure, paper_mm: tuple[float, float], stacking_g: float | None = None
) -> list[Page]:
    """Lay out marks of the size of ISO 780, four on a sheet, to be cut out and stuck on cartons.

    Args:
        marks: which, in order.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height of the sheet.
        stacking_g: for the stacking limit, the greatest mass that may be stacked on the box.
    """
    setter = Setter(measure)
    width, height = paper_mm[0] / 2, paper_mm[1] / 2
    pages = []
    for first in range(0, len(marks), 4):
        drawn: list[Mark] = [
            RuledLine(width, 0, width, 2 * height, 0.25),
            RuledLine(0, height, 2 * width, height, 0.25),
        ]
        for n, mark in enumerate(marks[first : first + 4]):
            x, y = n % 2 * width, n // 2 * height
            top = y + (height - STANDARD_MM - SHEET_NAME_MM) / 2
            above, below = _extent(mark, stacking_g)
            unit = STANDARD_MM / (below - above)
            drawn += _strokes(mark, (x + width / 2 - 50 * unit, top - above * unit, 100 * unit), stacking_g)
            name = (x + 4, top + STANDARD_MM + 2, width - 8, SHEET_NAME_MM - 2)
            drawn += _name(say(mark.value), name, SHEET_NAME_PT, setter)
        pages.append(Page(*paper_mm, tuple(drawn)))
    return pages


def draw(mark: HandlingMark, at: Square, setter: Setter, *, stacking_g: float | None = None) -> Iterator[Mark]:
    """Draw a mark and its name.

    Args:
        mark: the mark.
        at: its position; the name is set below the drawing.
        setter: measures the name.
        stacking_g: for the stacking limit, the greatest mass that may be stacked on the box.
    """
    left = at.x_mm + (at.side_mm - at.drawing_mm) / 2
    yield from _strokes(mark, (left, at.y_mm, at.drawing_mm), stacking_g)
    height = at.side_mm * NAME_PART
    yield from _name(say(mark.value), (at.x_mm, at.y_mm + at.side_mm - height, at.side_mm, height), NAME_PT, setter)


def _strokes(mark: HandlingMark, at: tuple[float, float, float], stacking_g: float | None) -> Iterator[Mark]:
    """Draw a mark, without its name, into a square of (left, top, side)."""
    left, top, unit = at[0], at[1], at[2] / 100
    for x1, y1, x2, y2, thick in _STROKES[mark]():
        yield RuledLine(left + x1 * unit, top + y1 * unit, left + x2 * unit, top + y2 * unit, mm_to_pt(thick * unit))
    if mark is HandlingMark.STACKING_LIMIT and stacking_g is not None:
        words = say("{mass} kg max.", mass=f"{stacking_g / G_PER_KG:.0f}")
        size = mm_to_pt(STACKING_EM * unit)
        yield Text(left + 50 * unit, top + STACKING_BASELINE * unit, words, size, bold=True, align=Align.CENTRE)


def _extent(mark: HandlingMark, stacking_g: float | None) -> tuple[float, float]:
    """Return how far a drawing reaches up and down, in hundredths of its square; across they reach no further."""
    ends = [
        (y, thick / 2 * abs(x2 - x1) / math.hypot(x2 - x1, y2 - y1))  # half a stroke's width, as far as it lies across
        for x1, y1, x2, y2, thick in _STROKES[mark]()
        for y in (y1, y2)
    ]
    top = min(y - half for y, half in ends)
    if mark is HandlingMark.STACKING_LIMIT and stacking_g is not None:
        top = min(top, STACKING_BASELINE - STACKING_ASCENDER * STACKING_EM)
    return top, max(y + half for y, half in ends)


def _name(
    name: str, box: tuple[float, float, float, float], size_pt: tuple[float, float], setter: Setter
) -> Iterator[Text]:
    x, y, width, height = box
    fitted = setter.fit(name, width, height, size_pt)
    yield from set_lines(Cell(fitted.lines, (x, width), align=Align.CENTRE), fitted.size_pt, y)


def _arc(x: float, y: float, radius: float, start_deg: float, end_deg: float, thick: float) -> Iterator[Stroke]:
    """Draw an arc as short strokes that overlap slightly, to avoid notches; 0 is to the right, 90 down."""
    start, end = math.radians(start_deg), math.radians(end_deg)
    steps = max(1, math.ceil(abs(end - start) / ARC_STEP))
    over = (end - start) / steps * 0.2
    for n in range(steps):
        a, b = start + (end - start) * n / steps - over, start + (end - start) * (n + 1) / steps + over
        yield (
            x + radius * math.cos(a),
            y + radius * math.sin(a),
            x + radius * math.cos(b),
            y + radius * math.sin(b),
            thick,
        )


def _arrow_up(x: float) -> Iterator[Stroke]:
    yield (x, 18, x, 78, 9)
    yield (x + 1.5, 12, x - 16, 39, 9)
    yield (x - 1.5, 12, x + 16, 39, 9)


def _this_way_up() -> Iterator[Stroke]:
    yield from _arrow_up(29)
    yield from _arrow_up(71)
    yield (10, 92, 90, 92, 8)


def _keep_dry() -> Iterator[Stroke]:
    for x, y in ((18.0, 6.0), (40.0, 2.0), (62.0, 2.0), (84.0, 6.0)):
        yield (x, y, x - 4, y + 13, 4)
    yield from _arc(50, 62, 40, 180, 360, 6)
    for middle in (23.3, 50.0, 76.7):
        yield from _arc(middle, 63, 13.3, 180, 360, 5)
    yield (50, 22, 50, 88, 5)
    yield from _arc(42, 87, 8, 0, 170, 5)


def _fragile() -> Iterator[Stroke]:
    yield (26, 8, 74, 8, 6)
    yield (28, 6, 31, 34, 6)
    yield (72, 6, 69, 34, 6)
    yield from _arc(50, 33, 19, 0, 180, 6)
    yield (50, 50, 50, 90, 7)
    yield (28, 92, 72, 92, 8)
    yield (52, 8, 44, 20, 4)
    yield (44, 19, 56, 27, 4)
    yield (56, 26, 48, 38, 4)


def _no_hooks() -> Iterator[Stroke]:
    yield (62, 6, 62, 58, 8)
    yield (46, 8, 78, 8, 9)
    yield from _arc(44, 58, 18, 0, 180, 8)
    yield (26, 60, 26, 46, 8)
    yield (18, 56, 27, 44, 6)
    yield (34, 56, 25, 44, 6)
    yield (10, 14, 90, 92, 6)
    yield (90, 14, 10, 92, 6)


def _keep_from_heat() -> Iterator[Stroke]:
    yield from _arc(50, 26, 9, 0, 360, 6)
    for angle in (150, 180, 210, 240, 270, 300, 330, 0, 30):
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        yield (50 + 15 * c, 26 + 15 * s, 50 + 24 * c, 26 + 24 * s, 4)
    yield (14, 60, 50, 42, 7)
    yield (86, 60, 50, 42, 7)
    yield (30, 66, 70, 66, 5)
    yield (30, 94, 70, 94, 5)
    yield (30, 63.5, 30, 96.5, 5)
    yield (70, 63.5, 70, 96.5, 5)


def _stacking_limit() -> Iterator[Stroke]:
    yield (50, 36, 50, 60, 8)
    yield (51.5, 66, 36, 47, 8)
    yield (48.5, 66, 64, 47, 8)
    yield (14, 70, 86, 70, 5)
    yield (24, 76, 76, 76, 5)
    yield (24, 95, 76, 95, 5)
    yield (24, 73.5, 24, 97.5, 5)
    yield (76, 73.5, 76, 97.5, 5)


_STROKES: Mapping[HandlingMark, Callable[[], Iterator[Stroke]]] = {
    HandlingMark.THIS_WAY_UP: _this_way_up,
    HandlingMark.KEEP_DRY: _keep_dry,
    HandlingMark.FRAGILE: _fragile,
    HandlingMark.NO_HOOKS: _no_hooks,
    HandlingMark.KEEP_FROM_HEAT: _keep_from_heat,
    HandlingMark.STACKING_LIMIT: _stacking_limit,
}
