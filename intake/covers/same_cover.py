"""Whether two pictures show the same cover: features that agree under one homography, counted.

A cover is flat, or nearly: two pictures of it differ by a homography (Hartley and Zisserman, Multiple View Geometry,
2nd ed., chapter 13), found among doubtful pairs by MAGSAC++ (Barath et al., 2020; OpenCV). Pairs crowded into one
spot, as those of bars or of a screen of dots, count once. A picture of another cover in the same design agrees in
part, and so may count: which of several it is, the caller compares.
"""

from collections import Counter
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.covers.cover_features import CoverFeatures, unit_vectors

RATIO = 0.8
"""A pair counts where the second best is farther by this (Lowe 2004, section 7.1)."""
TOLERANCE = 0.005
"""How far a feature may lie from where the homography puts it, of the longer side of its picture."""
BREADTH = 0.04
"""Places in a strip narrower than this (standard deviation, of the longer side) lie along one line."""
FIELD = 1 / 8
FEWEST_FIELDS = 6
"""The places must lie in so many squares with this part of the longer side."""
MOST_IN_LINE = 11
"""Places along one line, or in fewer squares, count no more: the same words in the same type stand on many covers."""
PART, FEWEST_HERE = 1 / 6, 8
"""A square with this part of the longer side is unlike, showing something else, where either picture has so many
features in it and none agree."""
FEWEST_PAIRS = 6
LARGEST_STRETCH = 10.0
"""A homography that stretches areas by more, or shrinks them so, is none of a camera before a book."""
TRIES = 2000
CONFIDENCE = 0.999

Floats = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class CoverAgreement:
    """How far two pictures agree.

    Attributes:
        inliers: places in which they agree under one homography; 0 where there is none.
        homography: float64, 3 by 3, from pixels of the first picture to those of the second; None where there is none.
        unlike: 0 to 1, the share of the squares with features in both pictures in which none agree. Glare and wrap make
            some; another title on the same illustration makes as many.
    """

    inliers: int
    homography: npt.NDArray[np.float64] | None = None
    unlike: float = 0.0


NO_AGREEMENT = CoverAgreement(0)


def compare(picture: CoverFeatures, cover: CoverFeatures) -> CoverAgreement:
    """Count the places in which a picture and a picture of a cover agree."""
    if min(len(picture), len(cover)) < FEWEST_PAIRS:
        return NO_AGREEMENT
    ours, theirs = pairs_of(picture, cover)
    if len(ours) < FEWEST_PAIRS:
        return NO_AGREEMENT
    here, there = picture.points[ours], cover.points[theirs]
    reach = TOLERANCE * max(cover.size)
    homography = fitted(here, there, reach)
    if homography is None:
        return NO_AGREEMENT
    good = distances(homography, here, there) < reach
    inliers = min(
        places(here[good], TOLERANCE * max(picture.size)),
        places(there[good], reach),
    )
    fields = places(there[good], FIELD * max(cover.size))
    narrow = (
        fields < FEWEST_FIELDS
        or min(breadth(here[good]) / max(picture.size), breadth(there[good]) / max(cover.size)) < BREADTH
    )
    unlike = unlike_share(picture, cover, homography, there[good]) if inliers > MOST_IN_LINE else 0.0
    return CoverAgreement(min(inliers, MOST_IN_LINE) if narrow else inliers, homography, unlike)


def unlike_share(
    picture: CoverFeatures, cover: CoverFeatures, homography: npt.NDArray[np.float64], agreeing: Floats
) -> float:
    """Return the share of squares of a cover in which both pictures have features and none agree; 0 for no square."""
    cell = PART * max(cover.size)
    put = cv2.perspectiveTransform(picture.points[:, None].astype(np.float64), homography)[:, 0]
    ours, theirs, common = (Counter(map(tuple, (each // cell).astype(int))) for each in (put, cover.points, agreeing))
    seen = [square for square, count in theirs.items() if min(count, ours[square]) >= FEWEST_HERE]
    return sum(common[square] == 0 for square in seen) / max(len(seen), 1)


def pairs_of(picture: CoverFeatures, cover: CoverFeatures) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Return features that are each other's nearest, and clearly nearer than the second."""
    likeness = unit_vectors(picture.descriptions) @ unit_vectors(cover.descriptions).T
    rows = np.arange(len(likeness))
    best = likeness.argmax(axis=1)
    first = likeness[rows, best]
    mutual = likeness.argmax(axis=0)[best] == rows
    likeness[rows, best] = -1
    second = likeness.max(axis=1)
    chosen = np.flatnonzero(mutual & (1 - first < RATIO**2 * (1 - second)))
    return chosen, best[chosen]


def fitted(here: Floats, there: Floats, reach: float) -> npt.NDArray[np.float64] | None:
    """Return the homography that most pairs agree on, None where it is none of a camera."""
    homography, _ = cv2.findHomography(here, there, cv2.USAC_MAGSAC, reach, maxIters=TRIES, confidence=CONFIDENCE)
    if homography is None or not np.isfinite(homography).all():
        return None
    stretch = float(np.linalg.det(homography[:2, :2]))
    return np.asarray(homography, np.float64) if 1 / LARGEST_STRETCH < stretch < LARGEST_STRETCH else None


def distances(homography: npt.NDArray[np.float64], here: Floats, there: Floats) -> Floats:
    """Return how far from its pair each point is put."""
    put = cv2.perspectiveTransform(here[:, None].astype(np.float64), homography)[:, 0]
    return np.asarray(np.linalg.norm(put - there, axis=1), np.float32)


def breadth(points: Floats) -> float:
    """Return the standard deviation of points across the line that they lie nearest to.

    >>> breadth(np.array([(0, 0), (5, 0), (9, 0)], np.float32))
    0.0
    """
    if len(points) < 2:
        return 0.0
    return float(np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[1] / np.sqrt(len(points)))


def places(points: Floats, cell: float) -> int:
    """Return in how many cells of a grid there are points."""
    return len(np.unique((points // max(cell, 1e-6)).astype(np.int64), axis=0))
