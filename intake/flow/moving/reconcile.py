"""What arrived against what was listed: missing, damaged, found elsewhere, on no list, what remains, and the pace.

A copy that was booked as missing and turns up later is missing no more: it is named apart, with where it was found.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import (
    SeenElsewhere,
    begun_boxes,
    count_waiting_in,
    discrepancies,
    list_boxes,
    pictures_per_box,
    seen_elsewhere,
    taken_out_of,
    unpacked_at,
)
from intake.edges.store.queries.copies import count_packed
from intake.edges.store.queries.withdrawals import withdrawals_of
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.wording import title_words, where_each_is
from intake.flow.moving.arrival_words import fault_words
from intake.flow.moving.consignments import find_consignment
from intake.flow.moving.deliveries import deliveries_of
from intake.flow.moving.loss_values import LossValue, doubt_words, loss_values, newer_words
from intake.flow.moving.pace import Pace, estimate
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, BoxState, Discrepancy, DiscrepancyKind
from intake.model.changes import Action, ActionKind, LedgerEntry, Provisional, made, supposing
from intake.model.currencies import amount_text
from intake.model.editions import UNSEEN, Copy, CopyState, Edition
from intake.model.moving_papers import BoxFault, DiscrepancyLine, FoundElsewhere
from intake.units.language import say, say_of


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What arrived against what was listed.

    Attributes:
        awaited, still_closed, unpacked: boxes not arrived, arrived and not begun, being unpacked or done.
        lines: copies missing or damaged now, a copy once for each kind.
        found_since: copies that had been reported missing and were found since, with where.
        totals: what is missing and damaged with its value, and which values are of after the delivery.
        newer: for the owner, values of after the delivery that are no part of the loss; empty for none.
        waiting: how many things from these boxes wait on the query pile.
        undecided: the same in words, for the person who decides them; empty for nothing.
        seen, remaining: copies taken out, and copies still packed.
    """

    awaited: tuple[Box, ...]
    still_closed: tuple[Box, ...]
    unpacked: tuple[Box, ...]
    faults: tuple[BoxFault, ...]
    lines: tuple[DiscrepancyLine, ...]
    found_since: tuple[DiscrepancyLine, ...]
    found_elsewhere: tuple[FoundElsewhere, ...]
    totals: tuple[str, ...]
    newer: tuple[str, ...]
    waiting: int
    undecided: str
    seen: int
    remaining: int
    pace: Pace | None


def record_damage(library: Library, copy_text: str, what: str, *, now: datetime, station: str) -> LedgerEntry:
    """Record that a copy came out of its box damaged.

    Raises:
        RefusedError: the copy does not exist, it travelled in no box, or it has not been taken out yet.
    """
    with library.reading() as records:
        copy = find_copy(records, copy_text)
    if copy.box is None:
        raise RefusedError(
            f"Copy {copy.accession}", "did not travel in a box", "look it up to see where it is", field="copy"
        )
    if copy.state in UNSEEN:
        raise RefusedError(f"Copy {copy.accession}", f"is {copy.state}", "unpack it first", field="copy")
    line = Discrepancy(
        id=Provisional().id(),
        box=copy.box,
        copy=copy.accession,
        kind=DiscrepancyKind.DAMAGED,
        reason=what,
        at=now,
        station=station,
    )
    action = Action(ActionKind.RECORD_DAMAGE, copy.accession, station, note=what)
    return library.apply(action, (*made(line), *supposing(copy))).entry


def reconcile(records: LibraryReader, reference: str | None = None, *, delivered: date | None = None) -> Reconciled:
    """Compare what arrived with the lists.

    Args:
        records: the library.
        reference: only the boxes of this consignment.
        delivered: the day of delivery of the boxes that arrived and have none recorded.

    Raises:
        RefusedError: the consignment does not exist.
    """
    if reference is not None:
        find_consignment(records, reference)
    boxes = sorted(list_boxes(records, reference), key=lambda box: serial_of(box.number))
    begun = begun_boxes(records, reference)
    reports = discrepancies(records, reference)
    values = loss_values(
        records, {line.copy: line.box for line, _, _ in reports}, *deliveries_of(boxes, given=delivered)
    )
    reported = _lines(records, reports, values)
    lines = tuple(line for line in reported if not line.since)
    valued = [values[copy] for copy in dict.fromkeys(line.number for line in lines) if copy in values]
    found_elsewhere = tuple(_found(seen_elsewhere(records, reference)))
    remaining = count_packed(records, reference)
    seen = unpacked_at(records, reference)
    waiting = count_waiting_in(records, reference)
    closed = [box for box in boxes if box.state is BoxState.ARRIVED and box.number not in begun]
    return Reconciled(
        awaited=tuple(box for box in boxes if box.state in (BoxState.OPEN, BoxState.CLOSED)),
        still_closed=tuple(closed),
        unpacked=tuple(box for box in boxes if box.number in begun or box.state is BoxState.UNPACKED),
        faults=tuple(_faults(boxes, pictures_per_box(records, reference))),
        lines=lines,
        found_since=tuple(line for line in reported if line.since),
        found_elsewhere=found_elsewhere,
        totals=(*_totals(lines, found_elsewhere), *doubt_words(valued)),
        newer=newer_words(valued),
        waiting=waiting,
        undecided=_undecided(waiting),
        seen=len(seen),
        remaining=remaining,
        pace=estimate(tuple(seen.values()), remaining),
    )


