"""The course of a box: opened, filled, closed, checked in, finished. Each step is one transaction."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime

from intake.documents import disclaimers
from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_in_box, copies_of_editions
from intake.edges.store.reader import LibraryReader
from intake.edges.store.writer import LibraryWriter
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.resolve import find_box, find_copy, find_edition, new_number, own_number
from intake.identifiers.parse import parse
from intake.model.boxes import Box, BoxPicture, BoxState, CartonState, Discrepancy, DiscrepancyKind, SealState
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import Copy, CopyState
from intake.model.identifiers import Identifier, OwnKind
from intake.model.sightings import Picture

NO_REASON = "no reason given"


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivalReport:
    """What was seen of a box when it arrived, before it was opened.

    Attributes:
        delivered: the day on which the carrier handed it over; None where nobody says.
        arrived_g: what it weighed.
        pictures: photographs of it, already kept in the library.
    """

    carton: CartonState = CartonState.NOT_LOOKED_AT
    seal: SealState = SealState.NOT_LOOKED_AT
    delivered: date | None = None
    arrived_g: float | None = None
    pictures: tuple[Picture, ...] = ()


NOT_LOOKED_AT = ArrivalReport()

Why = Callable[[tuple[Copy, ...]], str]
"""Asks the person why these copies are missing from the box that they have unpacked."""


def no_reason(_missing: tuple[Copy, ...]) -> str:
    """Answer for nobody."""
    return NO_REASON


def open_box(library: Library, box: Box, *, station: str) -> Box:
    """Record a new, open box; an empty number takes the next free one.

    Raises:
        RefusedError: a box carries the number already.
    """
    with library.writing() as work:
        number = own_number(box.number, OwnKind.BOX) if box.number else new_number(work, OwnKind.BOX)
        held = work.get(Box, number)
        if held is not None:
            raise RefusedError(f"Box {number}", f"is recorded already and is {held.state}", "give another number")
        numbered = replace(box, number=number)
        work.apply(Action(ActionKind.OPEN_BOX, number, station), made(numbered))
        return numbered


def pack(library: Library, box_text: str, what: str, *, station: str) -> Copy:
    """Put one copy into an open box.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        what: the copy's own number; or an edition's key or number, which means a copy of it that is at hand, or a new
            one where no copy of it is.
        station: who does it.

    Raises:
        RefusedError: the box is not open, or the copy lies in a box already.
    """
    with library.writing() as work:
        box = find_box(work, box_text)
        if box.state is not BoxState.OPEN:
            raise RefusedError(f"Box {box.number}", f"is {box.state}", "open another box, or undo its closing")
        copy = _copy_to_pack(work, what)
        if copy.state is CopyState.PACKED:
            raise RefusedError(f"Copy {copy.accession}", f"lies in box {copy.box} already", "undo that step first")
        packed = replace(copy, state=CopyState.PACKED, box=box.number, place=None, position=None)
        held = work.get(Copy, copy.accession)
        change = Change(held, packed)
        work.apply(Action(ActionKind.PACK_COPY, packed.accession, station), (change,))
        return packed


def _copy_to_pack(work: LibraryWriter, what: str) -> Copy:
    found = parse(what)
    if isinstance(found, Identifier) and found.own_kind is OwnKind.COPY:
        return find_copy(work, what)
    edition = find_edition(work, what)
    copies = copies_of_editions(work, [edition.id])
    at_hand = [copy for copy in copies if copy.state not in (CopyState.PACKED, CopyState.MISSING)]
    if at_hand:
        return min(at_hand, key=lambda copy: (copy.state is not CopyState.AT_HAND, len(copy.accession), copy.accession))
    return Copy(accession=new_number(work, OwnKind.COPY), edition_id=edition.id)


def close_box(library: Library, box_text: str, *, gross_g: float | None = None, seal: str = "", station: str) -> Box:
    """Close a box, with its mass and seal where known.

    Raises:
        RefusedError: it is not open, or nothing lies in it.
    """
    with library.writing() as work:
        box = find_box(work, box_text)
        if box.state is not BoxState.OPEN:
            raise RefusedError(f"Box {box.number}", f"is {box.state} already", "choose an open box")
        if not copies_in_box(work, box.number):
            raise RefusedError(f"Box {box.number}", "is empty", f"pack something first with 'intake pack {box.number}'")
        closed = replace(
            box, state=BoxState.CLOSED, gross_g=box.gross_g if gross_g is None else gross_g, seal=seal or box.seal
        )
        work.apply(Action(ActionKind.CLOSE_BOX, box.number, station), (Change(box, closed),))
        return closed


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
        RefusedError: it was checked in before.
        UsageError: the day of delivery is still to come.
    """
    if seen.delivered is not None and today is not None and seen.delivered > today:
        raise UsageError(
            f"The delivery on {seen.delivered}", f"is still to come (today is {today})", "correct the date"
        )
    with library.writing() as work:
        box = find_box(work, box_text)
        if box.state not in (BoxState.OPEN, BoxState.CLOSED):
            raise RefusedError(f"Box {box.number}", f"is {box.state} already", "choose a box that is still awaited")
        arrived = replace(
            box,
            state=BoxState.ARRIVED,
            note=note or box.note,
            carton=seen.carton,
            seal_state=seen.seal,
            delivered=seen.delivered or box.delivered,
            arrived_g=seen.arrived_g if seen.arrived_g is not None else box.arrived_g,
        )
        changes = [Change(box, arrived)]
        for picture in dict.fromkeys(seen.pictures):
            if work.get(Picture, picture.sha256) is None:
                changes += made(picture)
            changes += made(BoxPicture(id=work.new_id(BoxPicture), box=box.number, picture=picture.sha256))
        work.apply(Action(ActionKind.CHECK_IN_BOX, box.number, station, note=note), changes)
        return arrived


