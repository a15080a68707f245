"""The cheapest division of ordered books over ordered shelves, whatever the price of a run is made of.

Dynamic programming over the ends of the shelves: the least cost of placing the first i books on the first s shelves is
the least, over all runs a..i that the shelf can take, of the cost of a books on s - 1 shelves and the price of the run.
An empty shelf costs nothing. Exact; only ends that some division can have are looked at.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from intake.shelving.feasible import Floats, Whole

CHUNK = 512
"""Ends looked at in one go: so many that numpy is busy, so few that they stay in the processor's cache."""


@dataclass(frozen=True, slots=True)
class ShelfCost:
    """What a run a..i costs on one shelf: `running[i] - running[a] + ends[i]`, and what `of_runs` adds.

    Attributes:
        running, ends: one value for each end, n + 1 long.
        of_runs: given the longest run, returns what gives, for the ends in a slice, a matrix of prices: a row for each
            end, a column for each length, the longest first.
    """

    running: Floats
    ends: Floats
    of_runs: Callable[[int], Callable[[slice], Floats]] | None = None


def bands(count: int, firsts: Sequence[Whole]) -> list[tuple[int, int]] | None:
    """Return for each shelf the lowest and the highest end it can have in any division; None where there is none.

    Args:
        count: of books.
        firsts: see `intake.shelving.feasible.first_fitting`, for each shelf.
    """
    highs = reaches(firsts)
    if (highs[-1] if highs else 0) < count:
        return None
    lows, low = [], count
    for first in reversed(firsts):
        lows.append(low)
        low = int(first[low])
    return list(zip(reversed(lows), highs, strict=True))


def reaches(firsts: Sequence[Whole]) -> list[int]:
    """Return how many books, from the first, the shelves up to each one can take."""
    highs, high = [], 0
    for first in firsts:
        high = max(high, int(np.searchsorted(first, high, side="right")) - 1)
        highs.append(high)
    return highs


def divide(
    count: int, firsts: Sequence[Whole], limits: Sequence[tuple[int, int]], price_on: Callable[[int], ShelfCost]
) -> tuple[tuple[int, ...], float]:
    """Find the cheapest division.

    Args:
        count: of books.
        firsts: what each shelf can take.
        limits: from `bands`.
        price_on: gives the price of runs on the shelf with this index.

    Returns:
        The end of each shelf's run, and the cost.
    """
    best = np.full(count + 1, inf)
    best[0] = 0.0
    taken: list[Whole] = []
    for nth, (first, band) in enumerate(zip(firsts, limits, strict=True)):
        best, run = _one_shelf(best, first, band, price_on(nth))
        taken.append(run)
    ends = [count]
    for run, (low, _) in zip(reversed(taken), reversed(limits), strict=True):
        ends.append(ends[-1] - int(run[ends[-1] - low]))
    return tuple(reversed(ends[:-1])), float(best[-1])


def _one_shelf(best: Floats, first: Whole, band: tuple[int, int], price: ShelfCost) -> tuple[Floats, Whole]:
    """Return the least cost with one more shelf, n + 1 long, and how many books it takes for each end of the band."""
    reach = np.arange(len(best)) - first
    longest = max(1, int(reach[band[0] : band[1] + 1].max()))
    before = windows(best - price.running, longest, inf)
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


def windows(values: Floats, longest: int, fill: float) -> Floats:
    """Return for each i the values of i - longest to i - 1; `fill` stands for those before the first."""
    padded = np.concatenate([np.full(longest, fill), values])
    return sliding_window_view(padded, longest)[: len(values)]
