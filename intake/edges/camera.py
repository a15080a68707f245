"""Frames of a camera or a video file, as grey pictures; the only place that opens either.

From a camera the newest frame is returned each time, so that slow reading does not fall behind what the person holds
up; from a file, every frame.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from intake.errors import FileError

NEWEST = 1
"""Frames that a camera's driver may buffer."""
FILM_SUFFIXES = frozenset({".mp4", ".m4v", ".mov", ".avi", ".mkv", ".webm", ".3gp"})
DAMAGED = "was cut short or is damaged"
COPY_AGAIN = "copy it again from the phone"
INEXACT, FEW = 0.05, 3
"""Share of a film's frames, and least number of them, by which its header may be wrong: some state a time only."""


def frames(source: int | Path) -> Iterator[npt.NDArray[np.uint8]]:
    """Yield grey frames, uint8, height by width, until the file ends or the camera is unplugged.

    Args:
        source: the number of a camera, 0 for the first, or a video file.

    Raises:
        FileError: there is no such camera, or the file is not a video, or not one frame of it can be read.
    """
    with opened(source) as capture:
        if isinstance(source, int):
            capture.set(cv2.CAP_PROP_BUFFERSIZE, NEWEST)
        there, frame = capture.read()
        if not there and isinstance(source, Path):
            raise FileError(str(source), DAMAGED, COPY_AGAIN)
        while there:
            grey = frame if frame.ndim == 2 else cv2.cvtColor(frame, cv2.COLOR_BGR2GRAY)
            yield np.asarray(grey, np.uint8)
            there, frame = capture.read()


@contextmanager
def opened(source: int | Path) -> Iterator[cv2.VideoCapture]:
    """Open a camera or a video file.

    Raises:
        FileError: there is no such camera, or the file is not a video.
    """
    capture = cv2.VideoCapture(source if isinstance(source, int) else str(source))
    try:
        if not capture.isOpened():
            raise does_not_open(source)
        yield capture
    finally:
        capture.release()


def does_not_open(source: int | Path) -> FileError:
    """Return why a camera or a file does not open."""
    if isinstance(source, int):
        remedy = "plug it in, close other programs that use it, or try another number"
        return FileError(f"Camera {source}", "does not open", remedy)
    if not source.is_file():
        return FileError(str(source), "does not exist", "check the name")
    if source.suffix.lower() in FILM_SUFFIXES:
        return FileError(str(source), DAMAGED, COPY_AGAIN)
    return FileError(str(source), "cannot be opened as a video", "give an MP4, AVI or MKV file")


def stated_frames(film: Path) -> int:
    """Return how many frames a video file has by its header, about; 0 where it does not say.

    Raises:
        FileError: the file is not a video.
    """
    with opened(film) as capture:
        return max(int(capture.get(cv2.CAP_PROP_FRAME_COUNT)), 0)


def cut_short(film: Path, stated: int, shown: int) -> FileError | None:
    """Return what is wrong with a video file of which fewer frames could be read than its header states; else None."""
    if stated - shown <= max(INEXACT * stated, FEW):
        return None
    return FileError(str(film), f"{DAMAGED}: of its {stated} frames {shown} could be read", COPY_AGAIN)
