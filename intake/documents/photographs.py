"""Photographs of copies above the SHA-256 of their files: three in a row, or damage large, beside an earlier picture.

They are printed at a size at which a torn jacket is visible; the file in the library has the full detail. A photograph
that cannot be printed is replaced by a frame with the reason, so that it is not mistaken for one never taken.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from intake.documents.page_flow import GAP_MM, SMALL_PT, Sheet
from intake.documents.text_fit import ENDLESS_MM, Fitted, line_mm
from intake.model.pages import ContentOf, ElementKind, Mark, PlacedPicture, Rectangle, StructureElement
from intake.model.schedules import Photograph, PicturePlaces
from intake.units.language import say

ACROSS = 3
HEIGHT_MM = 46.0
LARGE_MM = (88.0, 92.0)
"""The greatest width and height of a photograph of damage: a tear of 5 mm on a book of 300 mm is 1.5 mm long."""
SHA_PT = (5.0, 6.0)
GAP_BELOW_MM = 3.0


@dataclass(frozen=True, slots=True)
class _Shown:
    """A photograph, or the reason why there is none, and what stands below: its caption, and the digest of its file."""

    photograph: Photograph | None
    why: Fitted
    caption: Fitted
    digest: Fitted

    @property
    def below_mm(self) -> float:
        return 1.0 + self.caption.height_mm + self.digest.height_mm + GAP_BELOW_MM


def set_photographs(sheet: Sheet, photographs: Sequence[Photograph]) -> None:
    """Set photographs row by row."""
    if not photographs:
        return
    sheet.heading(say("Photographs"))
    for first in range(0, len(photographs), ACROSS):
        _row(sheet, photographs[first : first + ACROSS], ACROSS, HEIGHT_MM)


def set_compared(sheet: Sheet, compared: Sequence[PicturePlaces]) -> None:
    """Set photographs of damage, large, each at the right of an earlier one of the same part."""
    if not compared:
        return
    sheet.heading(say("What was seen, beside earlier pictures"))
    width = (sheet.width_mm - GAP_MM) / 2
    for places in compared:
        # A picture across leaves less empty than the height that one upright needs.
        printed = [one for one in (places.earlier, places.later) if one is not None and one.data is not None]
        height = max((_size_mm(one, (width, LARGE_MM[1]))[1] for one in printed), default=HEIGHT_MM)
        _row(sheet, (places.earlier or places.why, places.later), 2, height)


def _row(sheet: Sheet, photographs: Sequence[Photograph | str], across: int, height_mm: float) -> None:
    """Set a row of photographs beside one another; none is split over pages."""
    size = ((sheet.width_mm - GAP_MM * (across - 1)) / across, height_mm)
    row = [_shown(sheet, one, size) for one in photographs]
    sheet.place(height_mm + max(one.below_mm for one in row), partial(_marks, sheet, row, size))


def _shown(sheet: Sheet, photograph: Photograph | str, size_mm: tuple[float, float]) -> _Shown:
    fit, width = sheet.setter.fit, size_mm[0]
    nothing = Fitted((), SMALL_PT)
    if isinstance(photograph, str):
        return _Shown(None, fit(photograph, width - 6.0, ENDLESS_MM, (SMALL_PT, SMALL_PT)), nothing, nothing)
    why = fit(say("Not printed: {why}", why=photograph.why), width - 6.0, size_mm[1] / 2 - 6.0, (5.0, 9.0))
    caption = fit(f"{photograph.copy} {photograph.caption}", width, ENDLESS_MM, (SMALL_PT, SMALL_PT))
    digest = fit(f"{photograph.sha256[:32]} {photograph.sha256[32:]}", width, 2 * line_mm(SHA_PT[1]), SHA_PT)
    return _Shown(photograph, why, caption, digest)


def _marks(
    sheet: Sheet, row: Sequence[_Shown], size_mm: tuple[float, float], left_mm: float, top_mm: float
) -> Iterator[Mark]:
    for nth, shown in enumerate(row):
        x = left_mm + nth * (size_mm[0] + GAP_MM)
        below = top_mm + size_mm[1] + 1.0
        yield ContentOf(StructureElement(ElementKind.PARAGRAPH))
        yield from _photograph(sheet, shown, (x, top_mm), size_mm)
        yield from sheet.texts(shown.caption, x, below)
        yield from sheet.texts(shown.digest, x, below + shown.caption.height_mm)


def _photograph(sheet: Sheet, shown: _Shown, at: tuple[float, float], size_mm: tuple[float, float]) -> Iterator[Mark]:
    x_mm, y_mm = at
    photograph = shown.photograph
    if photograph is None or photograph.data is None:
        yield Rectangle(x_mm, y_mm, *size_mm)
        yield from sheet.texts(shown.why, x_mm + 3.0, y_mm + 3.0)
        return
    width, height = _size_mm(photograph, size_mm)
    alt = f"{photograph.copy} {photograph.caption}".strip()
    yield PlacedPicture(x_mm, y_mm + size_mm[1] - height, width, height, photograph.data, alt)


def _size_mm(photograph: Photograph, size_mm: tuple[float, float]) -> tuple[float, float]:
    scale = min(size_mm[0] / photograph.width_px, size_mm[1] / photograph.height_px)
    return photograph.width_px * scale, photograph.height_px * scale
