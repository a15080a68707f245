"""The cheapest division of ordered books over ordered shelves, for any cost of a run.

Dynamic programming over the ends of the shelves: the least cost of placing the first i books on the first s shelves is
the minimum, over all runs a..i that fit on shelf s, of the cost of a books on s - 1 shelves plus the cost of the run.
An empty shelf costs nothing. The result is exact; only ends that are possible in some division are evaluated. How many
these are grows with the books, so that the time grows with books times shelves; `narrowed` keeps to those near a known
division.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
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
        running, ends: one value for each end that was asked about.
        of_runs: given the longest run, returns a function from a slice of the ends that were asked about to a matrix of
            costs: a row for each end, a column for each length, the longest first.
    """

    running: Floats
    ends: Floats
    of_runs: Callable[[int], Callable[[slice], Floats]] | None = None


PriceOn = Callable[[int, slice], ShelfCost]
"""Returns the price of runs on the shelf with an index, for the ends in a slice of 0 to n."""


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


def narrowed(
    limits: Sequence[tuple[int, int]], firsts: Sequence[Ints], near: Sequence[int], most: int
) -> list[tuple[int, int]]:
    """Keep of each shelf's band the ends near a division, where there are more than `most`.

    Args:
        limits: from `end_ranges`.
        firsts: see `intake.shelving.feasible.first_starts`, for each shelf.
        near: the end of each shelf's run in a division that need not be possible; the nearest possible one is taken.
        most: ends kept on each side of it.

    Returns:
        The bands; the division that was taken lies in them, so that some division does.
    """
    kept: list[tuple[int, int]] = []
    end = 0
    for (low, high), first, wanted in zip(limits, firsts, near, strict=True):
        reach = int(np.searchsorted(first, end, side="right")) - 1
        end = max(end, min(reach, max(wanted, low)))
        kept.append((max(low, end - most), min(high, end + most)))
    return kept


def cheapest_division(
    count: int, firsts: Sequence[Ints], limits: Sequence[tuple[int, int]], price_on: PriceOn
) -> tuple[tuple[int, ...], float]:
    """Find the cheapest division.

    Args:
        count: number of books.
        firsts: the result of `intake.shelving.feasible.first_starts` for each shelf.
        limits: from `end_ranges` or `narrowed`.
        price_on: returns the cost of runs on the shelf with an index.

    Returns:
        The end of each shelf's run, and the total cost.
    """
    best = np.full(count + 1, inf)
    best[0] = 0.0
    before = (0, 0)
    taken: list[Ints] = []
    for nth, (first, band) in enumerate(zip(firsts, limits, strict=True)):
        costs, run = _one_shelf(best, first, band, partial(price_on, nth))
        best[before[0] : before[1] + 1] = inf
        best[band[0] : band[1] + 1] = costs
        before = band
        taken.append(run)
    ends = [count]
    for run, (low, _) in zip(reversed(taken), reversed(limits), strict=True):
        ends.append(ends[-1] - int(run[ends[-1] - low]))
    return tuple(reversed(ends[:-1])), float(best[-1])


def _one_shelf(
    best: Floats, first: Ints, band: tuple[int, int], price_of: Callable[[slice], ShelfCost]
) -> tuple[Floats, Ints]:
    """Return for each end of the band the least cost with one more shelf, and the number of its books."""
    low, high = band
    reach = np.arange(low, high + 1) - first[low : high + 1]
    longest = max(1, int(reach.max()))
    begin = max(0, low - longest)
    price = price_of(slice(begin, high + 1))
    before = sliding_windows(best[begin : high + 1] - price.running, longest, inf)
    of_runs = price.of_runs(longest) if price.of_runs else None
    lengths = np.arange(longest, 0, -1)
    new, taken = np.full(high + 1 - low, inf), np.zeros(high + 1 - low, np.int64)
    for start in range(0, len(new), CHUNK):
        ends = slice(start, min(start + CHUNK, len(new)))
        rows = slice(ends.start + low - begin, ends.stop + low - begin)
        costs = before[rows].copy()
        if of_runs is not None:
            costs += of_runs(rows)
        np.putmask(costs, lengths > reach[ends, None], inf)
        choice = costs.argmin(axis=1)
        filled = costs[np.arange(len(choice)), choice] + price.running[rows] + price.ends[rows]
        empty = best[ends.start + low : ends.stop + low]
        new[ends] = np.minimum(filled, empty)
        taken[ends] = np.where(filled < empty, lengths[choice], 0)
    return new, taken


def sliding_windows(values: Floats, longest: int, fill: float) -> Floats:
    """Return for each i the values from i - longest to i - 1, padded with `fill` before the first."""
    padded = np.concatenate([np.full(longest, fill), values])
    return sliding_window_view(padded, longest)[: len(values)]
