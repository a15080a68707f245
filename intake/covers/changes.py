"""What changed on a cover between two pictures: places to look at, with their part of the book and a measure.

It is never a verdict. What glare hides or the picture cuts off is not judged, and its share is told. A place counts
only if its rim is sharp, as glare and shadows are soft; bright lines count only where there are few, as shrink wrap has
many.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.covers.change_places import CORNERS, part_of, tone_of
from intake.covers.cover_frame import Colours, Floats
from intake.covers.even_light import Differences, Mask, differences
from intake.covers.laid_over import LaidOver, NotLaidOver, lay_over
from intake.model.cover_changes import CompareVerdict, CoverChange, CoverChanges, SpineSide, Unjudged
from intake.model.readings import Point

SURE = 20.0
"""Levels, of 255, by which a place must differ."""
RELIT = 0.5
"""And by so much of what the light around it had to be changed by, as under glare."""
ALSO = 0.6
"""Of that: by which what is joined to the place must differ."""
CORE = 0.4
"""Of its height: where the rim of a place is looked at."""
SMALLEST = 1 / 9000
"""Of the cover: a smaller place is not told."""
NEAR = 0.012
"""Places so near each other, of the longer side, are one."""
RIM = 0.008
"""So much of the longer side along the edges is not judged: the edges themselves are found no better."""
SHARP = 0.09
"""Of its height, the rim of a place must rise by this in a pixel, in the middle of all its rim."""
KNOWN_RIM = 0.4
"""So much of the rim must be seen."""
FEW_LINES = 2
"""Bright lines are told if there are no more,"""
LINE_SURE = 2.0
"""and only those that differ so many times as clearly as other places must."""
LINE = 0.014
"""What is thinner, of the longer side, is a line."""
TOLD = 0.001
MOST = 20
"""Places told at most."""


@dataclass(frozen=True, slots=True, eq=False)
class ChangedPlace:
    """One place in the rectangle of the cover.

    Attributes:
        inside: bool, height by width of the rectangle.
        weight: area by amount, by which places are ordered.
        excess: how many times as much as needed it differs.
        is_bright_line: it is thin, lighter in the later picture, and not at a corner.
    """

    inside: Mask
    weight: float
    excess: float
    is_bright_line: bool


def find_changes(
    before: Colours,
    after: Colours,
    *,
    size_mm: tuple[float, float] | None = None,
    spine: SpineSide | None = None,
) -> CoverChanges:
    """Compare two pictures of one cover.

    Args:
        before: the earlier picture, upright: uint8, height by width by 3.
        after: the later one, in any turn.
        size_mm: width and height of the cover, where known; a cover that lies on its side has its height across.
        spine: the side of the spine in the earlier picture, where known.

    Returns:
        The verdict, and the places that changed.
    """
    laid = lay_over(before, after, size_mm[1] / size_mm[0] if size_mm else None)
    if isinstance(laid, NotLaidOver):
        return CoverChanges(laid.verdict, laid.places)
    compared = differences(laid.before, laid.after, laid.shown)
    pieces, soft = pieces_in(compared)
    told, shine = told_apart(pieces)
    told.sort(key=lambda piece: -piece.weight)
    scale = mm_per_px(laid.shown.shape, size_mm)
    return CoverChanges(
        CompareVerdict.COMPARED,
        laid.places,
        tuple(change_of(piece, laid, compared, scale, spine) for piece in told[:MOST]),
        points_of(laid.frame_before),
        points_of(laid.frame_after),
        unjudged(laid, compared, shine, soft),
    )


def told_apart(pieces: Sequence[ChangedPlace]) -> tuple[list[ChangedPlace], list[ChangedPlace]]:
    """Return the places to tell, and the bright lines that may be the shine of a wrap or of gloss."""
    bright = [piece for piece in pieces if piece.is_bright_line]
    clear = [piece for piece in bright if piece.excess >= LINE_SURE]
    shine = bright if len(clear) > FEW_LINES else [piece for piece in bright if piece.excess < LINE_SURE]
    return [piece for piece in pieces if not any(piece is line for line in shine)], shine


def pieces_in(compared: Differences) -> tuple[list[ChangedPlace], Mask]:
    """Return the places that differ clearly and have a sharp rim, joined where they are near; and what has none."""
    longest, rim = max(compared.amount.shape), max(round(RIM * max(compared.amount.shape)), 2)
    inner = np.zeros(compared.amount.shape, bool)
    inner[rim:-rim, rim:-rim] = True
    excess = np.where(inner, compared.amount / (SURE + RELIT * compared.relit), 0).astype(np.float32)
    weak = cv2.morphologyEx(np.asarray(excess > ALSO, np.uint8), cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(weak, connectivity=8)
    steep, known = steepness(compared), compared.judged & inner
    kept, soft = np.zeros(weak.shape, np.uint8), np.zeros(weak.shape, bool)
    small = SMALLEST * excess.size
    for label in range(1, count):
        left, top, wide, high, area = stats[label]
        around = (slice(max(top - 6, 0), top + high + 6), slice(max(left - 6, 0), left + wide + 6))
        inside = labels[around] == label
        if area < small / 3 or excess[around][inside].max() < 1:
            continue
        peak = float(np.quantile(excess[around][inside], 0.9))
        core = inside & (excess[around] > CORE * peak)
        if is_sharp(core, compared.amount[around], steep[around], known[around]):
            kept[around][core] = 1
        elif core.sum() >= small:
            soft[around] |= core
    near = max(round(NEAR * longest), 1)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * near + 1, 2 * near + 1))
    count, joined = cv2.connectedComponents(cv2.dilate(kept, disc))
    pieces = [piece_of((joined == label) & (kept > 0), compared, excess) for label in range(1, count)]
    return [piece for piece in pieces if piece.inside.sum() >= small and piece.excess >= 1], soft


def steepness(compared: Differences) -> Floats:
    """Return by how many levels a pixel the difference changes at each place, in its most different colour."""
    apart = compared.after - compared.before
    across, down = (cv2.Sobel(apart, cv2.CV_32F, *way) / 8 for way in ((1, 0), (0, 1)))
    return np.asarray(np.sqrt(across**2 + down**2).max(axis=-1), np.float32)


def is_sharp(core: Mask, amount: Floats, steep: Floats, known: Mask) -> bool:
    """Return whether the rim of a place is sharp, as far as it is not the rim of what is not judged."""
    seen = core.astype(np.uint8)
    ring = (cv2.dilate(seen, np.ones((5, 5), np.uint8)) > 0) & (cv2.erode(seen, np.ones((3, 3), np.uint8)) == 0)
    known = cv2.erode(known.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    if np.mean(known[ring]) < KNOWN_RIM:
        return False
    rise = cv2.dilate(np.where(known, steep, 0), np.ones((5, 5), np.uint8))[ring & known]
    height = float(np.quantile(amount[core], 0.9))
    return float(np.median(rise)) >= SHARP * height


def piece_of(inside: Mask, compared: Differences, excess: Floats) -> ChangedPlace:
    """Return a place with what it weighs."""
    area = float(inside.sum())
    rim = inside & (cv2.erode(inside.astype(np.uint8), np.ones((3, 3), np.uint8)) == 0)
    is_thin = 2 * area / max(float(rim.sum()), 1.0) < LINE * max(inside.shape)
    lighter = float(compared.signed[inside].mean()) > 0
    rows, columns = np.nonzero(inside)
    outline = np.stack([columns / inside.shape[1], rows / inside.shape[0]], axis=1).astype(np.float64)
    at_corner = part_of(outline, None) in CORNERS.values()
    clearly = float(np.quantile(excess[inside], 0.75))
    return ChangedPlace(inside, float(compared.amount[inside].sum()), clearly, is_thin and lighter and not at_corner)


def change_of(
    piece: ChangedPlace,
    laid: LaidOver,
    compared: Differences,
    mm: tuple[float, float] | None,
    spine: SpineSide | None,
) -> CoverChange:
    """Return a place as it is told."""
    height, width = piece.inside.shape
    contours, _ = cv2.findContours(piece.inside.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    hull = cv2.convexHull(np.concatenate(contours))[:, 0].astype(np.float32)
    length = wide = None
    if mm is not None:
        _, sides, _ = cv2.minAreaRect((hull + 0.5) * np.array(mm, np.float32))
        wide, length = sorted(float(side) + min(mm) for side in sides)
    shares = np.asarray((hull + 0.5) / np.array([width, height]), np.float64)
    corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], np.float32)
    lens = cv2.getPerspectiveTransform(corners, laid.frame_before.astype(np.float32))
    in_before = np.asarray(cv2.perspectiveTransform(shares[None], lens)[0], np.float64)
    columns, rows = hull[:, 0].astype(int), hull[:, 1].astype(int)
    return CoverChange(
        part=part_of(shares, spine),
        tone=tone_of(compared.signed[piece.inside], compared.amount[piece.inside]),
        share=float(piece.inside.mean()),
        outline=points_of(shares),
        in_before=points_of(in_before),
        in_after=points_of(laid.sources[rows, columns]),
        length_mm=length,
        width_mm=wide,
    )


def mm_per_px(shape: tuple[int, ...], size_mm: tuple[float, float] | None) -> tuple[float, float] | None:
    """Return the size of a pixel of the rectangle, turned as the cover lies."""
    if size_mm is None:
        return None
    height, width = shape
    lies = (height >= width) != (size_mm[1] >= size_mm[0])
    wide, high = size_mm[::-1] if lies else size_mm
    return wide / width, high / height


def unjudged(laid: LaidOver, compared: Differences, shine: Sequence[ChangedPlace], soft: Mask) -> dict[Unjudged, float]:
    """Return which shares of the cover were not judged."""
    shares = {
        Unjudged.GLARE: float((compared.burnt & laid.shown).mean()),
        Unjudged.CUT_OFF: float((~laid.shown).mean()),
        Unjudged.SHINE: float(sum(piece.inside.mean() for piece in shine)),
        Unjudged.SOFT: float(soft.mean()),
    }
    always = (Unjudged.SHINE, Unjudged.SOFT)
    return {why: share for why, share in shares.items() if share >= TOLD or (why in always and share > 0)}


def points_of(places: npt.NDArray[np.floating]) -> tuple[Point, ...]:
    """Return places as points."""
    return tuple((float(x), float(y)) for x, y in places)
