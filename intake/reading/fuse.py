"""Combining the decoders' votes and the grey profile into one decision.

**The rule.** Both kinds of evidence are counted in votes. A probability of error of 1 in 100,000 for the grey profile
counts as much as the two votes that are sufficient (`intake.reading.vote`); other probabilities count in proportion to
their logarithm.

- Both support the same number: their votes add up.
- They support different numbers at one place: evidence that is not yet sufficient counts twice against the other, as
  between rivals. Where each alone would be sufficient, neither number is accepted and the person is asked; but where
  the grey profile was compared with both numbers, and its probability of error is below 10^-`SUREST`, its number is
  accepted.
- The symbol is damaged or misprinted: no number is accepted from it, whatever the decoders made of it. Digits whose
  check digit is wrong are a question, with what else they may have been meant for left to whoever knows the catalog.
- There is only the grey profile: its number is accepted if the evidence is sufficient, otherwise it is a question;
  above a probability of error of `WORTH_ASKING` it is not reported.

A number that is not accepted is shown to the person with the best candidates of both kinds.

The supplement is decided as by votes alone (`intake.reading.vote.agreed_text`), with the grey profile counted in votes:
where both support the same digits the votes add up, and where they contradict each other the supplement is left open.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading
from intake.reading.symbol_forms import kind_of
from intake.reading.vote import ENOUGH, agreed_text, overlap

DECADES = 5.0
"""Decades of error that count as much as `ENOUGH` votes."""
SUREST = 8.0
"""Decades at which the evidence is capped, because the model itself is not trusted further."""
WORTH_ASKING = 0.2
SHOWN = 3


@dataclass(frozen=True, slots=True)
class ProfileEvidence:
    """The evidence of the grey profile at one place.

    Attributes:
        numbers: best first; empty where the symbol is damaged, so that no number may be booked from it.
        misprint: the digits of the bars of such a symbol, as far as they were read; their check digit is wrong.
        error: probability that the first number is wrong.
        corners: outline of the symbol, in pixels of the picture.
        methods: the methods to report with the reading.
    """

    numbers: tuple[str, ...]
    error: float
    corners: tuple[Point, ...]
    methods: tuple[str, ...]
    misprint: str = ""

    @property
    def lead(self) -> float:
        """The strength of the evidence, in votes."""
        return lead_of_error(self.error)


@dataclass(frozen=True, slots=True)
class SupplementEvidence:
    """The evidence of the grey profile for a symbol's supplement.

    Attributes:
        number: the number of the symbol.
        corners: outline of the symbol, in pixels of the picture.
        text: the digits of the supplement.
        error: probability that other digits are printed.
    """

    number: str
    corners: tuple[Point, ...]
    text: str
    error: float


def lead_of_error(error: float) -> float:
    """Return the lead, in votes, that a probability of error is worth."""
    return min(-math.log10(max(error, 1e-30)), SUREST) * ENOUGH / DECADES


def fuse(readings: Sequence[Reading], evidence: Iterable[ProfileEvidence]) -> tuple[Reading, ...]:
    """Combine the readings of the decoders with the evidence of grey profiles, best first.

    Args:
        readings: from the decoders' votes.
        evidence: from grey profiles; several for one place are allowed.
    """
    result = list(readings)
    profiles = list(evidence)
    for profile in sorted((profile for profile in profiles if profile.numbers), key=lambda profile: profile.error):
        place = next((i for i, other in enumerate(result) if overlap(other.corners, profile.corners)), None)
        if place is not None:
            result[place] = combine(result[place], profile)
        elif profile.error < WORTH_ASKING:
            result.append(profile_reading(profile))
    for spoilt in (profile for profile in profiles if not profile.numbers):
        at = [i for i, reading in enumerate(result) if overlap(reading.corners, spoilt.corners)]
        for i in at:
            result[i] = not_accepted(result[i], spoilt)
        if spoilt.misprint and not at:
            result.append(misprint_reading(spoilt))
    return tuple(sorted(result, key=lambda reading: (not reading.accepted, -reading.score)))


def not_accepted(reading: Reading, spoilt: ProfileEvidence) -> Reading:
    """Withdraw acceptance of a reading from a damaged symbol; an own label, which may cover the symbol, is kept."""
    if reading.kind is NumberKind.OWN:
        return reading
    shown = interleave(reading.candidates or (reading.number,), (spoilt.misprint,) if spoilt.misprint else ())
    return replace(reading, accepted=False, score=0.0, candidates=shown if spoilt.misprint else reading.candidates)


def misprint_reading(spoilt: ProfileEvidence) -> Reading:
    """Return what the bars of a misprinted symbol say: a question, as their check digit is wrong."""
    return Reading(
        number=spoilt.misprint,
        kind=kind_of(spoilt.misprint),
        accepted=False,
        score=0.0,
        methods=spoilt.methods,
        corners=spoilt.corners,
    )


def with_supplement(reading: Reading, votes: Mapping[str, float], supplements: Iterable[SupplementEvidence]) -> Reading:
    """Return a reading with the supplement that the decoders' votes and the grey profile together support.

    Args:
        reading: of a symbol.
        votes: votes of the decoders for each supplement that they read beside it.
        supplements: evidence of grey profiles, beside any symbol of the picture.
    """
    counts = dict(votes)
    matching = [
        supplement
        for supplement in supplements
        if supplement.number == reading.number and overlap(supplement.corners, reading.corners)
    ]
    for supplement in matching[:1]:
        counts[supplement.text] = counts.get(supplement.text, 0.0) + lead_of_error(supplement.error)
    return replace(reading, add_on=agreed_text(counts)) if matching else reading


def lead_of_reading(reading: Reading) -> float:
    """Return the lead, in votes, that corresponds to a reading's score."""
    return -math.log10(max(1 - reading.score, 1e-4))


