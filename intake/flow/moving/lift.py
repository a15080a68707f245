"""Whether a load may be lifted in a given way, by the revised NIOSH lifting equation; the words about heavy boxes.

One rule decides every caution on a label, a list, a plan, the command line and the desk: the lifting index of the
stated lift (`intake.packing.lifting.STATED`), with the mass as weighed last, else as estimated from the box's list.
"""

from dataclasses import dataclass
from typing import assert_never

from intake.packing.lifting import (
    CAUTION,
    STATED,
    Coupling,
    Lift,
    LiftDemand,
    WeightLimit,
    demand_of,
    recommend_for_both_ends,
)
from intake.units.convert import G_PER_KG, MM_PER_CM, kg_text
from intake.units.language import say
from intake.units.local_forms import figures

HOLDS = tuple(coupling.value for coupling in Coupling)
SOURCE = "NIOSH publication 94-110, revised 2021"
STATED_LIMIT_G = recommend_for_both_ends(STATED).weight * G_PER_KG


def stated_words() -> str:
    """Return by what lift the cautions go."""
    return say(
        "Cautions on lifting go by the lifting index of one lift ({source}): one person, both hands {reach} cm in front"
        " of the ankles, from {start} to {end} cm above the floor, once a minute for an hour, {hold} hold; {limit} is "
        "the limit recommended for it. Local rules decide, and what feels too heavy is not lifted.",
        source=SOURCE,
        reach=f"{STATED.reach:.0f}",
        start=f"{STATED.start:.0f}",
        end=f"{STATED.end:.0f}",
        hold=say(STATED.coupling.value),
        limit=kg_text(STATED_LIMIT_G),
    )


@dataclass(frozen=True, slots=True)
class LiftAdvice:
    """The recommended weight limit with its multipliers, and the load as a multiple of it.

    Attributes:
        index: the load divided by the limit; above 1 it is more than is recommended, infinite where nothing is.
        demand: what that asks of the people who lift it.
        caution: what the equation does not cover.
    """

    limit: WeightLimit
    index: float
    demand: LiftDemand
    caution: str = CAUTION
    source: str = SOURCE


@dataclass(frozen=True, slots=True)
class BoxLift:
    """What a box weighs, and whether that was weighed.

    Attributes:
        mass_g: None where it was not weighed and nothing is on its list.
        weighed: False for the estimate from its list.
        empty: it is unpacked, so that its mass is that of the past.
    """

    mass_g: float | None
    weighed: bool
    empty: bool = False

    @property
    def index(self) -> float | None:
        """Return the lifting index of the stated lift; None where the mass is unknown or the box is empty."""
        return None if self.mass_g is None or self.empty else self.mass_g / STATED_LIMIT_G

    @property
    def demand(self) -> LiftDemand | None:
        """Return what it asks of the people who lift it; None where the mass is unknown or the box is empty."""
        return None if self.index is None else demand_of(self.index)


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
    index = limit.index(load_g / G_PER_KG)
    return LiftAdvice(limit, index, demand_of(index))


def limit_words(advice: LiftAdvice) -> str:
    """Write the recommended limit and the index of a load."""
    if not advice.limit.weight:
        return "No load is recommended for this lift: one of its measures is beyond what the equation allows."
    return f"Recommended weight limit {advice.limit.weight:.2f} kg, lifting index {advice.index:.2f}"


def remedy_words(advice: LiftAdvice) -> str:
    """Write what makes a lift one that is recommended; empty where it is."""
    match advice.demand:
        case LiftDemand.ONE_PERSON:
            return ""
        case LiftDemand.TWO_PEOPLE:
            return "Above 1: lift it with two people, closer to the body, or put less in it."
        case LiftDemand.LESS_IN_IT:
            return "Above 3: do not lift it so, nor by two as a matter of course. Put less in it, or use a trolley."
        case demand:
            assert_never(demand)


def caution_words(lift: BoxLift) -> str:
    """Return the caution for a label; empty where one person may lift the box so, or the box is empty.

    >>> caution_words(BoxLift(29_000.0, weighed=False))
    'Heavy: two people'
    """
    if lift.mass_g is None:
        return "" if lift.empty else say("Not weighed: try it first")
    match lift.demand:
        case LiftDemand.TWO_PEOPLE:
            return say("Heavy: two people")
        case LiftDemand.LESS_IN_IT:
            return say("Too heavy: take books out")
        case LiftDemand.ONE_PERSON | None:
            return ""
        case demand:
            assert_never(demand)


def short_mass_words(lift: BoxLift) -> str:
    """Return the mass for a label; empty where it is unknown.

    >>> short_mass_words(BoxLift(28_960.0, weighed=False))
    '29 kg estimated'
    """
    if lift.mass_g is None:
        return ""
    return kg_text(lift.mass_g) if lift.weighed else say("{mass} kg estimated", mass=f"{lift.mass_g / G_PER_KG:.0f}")


def mass_words(lift: BoxLift) -> str:
    """Return the mass where there is room to say how it is known.

    >>> mass_words(BoxLift(28_960.0, weighed=False))
    'about 29 kg, estimated from its list, not weighed'
    """
    if lift.mass_g is None:
        return say("not weighed")
    if lift.weighed:
        return kg_text(lift.mass_g)
    return say("about {mass} kg, estimated from its list, not weighed", mass=f"{lift.mass_g / G_PER_KG:.0f}")


def caution_with_index(lift: BoxLift) -> str:
    """Return the caution with the index that says so; empty where there is none.

    >>> caution_with_index(BoxLift(25_300.0, weighed=True))
    'Heavy: two people (lifting index 2.3)'
    """
    caution = caution_words(lift)
    if not caution or lift.index is None:
        return caution
    return say("{caution} (lifting index {index})", caution=caution, index=figures(lift.index, 1))


def lift_words(lift: BoxLift) -> str:
    """Return the mass with what it asks of whoever lifts the box, and the index that says so.

    >>> lift_words(BoxLift(25_300.0, weighed=True))
    '25.30 kg (Heavy: two people; lifting index 2.3)'
    """
    caution = caution_words(lift)
    if not caution:
        return mass_words(lift) + (" when it was full" if lift.empty and lift.mass_g is not None else "")
    if lift.index is None:
        return f"{caution} (nothing is on its list)"
    return f"{mass_words(lift)} ({caution}; lifting index {lift.index:.1f})"
