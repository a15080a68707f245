"""A model of a cheap printer and of a phone that takes a picture of what it printed.

A page becomes dots of the printer's pitch (203 or 300 dpi, as of thermal label printers); each dot spreads by 0.04 mm
on all sides, a tenth of a narrow bar; the paper is grey and the print not black. The phone is held a little askew, is
mildly out of focus, and gives 8 pixels for a millimetre. The figures are chosen, not taken from a standard: print
quality by ISO/IEC 15415 and 15416 is not graded.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
import pypdfium2

from intake.edges import pdf
from intake.model.pages import Page
from intake.units.convert import mm_to_px

Grey = npt.NDArray[np.uint8]
DOTS_PER_INCH = (203, 300)
SPREAD_MM = 0.04
BLUR_MM = 0.15
"""Standard deviation of the blur of paper and phone together."""
PHONE_PX_PER_MM = 8.0
PAPER, PRINT, NOISE = 215.0, 40.0, 1.5
FINE = 4
"""Steps in which the edge of a dot is reckoned."""


@dataclass(frozen=True, slots=True)
class Part:
    """A rectangle of a page, in mm."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


def dots(pages: Sequence[Page], dpi: int) -> list[npt.NDArray[np.bool_]]:
    """Return the dots that a printer sets for each page: those of which at least half is dark."""
    data, _ = pdf.draw(pages, title="test")
    document = pypdfium2.PdfDocument(data)
    drawn = [np.asarray(page.render(scale=dpi / 72).to_pil().convert("L")) < 128 for page in document]
    document.close()
    return drawn


def photograph(page: npt.NDArray[np.bool_], dpi: int, part: Part, *, tilt_deg: float, blur_mm: float = BLUR_MM) -> Grey:
    """Return the picture that a phone takes of a part of a printed page."""
    left, top = round(mm_to_px(part.x_mm, dpi)), round(mm_to_px(part.y_mm, dpi))
    right, foot = left + round(mm_to_px(part.width_mm, dpi)), top + round(mm_to_px(part.height_mm, dpi))
    fine = np.kron(page[top:foot, left:right], np.ones((FINE, FINE), bool)).astype(np.uint8)
    px_per_mm = mm_to_px(1.0, dpi) * FINE
    reach = SPREAD_MM * px_per_mm
    y, x = np.ogrid[-int(reach) : int(reach) + 1, -int(reach) : int(reach) + 1]
    ink = cv2.dilate(fine, (x * x + y * y <= reach * reach).astype(np.uint8)).astype(np.float32)
    grey = cv2.GaussianBlur(PAPER - (PAPER - PRINT) * ink, (0, 0), blur_mm * px_per_mm)
    scale = PHONE_PX_PER_MM / px_per_mm
    height, width = grey.shape
    size = (int(width * scale * 1.1) + 8, int(height * scale * 1.1) + 8)
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), tilt_deg, scale)
    turn[:, 2] += (size[0] / 2 - width / 2, size[1] / 2 - height / 2)
    picture = cv2.warpAffine(grey, turn, size, flags=cv2.INTER_AREA, borderValue=PAPER)
    picture = picture + np.random.default_rng(1).normal(0.0, NOISE, picture.shape)
    return np.asarray(np.clip(picture, 0, 255), dtype=np.uint8)
