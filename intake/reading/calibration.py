"""From misfits to the probability of error: when a number that fits a profile may be booked.

**Derivation.** If the errors of a model were independent and normal, of unknown variance, the likelihood of a number
whose best fit leaves a share E of the profile's differences unexplained would be proportional to E^(-n/2), with n the
number of independent values. They are neither: errors come from lenses, wrinkles and the bend of the paper, and are
common to neighbouring values. So n/2 is not counted but measured: it is `WORTH`, the factor for which the odds
exp(-WORTH ln(E2 / E1)) of the runner-up against the best agree with generated pictures (`tests/benchmarks/calibrate.py`
prints it, and the table of predicted and observed errors); the value used is lower than measured, because real errors
are worse than generated ones.

**Prior.** A number of a code book of N has prior (1 - ABSENT) / N, and EXPECTED times as much if it is expected in the
open box. A number that is not in the book has ABSENT / 10^12, like any other; but one that begins like a number of the
book, and so is of the same publisher, has ABSENT / (N 1000), because a book missing from the catalog is likely to be a
neighbour of one in it. Without a book all numbers have the same prior. The probability of error is one less the
posterior of the best over all candidates that were fitted to the profile: numbers that are not among them fit worse.

**Misprints.** That the check digit of a symbol is wrong, misprinted or joined from two, has a prior too (`MISPRINTED`),
shared by the nine wrong ones. Digits that fail the check differ from the true number in one digit, not two, and so fit
better than any other number would; where they fit better than every number, the reader would otherwise mend the symbol
to a number that is not printed there. They count against the best number as its rivals do, and where they are likelier
by far (`SURELY_MISPRINTED`) the symbol is a question, whatever else was read there.

**What the comparison cannot detect**: that there is no symbol at all, or that it is elsewhere. A number is believed
only where the model explains the profile well, as a whole (`BELIEVED`) and at every digit (`WORST`), without the
greatest blur, which fits anything, and without much bending other than that of a slanting view.

**Shorter symbols** have fewer independent values: the worth of a step decreases with the number of modules compared. An
EAN-8 has no parity pattern either, and more easily resembles texture and parts of other symbols: it has stricter
bounds, as a UPC-E has, and both are searched for only where no long symbol is believed, and where not even bars like
those of a long one were found only if paper clearly frames what is there. Supplements have bounds of
their own, derived from the symbol beside them (`intake.reading.grey_supplement`).

`accepted` means a probability of error below 1 in 100,000.

**Measured** as the comparison is now, under several kinds of blur and tones, with the worth below, on 300 generated
pictures (`tests/benchmarks/calibrate.py`): 203 gave candidates, and their likeliest worth is 195; none of 112 accepted
numbers was wrong. On 62 photographs whose profile is believable the nearest rival of the true number left at least 1.4
times its misfit, and no number that was believed was wrong. So few show no error of 1 in 100,000: the rest of the way
relies on the model.

Measured on 10,000 pictures, almost half of them hopeless, that no bound was chosen on (`evidence_table`, first 700000):
of 3,846 numbers from grey levels asked alone 13 were wrong, none of the 3,661 that promised less than 1 in 100,000 nor
of 123 that promised less than 1 in 1,000; of the 62 that promised more, 13 were, where 8 had been promised. Of 733 from
bands nine were wrong, none of 665 that promised less than 1 in 100; of 1,433 from edges none. Of 6,100 numbers that the
whole reader accepted none was wrong, which shows less than 1 in 2,000 at 95 %; of 432 that it asked about, 17.

So it is since the search for digits is exact (`intake.reading.likelihood`). Before, of 4,038 numbers accepted of 6,928
such pictures (first 300000) five were wrong, all by grey levels alone: the number printed had never been fitted. At the
wrong number's own pose it was the likeliest of all in two and one of the next two in two, but its first digits fitted
badly there and were dropped. Fitted, it leaves 0.3 to 1.1 of the wrong one's misfit. Two of the five are read now and
three are questions; no bound was changed. Of 1,031 others of their kind (first 600000, with modules of less than 2.4
pixels and a blur of 1.3 to 1.8 modules) 339 were accepted before, four of them wrong, and 363 since, none wrong.

Of the first 488, when a blur of 1.6 modules was still allowed, one of 288 accepted was wrong, at a fitted blur of 1.55.
The bound is 1.5 since, at which no photograph is lost, nor a hard picture.

Measured before, under one kind of blur and with a worth of 30, on 2,400 such pictures, almost half of them hopeless:
the likeliest worth was 32.5. None of 919 accepted numbers was wrong, nor any of 603 from 1,600 pictures that were not
used to choose a bound, which together show less than 2 in 1,000 at 95 %. Of 108 with a predicted error of at most one
in ten, none was wrong. The bounds on blur and bend were tightened after one wrong number among the 2,400, as blurred
and bent as was then allowed: the number drawn fitted even better, but the search had not found it.

Of 200 generated EAN-8, as the comparison is now, 61 would be accepted from grey levels alone and 64 are by the whole
reader, none wrongly (of 300 it was 92 and 100 when bends were tried at every width, 53 and 55 when at none). Measured
before bends were tried again for short symbols: of 300 UPC-E 70, of 300 supplements of two digits 187, of 300 of five
215 from grey levels alone, none wrongly; of 35 more supplements that were believed and not accepted one was wrong. The
whole reader accepted 76 of the UPC-E and 113 and 133 of the supplements, none wrongly. Beside 300 symbols with print,
pictures or other bars in its place no supplement was believed (`tests/benchmarks/calibrate_short.py`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from intake.reading.code_book import CodeBook
from intake.reading.grey_level import ProfileCandidate
from intake.reading.profile_fit import QUIET
from intake.reading.symbologies import EAN13

WORTH = 36.0
BELIEVED = 0.13
WORST = 0.3
SHORT_BELIEVED, SHORT_BLURRED = 0.08, 1.3
"""The same for an EAN-8, which has fewer bars, and no check other than its check digit; and for a UPC-E."""
BLURRED = 1.5
BENT = 0.9
ABSENT = 0.1
EXPECTED = 20.0
MISPRINTED, SPOILT, SHARP = 1e-3, 0.1, 0.4
"""Share of symbols that have a wrong check digit, of blurred ones and of those less blurred than `SHARP` modules, which
decoders and edges would have read if nothing were wrong with them. Supposed: with the first for all, two of 120 drawn
symbols joined from two halves were accepted, both sharp, whose best number left 0.92 of the misfit of digits that fail
the check; with the second for all, four blurred photographs more are asked about. Of right numbers in generated hard
pictures none left more than a third of it."""
SURELY_MISPRINTED = 0.01
"""Chance of error below which a symbol is taken for misprinted."""
ALIKE = 9
"""Leading digits that two numbers of one publisher share: the group and a publisher of medium size."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a grey profile may be.

    Attributes:
        candidates: the numbers, best first.
        error: probability that the first is wrong.
        misprint: the digits that fit far better than every number and whose check digit is wrong; None where none do.
    """

    candidates: tuple[ProfileCandidate, ...]
    error: float
    misprint: ProfileCandidate | None = None


def judge(candidates: Sequence[ProfileCandidate], book: CodeBook | None) -> Judgement | None:
    """Rank the candidates of one profile by probability; None if there are none.

    Args:
        candidates: those of `intake.reading.grey_level`.
        book: the code book that was used, if any.
    """
    if not candidates:
        return None
    least = min(candidate.fit.misfit for candidate in candidates)
    step = step_worth(len(candidates[0].bits))
    nats = [-step * log(candidate.fit.misfit / least) + prior(candidate, book) for candidate in candidates]
    order = sorted(range(len(candidates)), key=lambda i: -nats[i])
    numbers = [i for i in order if candidates[i].valid]
    likeliest = candidates[order[0]]
    named = tuple(candidates[i] for i in numbers)
    if not likeliest.valid:
        sure = is_believable(likeliest) and error_chance([nats[i] for i in order]) < SURELY_MISPRINTED
        return Judgement(named, 1.0, likeliest if sure else None)
    return Judgement(named, error_chance([nats[i] for i in order]) if is_believable(likeliest) else 1.0)


def error_chance(nats: Sequence[float]) -> float:
    """Return the probability that the first is wrong, given the natural logarithms of all likelihoods."""
    return min(sum(exp(min(value - nats[0], 0.0)) for value in nats[1:]), 1.0)


def step_worth(modules: int) -> float:
    """Return `WORTH` scaled to a symbol's modules: fewer modules are fewer independent values."""
    return WORTH * (modules + 2 * QUIET) / (EAN13.modules + 2 * QUIET)


