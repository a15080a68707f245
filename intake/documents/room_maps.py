"""A room of a move with its boxes, stacked by how far they are: not to scale, for nothing is known of the floor.

A carton that is closed has a strip of tape across it, one that is not here yet is grey besides; one that is open has
its flaps up; an empty one is a thin outline. The count stands below each stack.
"""

from collections.abc import Iterator

from intake.documents.text_fit import Measure, Setter
from intake.model.move_drawings import CartonLook, DrawnRoom
from intake.model.pages import Mark, Page, Rectangle, RuledLine

WIDTH_MM = 74.0
MARGIN_MM = 3.0
CARTON_MM = (5.4, 3.8)
FLAP_MM = 1.3
GAP_MM = 0.5
NAME_PT, WORDS_PT = 10.0, 7.5
GREY = 0.72


def lay_out_room(room: DrawnRoom, *, measure: Measure, width_mm: float = WIDTH_MM) -> Page:
    """Lay out one room, as high as its highest stack needs.

    Args:
        room: its stacks from the left.
        measure: (text, size_pt, bold) -> width in mm.
        width_mm: of the drawing.
    """
    setter = Setter(measure)
    across = width_mm - 2 * MARGIN_MM
    columns = max(1, int(across // (CARTON_MM[0] + GAP_MM)))
    name, y = setter.paragraph(room.name, MARGIN_MM, MARGIN_MM, across, NAME_PT, bold=True)
    marks: list[Mark] = [*name]
    for stack in room.stacks:
        drawn = -(-stack.count // room.each)
        rows = max(1, -(-drawn // columns))
        floor = y + rows * (CARTON_MM[1] + FLAP_MM) + 1.5
        marks += _stack(stack.look, drawn, columns, floor)
        marks.append(RuledLine(MARGIN_MM, floor, width_mm - MARGIN_MM, floor, 0.5))
        words, y = setter.paragraph(stack.words, MARGIN_MM, floor, across, WORDS_PT)
        marks += words
        y += 1.0
    height = y + MARGIN_MM
    return Page(width_mm, height, (Rectangle(0.3, 0.3, width_mm - 0.6, height - 0.6, 1.2), *marks))


def _stack(look: CartonLook, count: int, columns: int, floor: float) -> Iterator[Mark]:
    width, height = CARTON_MM
    for nth in range(count):
        row, column = divmod(nth, columns)
        x = MARGIN_MM + column * (width + GAP_MM)
        top = floor - (row + 1) * (height + FLAP_MM) + FLAP_MM
        yield from carton(look, x, top)


def carton(look: CartonLook, x: float, top: float) -> Iterator[Mark]:
    """Draw one carton with its upper left corner at a point."""
    width, height = CARTON_MM
    thin = look is CartonLook.OUTLINE
    yield Rectangle(x, top, width, height, 0.25 if thin else 0.6, GREY if look is CartonLook.SHADED else 1.0)
    if look is CartonLook.FLAPS_UP:
        yield RuledLine(x, top, x - 0.4, top - FLAP_MM + 0.2, 0.6)
        yield RuledLine(x + width, top, x + width + 0.4, top - FLAP_MM + 0.2, 0.6)
    elif not thin:
        yield RuledLine(x, top + 1.2, x + width, top + 1.2, 0.6)
