"""Photographs of copies, three in a row, each over the SHA-256 that names its file.

Printed at a size at which a torn jacket is seen; the file in the library keeps what the print cannot show. One that
could not be had has its place and the reason in it, so that nobody takes it for never taken.
"""

from collections.abc import Sequence

from intake.documents.page_flow import GAP_MM, SMALL_PT, Sheet
from intake.documents.text_fit import line_mm
from intake.model.pages import Mark, PlacedPicture, Rectangle
from intake.model.schedules import Photograph

ACROSS = 3
HEIGHT_MM = 46.0
CAPTION_LINES = 2
BELOW_MM = 14.5
"""Caption, digest and the gap under them: four rows fill an A4 page."""


def set_photographs(sheet: Sheet, photographs: Sequence[Photograph]) -> None:
    """Set photographs row by row; no row is torn apart."""
    if not photographs:
        return
    sheet.heading("Photographs")
    width = (sheet.width_mm - GAP_MM * (ACROSS - 1)) / ACROSS
    for first in range(0, len(photographs), ACROSS):
        row = photographs[first : first + ACROSS]

        def draw(left_mm: float, top_mm: float, row: Sequence[Photograph] = row) -> list[Mark]:
            marks: list[Mark] = []
            for nth, one in enumerate(row):
                marks += _one(sheet, one, (left_mm + nth * (width + GAP_MM), top_mm), width)
            return marks

        sheet.place(HEIGHT_MM + BELOW_MM, draw)


def _one(sheet: Sheet, one: Photograph, at: tuple[float, float], width_mm: float) -> list[Mark]:
    x_mm, y_mm = at
    sha = f"{one.sha256[:32]} {one.sha256[32:]}"
    room = CAPTION_LINES
    words = sheet.setter.fit(f"{one.copy} {one.caption}", width_mm, room * line_mm(SMALL_PT), (SMALL_PT, SMALL_PT))
    digest = sheet.setter.fit(sha, width_mm, 2 * line_mm(6.0), (5.0, 6.0))
    below = y_mm + HEIGHT_MM + 1.0
    marks = [
        *sheet.texts(words, x_mm, below, bold=False),
        *sheet.texts(digest, x_mm, below + words.height_mm),
    ]
    if one.data is None:
        why = sheet.setter.fit(f"Not printed: {one.why}", width_mm - 6.0, HEIGHT_MM - 6.0, (7.0, 9.0))
        frame = Rectangle(x_mm, y_mm, width_mm, HEIGHT_MM)
        return [frame, *sheet.texts(why, x_mm + 3.0, y_mm + 3.0), *marks]
    scale = min(width_mm / one.width_px, HEIGHT_MM / one.height_px)
    shown = (one.width_px * scale, one.height_px * scale)
    return [PlacedPicture(x_mm, y_mm + HEIGHT_MM - shown[1], *shown, one.data), *marks]
