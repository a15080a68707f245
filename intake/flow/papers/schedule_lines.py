"""Valued copies as lines of a schedule: what each is, its condition, where it is, what it is worth and why."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.wording import edition_words, title_words
from intake.flow.papers.copy_words import binding_words, condition_words, printing_words, recorded_words
from intake.flow.papers.valued_copies import GroupName, ValuedCopy, total_of
from intake.flow.values.value_copies import kin
from intake.model.editions import Printing
from intake.model.schedules import ScheduleGroup, ScheduleLine
from intake.valuing.likeness import ValueRange, estimate_ranges
from intake.valuing.totals import ValueTotal, Worth


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledCopy:
    """One copy and its line."""

    valued: ValuedCopy
    line: ScheduleLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """Copies as lines of a schedule.

    Attributes:
        listed: by their numbers.
        added: what they are worth together.
        estimates: a range for each copy without a value that like copies give one.
        alone: copies without a value and without enough like them.
    """

    listed: tuple[ScheduledCopy, ...]
    added: ValueTotal
    estimates: dict[str, ValueRange]
    alone: tuple[str, ...]


def scheduled(
    reader: LibraryReader, copies: Sequence[ValuedCopy], *, currency: str, on: date, estimated: bool = True
) -> Gathered:
    """Return copies as lines, with their values in one currency.

    Args:
        reader: of the library at one moment.
        copies: which.
        currency: of the list, a code of ISO 4217.
        on: the day of the rates.
        estimated: whether copies without a value get a range by like copies.

    Raises:
        RefusedError: there is no copy.
        UsageError: ISO 4217 has no such currency.
    """
    if not copies:
        raise RefusedError("The library", "holds no copy, so there is nothing to list", "import or pack copies first")
    added = total_of(reader, copies, currency=currency, on=on)
    worths = {worth.copy: worth for worth in added.worths}
    estimates: dict[str, ValueRange] = {}
    alone: tuple[str, ...] = ()
    if estimated:
        alike = [kin(one.copy, one.edition, worths[one.copy.accession].amount) for one in copies]
        estimates, alone = estimate_ranges(alike, added.currency)
    printings = {printing.id: printing for printing in reader.all(Printing)}
    listed = [
        ScheduledCopy(
            valued=one,
            line=_line(
                one,
                printings.get(one.copy.printing_id or 0),
                worths[one.copy.accession],
                estimates.get(one.copy.accession),
            ),
        )
        for one in copies
    ]
    return Gathered(listed=tuple(listed), added=added, estimates=estimates, alone=alone)


def _line(valued: ValuedCopy, printing: Printing | None, worth: Worth, estimate: ValueRange | None) -> ScheduleLine:
    copy, edition = valued.copy, valued.edition
    note = worth.why
    if worth.valuation is None and estimate is not None:
        low, high = (f"{amount:,f}" for amount in (estimate.low, estimate.high))
        note = f"no value recorded; {estimate.count} of the same {estimate.alike}: {low} to {high}"
    parts = ("; ".join(edition.contributors), edition_words(edition), printing_words(printing), binding_words(copy))
    return ScheduleLine(
        number=copy.accession,
        title=title_words(edition),
        more="; ".join(filter(None, parts)),
        condition=condition_words(copy),
        where=valued.where,
        amount=worth.amount,
        recorded=recorded_words(worth.valuation) if worth.valuation else "",
        valued_on=worth.valuation.on if worth.valuation else None,
        note=note,
    )


def groups_by(listed: Iterable[ScheduledCopy], key: Callable[[ValuedCopy], GroupName]) -> tuple[ScheduleGroup, ...]:
    """Return the lines in groups, by name; those that belong to none come last."""
    groups: dict[GroupName, list[ScheduleLine]] = {}
    for one in listed:
        groups.setdefault(key(one.valued), []).append(one.line)
    ordered = sorted(groups, key=lambda group: (group.last, group.name.casefold()))
    return tuple(ScheduleGroup(name=group.name, lines=tuple(groups[group])) for group in ordered)


def by_room(valued: ValuedCopy) -> GroupName:
    """Return the group of a copy where copies are grouped by room."""
    return valued.room


def by_class(valued: ValuedCopy) -> GroupName:
    """Return the group of a copy where copies are grouped by class."""
    subject = valued.edition.subject
    return GroupName(subject) if subject else GroupName("Not classed", last=True)


def estimate_sums(gathered: Gathered) -> tuple[Decimal, Decimal]:
    """Return the sums of the lower and of the upper ends of all ranges."""
    ranged = gathered.estimates.values()
    return sum((one.low for one in ranged), Decimal()), sum((one.high for one in ranged), Decimal())
