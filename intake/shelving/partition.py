"""The cheapest division of ordered books over ordered shelves, for any cost of a run.

Dynamic programming over the ends of the shelves: the least cost of placing the first i books on the first s shelves is
the minimum, over all runs a..i that fit on shelf s, of the cost of a books on s - 1 shelves plus the cost of the run.
An empty shelf costs nothing. The result is exact; only ends that are possible in some division are evaluated.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from intake.shelving.feasible import Floats, Ints

CHUNK = 512
"""Ends evaluated at a time: enough for numpy to be efficient, few enough to stay in the processor's cache."""


@dataclass(frozen=True, slots=True)
class ShelfCost:
    """The cost of a run a..i on one shelf: `running[i] - running[a] + ends[i]`, plus that of `of_runs`.

    Attributes:
        running, ends: one value for each end, n + 1 long.
        of_runs: from the longest run to a function that returns, for the ends in a slice, a matrix of costs: a row for
            each end, a column for each length, the longest first.
    """

    running: Floats
    ends: Floats
    of_runs: Callable[[int], Callable[[slice], Floats]] | None = None


def end_ranges(count: int, firsts: Sequence[Ints]) -> list[tuple[int, int]] | None:
    """Return for each shelf the lowest and the highest end it can have in any division; None if there is no division.

    Args:
        count: number of books.
        firsts: the result of `intake.shelving.feasible.first_starts` for each shelf.
    """
    highs = greatest_ends(firsts)
    if (highs[-1] if highs else 0) < count:
        return None
    lows, low = [], count
    for first in reversed(firsts):
        lows.append(low)
        low = int(first[low])
    return list(zip(reversed(lows), highs, strict=True))


def greatest_ends(firsts: Sequence[Ints]) -> list[int]:
    """Return how many books, from the first, fit on the shelves up to each shelf."""
    highs, high = [], 0
    for first in firsts:
        high = max(high, int(np.searchsorted(first, high, side="right")) - 1)
        highs.append(high)
    return highs


def cheapest_division(
    count: int, firsts: Sequence[Ints], limits: Sequence[tuple[int, int]], price_on: Callable[[int], ShelfCost]
) -> tuple[tuple[int, ...], float]:
    """Find the cheapest division.

    Args:
        count: number of books.
        firsts: the result of `intake.shelving.feasible.first_starts` for each shelf.
        limits: from `end_ranges`.
        price_on: returns the cost of runs on the shelf with an index.

    Returns:
        The end of each shelf's run, and the total cost.
    """
    best = np.full(count + 1, inf)
    best[0] = 0.0
    taken: list[Ints] = []
    for nth, (first, band) in enumerate(zip(firsts, limits, strict=True)):
        best, run = _one_shelf(best, first, band, price_on(nth))
        taken.append(run)
    ends = [count]
    for run, (low, _) in zip(reversed(taken), reversed(limits), strict=True):
        ends.append(ends[-1] - int(run[ends[-1] - low]))
    return tuple(reversed(ends[:-1])), float(best[-1])


def _one_shelf(best: Floats, first: Ints, band: tuple[int, int], price: ShelfCost) -> tuple[Floats, Ints]:
    """Return the least cost with one more shelf, n + 1 long, and the number of its books for each end of the band."""
    reach = np.arange(len(best)) - first
    longest = max(1, int(reach[band[0] : band[1] + 1].max()))
    before = sliding_windows(best - price.running, longest, inf)
    of_runs = price.of_runs(longest) if price.of_runs else None
    lengths = np.arange(longest, 0, -1)
    new, taken = np.full_like(best, inf), np.zeros(band[1] + 1 - band[0], np.int64)
    for low in range(band[0], band[1] + 1, CHUNK):
        rows = slice(low, min(low + CHUNK, band[1] + 1))
        costs = before[rows].copy()
        if of_runs is not None:
            costs += of_runs(rows)
        np.putmask(costs, lengths > reach[rows, None], inf)
        choice = costs.argmin(axis=1)
        filled = costs[np.arange(len(choice)), choice] + price.running[rows] + price.ends[rows]
        new[rows] = np.minimum(filled, best[rows])
        taken[low - band[0] : rows.stop - band[0]] = np.where(filled < best[rows], lengths[choice], 0)
    return new, taken


def sliding_windows(values: Floats, longest: int, fill: float) -> Floats:
    """Return for each i the values from i - longest to i - 1, padded with `fill` before the first."""
    padded = np.concatenate([np.full(longest, fill), values])
    return sliding_window_view(padded, longest)[: len(values)]
