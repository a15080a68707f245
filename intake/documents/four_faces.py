"""Labels for the four faces of a box: one sheet per box, cut in four, so that its number can be read from any side.

Each label shows the number in large type, the room, the position in the consignment, the mass, and the handling marks;
its symbol contains the address of the box's page, or its number. A label belongs on a carton, never on a book.

Council Directive 90/269/EEC, article 6(1) (seen in a summary), wants those who lift to know the weight and the heaviest
side of a load that is not packed evenly: each face has a square to tick where the weight is on its side.
"""

from collections.abc import Iterable, Iterator

from intake.documents import handling_marks, symbol_drawing
from intake.documents.text_fit import ASCENT_EM, LEADING_EM, Measure, Setter
from intake.model.moving_papers import FaceLabel
from intake.model.pages import Align, Mark, Page, Rectangle, RuledLine, Text
from intake.model.papers import A4_MM, SymbolKind
from intake.units.convert import pt_to_mm

FACES = 4
EDGE_MM = 8.0
QR_MM = 34.0
MARK_MM = 26.0
"""The side of a handling mark; smaller where there are more than three."""
MARK_GAP_MM = 3.0
CUT_PT = 0.25
TICK_MM = 3.6
HEAVIEST = "Tick here if this is the heaviest side"


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
    text_mm = width - QR_MM - 2
    yield from _line(f"Box {label.serial}", (x, y, text_mm, 20.0), (20.0, 48.0), setter, bold=True)
    yield from _line(label.number, (x, y + 20, text_mm, 7.0), (9.0, 14.0), setter)
    yield from _line(label.box_of, (x, y + 27.5, text_mm, 7.0), (8.0, 13.0), setter)
    square = symbol_drawing.SymbolFrame(x + width - QR_MM, y - 1, QR_MM, QR_MM)
    yield from symbol_drawing.draw(SymbolKind.QR, label.opens, square, (0.33, 1.2), Align.RIGHT)
    yield from _line(label.room or "No room given", (x, y + 38, width, 22.0), (14.0, 34.0), setter, bold=True)
    yield RuledLine(x, y + 62, x + width, y + 62, 0.5)
    yield from _line(label.consignment and f"Consignment {label.consignment}", (x, y + 64, width, 6), (7, 11), setter)
    yield from _line(label.mass, (x, y + 71, width * 0.4, 8), (8, 13), setter, bold=True)
    yield from _line(label.caution, (x + width * 0.44, y + 71, width * 0.56, 8), (8, 13), setter, bold=True)
    yield Rectangle(x, y + 79.6, TICK_MM, TICK_MM, 0.7)
    yield from _line(HEAVIEST, (x + TICK_MM + 1.5, y + 79.6, width - TICK_MM - 1.5, TICK_MM), (6, 8), setter)
    count = max(1, len(label.marks))
    side = min(MARK_MM, (width - (count - 1) * MARK_GAP_MM) / count)
    for n, mark in enumerate(label.marks):
        place = handling_marks.Square(x + n * (side + MARK_GAP_MM), y + 84, side)
        yield from handling_marks.draw(mark, place, setter, stacking_g=label.stacking_g)
    foot = f"Face {face + 1} of {FACES}: stick one on each side of the carton, never on a book"
    yield from _line(foot, (x, y + height - 5, width, 5), (5.5, 7), setter)


def _line(
    text: str,
    box: tuple[float, float, float, float],
    size_pt: tuple[float, float],
    setter: Setter,
    *,
    bold: bool = False,
) -> Iterator[Text]:
    x, y, width, height = box
    fitted = setter.fit(text, width, height, size_pt, bold=bold)
    em = pt_to_mm(fitted.size_pt)
    for n, line in enumerate(fitted.lines):
        yield Text(x, y + em * (ASCENT_EM + n * LEADING_EM), line, fitted.size_pt, bold)
