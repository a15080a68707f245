"""Lines of text in a picture, by RapidOCR: an optional dependency that is loaded when it is needed.

Its model is part of its package and reads Latin letters with diacritics, Chinese and Japanese; Cyrillic, Greek and
Hebrew are read badly or not at all. Nothing is downloaded.
"""

import importlib
import logging
import threading
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from intake.errors import RefusedError
from intake.model.readings import TextLine

Grey = npt.NDArray[np.uint8]
Floats = npt.NDArray[np.float64]

LARGEST_PX = 2400
"""Longer side to which a larger picture is scaled down."""
SMALLEST_PX = 20
"""Shorter side below which there is no room for a line of text, and the engine scales the picture to nothing."""
FOUND_PX = 736
"""Shorter side at which lines are found in a page: the engine makes smaller pictures so large, and more takes long."""
LINE_PX, LONGEST_PX = 48, 2000
"""Height of a line when it is read, which is that of the model, and its greatest length."""
TALL = 1.5
"""Ratio of height to width from which the engine reads a box as text that runs down."""
ALL_WAYS = (0, 1, 3)
"""As it is and turned both ways, because single spines are missed in one of them."""

_one_at_a_time = threading.Lock()
"""The engine stores the settings of a call in itself; it uses all cores, so that waiting costs little."""


def is_installed() -> bool:
    """Return whether the optional dependency is installed."""
    try:
        with _one_at_a_time:
            _engine()
    except RefusedError:
        return False
    return True


def read_lines(grey: Grey, *, quarters: Sequence[int] = ALL_WAYS, either_way_up: bool = True) -> tuple[TextLine, ...]:
    """Read every line of text, once for each rotation of the picture.

    Args:
        grey: uint8, height by width.
        quarters: the rotations, in quarter turns anticlockwise; for spines all, because text may run either way.
        either_way_up: also read single lines that are upside down. Their corners do not begin at the start of the text,
            so that pieces of one such line cannot be put in order.

    Returns:
        The lines with their boxes and corners in pixels of the given picture.

    Raises:
        RefusedError: the optional dependency is not installed.
    """
    shrink = min(1.0, LARGEST_PX / max(grey.shape))
    if min(grey.shape) * shrink < SMALLEST_PX:
        return ()
    small = _shrunk(grey, shrink)
    lines: list[TextLine] = []
    for quarter in quarters:
        turned = np.ascontiguousarray(np.rot90(small, quarter), np.uint8)
        for text, corners, score in _found(turned, either_way_up=either_way_up):
            back = _turned_back(corners, quarter, small.shape[1], small.shape[0]) / shrink
            lines.append(_line(text, back, score))
    return tuple(lines)


def read_page(grey: Grey) -> tuple[TextLine, ...]:
    """Read the lines of a page in any position: found once at low resolution, read at the picture's own.

    Lines are supposed to run to the right or down; `read_backwards` reads them from their other ends.

    Args:
        grey: uint8, height by width.

    Raises:
        RefusedError: the optional dependency is not installed.
    """
    shrink = min(1.0, FOUND_PX / min(grey.shape), LARGEST_PX / max(grey.shape))
    if min(grey.shape) * shrink < SMALLEST_PX:
        return ()
    with _one_at_a_time:
        found = _engine()(
            cv2.cvtColor(_shrunk(grey, shrink), cv2.COLOR_GRAY2BGR), use_det=True, use_cls=False, use_rec=False
        )
    boxes = [] if found.boxes is None else found.boxes
    return _recognised(grey, [_from_its_own_left(np.asarray(box, np.float64)) / shrink for box in boxes])


def read_backwards(grey: Grey, lines: Sequence[TextLine]) -> tuple[TextLine, ...]:
    """Read the lines of a page again, each from its other end: a page that is upside down, or stands on its left side.

    Args:
        grey: the picture given to `read_page`.
        lines: what that returned.
    """
    return _recognised(grey, [np.roll(np.asarray(line.outline, np.float64), 2, axis=0) for line in lines])


