"""Photographs of copies, three in a row, each above the SHA-256 of its file.

They are printed at a size at which a torn jacket is visible; the file in the library has the full detail. A photograph
that cannot be printed is replaced by a frame with the reason, so that it is not mistaken for one never taken.
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
    """Set photographs row by row; no row is split over pages."""
    if not photographs:
        return
    sheet.heading("Photographs")
    width = (sheet.width_mm - GAP_MM * (ACROSS - 1)) / ACROSS
    for first in range(0, len(photographs), ACROSS):
        row = photographs[first : first + ACROSS]

        def draw(left_mm: float, top_mm: float, row: Sequence[Photograph] = row) -> list[Mark]:
            marks: list[Mark] = []
            for nth, photograph in enumerate(row):
                marks += _photograph(sheet, photograph, (left_mm + nth * (width + GAP_MM), top_mm), width)
            return marks

        sheet.place(HEIGHT_MM + BELOW_MM, draw)


def _photograph(sheet: Sheet, photograph: Photograph, at: tuple[float, float], width_mm: float) -> list[Mark]:
    x_mm, y_mm = at
    sha = f"{photograph.sha256[:32]} {photograph.sha256[32:]}"
    room = CAPTION_LINES
    words = sheet.setter.fit(
        f"{photograph.copy} {photograph.caption}", width_mm, room * line_mm(SMALL_PT), (SMALL_PT, SMALL_PT)
    )
    digest = sheet.setter.fit(sha, width_mm, 2 * line_mm(6.0), (5.0, 6.0))
    below = y_mm + HEIGHT_MM + 1.0
    marks = [
        *sheet.texts(words, x_mm, below, bold=False),
        *sheet.texts(digest, x_mm, below + words.height_mm),
    ]
    if photograph.data is None:
        why = sheet.setter.fit(f"Not printed: {photograph.why}", width_mm - 6.0, HEIGHT_MM - 6.0, (7.0, 9.0))
        frame = Rectangle(x_mm, y_mm, width_mm, HEIGHT_MM)
        return [frame, *sheet.texts(why, x_mm + 3.0, y_mm + 3.0), *marks]
    scale = min(width_mm / photograph.width_px, HEIGHT_MM / photograph.height_px)
    shown = (photograph.width_px * scale, photograph.height_px * scale)
    return [PlacedPicture(x_mm, y_mm + HEIGHT_MM - shown[1], *shown, photograph.data), *marks]
