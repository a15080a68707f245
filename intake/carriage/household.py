"""Relief from duty and tax for used household effects: which conditions the days on record meet, and which they do not.

    European Union   Regulation (EC) No 1186/2009, articles 3 to 11: owned, and used, for six months before the old
                     residence was left (4); lived outside the customs territory for twelve months (5); entered within
                     twelve months of settling (7), or up to six months before it against security (9); not lent,
                     pledged, hired out or transferred for twelve months (8)
    United States    19 CFR 148.52 (HTSUS 9804.00.05): used abroad for a year, which need not be continuous; later than
                     ten years after the importer's arrival only with an explanation

The day of a purchase value is one by which the book had been bought, not the day of purchase: a late one proves
nothing, and is asked about. Nor does a record know whether a book was used: a condition that is met by it is still the
declarant's to state. Which rule applies, and whether its conditions are met, the customs office decides. Moves within
one customs territory need no relief; other countries have rules of their own, which are not known here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import Enum, StrEnum, auto

from intake.carriage.periods import months_later

EU_OWNED_MONTHS, EU_ABROAD_MONTHS, EU_ENTRY_MONTHS, EU_EARLY_MONTHS, EU_KEPT_MONTHS = 6, 12, 12, 6, 12
US_USED_MONTHS, US_ARRIVED_MONTHS = 12, 120


class Relief(StrEnum):
    """The rule under which relief is asked; the value is how a person names it."""

    EU = "eu"
    US = "us"


class Condition(Enum):
    """What a rule asks for."""

    EU_LIVED_OUTSIDE = auto()
    EU_ENTRY_IN_TIME = auto()
    EU_ENTRY_BEFORE_SETTLING = auto()
    EU_KEPT_AFTERWARDS = auto()
    EU_OWNED_BEFORE = auto()
    US_WITHIN_TEN_YEARS = auto()
    US_USED_A_YEAR = auto()


class DaysFault(Enum):
    """Why the days of a removal cannot be right, or what a rule has no use for.

    NOT_OF_THIS_RULE: a day that only the other rule asks for. ABROAD_AFTER_LEFT: the person lived outside only after
    the old residence was given up. SETTLED_BEFORE_LEFT: there is one normal residence at a time, and the new one is
    taken up no earlier than the old one is given up. ENTRY_BEFORE_DISPATCH: the goods enter before they were sent.
    """

    NOT_OF_THIS_RULE = auto()
    ABROAD_AFTER_LEFT = auto()
    SETTLED_BEFORE_LEFT = auto()
    ENTRY_BEFORE_DISPATCH = auto()


class Finding(Enum):
    """What the days on record say of a condition; OPEN where they do not tell, or where it is about the future."""

    MET = auto()
    NOT_MET = auto()
    OPEN = auto()


@dataclass(frozen=True, slots=True)
class Checked:
    """A condition and what was found.

    Attributes:
        limit: the day that the condition turns on, where it can be computed: the earliest day of leaving, the last day
            of entry, the last day on which nothing may be sold, the earliest day of entry.
    """

    condition: Condition
    finding: Finding
    limit: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovalDays:
    """The days of a removal, None where not stated.

    Attributes:
        left: on which the residence outside was given up.
        settled: on which the new one was taken up; of a US importer, the day of arrival.
        abroad_since: since when the person lived outside the customs territory.
        entry: on which customs accept the goods.
    """

    left: date | None = None
    settled: date | None = None
    abroad_since: date | None = None
    entry: date | None = None


def fault_of(relief: Relief, days: RemovalDays, *, dispatched: date | None) -> DaysFault | None:
    """Return why the days of a removal cannot be right; None where they can.

    Args:
        relief: the rule.
        days: of the removal.
        dispatched: the day on which the goods were sent; None where it is not known.

    >>> days = RemovalDays(left=date(2026, 2, 1), settled=date(2023, 8, 1))
    >>> fault_of(Relief.EU, days, dispatched=None)
    <DaysFault.SETTLED_BEFORE_LEFT: 3>
    """
    if relief is Relief.US and (days.left or days.abroad_since):
        return DaysFault.NOT_OF_THIS_RULE
    if _is_after(days.abroad_since, days.left):
        return DaysFault.ABROAD_AFTER_LEFT
    if _is_after(days.left, days.settled):
        return DaysFault.SETTLED_BEFORE_LEFT
    return DaysFault.ENTRY_BEFORE_DISPATCH if _is_after(dispatched, days.entry) else None


def check_removal(relief: Relief, days: RemovalDays) -> tuple[Checked, ...]:
    """Check the conditions that concern the person and the removal as a whole."""
    return tuple(_eu_removal(days) if relief is Relief.EU else _us_removal(days))


def check_owned(relief: Relief, days: RemovalDays, *, bought_by: date | None, printed: int | None) -> Checked:
    """Check how long one book was owned, or could have been used.

    Args:
        relief: the rule.
        days: of the removal.
        bought_by: a day by which it had been bought; None where none is on record.
        printed: the year of printing, before which nobody owned it; None where it is not known.

    >>> days = RemovalDays(left=date(2026, 2, 1))
    >>> check_owned(Relief.EU, days, bought_by=date(2025, 7, 31), printed=None).finding
    <Finding.MET: 1>
    """
    if relief is Relief.EU:
        condition, months, until = Condition.EU_OWNED_BEFORE, EU_OWNED_MONTHS, days.left
    else:
        condition, months, until = Condition.US_USED_A_YEAR, US_USED_MONTHS, days.entry
    if until is None:
        return Checked(condition, Finding.OPEN)
    limit = months_later(bought_by, months) if bought_by else None
    if limit is not None and limit <= until:
        return Checked(condition, Finding.MET, limit)
    earliest = months_later(date(printed, 1, 1), months) if printed else None
    if earliest is not None and earliest > until:
        return Checked(condition, Finding.NOT_MET, earliest)
    return Checked(condition, Finding.OPEN, limit or earliest)


def _eu_removal(days: RemovalDays) -> Iterator[Checked]:
    if days.abroad_since is None:
        yield Checked(Condition.EU_LIVED_OUTSIDE, Finding.OPEN)
    else:
        earliest = months_later(days.abroad_since, EU_ABROAD_MONTHS)
        yield Checked(Condition.EU_LIVED_OUTSIDE, _on_or_before(earliest, days.left), earliest)
    yield _eu_entry(days)
    kept = months_later(days.entry, EU_KEPT_MONTHS) if days.entry else None
    yield Checked(Condition.EU_KEPT_AFTERWARDS, Finding.OPEN, kept)


def _eu_entry(days: RemovalDays) -> Checked:
    if days.settled is None:
        return Checked(Condition.EU_ENTRY_IN_TIME, Finding.OPEN)
    if days.entry is not None and days.entry < days.settled:
        settle_by = months_later(days.entry, EU_EARLY_MONTHS)
        late = settle_by < days.settled
        return Checked(Condition.EU_ENTRY_BEFORE_SETTLING, Finding.NOT_MET if late else Finding.OPEN, settle_by)
    last = months_later(days.settled, EU_ENTRY_MONTHS)
    return Checked(Condition.EU_ENTRY_IN_TIME, _on_or_before(days.entry, last), last)


def _us_removal(days: RemovalDays) -> Iterator[Checked]:
    last = months_later(days.settled, US_ARRIVED_MONTHS) if days.settled else None
    yield Checked(Condition.US_WITHIN_TEN_YEARS, _on_or_before(days.entry, last), last)


def _is_after(first: date | None, second: date | None) -> bool:
    return first is not None and second is not None and first > second


def _on_or_before(day: date | None, last: date | None) -> Finding:
    if day is None or last is None:
        return Finding.OPEN
    return Finding.MET if day <= last else Finding.NOT_MET
