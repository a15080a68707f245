"""Two pictures of one cover laid over each other: both cut out to one rectangle, point on point.

The homography of the features that agree brings the edges of the cover together (`cover_frame`); what is left, of a
lens that bends, a board that is not flat, is found by comparing patches, and evened by a polynomial of the third degree
in both directions, which damage of a few centimetres cannot follow.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.covers.cover_features import CoverFeatures, describe
from intake.covers.cover_frame import Colours, Floats, Homography, find_frame
from intake.covers.same_cover import TOLERANCE, compare, distances, pairs_of
from intake.model.cover_changes import CompareVerdict

FEATURES = 1500
FEWEST_PLACES = 10
"""Places that must agree; whether the whole cover does, is compared afterwards."""
LARGEST_PX = 1000
"""The longer side of the cover at most: half a millimetre a pixel of a very large book."""
SMALLEST_PX = 160
PATCH_PX = 40
SEARCH_PX = 9
SPREAD_PX = 800
"""The longer side of the pictures in which patches are first compared."""
STEPS_PX = (40, 24)
"""Patches are compared so far apart: first roughly, then again."""
LEAST_SPREAD = 4.0
"""Levels of standard deviation that a patch must have to be compared."""
ALIKE = 0.6
"""Correlation from which a patch tells where it belongs."""
FEWEST_PATCHES = 6
LEAST_SHARE = 0.35
"""Of the patches that show something, so many must be found again, or the cover is another's."""


@dataclass(frozen=True, slots=True, eq=False)
class LaidOver:
    """Two covers in one rectangle.

    Attributes:
        before, after: float32, height by width by 3, 0 to 255.
        shown: bool, height by width: where both pictures show the cover.
        places: in which the pictures agree.
        frame_before, frame_after: the corners of the cover in the pictures, 4 by 2, in pixels.
        sources: float32, height by width by 2: the place of the later picture that each pixel is from.
    """

    before: Floats
    after: Floats
    shown: npt.NDArray[np.bool_]
    places: int
    frame_before: npt.NDArray[np.float64]
    frame_after: npt.NDArray[np.float64]
    sources: Floats


@dataclass(frozen=True, slots=True)
class NotLaidOver:
    """Why two pictures could not be laid over each other."""

    verdict: CompareVerdict
    places: int = 0


def lay_over(before: Colours, after: Colours, aspect: float | None = None) -> LaidOver | NotLaidOver:
    """Lay two pictures of one cover over each other.

    Args:
        before: the earlier picture: uint8, height by width by 3.
        after: the later one.
        aspect: height of the cover by its width, where it is known.
    """
    ours, theirs = (describe(grey_of(picture), FEATURES) for picture in (before, after))
    agreement = compare(theirs, ours)
    if agreement.homography is None or agreement.inliers < FEWEST_PLACES:
        return NotLaidOver(CompareVerdict.STRANGE, agreement.inliers)
    agreeing = agreeing_points(theirs, ours, agreement.homography)
    lens, further = spread(before, after, agreement.homography)
    frame = find_frame(before, after, lens, np.concatenate([agreeing, further]))
    if frame is None:
        return NotLaidOver(CompareVerdict.UNFRAMED, agreement.inliers)
    back = np.linalg.inv(lens)
    frame_after = cv2.perspectiveTransform(frame[None], back)[0].astype(np.float64)
    size = size_of(frame, frame_after, aspect)
    if max(size) < SMALLEST_PX:
        return NotLaidOver(CompareVerdict.SMALL, agreement.inliers)
    first, _ = cut_out(before, places_under(onto(frame, size), size))
    onto_after = onto(frame_after, size)
    moved = np.zeros((size[1], size[0], 2), np.float32)
    sources = places_under(onto_after, size)
    second, shown = cut_out(after, sources)
    for step in STEPS_PX:
        shifts = patch_shifts(first, second, shown, step)
        if len(shifts.found) < FEWEST_PATCHES or len(shifts.found) < LEAST_SHARE * shifts.compared:
            return NotLaidOver(CompareVerdict.STRANGE, agreement.inliers)
        moved = moved + even_shift(shifts.found, size)
        sources = places_under(onto_after, size, moved)
        second, shown = cut_out(after, sources)
    return LaidOver(first, second, shown, agreement.inliers, frame, frame_after, sources)


