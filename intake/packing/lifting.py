"""The revised NIOSH lifting equation: recommended weight limit and lifting index of one lift.

    RWL = LC x HM x VM x DM x AM x FM x CM        LI = load / RWL

Source: Waters, Putz-Anderson and Garg, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH)
Publication No. 94-110, revised 2021: the metric multipliers, frequencies of Table 5, couplings of Table 7 (two cells of
which, good and poor for high hands, are from memory). The US form is here too, for the manual's examples are in it; its
constants are no exact conversions. Multipliers are not rounded as the manual's printed ones are.

It supposes two hands, a steady footing, a free posture and no carrying; it does not cover lifting seated or kneeling,
with one hand, in tight places, for longer than 8 hours, of unstable loads, or while carrying, pushing or pulling. An
index of 1 or less is the design goal; it is no promise that nobody is hurt, and local rules decide.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

from intake.errors import UsageError

CAUTION = (
    "The equation supposes two hands, a good footing and room to stand as one likes, and no carrying. An index of 1 or "
    "less is the design goal, not a promise; local rules decide, and a person who feels that it is too heavy is right."
)


class Coupling(StrEnum):
    """How good the hold is: hand-holes of a firm box of at most 40 x 30 cm, fingers under it, or neither."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


@dataclass(frozen=True, slots=True)
class System:
    """The constants of the equation in one system of units; lengths in cm or in, loads in kg or lb."""

    load: float
    reach: float
    reach_most: float
    knuckle: float
    per_height: float
    height_most: float
    travel: float
    travel_least: float
    travel_most: float


METRIC = System(23.0, 25.0, 63.0, 75.0, 0.003, 175.0, 4.5, 25.0, 175.0)
US = System(51.0, 10.0, 25.0, 30.0, 0.0075, 70.0, 1.8, 10.0, 70.0)

