"""What arrived against what was listed: missing, damaged, found elsewhere, on no list, what remains, and the pace.

A copy that was booked as missing and turns up later keeps its line, which then says where it was found.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import box_pictures, list_boxes, sightings_in_boxes
from intake.edges.store.queries.copies import copies_in_boxes
from intake.edges.store.queries.ledger_entries import copies_on_no_list
from intake.edges.store.queries.sightings import list_queries, sightings_of
from intake.edges.store.queries.values import latest_valuations_of
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.wording import title_words, where_words
from intake.flow.moving.pace import Pace, estimate
from intake.identifiers.own import serial_of
from intake.model.boxes import CARTON_FAULTS, SEAL_FAULTS, Box, BoxState, Consignment, Discrepancy, DiscrepancyKind
from intake.model.changes import Action, ActionKind, LedgerEntry, made
from intake.model.currencies import amount_text
from intake.model.editions import Copy, CopyState, Edition
from intake.model.moving_papers import BoxFault, DiscrepancyLine, FoundElsewhere
from intake.model.sightings import QueryState, Sighting


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What arrived against what was listed.

    Attributes:
        awaited, still_closed, unpacked: boxes not arrived, arrived and not begun, being unpacked or done.
        lines: copies missing or damaged; those found since are told apart by `since`.
        undecided: what waits on the query pile, in words; empty for nothing.
        seen, remaining: things taken out, and copies still packed.
    """

    awaited: tuple[Box, ...]
    still_closed: tuple[Box, ...]
    unpacked: tuple[Box, ...]
    faults: tuple[BoxFault, ...]
    lines: tuple[DiscrepancyLine, ...]
    found: tuple[FoundElsewhere, ...]
    totals: tuple[str, ...]
    undecided: str
    seen: int
    remaining: int
    pace: Pace | None


def record_damage(library: Library, copy_text: str, what: str, *, now: datetime, station: str) -> LedgerEntry:
    """Record that a copy came out of its box damaged.

    Raises:
        RefusedError: there is no such copy, it travelled in no box, or nobody has taken it out yet.
    """
    with library.writing() as work:
        copy = find_copy(work, copy_text)
        if copy.box is None:
            raise RefusedError(f"Copy {copy.accession}", "travelled in no box", "say 'intake find' to see where it is")
        if copy.state in (CopyState.PACKED, CopyState.MISSING):
            raise RefusedError(f"Copy {copy.accession}", f"is {copy.state}", "unpack it first")
        line = Discrepancy(
            id=work.new_id(Discrepancy),
            box=copy.box,
            copy=copy.accession,
            kind=DiscrepancyKind.DAMAGED,
            reason=what,
            at=now,
            station=station,
        )
        return work.apply(Action(ActionKind.RECORD_DAMAGE, copy.accession, station, note=what), made(line)).entry


def reconcile(records: LibraryReader, reference: str | None = None) -> Reconciled:
    """Compare what arrived with the lists.

    Args:
        records: the library.
        reference: only the boxes of this consignment.

    Raises:
        RefusedError: there is no such consignment.
    """
    if reference is not None and records.get(Consignment, reference) is None:
        known = ", ".join(held.reference for held in records.all(Consignment)) or "none yet"
        raise RefusedError(f"Consignment {reference}", "is not in this library", f"name one of these: {known}")
    boxes = sorted(list_boxes(records, reference), key=lambda box: serial_of(box.number))
    names = {box.number for box in boxes}
    copies = {copy.accession: copy for copy in copies_in_boxes(records, names)}
    remaining = sum(copy.state is CopyState.PACKED for copy in copies.values())
    sightings = sightings_in_boxes(records, names)
    begun = {sighting.box for sighting in sightings}
    lines = tuple(_lines(records, names, copies))
    arrived = [box for box in boxes if box.state is BoxState.ARRIVED and box.number not in begun]
    return Reconciled(
        awaited=tuple(box for box in boxes if box.state in (BoxState.OPEN, BoxState.CLOSED)),
        still_closed=tuple(arrived),
        unpacked=tuple(box for box in boxes if box.number in begun or box.state is BoxState.UNPACKED),
        faults=tuple(_faults(records, boxes)),
        lines=lines,
        found=tuple(_found(records, sightings, copies)),
        totals=tuple(_totals(lines)),
        undecided=_undecided(records, names),
        seen=len(sightings),
        remaining=remaining,
        pace=estimate([sighting.at for sighting in sightings], remaining),
    )


