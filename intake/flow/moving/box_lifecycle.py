"""The course of a box: opened, filled, closed, checked in, finished. Each step is one transaction."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import box_contents, copies_in_box, copies_of_editions
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.reason_words import where_recorded
from intake.flow.lookup.resolve import find_box, find_copy, find_edition, own_number
from intake.flow.lookup.status import queries_words, waiting_in_box
from intake.flow.moving.contradictions import check_gross
from intake.flow.moving.deliveries import Delivery, check_days
from intake.identifiers.parse import parse
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
from intake.model.identifiers import Identifier, OwnKind
from intake.model.sightings import Picture

NO_REASON = "no reason given"


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivalReport:
    """The state of a box when it arrived, before it was opened.

    Attributes:
        delivered: the day on which the carrier handed it over; None where it is not stated.
        arrived_g: what it weighed.
        as_weighed: record that mass even if box and books by themselves weigh more.
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
        raise RefusedError(f"Box {numbered.number}", why, "give another number")
    library.apply(Action(ActionKind.OPEN_BOX, numbered.number, station), made(numbered))
    return numbered


def pack(library: Library, box_text: str, what: str, *, another: bool = False, station: str) -> Copy:
    """Put one copy into an open box; see `pack_all`."""
    return pack_all(library, box_text, [what], another=another, station=station)[0]


def pack_all(
    library: Library, box_text: str, texts: Sequence[str], *, another: bool = False, station: str
) -> tuple[Copy, ...]:
    """Put copies into an open box, all of them or none; each is an entry of the ledger of its own.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        texts: for each the copy's own number; or an edition's key or number, which means a copy of it that is not yet
            packed, or a new copy if none is recorded.
        another: an edition of which every copy is packed already means one more copy.
        station: who does it.

    Raises:
        RefusedError: the box is not open, or a copy lies in a box already.
    """
    packed: list[Copy] = []
    steps: list[tuple[Action, tuple[Change, ...]]] = []
    with library.reading() as records:
        box = _open_box(records, box_text)
        for text in texts:
            recorded, copy = _copy_to_pack(records, text, packed, another=another)
            packed.append(replace(copy, state=CopyState.PACKED, box=box.number, place=None, position=None))
            action = Action(ActionKind.PACK_COPY, copy.accession, station)
            steps.append((action, (Change(recorded, packed[-1]), *supposing(box))))
    applied = library.apply_all(steps)
    return tuple(replace(copy, accession=step.key(copy.accession)) for copy, step in zip(packed, applied, strict=True))


def _open_box(records: LibraryReader, box_text: str) -> Box:
    box = find_box(records, box_text)
    if box.state is not BoxState.OPEN:
        raise RefusedError(f"Box {box.number}", f"is {box.state}", "open another box, or undo its closing")
    return box


def _copy_to_pack(
    records: LibraryReader, what: str, taken: Sequence[Copy], *, another: bool
) -> tuple[Copy | None, Copy]:
    """Return the copy as stored, and as it is to be packed; None and a new one where the edition has none to pack.

    Raises:
        RefusedError: it lies in a box already or is `taken`; or each copy of the edition is, and not `another`.
    """
    accessions = {copy.accession for copy in taken}
    number = parse(what)
    if isinstance(number, Identifier) and number.own_kind is OwnKind.COPY:
        copy = find_copy(records, what)
        if copy.accession in accessions:
            raise RefusedError(f"Copy {copy.accession}", "is named twice", "name it once")
        if copy.state is CopyState.PACKED:
            raise RefusedError(f"Copy {copy.accession}", f"is in box {copy.box} already", "undo that step first")
        return copy, copy
    edition = find_edition(records, what)
    copies = copies_of_editions(records, [edition.id])
    at_hand = [copy for copy in copies if copy.state not in (CopyState.PACKED, CopyState.MISSING)]
    if free := [copy for copy in at_hand if copy.accession not in accessions]:
        copy = min(free, key=lambda copy: (copy.state is not CopyState.AT_HAND, len(copy.accession), copy.accession))
        return copy, copy
    where = [
        f"copy {copy.accession} is {where_recorded(copy.state, copy.box)}" for copy in copies if copy not in at_hand
    ]
    named = sum(copy.edition_id == edition.id for copy in taken)
    if (where or named) and not another:
        twice = [f"{named} named in this step already"] if named else []
        remedy = "name the copy that you hold, or say that it is another one beside these"
        raise RefusedError(f"'{edition.title}'", f"has no copy left to pack ({'; '.join([*where, *twice])})", remedy)
    return None, Copy(accession=Provisional().number(OwnKind.COPY), edition_id=edition.id)


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
        as_weighed: record the mass even if box and books by themselves weigh more.
        seal: its number.
        station: who does it.

    Raises:
        RefusedError: it is not open, nothing lies in it, or it would weigh less than what is in it.
    """
    with library.reading() as records:
        box = find_box(records, box_text)
        if box.state is not BoxState.OPEN:
            raise RefusedError(f"Box {box.number}", f"is {box.state} already", "choose an open box")
        contents = box_contents(records, box.number)
    if not contents:
        raise RefusedError(f"Box {box.number}", "is empty", "pack something into it first")
    check_gross(box, gross_g, contents, as_weighed=as_weighed)
    gross_g = box.gross_g if gross_g is None else gross_g
    closed = replace(box, state=BoxState.CLOSED, gross_g=gross_g, seal=seal or box.seal)
    listed = supposing(*(copy for copy, _ in contents))
    library.apply(Action(ActionKind.CLOSE_BOX, box.number, station), (Change(box, closed), *listed))
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
        RefusedError: it was checked in before, or its mass contradicts what is recorded.
        UsageError: the day of delivery is still to come, or before the dispatch.
    """
    pictures = {picture.sha256: picture for picture in seen.pictures}
    with library.reading() as records:
        box = find_box(records, box_text)
        kept = records.get_many(Picture, pictures)
        consignment = records.get(Consignment, box.consignment) if box.consignment else None
        contents = box_contents(records, box.number)
    if box.state not in (BoxState.OPEN, BoxState.CLOSED):
        raise RefusedError(f"Box {box.number}", f"is {box.state} already", "choose a box that is still awaited")
    if seen.delivered is not None:
        check_days(consignment, [Delivery(seen.delivered, (box.number,))], today=today or date.max)
    check_gross(box, seen.arrived_g, contents, as_weighed=seen.as_weighed)
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
    library.apply(Action(ActionKind.CHECK_IN_BOX, box.number, station, note=note), changes)
    return arrived


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
        RefusedError: it has not been checked in, is finished already, or was changed while the person was asked; or
            something would be missing that may be among the queries of this box.
    """
    with library.reading() as records:
        box, asked, listed = _box_to_finish(records, box_text)
        queries = waiting_in_box(records, box.number)
    if asked and queries and not despite_queries:
        waits = f"has {queries_words(queries)}, which may be among the {len(asked)} that would be recorded as missing"
        raise RefusedError(f"Box {box.number}", waits, "decide them first, or finish it in spite of them")
    reason = (why(asked).strip() or NO_REASON) if asked else ""
    if asked:
        with library.reading() as records:
            box, gone, listed = _box_to_finish(records, box_text)
        if gone != asked:
            raise RefusedError(f"Box {box.number}", "was changed meanwhile by another station", "finish it again")
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
        raise RefusedError(f"Box {box.number}", f"is {box.state}", remedy)
    listed = copies_in_box(records, box.number)
    return box, tuple(copy for copy in listed if copy.state is CopyState.PACKED), listed
