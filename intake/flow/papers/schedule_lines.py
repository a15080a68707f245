"""Valued copies as lines of a schedule: what each is, its condition, where it is, what it is worth and why."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.documents.people import few_people
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import edition_words, title_words, volumes_words, written_number
from intake.flow.papers.copy_words import binding_words, condition_words, printing_words, recorded_words, signed_words
from intake.flow.papers.valued_copies import GroupName, ValuedCopy, lost_group, refuse_none, total_of
from intake.flow.values.value_copies import kin, unvalued_ranges
from intake.model.currencies import amount_text, range_text
from intake.model.editions import Printing
from intake.model.schedules import ScheduleGroup, ScheduleLine
from intake.model.valuations import Basis
from intake.units.language import say, term
from intake.units.local_forms import order_of
from intake.valuing.likeness import ValueRange
from intake.valuing.set_values import SetPart
from intake.valuing.totals import SetWorth, ValueTotal, Worth


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledCopy:
    """One copy and its line."""

    valued: ValuedCopy
    line: ScheduleLine


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledSet:
    """One set that is counted once, or what the loss of volumes took from it, and its line."""

    worth: SetWorth
    line: ScheduleLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """Copies as lines of a schedule.

    Attributes:
        listed: by their numbers.
        sets: those that are counted once; the lines of their volumes have no amount.
        added: what they are worth together.
        estimates: a range for each copy at risk without a value that like copies give one.
        alone: copies at risk without a value and without enough like them.
    """

    listed: tuple[ScheduledCopy, ...]
    sets: tuple[ScheduledSet, ...]
    added: ValueTotal
    estimates: dict[str, ValueRange]
    alone: tuple[str, ...]


def scheduled(
    reader: LibraryReader,
    copies: Sequence[ValuedCopy],
    *,
    currency: str,
    on: date,
    basis: Basis | None = None,
    estimated: bool = True,
) -> Gathered:
    """Return copies as lines, with their values in one currency; what has no rate stays in its own.

    Args:
        reader: of the library at one moment.
        copies: which.
        currency: of the list, a code of ISO 4217.
        on: the day of the rates.
        basis: the basis whose values of sets count; None for the one that counts.
        estimated: whether copies without a value get a range by like copies.

    Raises:
        RefusedError: there is no copy.
        UsageError: ISO 4217 has no such currency.
    """
    refuse_none(copies)
    added = total_of(reader, copies, currency=currency, on=on, basis=basis)
    worths = {worth.copy: worth for worth in added.worths}
    estimates, alone = _estimates(copies, worths, added) if estimated else ({}, ())
    printings = {printing.id: printing for printing in reader.all(Printing)}
    listed = [
        ScheduledCopy(
            valued=one,
            line=_line(
                one,
                printings.get(one.copy.printing_id or 0),
                worths[one.copy.accession],
                added.currency,
                estimates.get(one.copy.accession),
            ),
        )
        for one in copies
    ]
    sets = tuple(ScheduledSet(worth=worth, line=_set_line(worth, added.currency)) for worth in added.sets)
    return Gathered(listed=tuple(listed), sets=sets, added=added, estimates=estimates, alone=alone)


def _estimates(
    copies: Sequence[ValuedCopy], worths: Mapping[str, Worth], added: ValueTotal
) -> tuple[dict[str, ValueRange], tuple[str, ...]]:
    """Return ranges for the copies at risk that have no value and are in the value of no set."""
    alike = [kin(one.copy, one.edition, worths[one.copy.accession].amount) for one in copies]
    return unvalued_ranges(alike, added, added.at_risk.unvalued)


def _line(
    valued: ValuedCopy, printing: Printing | None, worth: Worth, currency: str, estimate: ValueRange | None
) -> ScheduleLine:
    copy, edition, value = valued.copy, valued.edition, worth.valuation
    parts = (
        few_people("; ".join(edition.contributors)),
        edition_words(edition),
        printing_words(printing),
        binding_words(copy),
        signed_words(copy),
    )
    in_set = "" if worth.in_set is None else set_number(worth.in_set)
    stated = (worth.amount, currency) if value is None or worth.amount is not None else (value.amount, value.currency)
    return ScheduleLine(
        number=copy.accession,
        title=title_words(edition),
        more="; ".join(filter(None, parts)),
        condition=condition_words(copy, valued.damage),
        where=valued.where,
        amount=None if in_set else stated[0],
        currency=stated[1],
        basis=value.basis if value else None,
        lost=worth.lost,
        in_set=in_set,
        recorded=recorded_words(value) if value else "",
        valued_on=value.on if value else None,
        note=_note(worth, in_set, currency, estimate),
        isbn=written_number(edition),
        publisher=edition.publisher,
        year=edition.year,
    )


def _note(worth: Worth, in_set: str, currency: str, estimate: ValueRange | None) -> str:
    if in_set:
        return counted_in(in_set, lost=worth.lost)
    if worth.valuation is None and estimate is not None:
        between = range_text(estimate.low, estimate.high, currency)
        words = term("no value recorded; {count} of the same {alike}: {between}")
        return say(words, count=estimate.count, alike=say(estimate.alike.value), between=between)
    return say("not converted: {why}", why=worth.why) if worth.missing else worth.why


def _set_line(worth: SetWorth, currency: str) -> ScheduleLine:
    part, value = worth.part, worth.part.value
    return ScheduleLine(
        number=set_number(worth.set_id),
        title=part.counted.book_set.title,
        more=part_words(part),
        amount=part.own if worth.amount is None else worth.amount,
        currency=value.currency if worth.amount is None else currency,
        basis=value.basis,
        lost=part.lost,
        copies=len(part.copies),
        is_set=True,
        recorded="" if part.lost else recorded_words(value),
        valued_on=value.on,
        note=say("not converted: {why}", why="; ".join(rate.why for rate in worth.missing)) if worth.missing else "",
    )


def set_number(set_id: int) -> str:
    """Return how a set is numbered in lists.

    >>> set_number(3)
    'set 3'
    """
    return say("set {number}", number=set_id)


def counted_in(set_text: str, *, lost: bool) -> str:
    """Write in which set a copy counts, or in whose loss.

    >>> counted_in("set 3", lost=True)
    'counted in the loss of set 3'
    """
    return say("counted in the loss of {set}", set=set_text) if lost else say("counted in {set}", set=set_text)


def part_words(part: SetPart) -> str:
    """Write how a set is counted: as a whole, without lost volumes, or what these took from its value."""
    counted, copies = part.counted, ", ".join(part.copies)
    if not part.lost:
        if not counted.gaps:
            return say("valued as a set, in place of the values of its copies {copies}", copies=copies)
        without = term("valued as a set without {volumes}, in place of the values of its copies {copies}")
        return say(without, volumes=volumes_words(counted.gaps), copies=copies)
    before = amount_text(counted.before.amount, counted.before.currency) if counted.before else ""
    after, own = (amount_text(amount, part.value.currency) for amount in (part.value.amount, part.own))
    return say(
        "the loss of {copies} took {amount} from the value of the set: {before} before, {after} after",
        copies=copies,
        amount=own,
        before=before,
        after=after,
    )


def groups_by(gathered: Gathered, key: Callable[[ValuedCopy], GroupName]) -> tuple[ScheduleGroup, ...]:
    """Return the lines in groups, by name; those that belong to none come last, and after them what is lost.

    A set stands in the group of its copies, or in one of its own where these are in several.
    """
    lost, across = lost_group(), GroupName(say("Sets whose volumes are in several of these groups"), last=True)
    groups: dict[GroupName, list[ScheduleLine]] = {}
    of_copy: dict[str, GroupName] = {}
    for one in gathered.listed:
        group = lost if one.valued.lost else key(one.valued)
        of_copy[one.line.number] = group
        groups.setdefault(group, []).append(one.line)
    for whole in gathered.sets:
        names = {of_copy[copy] for copy in whole.worth.part.copies}
        groups.setdefault(names.pop() if len(names) == 1 else across, []).append(whole.line)
    ordered = sorted(groups, key=lambda group: (group == lost, group.last, order_of(group.name.casefold())))
    return tuple(ScheduleGroup(name=group.name, lines=tuple(groups[group])) for group in ordered)


def by_room(valued: ValuedCopy) -> GroupName:
    """Return the group of a copy where copies are grouped by room."""
    return valued.room


def by_class(valued: ValuedCopy) -> GroupName:
    """Return the group of a copy where copies are grouped by class."""
    subject = valued.edition.subject
    return GroupName(subject) if subject else GroupName(say("Not classed"), last=True)


def estimate_sums(gathered: Gathered) -> tuple[Decimal, Decimal]:
    """Return the sums of the lower and of the upper ends of all ranges."""
    ranged = gathered.estimates.values()
    return sum((one.low for one in ranged), Decimal()), sum((one.high for one in ranged), Decimal())