def _lines(records: LibraryReader, boxes: Collection[str], copies: Mapping[str, Copy]) -> Iterable[DiscrepancyLine]:
    recorded = [one for one in records.all(Discrepancy) if one.box in boxes]
    editions = records.get_many(Edition, (copies[one.copy].edition_id for one in recorded if one.copy in copies))
    values = latest_valuations_of(records, (one.copy for one in recorded))
    for one in recorded:
        copy = copies.get(one.copy) or records.get(Copy, one.copy)
        edition = editions.get(copy.edition_id) if copy else None
        value = values.get(one.copy)
        gone = one.kind is DiscrepancyKind.MISSING
        yield DiscrepancyLine(
            number=one.copy,
            title=title_words(edition) if edition else "",
            box=one.box,
            what=one.kind.value,
            reason=one.reason,
            amount=value.amount if value else None,
            currency=value.currency if value else "",
            since=_since(records, copy) if copy and gone and copy.state is not CopyState.MISSING else "",
        )


def _since(records: LibraryReader, copy: Copy) -> str:
    """Say where a copy that had been missing was found."""
    seen = [sighting.box for sighting in sightings_of(records, copy.accession) if sighting.box]
    return f"found since, in box {seen[-1]}" if seen else f"found since: {where_words(records, copy)}"


def _faults(records: LibraryReader, boxes: Iterable[Box]) -> Iterable[BoxFault]:
    for box in boxes:
        words = []
        if box.carton in CARTON_FAULTS:
            words.append(f"carton {box.carton}")
        if box.seal_state in SEAL_FAULTS:
            words.append(f"seal {box.seal or 'of the packing'}: {box.seal_state}")
        if words:
            if box.note:
                words.append(box.note)
            yield BoxFault(number=box.number, what="; ".join(words), pictures=len(box_pictures(records, box.number)))


def _found(
    records: LibraryReader, sightings: Sequence[Sighting], copies: Mapping[str, Copy]
) -> Iterable[FoundElsewhere]:
    """Yield what was in another box than its list says, and what is on no list."""
    new = copies_on_no_list(records)
    for accession, found_in in dict.fromkeys((one.copy, one.box or "") for one in sightings):
        copy = copies.get(accession) or records.get(Copy, accession)
        if copy is None or (copy.box == found_in and accession not in new):
            continue
        edition = records.get(Edition, copy.edition_id)
        listed_in = "on no list" if accession in new else copy.box or "not packed"
        if accession in new and copy.box != found_in:
            continue
        yield FoundElsewhere(
            number=accession, title=title_words(edition) if edition else "", found_in=found_in, listed_in=listed_in
        )


def _totals(lines: Sequence[DiscrepancyLine]) -> Iterable[str]:
    for what in (DiscrepancyKind.MISSING.value, DiscrepancyKind.DAMAGED.value):
        open_lines = [line for line in lines if line.what == what and not line.since]
        if not open_lines:
            continue
        sums: dict[str, Decimal] = {}
        for line in open_lines:
            if line.amount is not None:
                sums[line.currency] = sums.get(line.currency, Decimal(0)) + line.amount
        unvalued = sum(line.amount is None for line in open_lines)
        amounts = [amount_text(amount, currency) for currency, amount in sorted(sums.items())]
        rest = [f"{unvalued} not valued"] if unvalued else []
        yield f"{what.capitalize()}: {len(open_lines)}, worth {' and '.join([*amounts, *rest])}"


def _undecided(records: LibraryReader, boxes: Collection[str]) -> str:
    """Say what waits on the query pile: it may be just what seems to be missing."""
    count = sum(query.box in boxes for query in list_queries(records, QueryState.WAITING))
    if not count:
        return ""
    things = "thing from these boxes waits" if count == 1 else "things from these boxes wait"
    return f"{count} {things} on the query pile and may be among the missing; decide them first."