def is_believable(candidate: ProfileCandidate) -> bool:
    """Return whether a model fits well enough for the profile to be a symbol at this pose."""
    fit = candidate.fit
    bent = float(np.abs(fit.pose[3:5]).max())
    short = len(candidate.bits) < EAN13.modules
    misfit, blur = (SHORT_BELIEVED, SHORT_BLURRED) if short else (BELIEVED, BLURRED)
    return fit.misfit <= misfit and candidate.worst <= WORST and fit.blur <= blur and bent <= BENT


def prior(candidate: ProfileCandidate, book: CodeBook | None) -> float:
    """Return the logarithm of a number's prior probability, up to a constant."""
    number = candidate.number
    printed = 0.0 if candidate.valid else log((SPOILT if candidate.fit.blur < SHARP else MISPRINTED) / 9)
    if book is None or not len(book):
        return printed
    count = len(book)
    if candidate.listed:
        bonus = log(EXPECTED) if number in book.awaited else 0.0
        return log((1 - ABSENT) / count) + bonus
    return printed + (log(ABSENT / (count * 1000)) if is_neighbour(number, book) else log(ABSENT / 1e12))


def is_neighbour(number: str, book: CodeBook) -> bool:
    """Return whether the book has a number with the same first `ALIKE` digits."""
    return any(other[:ALIKE] == number[:ALIKE] for other in book.neighbours(number))
