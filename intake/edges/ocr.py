"""Lines of text in a picture of spines, by RapidOCR: an optional part that is looked for when it is asked for.

Its model comes with its package and reads Latin letters with their marks, Chinese and Japanese; Cyrillic, Greek and
Hebrew are read badly or not at all. Nothing is fetched from anywhere. The picture is shown as it is and turned both
ways, because single lines are missed in one of them.
"""

import importlib
import logging
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from intake.errors import RefusedError
from intake.model.readings import SpineLine

Grey = npt.NDArray[np.uint8]
LARGEST_PX = 2400
"""Longer side to which a picture is shrunk before it is read."""


def is_there() -> bool:
    """Tell whether the part is installed."""
    try:
        _engine()
    except RefusedError:
        return False
    return True


def read_lines(grey: Grey) -> tuple[SpineLine, ...]:
    """Read every line of text, each up to three times.

    Args:
        grey: uint8, height by width, upright.

    Returns:
        The lines with their boxes in pixels of the picture given.

    Raises:
        RefusedError: the part is not installed.
    """
    engine = _engine()
    shrink = min(1.0, LARGEST_PX / max(grey.shape))
    small = cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA) if shrink < 1 else grey
    lines: list[SpineLine] = []
    for quarter in (0, 1, 3):
        turned = np.ascontiguousarray(np.rot90(small, quarter), np.uint8)
        for text, corners, score in _found(engine, turned):
            back = _turned_back(corners, quarter, small.shape[1], small.shape[0]) / shrink
            (left, top), (right, bottom) = back.min(axis=0), back.max(axis=0)
            lines.append(SpineLine(text, (float(left), float(top), float(right), float(bottom)), score))
    return tuple(lines)


def _found(engine: Any, grey: Grey) -> Iterator[tuple[str, npt.NDArray[np.float64], float]]:
    result = engine(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR))
    if result.txts is not None:
        for text, corners, score in zip(result.txts, result.boxes, result.scores, strict=True):
            yield text, np.asarray(corners, np.float64), float(score)


def _turned_back(points: npt.NDArray[np.float64], quarter: int, width: int, height: int) -> npt.NDArray[np.float64]:
    """Return where points of a picture turned anticlockwise by quarters lie in the picture itself."""
    x, y = points[:, 0], points[:, 1]
    ways = {0: (x, y), 1: (width - y, x), 3: (y, height - x)}
    return np.stack(ways[quarter], axis=1)


@lru_cache(maxsize=1)
def _engine() -> Any:
    try:
        rapidocr: Any = importlib.import_module("rapidocr")
    except ImportError as error:
        raise RefusedError(
            "Reading the text of spines", "needs a part that is not installed", "run: pip install 'book-intake[ocr]'"
        ) from error
    logging.getLogger("RapidOCR").setLevel(logging.ERROR)
    return rapidocr.RapidOCR(params={"Global.log_level": "error"})
