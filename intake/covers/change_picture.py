"""Two pictures of one cover in one rectangle, with what changed outlined: for a person to look at."""

from collections.abc import Iterable

import cv2
import numpy as np
import numpy.typing as npt

from intake.covers.cover_frame import Colours
from intake.covers.laid_over import cut_out, places_under, size_of
from intake.model.cover_changes import CoverChange, CoverChanges
from intake.model.readings import Point

MARGIN = 0.03
"""Of the cover, shown around it: a corner that is gone is seen against what lies beyond."""
INK = (214, 40, 57)
UNDER_INK = (255, 255, 255)
GROWN = 0.012
"""Outlines are drawn so far outside the place, of the longer side, so that they do not hide it."""


def covers_shown(before: Colours, after: Colours, found: CoverChanges) -> tuple[Colours, Colours]:
    """Return the covers of two pictures that were compared, each with a margin, point on point.

    Args:
        before: the earlier picture.
        after: the later one.
        found: what was found, COMPARED.
    """
    frames: list[npt.NDArray[np.float64]] = [
        np.array(frame, np.float64) for frame in (found.frame_before, found.frame_after)
    ]
    width, height = size_of(frames[0], frames[1], None)
    beside, above = margins(width, height)
    inner = np.array(
        [(beside, above), (beside + width, above), (beside + width, above + height), (beside, above + height)],
        np.float32,
    )
    size = (width + 2 * beside, height + 2 * above)
    shown = []
    for picture, frame in zip((before, after), frames, strict=True):
        lens = np.asarray(cv2.getPerspectiveTransform(inner - np.float32(0.5), frame.astype(np.float32)), np.float64)
        shown.append(np.asarray(cut_out(picture, places_under(lens, size))[0].clip(0, 255), np.uint8))
    return shown[0], shown[1]


def margins(width: int, height: int) -> tuple[int, int]:
    """Return the margin beside a cover and the one above it, in px."""
    return round(width * MARGIN), round(height * MARGIN)


def size_shown(found: CoverChanges) -> tuple[int, int]:
    """Return width and height of what `covers_shown` returns."""
    width, height = size_of(np.array(found.frame_before), np.array(found.frame_after), None)
    beside, above = margins(width, height)
    return width + 2 * beside, height + 2 * above


def place_shown(outline: Iterable[Point]) -> tuple[Point, ...]:
    """Return an outline in shares of the cover, grown a little, as shares of what `covers_shown` returns."""
    points = np.array(list(outline), np.float64)
    middle = points.mean(axis=0)
    away = points - middle
    far = np.maximum(np.linalg.norm(away, axis=1, keepdims=True), 1e-6)
    grown = points + away / far * GROWN
    return tuple((float(x), float(y)) for x, y in (grown + MARGIN) / (1 + 2 * MARGIN))


def outlined(cover: Colours, changes: Iterable[CoverChange]) -> Colours:
    """Return a picture of `covers_shown` with the places outlined and numbered."""
    out = cover.copy()
    height, width = out.shape[:2]
    thick = max(round(max(height, width) / 400), 1)
    for nth, change in enumerate(changes, 1):
        points = np.array(place_shown(change.outline)) * (width, height)
        for ink, wide in ((UNDER_INK, 3 * thick), (INK, thick)):
            cv2.polylines(out, [np.round(points).astype(np.int32)], isClosed=True, color=ink, thickness=wide)
        number(out, str(nth), points, thick)
    return out


def number(picture: Colours, text: str, points: npt.NDArray[np.float64], thick: int) -> None:
    """Write a number beside an outline, inside the picture."""
    height, width = picture.shape[:2]
    size = max(height, width) / 900
    (wide, high), _ = cv2.getTextSize(text, cv2.FONT_HERSHEY_SIMPLEX, size, thick)
    x = min(max(float(points[:, 0].max()) + 3 * thick, 2.0), width - wide - 2.0)
    y = min(max(float(points[:, 1].min()), high + 2.0), height - 4.0)
    for ink, weight in ((UNDER_INK, 4 * thick), (INK, thick + 1)):
        cv2.putText(picture, text, (int(x), int(y)), cv2.FONT_HERSHEY_SIMPLEX, size, ink, weight, cv2.LINE_AA)


def side_by_side(before: Colours, after: Colours, changes: Iterable[CoverChange]) -> Colours:
    """Return both covers beside each other, the places outlined and numbered in both."""
    told = tuple(changes)
    gap = np.full((before.shape[0], max(before.shape[1] // 40, 4), 3), 255, np.uint8)
    return np.concatenate([outlined(before, told), gap, outlined(after, told)], axis=1)
