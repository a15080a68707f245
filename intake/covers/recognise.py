"""Which cover a picture shows: the likest are listed, each is compared, and what agrees is ranked with a probability.

The probability is a posterior. That so many places agree by chance becomes rarer by a constant factor with every one;
that two pictures of one cover agree in so many depends little on the number. The ratio of the two, `ODDS_AT_ASK` and
`GROWTH`, was fitted to the development photographs (907 pairs of one book, 5,000 of two; see
`tests.benchmarks.cover_table`); the odds before are one in as many as there were covers compared. It says how sure
the picture is, not which of two books with one cover is meant.
"""

import math
from collections.abc import Callable, Sequence

import cv2
import numpy as np
import numpy.typing as npt

from intake.covers.cover_features import CoverFeatures
from intake.covers.same_cover import CoverAgreement, compare
from intake.covers.short_list import CoverIndex
from intake.model.covers import CoverCandidate, CoverVerdict
from intake.model.readings import Point

LISTED = 50
"""Covers compared at most."""
ASK = 12
"""Places that must agree to be shown to a person."""
SURE = 22
"""Places that pictures of two covers hardly ever agree in; once one agrees in as many, fewer others are compared."""
STATED = 30
"""Places that must agree to say that it is the same cover: of 370 strangers drawn with the same few words one reached
24, and of a dozen with the same words in the same type one 22."""
UNLIKE = 0.2
"""Share of squares that may be unlike for that: of three covers with the same illustration and another title none had
less than 0.27; of 68 photographs of the same cover six have more than this, most under wrap, and are asked about. A
title in large plain letters has few features, and another in its place may not be noticed."""
ODDS_AT_ASK = 3.4
"""How much likelier `ASK` places are between pictures of one cover than of two."""
GROWTH = 0.5
"""By how much the logarithm of these odds grows with every further place."""
NEAR = 0.5
"""Another cover that agrees in this share of the best one's places is not told from it."""
FAR_BEHIND = 0.2
"""Once one is proved, covers are not compared of which less than this share of what spoke for it speaks."""


def recognise(
    picture: CoverFeatures,
    index: CoverIndex,
    features_of: Callable[[int], CoverFeatures | None],
    *,
    listed: int = LISTED,
) -> tuple[CoverCandidate, ...]:
    """Compare a picture with the covers that it is likest to.

    Args:
        picture: its features.
        index: the covers.
        features_of: returns the features of a cover of the index; None where they are lost.
        listed: how many are compared at most.

    Returns:
        The covers that agree in at least `ASK` places, best first.
    """
    compared, proved = 0, 0.0
    agreeing: list[tuple[int, CoverAgreement, tuple[Point, ...]]] = []
    for cover, score in index.shortlist(picture, listed):
        if score < FAR_BEHIND * proved:
            break
        features = features_of(cover)
        if features is None:
            continue
        compared += 1
        agreement = compare(picture, features)
        if agreement.homography is None or agreement.inliers < ASK:
            continue
        agreeing.append((cover, agreement, outline_of(agreement.homography, features.size)))
        if agreement.inliers >= SURE:
            proved = max(proved, score)
    agreeing.sort(key=lambda each: -each[1].inliers)
    return tuple(
        CoverCandidate(cover, found.inliers, probability_of(found.inliers, compared), corners, found.unlike > UNLIKE)
        for cover, found, corners in agreeing
    )


def probability_of(inliers: int, compared: int) -> float:
    """Return the probability that two pictures show one cover, after so many covers were compared.

    >>> probability_of(12, 50) < 0.1 < 0.9 < probability_of(22, 50)
    True
    """
    log_odds = math.log(ODDS_AT_ASK) + GROWTH * (inliers - ASK) - math.log(max(compared, 1))
    return 1 / (1 + math.exp(-log_odds))


def outline_of(homography: npt.NDArray[np.float64], size: tuple[int, int]) -> tuple[Point, ...]:
    """Return where the corners of a cover's picture lie in the picture that the homography leads from."""
    width, height = size
    corners = np.array([[(0, 0), (width, 0), (width, height), (0, height)]], np.float64)
    there = cv2.perspectiveTransform(corners, np.linalg.inv(homography))[0]
    return tuple((float(x), float(y)) for x, y in there)


def judge(agreeing: Sequence[tuple[str, int]], *, unlike: bool = False) -> tuple[CoverVerdict, tuple[str, ...]]:
    """Return the verdict on what `recognise` found, and whose covers it is about.

    Args:
        agreeing: what each known picture shows, and in how many places it agrees, best first. Several pictures may show
            one thing, and one picture several.
        unlike: whether parts of the best show something else.

    Returns:
        The verdict, and the owners: one if it is SAME, those to choose from, best first, if it is SEVERAL or PERHAPS.

    >>> judge([("A", 60), ("A", 28), ("B", 14)])
    (<CoverVerdict.SAME: 'same'>, ('A',))
    >>> judge([("A", 60), ("B", 26)])
    (<CoverVerdict.SEVERAL: 'several'>, ('A', 'B'))
    """
    best: dict[str, int] = {}
    for owner, inliers in agreeing:
        best[owner] = max(best.get(owner, 0), inliers)
    if not best:
        return CoverVerdict.NONE, ()
    most = max(best.values())
    if most < STATED:
        return CoverVerdict.PERHAPS, tuple(best)
    near = tuple(owner for owner, inliers in best.items() if inliers >= min(SURE, NEAR * most))
    if unlike and len(near) == 1:
        return CoverVerdict.PERHAPS, near
    return (CoverVerdict.SAME, near) if len(near) == 1 else (CoverVerdict.SEVERAL, near)
