"""Labels for the four faces of a box: one sheet per box, cut in four, so that its number can be read from any side.

Each label shows the number in large type, the room, the position in the consignment, the mass, and the handling marks;
its symbol contains the address of the box's page, or its number, which is printed below it. Number and room are to be
read from 2 m. A label belongs on a carton, never on a book.

Council Directive 90/269/EEC, article 6(1) (seen in a summary), wants those who lift to know the weight and the heaviest
side of a load that is not packed evenly: each face has a square to tick where the weight is on its side.
"""

from collections.abc import Iterable, Iterator

from intake.documents import handling_marks, symbol_drawing
from intake.documents.text_fit import Measure, Setter
from intake.documents.text_lines import Cell, set_lines
from intake.model.label_rules import LEAST_MODULE_MM
from intake.model.moving_papers import FaceLabel
from intake.model.pages import Align, Mark, Page, Rectangle, RuledLine, Text
from intake.model.papers import A4_MM, SymbolKind
from intake.units.language import say, term

FACES = 4
EDGE_MM = 8.0
QR_MM = 34.0
QR_MODULE_MM = (LEAST_MODULE_MM[SymbolKind.QR], 1.2)
MARKS_AT_MM = 20.2
"""From the rule across a face to its handling marks."""
MARK_MM = 40.0
"""The side of a handling mark; smaller where its label has no more room."""
FOOT_MM = 5.0
VIEWED_PT = 44.0
"""Size of type whose figures are 10 mm high (`VIEWED_FIGURE_MM`)."""
MARK_GAP_MM = 3.0
CUT_PT = 0.25
TICK_MM = 3.6
HEAVIEST = term("Tick here if this is the heaviest side")


def lay_out(labels: Iterable[FaceLabel], *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out one sheet for each box.

    Args:
        labels: finished texts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height of the sheet.
    """
    setter = Setter(measure)
    width, height = paper_mm[0] / 2, paper_mm[1] / 2
    cuts: tuple[Mark, ...] = (
        RuledLine(width, 0, width, 2 * height, CUT_PT),
        RuledLine(0, height, 2 * width, height, CUT_PT),
    )
    sheets = []
    for label in labels:
        marks = [
            mark
            for face in range(FACES)
            for mark in _face(label, face, (face % 2 * width, face // 2 * height), (width, height), setter)
        ]
        sheets.append(Page(*paper_mm, (*cuts, *marks)))
    return sheets


def _face(
    label: FaceLabel, face: int, at: tuple[float, float], size_mm: tuple[float, float], setter: Setter
) -> Iterator[Mark]:
    x, y = at[0] + EDGE_MM, at[1] + EDGE_MM
    width, height = size_mm[0] - 2 * EDGE_MM, size_mm[1] - 2 * EDGE_MM
    text_mm = width - QR_MM - 1
    yield from _number(label.serial, (x, y, text_mm, 20.0), setter)
    yield from _line(label.number, (x, y + 20, text_mm, 7.0), (9.0, 14.0), setter)
    yield from _line(label.box_of, (x, y + 27.5, text_mm, 7.0), (8.0, 13.0), setter)
    square = symbol_drawing.SymbolFrame(x + width - QR_MM, y - 4, QR_MM, QR_MM)
    yield from symbol_drawing.draw(SymbolKind.QR, label.opens, square, QR_MODULE_MM, Align.RIGHT)
    below = (x + width - QR_MM, y + QR_MM - 4, QR_MM, 5.6)
    yield from _line(label.opens, below, (4.5, 9), setter, align=Align.CENTRE)
    room = (x, y + 36, width, 37.6)
    yield from _line(label.room or say("No room given"), room, (14.0, VIEWED_PT), setter, bold=True)
    yield from _handling(label, (x, y + 74), (width, height - 74), setter)
    foot = say(
        "Face {face} of {faces}: stick one on each side of the carton, never on a book", face=face + 1, faces=FACES
    )
    yield from _line(foot, (x, y + height - FOOT_MM, width, FOOT_MM), (5.5, 7), setter)


def _number(serial: str, box: tuple[float, float, float, float], setter: Setter) -> Iterator[Text]:
    """Set the short number, with the word "Box" before it unless that would make its figures too small for 2 m."""
    words = say("Box {number}", number=serial)
    size_pt = (20.0, 48.0)
    if setter.fit(words, box[2], box[3], size_pt, bold=True).size_pt < VIEWED_PT:
        words = serial
    yield from _line(words, box, size_pt, setter, bold=True)


def _handling(
    label: FaceLabel, at: tuple[float, float], size_mm: tuple[float, float], setter: Setter
) -> Iterator[Mark]:
    """Set the lower half: consignment, mass and caution, the square to tick, and the handling marks."""
    x, y = at
    width = size_mm[0]
    yield RuledLine(x, y, x + width, y, 0.5)
    consignment = label.consignment and say("Consignment {consignment}", consignment=label.consignment)
    yield from _line(consignment, (x, y + 1.5, width, 6), (7, 11), setter)
    yield from _line(label.mass, (x, y + 7.8, width * 0.4, 8), (8, 13), setter, bold=True)
    yield from _line(label.caution, (x + width * 0.44, y + 7.8, width * 0.56, 8), (8, 13), setter, bold=True)
    yield Rectangle(x, y + 15.6, TICK_MM, TICK_MM, 0.7)
    yield from _line(say(HEAVIEST), (x + TICK_MM + 1.5, y + 15.6, width - TICK_MM - 1.5, TICK_MM), (6, 8), setter)
    side = mark_side_mm(len(label.marks), size_mm)
    for n, mark in enumerate(label.marks):
        place = handling_marks.Square(x + n * (side + MARK_GAP_MM), y + MARKS_AT_MM, side)
        yield from handling_marks.draw(mark, place, setter, stacking_g=label.stacking_g)


def mark_side_mm(count: int, size_mm: tuple[float, float]) -> float:
    """Return the side of each of some marks with its name, as large as the lower half of a face allows."""
    across = (size_mm[0] - (count - 1) * MARK_GAP_MM) / max(1, count)
    return min(MARK_MM, across, size_mm[1] - MARKS_AT_MM - FOOT_MM)


def _line(
    text: str,
    box: tuple[float, float, float, float],
    size_pt: tuple[float, float],
    setter: Setter,
    *,
    bold: bool = False,
    align: Align = Align.LEFT,
) -> Iterator[Text]:
    x, y, width, height = box
    fitted = setter.fit(text, width, height, size_pt, bold=bold)
    yield from set_lines(Cell(fitted.lines, (x, width), bold, align), fitted.size_pt, y)
