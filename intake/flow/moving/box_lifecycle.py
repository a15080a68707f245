"""The course of a box: opened, closed, checked in, finished. Each step is one transaction.

How it is filled is in `intake.flow.moving.pack_copies`.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime

from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import box_contents, copies_in_box
from intake.edges.store.reader import LibraryReader
from intake.errors import QueriesWaitError, RefusedError
from intake.flow.lookup.resolve import find_box, own_number
from intake.flow.lookup.status import queries_words, waiting_in_box
from intake.flow.moving.contradictions import check_gross
from intake.flow.moving.deliveries import Delivery, check_days
from intake.model.boxes import (
    Box,
    BoxPicture,
    BoxState,
    CartonState,
    Consignment,
    Discrepancy,
    DiscrepancyKind,
    SealState,
)
from intake.model.changes import Action, ActionKind, Change, Provisional, made, supposing
from intake.model.editions import Copy, CopyState
from intake.model.identifiers import OwnKind
from intake.model.sightings import Picture
from intake.units.counts import noun

NO_REASON = "no reason given"


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivalReport:
    """The state of a box when it arrived, before it was opened.

    Attributes:
        delivered: the day on which the carrier handed it over; None where it is not stated.
        arrived_g: what it weighed.
        as_weighed: record that mass even if the empty box, or the books alone, weigh more.
        pictures: photographs of it, already kept in the library.
    """

    carton: CartonState = CartonState.NOT_LOOKED_AT
    seal: SealState = SealState.NOT_LOOKED_AT
    delivered: date | None = None
    arrived_g: float | None = None
    as_weighed: bool = False
    pictures: tuple[Picture, ...] = ()


NOT_LOOKED_AT = ArrivalReport()

Why = Callable[[tuple[Copy, ...]], str]
"""Asks the person why these copies are missing from the unpacked box; returns the reason."""


@dataclass(frozen=True, slots=True)
class BoxStep:
    """One step of one box, not yet taken: the box before and after, and all that changes."""

    before: Box
    after: Box
    changes: tuple[Change, ...]


def no_reason(_missing: tuple[Copy, ...]) -> str:
    """Give no reason: the default where there is no person to ask."""
    return NO_REASON


def open_box(library: Library, box: Box, *, station: str) -> Box:
    """Record a new, open box; an empty number takes the next free one.

    Raises:
        RefusedError: a box carries the number already.
    """
    if not box.number:
        unnumbered = replace(box, number=Provisional().number(OwnKind.BOX))
        applied = library.apply(Action(ActionKind.OPEN_BOX, unnumbered.number, station), made(unnumbered))
        return replace(box, number=applied.key(unnumbered.number))
    numbered = replace(box, number=own_number(box.number, OwnKind.BOX))
    with library.reading() as records:
        recorded = records.get(Box, numbered.number)
    if recorded is not None:
        why = f"is recorded already and is {recorded.state}"
        raise RefusedError(f"Box {numbered.number}", why, "give another number", field="number")
    library.apply(Action(ActionKind.OPEN_BOX, numbered.number, station), made(numbered))
    return numbered


def close_box(
    library: Library,
    box_text: str,
    *,
    gross_g: float | None = None,
    as_weighed: bool = False,
    seal: str = "",
    station: str,
) -> Box:
    """Close a box, with its mass and seal where known.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        gross_g: what it weighs; None where it was not weighed.
        as_weighed: record the mass even if the empty box, or the books alone, weigh more.
        seal: its number.
        station: who does it.

    Raises:
        RefusedError: it is not open, nothing lies in it, or it would weigh less than what is in it.
    """
    with library.reading() as records:
        step = plan_closing(records, box_text, gross_g=gross_g, as_weighed=as_weighed, seal=seal)
    library.apply(Action(ActionKind.CLOSE_BOX, step.after.number, station), step.changes)
    return step.after


def plan_closing(
    records: LibraryReader, box_text: str, *, gross_g: float | None = None, as_weighed: bool = False, seal: str = ""
) -> BoxStep:
    """Plan the closing of one box, see `close_box`."""
    box = find_box(records, box_text)
    if box.state is not BoxState.OPEN:
        raise RefusedError(f"Box {box.number}", f"is {box.state} already", "choose an open box", field="box")
    contents = box_contents(records, box.number)
    if not contents:
        raise RefusedError(f"Box {box.number}", "is empty", "pack something into it first", field="box")
    check_gross(box, gross_g, contents, as_weighed=as_weighed)
    gross_g = box.gross_g if gross_g is None else gross_g
    closed = replace(box, state=BoxState.CLOSED, gross_g=gross_g, seal=seal or box.seal)
    return BoxStep(box, closed, (Change(box, closed), *supposing(*(copy for copy, _ in contents))))


def check_in(
    library: Library,
    box_text: str,
    *,
    note: str = "",
    seen: ArrivalReport = NOT_LOOKED_AT,
    today: date | None = None,
    station: str,
) -> Box:
    """Record that a box arrived, with what was seen of its seal and carton.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        note: what else was seen.
        seen: state of carton and seal, day of delivery, mass, photographs.
        today: no delivery is later than it.
        station: who does it.

    Raises:
        RefusedError: it was checked in before, or its mass contradicts what is recorded.
        UsageError: the day of delivery is still to come, or before the dispatch.
    """
    with library.reading() as records:
        step = plan_check_in(records, box_text, note=note, seen=seen, today=today)
    library.apply(Action(ActionKind.CHECK_IN_BOX, step.after.number, station, note=note), step.changes)
    return step.after


def plan_check_in(
    records: LibraryReader,
    box_text: str,
    *,
    note: str = "",
    seen: ArrivalReport = NOT_LOOKED_AT,
    today: date | None = None,
) -> BoxStep:
    """Plan that one box arrived, see `check_in`."""
    pictures = {picture.sha256: picture for picture in seen.pictures}
    box = find_box(records, box_text)
    if box.state not in (BoxState.OPEN, BoxState.CLOSED):
        raise RefusedError(
            f"Box {box.number}", f"is {box.state} already", "choose a box that is still awaited", field="box"
        )
    kept = records.get_many(Picture, pictures)
    if seen.delivered is not None:
        consignment = records.get(Consignment, box.consignment) if box.consignment else None
        check_days(consignment, [Delivery(seen.delivered, (box.number,))], today=today or date.max)
    check_gross(box, seen.arrived_g, box_contents(records, box.number), as_weighed=seen.as_weighed)
    arrived = replace(
        box,
        state=BoxState.ARRIVED,
        note=note or box.note,
        carton=seen.carton,
        seal_state=seen.seal,
        delivered=seen.delivered or box.delivered,
        arrived_g=seen.arrived_g if seen.arrived_g is not None else box.arrived_g,
    )
    new = Provisional()
    changes = (
        Change(box, arrived),
        *made(*(picture for sha256, picture in pictures.items() if sha256 not in kept)),
        *made(*(BoxPicture(id=new.id(), box=box.number, picture=sha256) for sha256 in pictures)),
    )
    return BoxStep(box, arrived, changes)


def finish(
    library: Library,
    box_text: str,
    *,
    why: Why = no_reason,
    despite_queries: bool = False,
    now: datetime | None = None,
    station: str,
) -> tuple[Box, tuple[Copy, ...]]:
    """Finish a box: what is on its list and was not seen is recorded as missing, for the report to the carrier.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        why: asked for the reason where something is missing, before anything is written.
        despite_queries: record what was not seen as missing although queries of this box wait.
        now: the moment, in UTC, for the lines of the discrepancy report; None takes the clock's.
        station: who does it.

    Returns:
        The box, and the copies that are missing from it.

    Raises:
        QueriesWaitError: something would be missing that may be among the queries of this box.
        RefusedError: it has not been checked in, is finished already, or was changed while the person was asked.
    """
    with library.reading() as records:
        box, asked, listed = _box_to_finish(records, box_text)
        queries = waiting_in_box(records, box.number)
    if asked and queries and not despite_queries:
        them = noun(len(queries), "it", "them")
        waits = f"has {queries_words(queries)}, which may be among the {len(asked)} that would be recorded as missing"
        remedy = f"decide {them} first, or finish it in spite of {them}"
        raise QueriesWaitError(f"Box {box.number}", waits, remedy)
    reason = (why(asked).strip() or NO_REASON) if asked else ""
    if asked:
        with library.reading() as records:
            box, gone, listed = _box_to_finish(records, box_text)
        if gone != asked:
            raise RefusedError(
                f"Box {box.number}", "was changed meanwhile by another station", "finish it again", field="box"
            )
    missing = tuple(replace(copy, state=CopyState.MISSING) for copy in asked)
    unpacked = replace(box, state=BoxState.UNPACKED)
    at, new = now or clock.now(), Provisional()
    lines = (
        Discrepancy(
            id=new.id(),
            box=box.number,
            copy=copy.accession,
            kind=DiscrepancyKind.MISSING,
            reason=reason,
            at=at,
            station=station,
        )
        for copy in missing
    )
    changes = (
        *supposing(*listed),
        Change(box, unpacked),
        *(Change(before, after) for before, after in zip(asked, missing, strict=True)),
        *made(*lines),
    )
    library.apply(Action(ActionKind.FINISH_BOX, box.number, station, note=reason), changes)
    return unpacked, missing


def _box_to_finish(records: LibraryReader, box_text: str) -> tuple[Box, tuple[Copy, ...], tuple[Copy, ...]]:
    """Return an arrived box, what of its list is still packed, and its whole list."""
    box = find_box(records, box_text)
    if box.state is not BoxState.ARRIVED:
        remedy = "check it in first"
        if box.state is BoxState.UNPACKED:
            remedy = "choose another box"
        raise RefusedError(f"Box {box.number}", f"is {box.state}", remedy, field="box")
    listed = copies_in_box(records, box.number)
    return box, tuple(copy for copy in listed if copy.state is CopyState.PACKED), listed
