"""One decision out of the decoders' votes and the grey profile.

**The rule.** Both kinds of evidence are counted in votes. A chance of error of one in a hundred thousand on the grey
profile counts as much as the two votes that are enough (`intake.reading.vote`), and so in proportion to its logarithm.

- Both name one number: their votes add up.
- They name different numbers at one place: what was not yet enough counts twice against the other, as between rivals.
  Where each alone would be enough, neither is accepted and the person is asked; but where the grey profile was
  compared with both numbers, and the chance of error is below one in `SUREST` decades, its number is accepted.
- The grey profile stands alone: it is enough by itself, or it is a question; above a chance of error of `WORTH_ASKING`
  it is not even that.

What is not accepted is shown to the person with the best candidates of either kind.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from intake.model.readings import Point, Reading
from intake.reading.symbols import kind_of
from intake.reading.vote import ENOUGH, overlap

DECADES = 5.0
"""Decades of error that are worth `ENOUGH` votes."""
SUREST = 8.0
"""Decades beyond which the model itself is not believed."""
WORTH_ASKING = 0.2
SHOWN = 3


@dataclass(frozen=True, slots=True)
class Seen:
    """What the grey profile of one place says.

    Attributes:
        numbers: best first.
        error: the chance that the first is wrong.
        corners: where, in pixels of the picture.
        methods: what the person is told.
    """

    numbers: tuple[str, ...]
    error: float
    corners: tuple[Point, ...]
    methods: tuple[str, ...]

    @property
    def lead(self) -> float:
        """The evidence in votes."""
        return min(-math.log10(max(self.error, 1e-30)), SUREST) * ENOUGH / DECADES


def fused(readings: Sequence[Reading], seen: Iterable[Seen]) -> tuple[Reading, ...]:
    """Bring what the grey profile says together with what the votes amount to, best first.

    Args:
        readings: of the decoders' votes.
        seen: of the grey profile; several of one place are allowed.
    """
    result = list(readings)
    for each in sorted(seen, key=lambda one: one.error):
        place = next((i for i, other in enumerate(result) if overlap(other.corners, each.corners)), None)
        if place is not None:
            result[place] = joined(result[place], each)
        elif each.error < WORTH_ASKING:
            result.append(alone(each))
    return tuple(sorted(result, key=lambda one: (not one.accepted, -one.score)))


def votes_of(reading: Reading) -> float:
    """Return the lead that a reading's score stands for."""
    return -math.log10(max(1 - reading.score, 1e-4))


def scored(lead: float) -> float:
    """Return the score that a lead stands for."""
    return round(1 - math.pow(10.0, -max(lead, 0.0)), 4)


def alone(seen: Seen) -> Reading:
    """Make a reading of the grey profile alone."""
    number, *others = seen.numbers
    return Reading(
        number=number,
        kind=kind_of(number),
        accepted=seen.lead >= ENOUGH,
        score=scored(seen.lead),
        methods=seen.methods,
        runner_up=others[0] if others else None,
        corners=seen.corners,
        candidates=seen.numbers[:SHOWN],
    )


def joined(reading: Reading, seen: Seen) -> Reading:
    """Bring a reading and the grey profile of its place together."""
    votes = votes_of(reading)
    if seen.numbers[0] == reading.number:
        lead = votes + seen.lead
        shown = candidates(reading.candidates or (reading.number,), seen.numbers)
        return replace(
            reading,
            accepted=reading.accepted or lead >= ENOUGH,
            score=max(reading.score, scored(lead)),
            methods=(*reading.methods, *(each for each in seen.methods if each not in reading.methods)),
            runner_up=reading.runner_up or (shown[1] if len(shown) > 1 else None),
            candidates=shown,
        )
    if reading.accepted:
        if reading.number in seen.numbers and seen.error < 10**-SUREST:
            shown = candidates(seen.numbers, (reading.number,))
            return replace(alone(seen), runner_up=shown[1], candidates=shown)
        doubted = seen.lead >= ENOUGH
        shown = candidates(reading.candidates or (reading.number,), seen.numbers)
        return replace(reading, accepted=not doubted, runner_up=shown[1], candidates=shown) if doubted else reading
    if seen.lead > votes:
        lead = seen.lead - 2 * votes
        shown = candidates(seen.numbers, reading.candidates or (reading.number,))
        better = alone(seen)
        return replace(better, accepted=lead >= ENOUGH, score=scored(lead), runner_up=shown[1], candidates=shown)
    shown = candidates(reading.candidates or (reading.number,), seen.numbers)
    return replace(reading, runner_up=shown[1], candidates=shown)


def candidates(first: Sequence[str], second: Sequence[str]) -> tuple[str, ...]:
    """Return the best few of two lists, taken in turn, the first list's first."""
    mixed = [number for pair in zip(first, second, strict=False) for number in pair]
    return tuple(dict.fromkeys([*mixed, *first, *second]))[:SHOWN]