def score_of(lead: float) -> float:
    """Return the score, 0 to 1, that corresponds to a lead in votes."""
    return round(1 - math.pow(10.0, -max(lead, 0.0)), 4)


def profile_reading(profile: ProfileEvidence) -> Reading:
    """Return the reading that the grey profile alone supports."""
    number, *others = profile.numbers
    return Reading(
        number=number,
        kind=kind_of(number),
        accepted=profile.lead >= ENOUGH,
        score=score_of(profile.lead),
        methods=profile.methods,
        runner_up=others[0] if others else None,
        corners=profile.corners,
        candidates=profile.numbers[:SHOWN],
    )


def combine(reading: Reading, profile: ProfileEvidence) -> Reading:
    """Combine a reading with the evidence of the grey profile at its place."""
    votes = lead_of_reading(reading)
    if profile.numbers[0] == reading.number:
        lead = votes + profile.lead
        shown = interleave(reading.candidates or (reading.number,), profile.numbers)
        return replace(
            reading,
            accepted=reading.accepted or lead >= ENOUGH,
            score=max(reading.score, score_of(lead)),
            methods=(*reading.methods, *(method for method in profile.methods if method not in reading.methods)),
            runner_up=reading.runner_up or (shown[1] if len(shown) > 1 else None),
            candidates=shown,
        )
    if reading.accepted:
        if reading.number in profile.numbers and profile.error < 10**-SUREST:
            shown = interleave(profile.numbers, (reading.number,))
            return replace(profile_reading(profile), runner_up=shown[1], candidates=shown)
        doubted = profile.lead >= ENOUGH
        shown = interleave(reading.candidates or (reading.number,), profile.numbers)
        return replace(reading, accepted=not doubted, runner_up=shown[1], candidates=shown) if doubted else reading
    if profile.lead > votes:
        lead = profile.lead - 2 * votes
        shown = interleave(profile.numbers, reading.candidates or (reading.number,))
        better = profile_reading(profile)
        return replace(better, accepted=lead >= ENOUGH, score=score_of(lead), runner_up=shown[1], candidates=shown)
    shown = interleave(reading.candidates or (reading.number,), profile.numbers)
    return replace(reading, runner_up=shown[1], candidates=shown)


def interleave(first: Sequence[str], second: Sequence[str]) -> tuple[str, ...]:
    """Return the first `SHOWN` different numbers of two lists taken in turn, starting with the first list."""
    mixed = [number for pair in zip(first, second, strict=False) for number in pair]
    return tuple(dict.fromkeys([*mixed, *first, *second]))[:SHOWN]
