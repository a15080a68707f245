"""The local features of one picture of a cover: where they are, and what surrounds them.

SIFT (Lowe, Distinctive Image Features from Scale-Invariant Keypoints, 2004), as it hardly minds in which size and
turn a cover was photographed; a cover need not be cut out of its picture. Each description is kept as its square root
(Arandjelović and Zisserman, Three things everyone should know to improve object retrieval, 2012), so that a scalar
product compares two by the Hellinger kernel.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

LONGEST_PX = 640
"""Longer pictures are scaled down to this: finer print tells no cover from another."""
SMALLEST_PX = 16
MOST_FEATURES = 600
"""Of the strongest contrast."""
LENGTH = 128
"""Numbers of one description."""
UNIT = 512.0
"""A description has this length as bytes: no component of one that is spread over many exceeds 255."""


@dataclass(frozen=True, slots=True, eq=False)
class CoverFeatures:
    """The features of one picture, the strongest first.

    Attributes:
        points: float32, n by 2: x to the right and y down, in pixels of the picture as it was given.
        descriptions: uint8, n by 128, each of a Euclidean length of about `UNIT`.
        size: width and height of the picture in pixels.
    """

    points: npt.NDArray[np.float32]
    descriptions: npt.NDArray[np.uint8]
    size: tuple[int, int]

    def __len__(self) -> int:
        return len(self.points)


def describe(grey: npt.NDArray[np.uint8], most: int = MOST_FEATURES) -> CoverFeatures:
    """Find the features of a picture.

    Args:
        grey: uint8, height by width, upright or not.
        most: so many at most.

    Returns:
        The features; none in a picture without structure, or of a few pixels.
    """
    height, width = grey.shape
    nothing = CoverFeatures(np.zeros((0, 2), np.float32), np.zeros((0, LENGTH), np.uint8), (width, height))
    if min(height, width) < SMALLEST_PX:
        return nothing
    scale = min(LONGEST_PX / max(height, width), 1.0)
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else grey
    found, raw = cv2.SIFT.create(most).detectAndCompute(small, None)
    if raw is None or not len(found):
        return nothing
    order = np.argsort([-point.response for point in found], kind="stable")[:most]
    points = np.array([found[nth].pt for nth in order], np.float32) / np.float32(scale)
    return CoverFeatures(points, root_bytes(np.asarray(raw, np.float32)[order]), (width, height))


def root_bytes(raw: npt.NDArray[np.float32]) -> npt.NDArray[np.uint8]:
    """Return the square roots of descriptions that sum to one, as bytes."""
    shares = raw / np.maximum(raw.sum(axis=1, keepdims=True), 1e-9)
    return np.asarray((np.sqrt(shares) * UNIT + 0.5).clip(0, 255), np.uint8)


def unit_vectors(descriptions: npt.NDArray[np.uint8]) -> npt.NDArray[np.float32]:
    """Return descriptions as vectors of length one."""
    vectors = descriptions.astype(np.float32)
    return np.asarray(vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-9), np.float32)