def grey_of(picture: Colours) -> npt.NDArray[np.uint8]:
    """Return the grey of a picture in colours."""
    return np.asarray(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), np.uint8)


def agreeing_points(theirs: CoverFeatures, ours: CoverFeatures, lens: Homography) -> Floats:
    """Return where in the earlier picture features agree with the later one."""
    there, here = pairs_of(theirs, ours)
    good = distances(lens, theirs.points[there], ours.points[here]) < TOLERANCE * max(ours.size)
    return ours.points[here[good]]


def spread(before: Colours, after: Colours, lens: Homography) -> tuple[Homography, Floats]:
    """Spread the agreement over the cover: features may crowd where the title is.

    Returns:
        The homography that patches all over the cover agree on, and their middles, n by 2, in pixels of the earlier
        picture; the homography given, and none, where few are found.
    """
    height, width = before.shape[:2]
    scale = min(SPREAD_PX / max(height, width), 1.0)
    to_small = np.diag([scale, scale, 1.0])
    small = cv2.resize(before, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    size = (small.shape[1], small.shape[0])
    there, shown = cut_out(after, places_under(np.asarray(np.linalg.inv(to_small @ lens), np.float64), size))
    found = patch_shifts(np.asarray(small, np.float32), there, shown, STEPS_PX[-1]).found
    if len(found) < FEWEST_PATCHES:
        return lens, np.zeros((0, 2), np.float32)
    middles = found[:, :2]
    fix, good = cv2.findHomography(middles + found[:, 2:], middles, cv2.RANSAC, 1.5)
    if fix is None or good.sum() < FEWEST_PATCHES:
        return lens, np.zeros((0, 2), np.float32)
    fixed = np.linalg.inv(to_small) @ fix @ to_small @ lens
    return fixed, np.asarray(middles[good.ravel() > 0] / scale, np.float32)


def size_of(
    frame_before: npt.NDArray[np.float64], frame_after: npt.NDArray[np.float64], aspect: float | None
) -> tuple[int, int]:
    """Return width and height of the rectangle: what the coarser picture has."""
    sides = [np.linalg.norm(frame - np.roll(frame, -1, axis=0), axis=1) for frame in (frame_before, frame_after)]
    wide = min(float(max(each[0], each[2])) for each in sides)
    high = min(float(max(each[1], each[3])) for each in sides)
    longest = min(max(wide, high), LARGEST_PX)
    shape = high / wide
    if aspect is not None:  # a cover that lies on its side in the picture is as wide as it is high
        shape = aspect if (shape >= 1) == (aspect >= 1) else 1 / aspect
    return (round(longest / shape), round(longest)) if shape >= 1 else (round(longest), round(longest * shape))


def onto(frame: npt.NDArray[np.float64], size: tuple[int, int]) -> Homography:
    """Return the homography from the pixels of a rectangle to a picture in which its corners lie so."""
    width, height = size
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32) - np.float32(0.5)
    return np.asarray(cv2.getPerspectiveTransform(corners, frame.astype(np.float32)), np.float64)


def places_under(lens: Homography, size: tuple[int, int], moved: Floats | None = None) -> Floats:
    """Return where a homography puts each pixel of a rectangle, moved by so much before; height by width by 2."""
    width, height = size
    grid = np.stack(np.meshgrid(np.arange(width), np.arange(height)), axis=-1).astype(np.float64)
    return np.asarray(cv2.perspectiveTransform(grid if moved is None else grid + moved, lens), np.float32)


