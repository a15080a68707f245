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

The supplement is decided like votes alone decide it (`intake.reading.vote.agreed`), what the grey profile says counting
as so many votes: what both say adds up, and where they contradict each other it is left open.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading
from intake.reading.symbol_forms import kind_of
from intake.reading.vote import ENOUGH, agreed, overlap

DECADES = 5.0
"""Decades of error that are worth `ENOUGH` votes."""
SUREST = 8.0
"""Decades beyond which the model itself is not believed."""
WORTH_ASKING = 0.2
SHOWN = 3


@dataclass(frozen=True, slots=True)
class ProfileEvidence:
    """What the grey profile of one place says.

    Attributes:
        numbers: best first; none where the symbol is plainly spoilt, so that no number may be booked from it.
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
        return lead_of(self.error)


@dataclass(frozen=True, slots=True)
class Beside:
    """What the grey profile says of a symbol's supplement.

    Attributes:
        number: of the symbol.
        corners: of the symbol, in pixels of the picture.
        text: the supplement's digits.
        error: the chance that others are printed.
    """

    number: str
    corners: tuple[Point, ...]
    text: str
    error: float


def lead_of(error: float) -> float:
    """Return what a chance of error counts, in votes."""
    return min(-math.log10(max(error, 1e-30)), SUREST) * ENOUGH / DECADES


def fused(readings: Sequence[Reading], seen: Iterable[ProfileEvidence]) -> tuple[Reading, ...]:
    """Bring what the grey profile says together with what the votes amount to, best first.

    Args:
        readings: of the decoders' votes.
        seen: of the grey profile; several of one place are allowed.
    """
    result = list(readings)
    believed = list(seen)
    for each in sorted((one for one in believed if one.numbers), key=lambda one: one.error):
        place = next((i for i, other in enumerate(result) if overlap(other.corners, each.corners)), None)
        if place is not None:
            result[place] = joined(result[place], each)
        elif each.error < WORTH_ASKING:
            result.append(alone(each))
    spoilt = [each.corners for each in believed if not each.numbers]
    result = [unbooked(each) if any(overlap(each.corners, other) for other in spoilt) else each for each in result]
    return tuple(sorted(result, key=lambda one: (not one.accepted, -one.score)))


def unbooked(reading: Reading) -> Reading:
    """Take back what was read from a spoilt symbol; a label of the project's own may lie over it."""
    return reading if reading.kind is NumberKind.OWN else replace(reading, accepted=False, score=0.0)


def supplemented(reading: Reading, votes: Mapping[str, float], beside: Iterable[Beside]) -> Reading:
    """Add what the grey profile says of a reading's supplement to the decoders' votes for it.

    Args:
        reading: of a symbol.
        votes: of the decoders, for each supplement that they read beside it.
        beside: of the grey profile, beside any symbol.
    """
    counts = dict(votes)
    told = [each for each in beside if each.number == reading.number and overlap(each.corners, reading.corners)]
    for each in told[:1]:
        counts[each.text] = counts.get(each.text, 0.0) + lead_of(each.error)
    return replace(reading, add_on=agreed(counts)) if told else reading


def votes_of(reading: Reading) -> float:
    """Return the lead that a reading's score stands for."""
    return -math.log10(max(1 - reading.score, 1e-4))


def scored(lead: float) -> float:
    """Return the score that a lead stands for."""
    return round(1 - math.pow(10.0, -max(lead, 0.0)), 4)


def alone(seen: ProfileEvidence) -> Reading:
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


def joined(reading: Reading, seen: ProfileEvidence) -> Reading:
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
