"""What to look for: the editions of the catalog that close gaps for least money or in fewest volumes.

Parts that the same editions have are one row of the problem; an edition that another one makes needless is left to the
solver. Costs are whole numbers of the currency's smallest unit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from intake.runs.cover_solver import SECONDS, CoverChoice, CoverRow, least_sum
from intake.runs.coverage import CoveredStretch, coverage
from intake.runs.spans import Spans, count, difference, intersection, union

ALTERNATIVES = 3


@dataclass(frozen=True, slots=True)
class SeekOffer:
    """An edition that may be bought.

    Attributes:
        places: what it has of the line that is looked at.
        cost: in the smallest unit of the currency.
        disliked: 0 if it is of the format and binding preferred, more the less it is.
    """

    key: str
    places: Spans
    cost: int
    disliked: int = 0


@dataclass(frozen=True, slots=True)
class SeekChoice:
    """Editions that together close gaps.

    Attributes:
        keys: in the order of the offers.
        left: places that stay missing.
        proved: that no choice is better in what was asked for (least cost, fewest volumes or most parts).
        bound: the least cost, the fewest volumes or, within a budget, the most parts that any choice can have.
    """

    keys: tuple[str, ...]
    cost: int
    left: Spans
    proved: bool
    bound: int


@dataclass(frozen=True, slots=True)
class _SeekProblem:
    """The gaps as stretches that the same offers have, and the rows that say that each has to be closed."""

    offers: Sequence[SeekOffer]
    stretches: tuple[CoveredStretch, ...]
    members: tuple[tuple[int, ...], ...]

    @property
    def rows(self) -> tuple[CoverRow, ...]:
        return tuple(CoverRow(dict.fromkeys(members, 1), least=1) for members in self.members)


def _problem(gaps: Spans, offers: Sequence[SeekOffer]) -> _SeekProblem:
    useful = [offer for offer in offers if intersection(offer.places, gaps)]
    stretches = coverage({str(nth): intersection(offer.places, gaps) for nth, offer in enumerate(useful)})
    members = tuple(tuple(sorted(map(int, stretch.volumes))) for stretch in stretches)
    return _SeekProblem(useful, stretches, members)


def seek(gaps: Spans, offers: Sequence[SeekOffer], *, fewest: bool = False, seconds: float = SECONDS) -> SeekChoice:
    """Choose editions that close every gap that any offer closes.

    Args:
        gaps: the places looked for.
        offers: editions with a price.
        fewest: fewest editions first and then least cost, instead of the other way round. What is preferred decides
            between choices equal in both.
        seconds: how long to search; what is not proved by then has its bound.
    """
    problem = _problem(gaps, offers)
    found = _lexicographic(problem, (), fewest=fewest, seconds=seconds)
    return _choice(problem, gaps, found)


def alternatives(
    gaps: Spans,
    offers: Sequence[SeekOffer],
    best: SeekChoice,
    *,
    fewest: bool = False,
    seconds: float = SECONDS,
    most: int = ALTERNATIVES,
) -> tuple[SeekChoice, ...]:
    """Return the next best choices, best first, each without an edition too many and different from all before it."""
    problem = _problem(gaps, offers)
    index = {offer.key: nth for nth, offer in enumerate(problem.offers)}
    taken = [[index[key] for key in best.keys]] if best.keys else []
    others: list[SeekChoice] = []
    while taken and len(others) < most:
        cuts = [CoverRow(dict.fromkeys(members, 1), most=len(members) - 1) for members in taken]
        found = _lexicographic(problem, cuts, fewest=fewest, seconds=seconds)
        if found is None:
            break
        others.append(_choice(problem, gaps, found))
        taken.append([nth for nth, chosen in enumerate(found.chosen) if chosen])
    return tuple(others)


def seek_within(gaps: Spans, offers: Sequence[SeekOffer], budget: int, *, seconds: float = SECONDS) -> SeekChoice:
    """Choose editions that close the most parts for no more than a budget, and for least money among those.

    Args:
        gaps: the places looked for.
        offers: editions with a price.
        budget: in the smallest unit of the currency.
        seconds: how long to search.
    """
    problem = _problem(gaps, offers)
    count_offers, sizes = len(problem.offers), [one.last - one.first + 1 for one in problem.stretches]
    rows = [CoverRow({nth: offer.cost for nth, offer in enumerate(problem.offers) if offer.cost}, most=budget)]
    for nth, members in enumerate(problem.members):  # a stretch counts only if an edition that has it is chosen
        rows.append(CoverRow({**dict.fromkeys(members, 1), count_offers + nth: -1}, least=0))
    costs = [0] * count_offers + [-size for size in sizes]
    first = least_sum(costs, rows, seconds)
    if first is None:
        return SeekChoice((), 0, gaps, proved=False, bound=count(gaps))
    rows.append(CoverRow({count_offers + nth: size for nth, size in enumerate(sizes)}, least=-first.total))
    second = least_sum([*(offer.cost for offer in problem.offers), *[0] * len(sizes)], rows, seconds)
    chosen = (second or first).chosen[:count_offers]
    return replace(_choice(problem, gaps, CoverChoice(chosen, first.total, first.bound)), bound=-first.bound)


def _lexicographic(
    problem: _SeekProblem, cuts: Sequence[CoverRow], *, fewest: bool, seconds: float
) -> CoverChoice | None:
    """Minimise cost, then number, then what is disliked (or number before cost); what was reached is kept."""
    costs, ones = [offer.cost for offer in problem.offers], [1] * len(problem.offers)
    goals = [ones, costs] if fewest else [costs, ones]
    if any(offer.disliked for offer in problem.offers):
        goals.append([offer.disliked for offer in problem.offers])
    rows = [*problem.rows, *cuts]
    first: CoverChoice | None = None
    best: CoverChoice | None = None
    for goal in goals:
        found = least_sum(goal, rows, seconds)
        if found is None:
            break
        first, best = first or found, found
        rows.append(CoverRow({nth: weight for nth, weight in enumerate(goal) if weight}, most=found.total))
        if not found.proved:
            break
    return best and first and CoverChoice(best.chosen, first.total, first.bound)


def _choice(problem: _SeekProblem, gaps: Spans, found: CoverChoice | None) -> SeekChoice:
    chosen = [offer for nth, offer in enumerate(problem.offers) if found and found.chosen[nth]]
    left = difference(gaps, union(*(offer.places for offer in chosen)))
    return SeekChoice(
        tuple(offer.key for offer in chosen),
        sum(offer.cost for offer in chosen),
        left,
        proved=found is not None and found.proved,
        bound=found.bound if found else 0,
    )
