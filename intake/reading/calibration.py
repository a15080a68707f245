"""From misfits to the chance of error: when a number that fits a profile may be booked.

**Derivation.** If the errors of a model were independent and normal, of a size that is not known, the likelihood of a
number whose best fit leaves the share E of what the profile gains would go with E^(-n/2), n being how many independent
values there are. They are neither: errors come from lenses, wrinkles and the bend of the paper, and neighbours share
them. So n/2 is not counted but measured: `WORTH`, the factor for which the odds exp(-WORTH ln(E2 / E1)) of the runner-
up against the best come true on generated pictures (`tests/benchmarks/calibrate.py` prints it, and the table of
promised and observed errors), and taken lower than measured, since real errors are worse than generated ones.

**Prior.** A number of a code book of N has prior (1 - ABSENT) / N, those expected in the open box EXPECTED times as
much. A number that is not in the book has ABSENT / 10^12, as any other; but one that begins like a number of the book,
by the same publisher that is, has ABSENT / (N 1000), since a book that the catalog lacks is likely a neighbour of one
that it has.
Without a book all numbers are alike. The chance of error is then one less the posterior of the best, over all
candidates that were laid onto the profile: numbers that are not among them fit worse.

**What the comparison cannot see**: that there is no symbol at all, or that it lies elsewhere. A number is believed
only where the model explains the profile well, as a whole (`BELIEVED`) and at every digit (`WORST`), without the
greatest blur, which fits anything, and without bending much but as a slanting view bends.

**Shorter symbols** have fewer independent values: the worth of a step goes down with the modules compared. An EAN-8 has
no parity pattern either, and is more like texture and parts of other symbols: it has stricter bounds, and is looked for
only where no long symbol may be believed. Supplements have bounds of their own, taken from the symbol that they stand
beside (`intake.reading.grey_supplement`).

`accepted` means a chance of error below 1 in 100,000.

**Measured** on 2,400 generated pictures, almost half of them hopeless: the likeliest worth is 32.5. Of 919 numbers
accepted none was wrong, nor of 603 of 1,600 pictures that no bound was chosen with in view, which together show less
than 2 in 1,000 at 95 %; the rest of the way to 1 in 100,000 rests on the model. Of 108 that were promised to be wrong
once in ten times at most, none was. Bounds on blur and bend were tightened after one wrong number among the 2,400, as
blurred and as bent as they then allowed: the number drawn fitted better still, and the search had not come upon it.

Of 300 generated EAN-8 93 were accepted from grey levels alone, of 300 supplements of two digits 132, of 300 of five
174, and none wrongly; of 65 more that were believed and not accepted one was wrong. Beside 300 symbols with print,
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

WORTH = 30.0
BELIEVED = 0.13
WORST = 0.3
SHORT_BELIEVED, SHORT_BLURRED = 0.08, 1.3
"""The same of an EAN-8, which has fewer bars, and nothing that ties its digits together but the check digit."""
BLURRED = 1.6
BENT = 0.9
ABSENT = 0.1
EXPECTED = 20.0
ALIKE = 9
"""Leading digits that two numbers of one publisher share: group and a publisher of middling size."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the grey profile says: numbers, best first, and the chance that the first is wrong."""

    candidates: tuple[ProfileCandidate, ...]
    error: float


def judge(found: Sequence[ProfileCandidate], book: CodeBook | None) -> Judgement | None:
    """Weigh the candidates of one profile; None where nothing there is like a symbol.

    Args:
        found: candidates of `intake.reading.grey_level`.
        book: the code book that they were drawn from, if any.
    """
    if not found:
        return None
    least = min(each.fit.misfit for each in found)
    step = worth(len(found[0].bits))
    nats = [-step * log(each.fit.misfit / least) + prior(each, book) for each in found]
    order = sorted(range(len(found)), key=lambda i: -nats[i])
    best = found[order[0]]
    return Judgement(tuple(found[i] for i in order), error_of([nats[i] for i in order]) if believable(best) else 1.0)


def error_of(nats: Sequence[float]) -> float:
    """Return the chance that the first of several is wrong, given the logarithms of their likelihoods."""
    return min(sum(exp(min(each - nats[0], 0.0)) for each in nats[1:]), 1.0)


def worth(modules: int) -> float:
    """Return the worth of a step of misfit of a symbol: fewer modules are fewer independent values."""
    return WORTH * (modules + 2 * QUIET) / (EAN13.modules + 2 * QUIET)


def believable(candidate: ProfileCandidate) -> bool:
    """Tell whether a model fits so well that the profile is one of a symbol, at this pose."""
    fit = candidate.fit
    bent = float(np.abs(fit.pose[3:5]).max())
    short = len(candidate.bits) < EAN13.modules
    misfit, blur = (SHORT_BELIEVED, SHORT_BLURRED) if short else (BELIEVED, BLURRED)
    return fit.misfit <= misfit and candidate.worst <= WORST and fit.blur <= blur and bent <= BENT


def prior(candidate: ProfileCandidate, book: CodeBook | None) -> float:
    """Return the logarithm of a number's prior probability, up to a constant."""
    number = candidate.number
    if book is None or not len(book):
        return 0.0
    count = len(book)
    if candidate.listed:
        bonus = log(EXPECTED) if number in book.awaited else 0.0
        return log((1 - ABSENT) / count) + bonus
    return log(ABSENT / (count * 1000)) if is_neighbour(number, book) else log(ABSENT / 1e12)


def is_neighbour(number: str, book: CodeBook) -> bool:
    """Tell whether a number of the book begins alike."""
    return any(other[:ALIKE] == number[:ALIKE] for other in book.beside(number))
