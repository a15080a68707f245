"""Lines of text in a picture, by RapidOCR: an optional part that is looked for when it is asked for.

Its model comes with its package and reads Latin letters with their marks, Chinese and Japanese; Cyrillic, Greek and
Hebrew are read badly or not at all. Nothing is fetched from anywhere.
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
"""Longer side to which a picture is shrunk before it is read."""
TALL = 1.5
"""Height over width from which the engine takes a box for text that runs down."""
ALL_WAYS = (0, 1, 3)
"""As it is and turned both ways: single spines are missed in one of them."""

_one_at_a_time = threading.Lock()
"""The engine keeps the settings of a call on itself; it uses all cores, so that waiting costs little."""


def is_there() -> bool:
    """Tell whether the part is installed."""
    try:
        with _one_at_a_time:
            _engine()
    except RefusedError:
        return False
    return True


def read_lines(grey: Grey, *, quarters: Sequence[int] = ALL_WAYS, either_way_up: bool = True) -> tuple[TextLine, ...]:
    """Read every line of text, once in each way that the picture is turned.

    Args:
        grey: uint8, height by width.
        quarters: the quarter turns anticlockwise in which it is shown; for spines all of them, since any may run up.
        either_way_up: also read single lines that stand on their head. Their corners do not begin where they do, so
            that pieces of one such line could not be put in order.

    Returns:
        The lines with their boxes and corners in pixels of the picture given.

    Raises:
        RefusedError: the part is not installed.
    """
    shrink = min(1.0, LARGEST_PX / max(grey.shape))
    small = cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA) if shrink < 1 else grey
    lines: list[TextLine] = []
    for quarter in quarters:
        turned = np.ascontiguousarray(np.rot90(small, quarter), np.uint8)
        for text, corners, score in _found(turned, either_way_up=either_way_up):
            back = _turned_back(corners, quarter, small.shape[1], small.shape[0]) / shrink
            (left, top), (right, bottom) = back.min(axis=0).tolist(), back.max(axis=0).tolist()
            lines.append(TextLine(text, (left, top, right, bottom), score, tuple((x, y) for x, y in back.tolist())))
    return tuple(lines)


def _found(grey: Grey, *, either_way_up: bool) -> Iterator[tuple[str, Floats, float]]:
    with _one_at_a_time:
        result = _engine()(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR), use_cls=either_way_up)
    if result.txts is not None:
        for text, corners, score in zip(result.txts, result.boxes, result.scores, strict=True):
            yield text, _from_its_own_left(np.asarray(corners, np.float64)), float(score)


def _from_its_own_left(corners: Floats) -> Floats:
    """Begin the corners of a tall box at its top right: the engine reads those from the top down."""
    high, wide = np.hypot(*(corners[3] - corners[0])), np.hypot(*(corners[1] - corners[0]))
    return np.roll(corners, -1, axis=0) if high >= TALL * wide else corners


def _turned_back(points: Floats, quarter: int, width: int, height: int) -> Floats:
    """Return where points of a picture turned anticlockwise by quarters lie in the picture itself."""
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
