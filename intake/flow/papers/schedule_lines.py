"""The copies of a library as lines of a valued list: what each is, its state, where it is, what it is worth and why."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.queries.values import latest_valuations
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import edition_words, path_words, title_words
from intake.flow.papers.paper_contents import condition_words
from intake.flow.values.exchange_rates import rate_table
from intake.flow.values.value_copies import kin
from intake.identifiers.own import serial_of
from intake.model.currencies import amount_text
from intake.model.editions import Copy, CopyState, Edition, Printing
from intake.model.places import PlacePath
from intake.model.schedules import ScheduleGroup, ScheduleLine
from intake.model.valuations import Basis, Valuation
from intake.valuing.likeness import ValueRange, estimate_ranges
from intake.valuing.totals import ValueTotal, Worth, total_value


@dataclass(frozen=True, slots=True)
class GroupName:
    """What a group of a list is called; those of copies that belong to no group of their own come last."""

    name: str
    last: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledCopy:
    """One copy with everything that a list says of it."""

    copy: Copy
    edition: Edition
    room: GroupName
    line: ScheduleLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """All copies as lines, with the total and the ranges of those without a value."""

    listed: tuple[ScheduledCopy, ...]
    added: ValueTotal
    estimates: dict[str, ValueRange]
    alone: tuple[str, ...]


def gather(records: LibraryReader, *, currency: str, on: date, basis: Basis | None = None) -> Gathered:
    """Gather every copy of the library, in the order of their numbers.

    Args:
        records: the library at one moment.
        currency: of the list, a code of ISO 4217.
        on: the day of the rates.
        basis: the basis whose latest values count; None for the latest on any.
    """
    pairs = sorted(all_copies(records), key=lambda pair: serial_of(pair[0].accession))
    values = latest_valuations(records, basis)
    table = rate_table(records, {currency, *(value.currency for value in values.values())})
    added = total_value([copy.accession for copy, _ in pairs], values, table, currency=currency, on=on)
    worths = {one.copy: one for one in added.worths}
    estimates, alone = estimate_ranges([kin(copy, ed, worths[copy.accession].amount) for copy, ed in pairs], currency)
    where = _Places(place_paths(records))
    printings = {printing.id: printing for printing in records.all(Printing)}
    listed = [
        ScheduledCopy(
            copy=copy,
            edition=edition,
            room=where.room(copy),
            line=_line(copy, edition, printings.get(copy.printing_id or 0), where.words(copy), worths[copy.accession],
                       estimates.get(copy.accession)),
        )
        for copy, edition in pairs
    ]  # fmt: skip
    return Gathered(listed=tuple(listed), added=added, estimates=estimates, alone=alone)


def _line(
    copy: Copy, edition: Edition, printing: Printing | None, where: str, worth: Worth, estimate: ValueRange | None
) -> ScheduleLine:
    note = worth.why
    if worth.valuation is None and estimate is not None:
        low, high = (f"{amount:,f}" for amount in (estimate.low, estimate.high))
        note = f"no value recorded; {estimate.count} of the same {estimate.alike}: {low} to {high}"
    return ScheduleLine(
        number=copy.accession,
        title=title_words(edition),
        more="; ".join(filter(None, ("; ".join(edition.contributors), edition_words(edition),
                                     printing_words(printing), binding_words(copy)))),
        condition=condition_words(copy),
        where=where,
        amount=worth.amount,
        recorded=recorded_words(worth.valuation) if worth.valuation else "",
        valued_on=worth.valuation.on if worth.valuation else None,
        note=note,
    )  # fmt: skip


def recorded_words(value: Valuation) -> str:
    """Write a valuation as it was recorded."""
    words = (amount_text(value.amount, value.currency), value.basis.value, value.source, value.on.isoformat())
    return ", ".join(filter(None, words))


def printing_words(printing: Printing | None) -> str:
    """Write which printing a copy is of."""
    if printing is None or printing.ordinal is None:
        return ""
    tens = printing.ordinal % 100 in (11, 12, 13)
    ending = "th" if tens else {1: "st", 2: "nd", 3: "rd"}.get(printing.ordinal % 10, "th")
    return f"{printing.ordinal}{ending} printing"


def binding_words(copy: Copy) -> str:
    """Write how a copy is bound, boxed, signed and numbered, as far as anybody said."""
    case = {True: "slipcase", False: "lacks slipcase", None: ""}[copy.slipcase]
    signed = f"signed: {copy.signed}" if copy.signed else ""
    number = f"number {copy.limitation}" if copy.limitation else ""
    return ", ".join(filter(None, (copy.sewing, copy.covering, copy.finish, case, signed, number)))


def groups_by(
    listed: Iterable[ScheduledCopy],
    key: Callable[[ScheduledCopy], GroupName],
    lines: Callable[[ScheduledCopy], ScheduleLine] = lambda x: x.line,
) -> tuple[ScheduleGroup, ...]:
    """Gather lines into groups, by name; those without one come last."""
    found: dict[GroupName, list[ScheduleLine]] = {}
    for one in listed:
        found.setdefault(key(one), []).append(lines(one))
    ordered = sorted(found, key=lambda group: (group.last, group.name.casefold()))
    return tuple(ScheduleGroup(name=group.name, lines=tuple(found[group])) for group in ordered)


def by_room(one: ScheduledCopy) -> GroupName:
    """Name the room of a copy."""
    return one.room


def by_class(one: ScheduledCopy) -> GroupName:
    """Name the class of a copy."""
    subject = one.edition.subject
    return GroupName(subject) if subject else GroupName("Not classed", last=True)


def estimate_sums(gathered: Gathered) -> tuple[Decimal, Decimal]:
    """Add up the lower and the upper ends of all ranges."""
    ranged = gathered.estimates.values()
    return sum((one.low for one in ranged), Decimal()), sum((one.high for one in ranged), Decimal())


class _Places:
    """Where copies are, in words."""

    def __init__(self, paths: Mapping[str, PlacePath]) -> None:
        self._paths = paths

    def words(self, copy: Copy) -> str:
        path = self._paths.get(copy.place or "")
        if path is not None:
            return path_words(path)
        return f"box {copy.box}, {copy.state}" if copy.box else str(copy.state)

    def room(self, copy: Copy) -> GroupName:
        path = self._paths.get(copy.place or "")
        if path is not None:
            return GroupName(path.room)
        if copy.state is CopyState.MISSING:
            return GroupName("Not found since the move", last=True)
        return GroupName(f"In box {copy.box}") if copy.box else GroupName("Not placed", last=True)