def _lines(
    records: LibraryReader, reported: Sequence[tuple[Discrepancy, Copy, Edition]], values: Mapping[str, LossValue]
) -> tuple[DiscrepancyLine, ...]:
    # What was withdrawn as missing, as lost for good, was not found.
    withdrawn = withdrawals_of(records, (line.copy for line, copy, _ in reported if copy.state is CopyState.WITHDRAWN))
    never_found = {accession for accession, one in withdrawn.items() if one.was is CopyState.MISSING}
    copies_found = {
        line.id: copy
        for line, copy, _ in reported
        if line.kind is DiscrepancyKind.MISSING
        and copy.state is not CopyState.MISSING
        and copy.accession not in never_found
    }
    boxes = taken_out_of(records, (copy.accession for copy in copies_found.values()))
    where = where_each_is(records, copies_found.values())

    def since(line: Discrepancy) -> str:
        """Write where a copy that had been missing was found."""
        if line.id not in copies_found:
            return ""
        return say("in box {box}", box=boxes[line.copy]) if line.copy in boxes else where[line.copy]

    merged: dict[tuple[str, DiscrepancyKind], DiscrepancyLine] = {}
    reasons: dict[tuple[str, DiscrepancyKind], dict[str, None]] = {}
    for line, _, edition in reported:
        key = (line.copy, line.kind)
        value = values[line.copy].value if line.copy in values else None
        reasons.setdefault(key, {})[line.reason] = None
        # A copy has one loss, however often its damage was recorded; every reason is kept.
        merged[key] = DiscrepancyLine(
            number=line.copy,
            title=title_words(edition),
            box=line.box,
            what=line.kind.value,
            reason="; ".join(reasons[key]),
            amount=value.amount if value else None,
            currency=value.currency if value else "",
            basis=value.basis if value else None,
            valued_on=value.on if value else None,
            since=since(line),
        )
    return tuple(merged.values())


def _faults(boxes: Iterable[Box], pictures: Mapping[str, int]) -> Iterable[BoxFault]:
    for box in boxes:
        if faults := fault_words(box):
            what = "; ".join(filter(None, (faults, box.note)))
            yield BoxFault(number=box.number, what=what, pictures=pictures.get(box.number, 0))


def _found(elsewhere: Sequence[SeenElsewhere]) -> Iterable[FoundElsewhere]:
    """Yield what was in another box than its list says, and what is on no list."""
    for seen in elsewhere:
        if seen.is_new and seen.listed_in != seen.found_in:
            continue  # it was recorded out of another box, and stands there
        listed_in = say("on no list") if seen.is_new else seen.listed_in or say("not packed")
        title = title_words(seen.edition)
        yield FoundElsewhere(
            number=seen.copy, title=title, found_in=seen.found_in, listed_in=listed_in, surplus=seen.is_new
        )


def _totals(lines: Sequence[DiscrepancyLine], found_elsewhere: Sequence[FoundElsewhere]) -> Iterable[str]:
    for what in (DiscrepancyKind.MISSING.value, DiscrepancyKind.DAMAGED.value):
        open_lines = [line for line in lines if line.what == what]
        if not open_lines:
            continue
        sums: dict[str, Decimal] = {}
        for line in open_lines:
            if line.amount is not None:
                sums[line.currency] = sums.get(line.currency, Decimal(0)) + line.amount
        unvalued = sum(line.amount is None for line in open_lines)
        amounts = [amount_text(amount, currency) for currency, amount in sorted(sums.items())]
        rest = [say("{count} not valued", count=unvalued)] if unvalued else []
        worth = say(" and ").join([*amounts, *rest])
        if what == DiscrepancyKind.MISSING.value:
            yield say("Missing: {count}, worth {worth}", count=len(open_lines), worth=worth)
        else:
            yield say("Damaged: {count}, worth {worth}", count=len(open_lines), worth=worth)
    surplus = len({found.number for found in found_elsewhere if found.surplus})
    if surplus:
        yield say("Surplus: {count} on no list, in no sum", count=surplus)


def _undecided(count: int) -> str:
    """Write how much waits on the query pile: it may include what seems to be missing."""
    if not count:
        return ""
    return say_of(
        count,
        "{count} thing from these boxes waits on the query pile and may be among the missing; decide it first.",
        "{count} things from these boxes wait on the query pile and may be among the missing; decide them first.",
    )