def _recognised(grey: Grey, outlines: Sequence[Floats]) -> tuple[TextLine, ...]:
    lines = []
    for outline in outlines:
        cut = _cut_line(grey, outline)
        with _one_at_a_time:
            read = _engine()(cv2.cvtColor(cut, cv2.COLOR_GRAY2BGR), use_det=False, use_cls=False, use_rec=True)
        if read.txts and read.txts[0].strip():
            lines.append(_line(read.txts[0], outline, float(read.scores[0])))
    return tuple(lines)


def _line(text: str, outline: Floats, score: float) -> TextLine:
    (left, top), (right, bottom) = outline.min(axis=0).tolist(), outline.max(axis=0).tolist()
    return TextLine(text, (left, top, right, bottom), score, tuple((x, y) for x, y in outline.tolist()))


def _shrunk(grey: Grey, factor: float) -> Grey:
    if factor >= 1:
        return grey
    return np.asarray(cv2.resize(grey, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA), np.uint8)


def _cut_line(grey: Grey, outline: Floats) -> Grey:
    """Turn a line upright, at the height at which it is read."""
    length, height = (float(np.hypot(*(outline[i] - outline[0]))) for i in (1, 3))
    size = (round(min(max(length / max(height, 1.0), 1.0) * LINE_PX, LONGEST_PX)), LINE_PX)
    left, top = np.maximum(np.floor(outline.min(axis=0)).astype(int) - 2, 0)
    right, low = np.ceil(outline.max(axis=0)).astype(int) + 3
    factor = min(1.0, 1.5 * LINE_PX / max(height, 1.0))
    part = _shrunk(grey[top:low, left:right], factor)  # averaged first, so that no stroke falls between two samples
    source = ((outline - (left, top)) * factor).astype(np.float32)
    target = np.array([[0, 0], [size[0], 0], [size[0], LINE_PX], [0, LINE_PX]], np.float32)
    matrix = cv2.getPerspectiveTransform(source, target)
    upright = cv2.warpPerspective(part, matrix, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(upright, np.uint8)


def _found(grey: Grey, *, either_way_up: bool) -> Iterator[tuple[str, Floats, float]]:
    with _one_at_a_time:
        # Each call keeps its settings for the next: all are stated.
        colours = cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR)
        result = _engine()(colours, use_det=True, use_cls=either_way_up, use_rec=True)
    if result.txts is not None:
        for text, corners, score in zip(result.txts, result.boxes, result.scores, strict=True):
            yield text, _from_its_own_left(np.asarray(corners, np.float64)), float(score)


def _from_its_own_left(corners: Floats) -> Floats:
    """Start the corners of a tall box at its top right, because the engine reads tall boxes from the top down."""
    high, wide = np.hypot(*(corners[3] - corners[0])), np.hypot(*(corners[1] - corners[0]))
    return np.roll(corners, -1, axis=0) if high >= TALL * wide else corners


def _turned_back(points: Floats, quarter: int, width: int, height: int) -> Floats:
    """Map points of a picture turned anticlockwise by quarter turns back to the original picture."""
    x, y = points[:, 0], points[:, 1]
    ways = {0: (x, y), 1: (width - y, x), 2: (width - x, height - y), 3: (y, height - x)}
    return np.stack(ways[quarter], axis=1)


@lru_cache(maxsize=1)
def _engine() -> Any:
    try:
        importlib.import_module("onnxruntime")
        rapidocr: Any = importlib.import_module("rapidocr")
    except ImportError as error:
        raise RefusedError(
            "Reading text in pictures", "needs a part that is not installed", "run: pip install 'book-intake[ocr]'"
        ) from error
    logging.getLogger("RapidOCR").setLevel(logging.ERROR)
    return rapidocr.RapidOCR(params={"Global.log_level": "error"})
