"""Which runs of books fit on a shelf: running sums, and the first book from which a run still fits.

A run is a stretch of the ordered books, written a..i: it begins with book a and ends before book i.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from intake.model.shelving import Book, Space

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

ROUNDING = 1e-6
"""Tolerance for rounding in sums of thicknesses (mm) and masses (g)."""


@dataclass(frozen=True, slots=True)
class RunningSums:
    """Running sums over n books, n + 1 long (element i is the sum of the first i), and heights and depths, n long."""

    thickness_mm: Floats
    mass_g: Floats
    growth_mm: Floats
    heights_mm: Floats
    depths_mm: Floats


def running_sums(books: Sequence[Book]) -> RunningSums:
    """Return the running sums of books; heights and depths, n long, are not summed."""
    return RunningSums(
        _running([book.thickness_mm for book in books]),
        _running([book.mass_g for book in books]),
        _running([book.growth_mm for book in books]),
        np.array([book.height_mm for book in books], np.float64),
        np.array([book.depth_mm for book in books], np.float64),
    )


def first_starts(total: RunningSums, space: Space) -> Ints:
    """Return for each end i the first a for which the run a..i fits on the shelf; i itself if none does.

    >>> books = [Book(copy="", thickness_mm=30, height_mm=h, depth_mm=200, mass_g=900) for h in (250, 400, 250, 250)]
    >>> first_starts(running_sums(books), Space(shelf="", width_mm=70, height_mm=300)).tolist()
    [0, 0, 2, 2, 2]
    """
    ends = np.arange(len(total.thickness_mm))
    by_width = np.searchsorted(total.thickness_mm, total.thickness_mm - space.width_mm - ROUNDING)
    by_mass = np.searchsorted(total.mass_g, total.mass_g - space.limit_g - ROUNDING)
    # The run must begin after the last book before its end that is too tall or too deep for the shelf.
    unfit = (total.heights_mm > space.height_mm) | (total.depths_mm > space.depth_mm)
    behind = np.maximum.accumulate(np.concatenate([[0], np.where(unfit, ends[1:], 0)]))
    return np.asarray(np.maximum(np.maximum(by_width, by_mass), behind), np.int64)


def ends_inside_sets(books: Sequence[Book]) -> Floats:
    """Return 1.0 for each end between two books of one set, else 0.0."""
    sets = [book.set_id for book in books]
    inner = [a is not None and a == b for a, b in pairwise(sets)]
    return np.array([False, *inner, False][: len(books) + 1], np.float64)


def _running(values: Sequence[float]) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.array(values, np.float64))])
