"""A page with which a printer's scale is checked before labels are printed: two lines to measure, and crosses.

The lines are 100 mm long, or as long as the paper of a roll allows. A cross marks each corner of each label of the
chosen template: held against the light with a sheet of labels behind it, it shows whether they meet.
"""

from collections.abc import Generator, Iterator
from decimal import Decimal

from intake.documents import symbol_drawing
from intake.documents.grid import slots
from intake.documents.text_fit import ENDLESS_MM, Measure, Setter, line_mm
from intake.documents.text_lines import Cell, set_lines
from intake.model.label_rules import LEAST_MODULE_MM
from intake.model.pages import Align, Mark, Page, Rectangle, RuledLine, Text
from intake.model.papers import LabelTemplate, SymbolKind
from intake.units.language import say, term
from intake.units.local_forms import exact_figures

LINES_MM = (100.0, 50.0, 20.0, 10.0)
"""The lengths of lines, of which the longest is drawn that the paper has room for."""
CROSS_MM = 2.0
TICK_MM = 10.0
MARGIN_MM = 8.0
PANEL_MM = (164.0, 178.0)
"""The white panel of a sheet, in its middle, on which lines and words stand; no cross is seen there."""
HEAD_PT, TEXT_PT = 16.0, 10.0
SYMBOL_TEXT = "LABEL CHECK"
SYMBOL_MM = 0.02 + 29 * LEAST_MODULE_MM[SymbolKind.QR]


def measured_mm(template: LabelTemplate) -> tuple[float, float]:
    """Return the length of the line across and of the line down that the paper has room for."""
    if _is_sheet(template):
        return LINES_MM[0], LINES_MM[0]
    return _longest(template.paper_width_mm), _longest(template.paper_height_mm)


def remedies(template: LabelTemplate) -> tuple[str, ...]:
    """Return what to look at on the page, and what to do where it is not right."""
    across, down = measured_mm(template)
    measure = say(
        "Measure both lines with a ruler: each is {length} mm long, from middle to middle of the end strokes.",
        length=f"{across:g}",
    )
    if across != down:
        measure = say(
            "Measure both lines with a ruler: the one across is {across} mm long, the one down {down} mm, from middle "
            "to middle of the end strokes.",
            across=f"{across:g}",
            down=f"{down:g}",
        )
    scale = say(
        "If one is off: print again at 100 % ('actual size'), without 'fit to page', 'shrink' or 'borderless'. If it "
        "is still off by more than 0.5 mm, use another printer: labels would drift off their places."
    )
    corners = say(
        "If the lines are right, hold the page and a sheet of {template} against the light: each cross stands on the "
        "corner of a label. If all are off the same way, copy the template's file, and change left_mm and top_mm by "
        "that.",
        template=template.name,
    )
    symbol = say(
        "Read the symbol with your phone: its modules are {size} mm, the smallest that labels have. If it cannot be "
        "read, choose a better print quality before you print labels.",
        size=exact_figures(Decimal(f"{LEAST_MODULE_MM[SymbolKind.QR]:g}")),
    )
    return (measure, scale, corners, symbol) if _is_sheet(template) else (measure, scale)


def lay_out(template: LabelTemplate, *, measure: Measure) -> list[Page]:
    """Lay out the page for one template; a roll gets its lines and crosses only."""
    width, height = template.paper_width_mm, template.paper_height_mm
    if not _is_sheet(template):
        marks = (*_crosses(template), *_lines(template, (width / 2, height / 2), Setter(measure)))
        return [Page(width, height, marks)]
    return [Page(width, height, (*_crosses(template), *_panel(template, Setter(measure))))]


def _is_sheet(template: LabelTemplate) -> bool:
    return template.paper_width_mm >= PANEL_MM[0] and template.paper_height_mm >= PANEL_MM[1]


def _longest(paper_mm: float) -> float:
    return next((length for length in LINES_MM if length <= paper_mm - 2), LINES_MM[-1])


