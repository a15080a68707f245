"""Frames of a camera or a video file, as grey pictures; the only place that opens either.

From a camera the newest frame is returned each time, so that slow reading does not fall behind what the person holds
up; from a file, every frame.
"""

from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from intake.errors import FileError

NEWEST = 1
"""Frames that a camera's driver may buffer."""


def frames(source: int | Path) -> Iterator[npt.NDArray[np.uint8]]:
    """Yield grey frames, uint8, height by width, until the file ends or the camera is unplugged.

    Args:
        source: the number of a camera, 0 for the first, or a video file.

    Raises:
        FileError: there is no such camera, or the file is not a video.
    """
    capture = cv2.VideoCapture(source if isinstance(source, int) else str(source))
    try:
        if not capture.isOpened():
            if isinstance(source, int):
                remedy = "plug it in, close other programs that use it, or try another number"
                raise FileError(f"Camera {source}", "does not open", remedy)
            raise FileError(str(source), "cannot be opened as a video", "give an MP4, AVI or MKV file")
        if isinstance(source, int):
            capture.set(cv2.CAP_PROP_BUFFERSIZE, NEWEST)
        while True:
            there, frame = capture.read()
            if not there:
                return
            grey = frame if frame.ndim == 2 else cv2.cvtColor(frame, cv2.COLOR_BGR2GRAY)
            yield np.asarray(grey, np.uint8)
    finally:
        capture.release()
