"""Lower bounds on the number of boxes that any packing needs.

`by_mass` is the bound L2 of Martello and Toth (Knapsack Problems, Wiley 1990, section 8.3): pieces heavier than half a
box cannot share one, and only part of the rest fits into the space they leave. `by_sum` fills the largest boxes first.
Both ignore shapes, so a packing may need more.
"""

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence

TINY = 1e-9


def by_mass(pieces: Sequence[float], capacity: float) -> int:
    """Return the bound L2 on the number of boxes of one capacity; for n pieces in n log n steps.

    >>> by_mass([6, 6, 6, 4, 4], 10), by_mass([6, 6, 6], 10)
    (3, 3)
    """
    ordered = sorted(pieces)
    sums = [0.0, *itertools.accumulate(ordered)]
    half = bisect_right(ordered, capacity / 2 + TINY)
    best = math.ceil(sums[-1] / capacity - TINY)
    for least in {0.0, *(piece for piece in ordered if piece <= capacity / 2)}:
        shareable = max(half, bisect_right(ordered, capacity - least + TINY))
        alone, halves = len(ordered) - shareable, shareable - half
        small = sums[half] - sums[min(half, bisect_left(ordered, least - TINY))]
        free = halves * capacity - (sums[shareable] - sums[half])
        best = max(best, alone + halves + max(0, math.ceil((small - free) / capacity - TINY)))
    return best


def by_sum(amount: float, capacities: Iterable[tuple[float, int | None]]) -> int:
    """Return how many boxes an amount needs, filling the largest first.

    Args:
        amount: total mass or volume.
        capacities: pairs of the capacity of one box and the number available; None for any number.

    >>> by_sum(50, [(20, 1), (15, None)])
    3
    """
    needed = 0
    for capacity, count in sorted(capacities, key=lambda pair: -pair[0]):
        if amount <= TINY or capacity <= 0:
            break
        used = math.ceil(amount / capacity - TINY)
        used = used if count is None else min(used, count)
        needed += used
        amount -= used * capacity
    return needed
