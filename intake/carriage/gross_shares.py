"""The gross mass of a box shared among the things in it, for lists that state a gross mass on every line.

Each thing bears carton and padding in proportion to its own mass. Shares are whole grams that add up to the gross mass:
what rounding down leaves goes to the largest remainders (the method of Hamilton).
"""

from collections.abc import Sequence
from math import floor


def share_gross(gross_g: float, net_g: Sequence[float]) -> list[int]:
    """Return the share of each thing in the gross mass, in whole grams.

    Args:
        gross_g: of the box with everything in it.
        net_g: the mass of each thing, all more than 0.

    >>> share_gross(10_000, [3000, 3000, 3000])
    [3334, 3333, 3333]
    """
    whole = sum(net_g)
    exact = [gross_g * mass / whole for mass in net_g]
    shares = [floor(share) for share in exact]
    left = round(gross_g) - sum(shares)
    largest = sorted(range(len(exact)), key=lambda nth: (shares[nth] - exact[nth], nth))
    for nth in largest[:left]:
        shares[nth] += 1
    return shares