def cut_out(picture: Colours, sources: Floats) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Return the picture at these places, and where these are inside it; what is much finer is smoothed before."""
    down, across = (np.median(np.linalg.norm(np.diff(sources, axis=axis), axis=-1)) for axis in (0, 1))
    step = float(max(down, across))
    soft = cv2.GaussianBlur(picture, (0, 0), 0.4 * step) if step > 1.3 else picture
    x, y = np.ascontiguousarray(sources[..., 0]), np.ascontiguousarray(sources[..., 1])
    shown = cv2.remap(soft, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    high, wide = picture.shape[:2]
    inside = (x >= 1) & (y >= 1) & (x < wide - 2) & (y < high - 2)
    return np.asarray(shown, np.float32), np.asarray(inside, bool)


@dataclass(frozen=True, slots=True, eq=False)
class PatchShifts:
    """Where patches were found again: x, y, and by how much they are moved there; and how many were compared."""

    found: npt.NDArray[np.float64]
    compared: int


def patch_shifts(first: Floats, second: Floats, shown: npt.NDArray[np.bool_], step: int) -> PatchShifts:
    """Find patches of the first cover again in the second."""
    ours, theirs = (evened(each.mean(axis=-1)) for each in (first, second))
    height, width = ours.shape
    found, compared = [], 0
    reach = PATCH_PX // 2 + SEARCH_PX
    for y in range(reach, height - reach, step):
        for x in range(reach, width - reach, step):
            half = PATCH_PX // 2
            patch = ours[y - half : y + half, x - half : x + half]
            if not shown[y - half : y + half, x - half : x + half].all() or patch.std() < LEAST_SPREAD:
                continue
            compared += 1
            scores = cv2.matchTemplate(
                theirs[y - reach : y + reach, x - reach : x + reach], patch, cv2.TM_CCOEFF_NORMED
            )
            (_, score, _, at) = cv2.minMaxLoc(scores)
            if score >= ALIKE and 0 < at[0] < 2 * SEARCH_PX and 0 < at[1] < 2 * SEARCH_PX:
                across = vertex(*scores[at[1], at[0] - 1 : at[0] + 2].tolist())
                down = vertex(*scores[at[1] - 1 : at[1] + 2, at[0]].tolist())
                found.append((x, y, at[0] + across - SEARCH_PX, at[1] + down - SEARCH_PX))
    return PatchShifts(np.array(found, np.float64).reshape(-1, 4), compared)


def evened(grey: npt.NDArray[np.floating]) -> Floats:
    """Return a picture less its light."""
    soft = cv2.GaussianBlur(grey, (0, 0), 1.0)
    return np.asarray(soft - cv2.GaussianBlur(grey, (0, 0), 20.0), np.float32)


def vertex(left: float, middle: float, right: float) -> float:
    """Return where the parabola through three values, one apart, is highest; the middle is the highest of them.

    >>> vertex(0.0, 3.0, 3.0)
    0.5
    """
    bend = left - 2 * middle + right
    return 0.0 if bend == 0 else 0.5 * (left - right) / bend


def even_shift(found: npt.NDArray[np.float64], size: tuple[int, int]) -> Floats:
    """Return by how much each pixel is moved, height by width by 2: a polynomial that most patches agree on."""
    degree = 3 if len(found) >= 80 else 2 if len(found) >= 30 else 1
    width, height = size
    powers = [(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)]

    def terms(x: npt.NDArray[np.float64], y: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        u, v = 2 * x / width - 1, 2 * y / height - 1
        return np.stack([u**i * v**j for i, j in powers], axis=-1)

    basis = terms(found[:, 0], found[:, 1])
    good = np.ones(len(found), bool)
    for _ in range(5):
        ridge = 1e-3 * good.sum() * np.eye(len(powers))
        solved = np.linalg.solve(basis[good].T @ basis[good] + ridge, basis[good].T @ found[good, 2:])
        off = np.linalg.norm(basis @ solved - found[:, 2:], axis=1)
        good = off < max(3 * float(np.median(off)), 0.3)
    x, y = np.meshgrid(np.arange(width, dtype=np.float64), np.arange(height, dtype=np.float64))
    moved = np.clip(terms(x, y) @ solved, -SEARCH_PX, SEARCH_PX)
    return np.asarray(moved, np.float32)
