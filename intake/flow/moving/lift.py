"""Whether a load may be lifted in a given way, by the revised NIOSH lifting equation."""

from dataclasses import dataclass

from intake.packing.lifting import CAUTION, Coupling, Lift, WeightLimit, recommend_for_both_ends
from intake.units.convert import G_PER_KG, MM_PER_CM

HOLDS = tuple(coupling.value for coupling in Coupling)
SOURCE = "NIOSH publication 94-110, revised 2021"


@dataclass(frozen=True, slots=True)
class LiftAdvice:
    """The recommended weight limit with its multipliers, and the load as a multiple of it.

    Attributes:
        index: the load divided by the limit; above 1 it is more than is recommended.
        caution: what the equation does not cover.
    """

    limit: WeightLimit
    index: float
    caution: str = CAUTION
    source: str = SOURCE


def judge_lift(
    load_g: float,
    *,
    reach_mm: float,
    start_mm: float,
    end_mm: float,
    turn_deg: float,
    per_minute: float,
    hours: float,
    hold: str,
) -> LiftAdvice:
    """Compare a load with the recommended weight limit of one lift.

    Args:
        load_g: its mass.
        reach_mm: distance of the hands in front of the ankles.
        start_mm: height of the hands at first.
        end_mm: height of the hands at last.
        turn_deg: how far the trunk is turned.
        per_minute: lifts a minute.
        hours: how long it lasts, up to 8.
        hold: one of `HOLDS`.

    Raises:
        UsageError: a value that the equation does not cover.
    """
    lift = Lift(
        reach=reach_mm / MM_PER_CM,
        start=start_mm / MM_PER_CM,
        end=end_mm / MM_PER_CM,
        turn_deg=turn_deg,
        per_minute=per_minute,
        hours=hours,
        coupling=Coupling(hold),
    )
    limit = recommend_for_both_ends(lift)
    return LiftAdvice(limit, limit.index(load_g / G_PER_KG))