def finish(
    library: Library, box_text: str, *, why: Why = no_reason, now: datetime | None = None, station: str
) -> tuple[Box, tuple[Copy, ...]]:
    """Finish a box: what its list names and nobody has seen is missing from now on, and is told to the carrier.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        why: asked for the reason where something is missing, before anything is written.
        now: the moment, in UTC, that stands on the lines of the discrepancy report; None takes the clock's.
        station: who does it.

    Returns:
        The box, and the copies that are missing from it.

    Raises:
        RefusedError: it has not been checked in, is finished already, or was changed while the person was asked.
    """
    with library.reading() as records:
        asked = _gone(records, box_text)
    reason = (why(asked).strip() or NO_REASON) if asked else ""
    with library.writing() as work:
        box, gone = find_box(work, box_text), _gone(work, box_text)
        if gone != asked:
            raise RefusedError(f"Box {box.number}", "was changed meanwhile by another station", "finish it again")
        missing = tuple(replace(copy, state=CopyState.MISSING) for copy in gone)
        changes = [Change(box, replace(box, state=BoxState.UNPACKED))]
        changes += [Change(before, after) for before, after in zip(gone, missing, strict=True)]
        at = now or clock.now()
        changes += made(*(_discrepancy(work, copy, box.number, reason, at, station) for copy in missing))
        work.apply(Action(ActionKind.FINISH_BOX, box.number, station, note=reason), changes)
        return replace(box, state=BoxState.UNPACKED), missing


def _gone(records: LibraryReader, box_text: str) -> tuple[Copy, ...]:
    """Return what an arrived box lacks."""
    box = find_box(records, box_text)
    if box.state is not BoxState.ARRIVED:
        remedy = f"check it in with 'intake box arrive {box.number}'"
        if box.state is BoxState.UNPACKED:
            remedy = "choose another box"
        raise RefusedError(f"Box {box.number}", f"is {box.state}", remedy)
    return tuple(copy for copy in copies_in_box(records, box.number) if copy.state is CopyState.PACKED)


def _discrepancy(work: LibraryWriter, copy: Copy, box: str, reason: str, at: datetime, station: str) -> Discrepancy:
    return Discrepancy(
        id=work.new_id(Discrepancy),
        box=box,
        copy=copy.accession,
        kind=DiscrepancyKind.MISSING,
        reason=reason,
        at=at,
        station=station,
    )


def lifting_words(gross_g: float) -> str:
    """Say what a box of this mass asks of the person who lifts it; empty where nothing needs saying."""
    return disclaimers.lifting(gross_g)
