"""The revised NIOSH lifting equation: recommended weight limit and lifting index of one lift.

    RWL = LC x HM x VM x DM x AM x FM x CM        LI = load / RWL

Source: Waters, Putz-Anderson and Garg, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH)
Publication No. 94-110, revised 2021: the metric multipliers, frequencies of Table 5, couplings of Table 7 (two cells of
which, good and poor for high hands, are from memory). The US customary form is included because the manual's examples
use it; its constants are not exact conversions. Multipliers are not rounded as in the manual.

The equation assumes two hands, a steady footing, unrestricted posture and no carrying; it does not cover lifting seated
or kneeling, with one hand, in restricted spaces, for more than 8 hours, of unstable loads, or while carrying, pushing
or pulling. An index of 1 or less is the design goal, not a guarantee against injury, and local rules decide. Above 3
some experts see many workers at an elevated risk (the manual's section 1.4.2, from memory).

Every word about heavy boxes follows from `demand_of`: the lifting index of one stated lift (`STATED`).
"""

import math
from dataclasses import dataclass, replace
from enum import Enum, StrEnum, auto
from itertools import pairwise

from intake.errors import UsageError
from intake.units.language import term

CAUTION = (
    "The equation assumes two hands, a good footing, room to stand freely, and no carrying. An index of 1 or less is "
    "the design goal, not a guarantee; local rules decide. If the load feels too heavy, do not lift it."
)


class LiftDemand(Enum):
    """What a load asks of the people who lift it."""

    ONE_PERSON = auto()
    TWO_PEOPLE = auto()
    LESS_IN_IT = auto()


class Coupling(StrEnum):
    """Quality of the grip: hand-holes of a firm box of at most 40 x 30 cm, fingers under the box, or neither."""

    GOOD = term("good")
    FAIR = term("fair")
    POOR = term("poor")


@dataclass(frozen=True, slots=True)
class LiftConstants:
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


METRIC = LiftConstants(23.0, 25.0, 63.0, 75.0, 0.003, 175.0, 4.5, 25.0, 175.0)
US = LiftConstants(51.0, 10.0, 25.0, 30.0, 0.0075, 70.0, 1.8, 10.0, 70.0)

FREQUENCY_STEPS = (0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15)
FREQUENCY = {
    (1, False): (1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0.0, 0.0, 0.0),
    (1, True): (1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
    (2, False): (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.0, 0.0, 0.0, 0.0, 0.0),
    (2, True): (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.21, 0.0, 0.0, 0.0),
    (8, False): (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
    (8, True): (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0.0, 0.0, 0.0, 0.0, 0.0),
}
"""Table 5: by greatest duration in hours, and whether the hands start at or above 75 cm (30 in)."""
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

    Lengths in the unit of the constants, cm or in; the defaults are in cm.

    Attributes:
        reach: horizontal distance of the hands from the point between the ankles.
        start, end: height of the hands above the floor.
        turn_deg: angle by which the trunk is turned.
        per_minute: lifts per minute.
        hours: duration of the lifting, at most 8, with the rests that the manual requires.
        at_end: compute the limit where the load is set down; required where it is set down with care.
    """

    reach: float = 35.0
    start: float = 20.0
    end: float = 75.0
    turn_deg: float = 0.0
    per_minute: float = 1.0
    hours: float = 1.0
    coupling: Coupling = Coupling.FAIR
    at_end: bool = False


STATED = Lift()
"""The one lift by which boxes are judged where nobody has described another."""
MANY_AT_RISK = 3.0


@dataclass(frozen=True, slots=True)
class WeightLimit:
    """The six multipliers, in the order of the equation, and the recommended weight limit in kg (or lb)."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float
    weight: float

    def index(self, load: float) -> float:
        """Return the lifting index of a load; infinite where the recommended limit is 0."""
        return load / self.weight if self.weight else math.inf


def recommend(lift: Lift, system: LiftConstants = METRIC) -> WeightLimit:
    """Return the recommended weight limit of a lift.

    Raises:
        UsageError: a negative measure, a turn of more than 180 degrees, or more hours than the equation covers.

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
    return WeightLimit(*parts, weight=system.load * math.prod(parts))


def recommend_for_both_ends(lift: Lift, system: LiftConstants = METRIC) -> WeightLimit:
    """Return the lower of the limits at the two ends of a lift, because a book box is set down with care."""
    ends = (recommend(replace(lift, at_end=at_end), system) for at_end in (False, True))
    return min(ends, key=lambda limit: limit.weight)


def demand_of(index: float) -> LiftDemand:
    """Return what a load of this lifting index asks for.

    The equation is of one person; that two may share what is too much for one is common practice, no source.

    >>> demand_of(1.0), demand_of(1.01), demand_of(3.01)
    (<LiftDemand.ONE_PERSON: 1>, <LiftDemand.TWO_PEOPLE: 2>, <LiftDemand.LESS_IN_IT: 3>)
    """
    if index <= 1:
        return LiftDemand.ONE_PERSON
    return LiftDemand.TWO_PEOPLE if index <= MANY_AT_RISK else LiftDemand.LESS_IN_IT


def frequency_multiplier(per_minute: float, hours: float, *, high: bool) -> float:
    """Return the multiplier of Table 5, interpolated linearly between its rows.

    Args:
        per_minute: lifts per minute.
        hours: duration; the table has columns for at most 1, 2 and 8 hours.
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


def _check(lift: Lift) -> None:
    measures = (lift.reach, lift.start, lift.end, lift.turn_deg, lift.per_minute, lift.hours)
    if not all(map(math.isfinite, measures)):
        raise UsageError("The lift", "has a measure that is not a number", "measure it again")
    if min(lift.reach, lift.start, lift.end, lift.turn_deg, lift.per_minute) < 0:
        raise UsageError("The lift", "has a negative measure", "measure it again")
    if lift.turn_deg > 180:
        raise UsageError("The lift", f"turns the trunk by {lift.turn_deg:g} degrees", "give at most 135")
    if not 0 < lift.hours <= 8:
        raise UsageError("The lift", f"lasts {lift.hours:g} hours, which the equation does not cover", "give up to 8")