def _crosses(template: LabelTemplate) -> Iterator[RuledLine]:
    """Draw a cross at each corner of each label, one where corners meet."""
    corners: dict[tuple[float, float], None] = {}
    for _, slot in zip(range(template.columns * template.rows), slots(template), strict=False):
        for x in (slot.x_mm, slot.x_mm + template.label_width_mm):
            for y in (slot.y_mm, slot.y_mm + template.label_height_mm):
                corners[round(x, 3), round(y, 3)] = None
    for x, y in corners:
        yield RuledLine(x - CROSS_MM, y, x + CROSS_MM, y, 0.4)
        yield RuledLine(x, y - CROSS_MM, x, y + CROSS_MM, 0.4)


def _panel(template: LabelTemplate, setter: Setter) -> Iterator[Mark]:
    """Draw the panel of a sheet: heading, both lines, what to do, and a symbol."""
    width, height = PANEL_MM
    x, y = (template.paper_width_mm - width) / 2, (template.paper_height_mm - height) / 2
    yield Rectangle(x, y, width, height, 0.6, 1.0)
    left, inner = x + MARGIN_MM, width - 2 * MARGIN_MM
    heading = say("Check the printer before you print labels: {template}", template=template.name)
    place = yield from _paragraph(heading, (left, y + 4), inner, HEAD_PT, setter, bold=True)
    yield from _lines(template, (left + 52.0, place + 58.0), setter)
    symbol_x = left + inner - SYMBOL_MM
    frame = symbol_drawing.SymbolFrame(symbol_x, place + 74.0, SYMBOL_MM, SYMBOL_MM)
    least = LEAST_MODULE_MM[SymbolKind.QR]
    yield from symbol_drawing.draw(SymbolKind.QR, SYMBOL_TEXT, frame, (least, least))
    under = place + 74.0 + SYMBOL_MM + 2.0
    yield Text(symbol_x + SYMBOL_MM / 2, under, SYMBOL_TEXT, 6.0, align=Align.CENTRE)
    place += 114.0
    for n, words in enumerate(remedies(template), 1):
        place = yield from _paragraph(f"{n}. {words}", (left, place), inner, TEXT_PT, setter)
        place += 1.2


def _lines(template: LabelTemplate, middle: tuple[float, float], setter: Setter) -> Iterator[Mark]:
    """Draw both lines through one point, with a stroke each centimetre, longer ones at their ends, and lengths."""
    across, down = measured_mm(template)
    x, y = middle[0] - across / 2, middle[1] - down / 2
    yield RuledLine(x, middle[1], x + across, middle[1], 0.4)
    yield RuledLine(middle[0], y, middle[0], y + down, 0.4)
    for n in range(round(across / TICK_MM) + 1):
        half = 2.5 if n in (0, round(across / TICK_MM)) else 1.0
        yield RuledLine(x + n * TICK_MM, middle[1] - half, x + n * TICK_MM, middle[1] + half, 0.4)
    for n in range(round(down / TICK_MM) + 1):
        half = 2.5 if n in (0, round(down / TICK_MM)) else 1.0
        yield RuledLine(middle[0] - half, y + n * TICK_MM, middle[0] + half, y + n * TICK_MM, 0.4)
    is_small = across <= 20
    size_pt = (3.0, 4.0) if is_small else (5.0, 9.0)
    for way, length, up in ((term("across {length} mm"), across, 5.0), (term("down {length} mm"), down, -1.2)):
        words = f"{length:g} mm" if is_small else say(way, length=f"{length:g}")
        fitted = setter.fit(words, across / 2 - 1.5, line_mm(size_pt[1]), size_pt)
        yield from set_lines(Cell(fitted.lines, (middle[0] + 1.5, across / 2)), fitted.size_pt, middle[1] - up)


def _paragraph(
    words: str, at: tuple[float, float], width: float, size_pt: float, setter: Setter, *, bold: bool = False
) -> Generator[Text, None, float]:
    """Set a paragraph, and return where it ends."""
    fitted = setter.fit(words, width, ENDLESS_MM, (size_pt, size_pt), bold=bold)
    yield from set_lines(Cell(fitted.lines, (at[0], width), bold), size_pt, at[1])
    return at[1] + fitted.height_mm
