"""Photographs of copies, three in a row, each above the SHA-256 of its file.

They are printed at a size at which a torn jacket is visible; the file in the library has the full detail. A photograph
that cannot be printed is replaced by a frame with the reason, so that it is not mistaken for one never taken.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from intake.documents.page_flow import GAP_MM, SMALL_PT, Sheet
from intake.documents.text_fit import ENDLESS_MM, Fitted, line_mm
from intake.model.pages import Mark, PlacedPicture, Rectangle
from intake.model.schedules import Photograph

ACROSS = 3
HEIGHT_MM = 46.0
SHA_PT = (5.0, 6.0)
GAP_BELOW_MM = 3.0


@dataclass(frozen=True, slots=True)
class _Below:
    """What stands below a photograph: its caption, however long, and the digest of its file."""

    caption: Fitted
    digest: Fitted

    @property
    def height_mm(self) -> float:
        return 1.0 + self.caption.height_mm + self.digest.height_mm + GAP_BELOW_MM


def set_photographs(sheet: Sheet, photographs: Sequence[Photograph]) -> None:
    """Set photographs row by row; no row is split over pages."""
    if not photographs:
        return
    sheet.heading("Photographs")
    width = (sheet.width_mm - GAP_MM * (ACROSS - 1)) / ACROSS
    for first in range(0, len(photographs), ACROSS):
        row = [(one, _words(sheet, one, width)) for one in photographs[first : first + ACROSS]]
        sheet.place(HEIGHT_MM + max(words.height_mm for _, words in row), partial(_row, sheet, row, width))


def _words(sheet: Sheet, photograph: Photograph, width_mm: float) -> _Below:
    fit = sheet.setter.fit
    caption = fit(f"{photograph.copy} {photograph.caption}", width_mm, ENDLESS_MM, (SMALL_PT, SMALL_PT))
    digest = fit(f"{photograph.sha256[:32]} {photograph.sha256[32:]}", width_mm, 2 * line_mm(SHA_PT[1]), SHA_PT)
    return _Below(caption, digest)


def _row(
    sheet: Sheet, row: Sequence[tuple[Photograph, _Below]], width_mm: float, left_mm: float, top_mm: float
) -> Iterator[Mark]:
    for nth, (photograph, words) in enumerate(row):
        x = left_mm + nth * (width_mm + GAP_MM)
        below = top_mm + HEIGHT_MM + 1.0
        yield from _photograph(sheet, photograph, (x, top_mm), width_mm)
        yield from sheet.texts(words.caption, x, below)
        yield from sheet.texts(words.digest, x, below + words.caption.height_mm)


def _photograph(sheet: Sheet, photograph: Photograph, at: tuple[float, float], width_mm: float) -> Iterator[Mark]:
    x_mm, y_mm = at
    if photograph.data is None:
        why = sheet.setter.fit(f"Not printed: {photograph.why}", width_mm - 6.0, HEIGHT_MM - 6.0, (5.0, 9.0))
        yield Rectangle(x_mm, y_mm, width_mm, HEIGHT_MM)
        yield from sheet.texts(why, x_mm + 3.0, y_mm + 3.0)
        return
    scale = min(width_mm / photograph.width_px, HEIGHT_MM / photograph.height_px)
    shown = (photograph.width_px * scale, photograph.height_px * scale)
    alt = f"{photograph.copy} {photograph.caption}".strip()
    yield PlacedPicture(x_mm, y_mm + HEIGHT_MM - shown[1], *shown, photograph.data, alt)