FREQUENCY_STEPS = (0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15)
FREQUENCY = {
    (1, False): (1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0.0, 0.0, 0.0),
    (1, True): (1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
    (2, False): (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.0, 0.0, 0.0, 0.0, 0.0),
    (2, True): (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.21, 0.0, 0.0, 0.0),
    (8, False): (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
    (8, True): (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0.0, 0.0, 0.0, 0.0, 0.0),
}
"""Table 5: by hours of lifting (at most) and whether the hands start at or above 75 cm (30 in)."""
COUPLINGS = {
    (Coupling.GOOD, False): 1.0,
    (Coupling.GOOD, True): 1.0,
    (Coupling.FAIR, False): 0.95,
    (Coupling.FAIR, True): 1.0,
    (Coupling.POOR, False): 0.90,
    (Coupling.POOR, True): 0.90,
}
"""Table 7."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One lifting task; by default a box taken from a pallet to a table (common practice, no source).

    Attributes:
        reach: of the hands from the middle of the ankles, horizontally.
        start, end: height of the hands above the floor.
        turn_deg: how far the trunk is turned out of the straight.
        per_minute: lifts a minute.
        hours: how long the lifting lasts, up to 8, with the rests that the manual asks for.
        at_end: reckon where the load is set down; needed where it is set down with care.
    """

    reach: float = 35.0
    start: float = 20.0
    end: float = 75.0
    turn_deg: float = 0.0
    per_minute: float = 1.0
    hours: float = 1.0
    coupling: Coupling = Coupling.FAIR
    at_end: bool = False


@dataclass(frozen=True, slots=True)
class Limit:
    """The six multipliers, in the order of the equation, and the recommended weight limit in kg (or lb)."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float
    weight: float

    def index(self, load: float) -> float:
        """Return the lifting index of a load, infinite where nothing at all should be lifted so."""
        return load / self.weight if self.weight else math.inf


def recommend(lift: Lift, system: System = METRIC) -> Limit:
    """Return the recommended weight limit of a lift.

    Raises:
        UsageError: a length below nothing, a turn of no human body, or longer than the equation covers.

    >>> round(recommend(Lift(reach=25, start=55, end=150, per_minute=3, hours=0.75)).weight, 2)
    15.68
    """
    _check(lift)
    height = lift.end if lift.at_end else lift.start
    travel = max(abs(lift.end - lift.start), system.travel_least)
    parts = (
        system.reach / max(lift.reach, system.reach) if lift.reach <= system.reach_most else 0.0,
        1 - system.per_height * abs(height - system.knuckle) if height <= system.height_most else 0.0,
        0.82 + system.travel / travel if travel <= system.travel_most else 0.0,
        1 - 0.0032 * lift.turn_deg if lift.turn_deg <= 135 else 0.0,
        frequency_multiplier(lift.per_minute, lift.hours, high=lift.start >= system.knuckle),
        COUPLINGS[lift.coupling, height >= system.knuckle],
    )
    return Limit(*parts, weight=system.load * math.prod(parts))


def recommend_both(lift: Lift, system: System = METRIC) -> Limit:
    """Return the lower of the limits at the two ends of a lift: a book box is set down with care."""
    ends = (recommend(replace(lift, at_end=at_end), system) for at_end in (False, True))
    return min(ends, key=lambda limit: limit.weight)


def frequency_multiplier(per_minute: float, hours: float, *, high: bool) -> float:
    """Look the frequency up in Table 5, on a straight line between its rows.

    Args:
        per_minute: lifts a minute.
        hours: the length of the lifting; at most 1, 2 or 8 hours are told apart.
        high: whether the hands start at or above 75 cm.

    >>> frequency_multiplier(3, 0.75, high=False)
    0.88
    """
    column = FREQUENCY[next(limit for limit in (1, 2, 8) if hours <= limit), high]
    if per_minute > FREQUENCY_STEPS[-1]:
        return 0.0
    rows = list(zip(FREQUENCY_STEPS, column, strict=True))
    for (below, first), (above, second) in pairwise(rows):
        if per_minute <= above:
            share = max(0.0, (per_minute - below) / (above - below))
            return first + share * (second - first)
    return column[-1]


def composite_index(tasks: Sequence[tuple[float, Lift]], system: System = METRIC) -> float:
    """Return the composite lifting index of several tasks done in turn (section 2.4 of the manual).

    Args:
        tasks: the load and the lift of each; all with the same hours.
        system: the units.
    """
    seldom = ((load, lift, replace(lift, per_minute=0.2, hours=1.0)) for load, lift in tasks)
    return composite([(recommend(rare, system).index(load), lift) for load, lift, rare in seldom], system)


def composite(rated: Sequence[tuple[float, Lift]], system: System = METRIC) -> float:
    """Return the composite index from each task's index without its frequency, and the task."""

    def factor(lift: Lift, per_minute: float) -> float:
        return frequency_multiplier(per_minute, lift.hours, high=lift.start >= system.knuckle)

    ordered = sorted(rated, key=lambda one: -_over(one[0], factor(one[1], one[1].per_minute)))
    index, often = 0.0, 0.0
    for rank, (plain, lift) in enumerate(ordered):
        before = _over(plain, factor(lift, often)) if rank else 0.0
        often += lift.per_minute
        index += _over(plain, factor(lift, often)) - before
    return index


def _over(plain: float, factor: float) -> float:
    return plain / factor if factor else math.inf


def _check(lift: Lift) -> None:
    if min(lift.reach, lift.start, lift.end, lift.turn_deg, lift.per_minute) < 0:
        raise UsageError("The lift", "has a measure below nothing", "measure it again")
    if lift.turn_deg > 180:
        raise UsageError("The lift", f"turns the trunk by {lift.turn_deg:g} degrees", "give at most 135")
    if not 0 < lift.hours <= 8:
        raise UsageError("The lift", f"lasts {lift.hours:g} hours, which the equation does not cover", "give up to 8")
