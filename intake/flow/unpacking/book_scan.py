"""One thing out of the box: read, identified, matched, decided, booked in one transaction, answered.

The one question that may have to be asked goes through `choose`; whoever has no person at hand passes `leave_it`, and
what is not certain waits on the query pile.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import entry_of_request
from intake.edges.store.writer import LibraryWriter
from intake.errors import RefusedError
from intake.flow.lookup.identify import Identification, identify_any
from intake.flow.lookup.resolve import new_number
from intake.flow.unpacking.advice import Advice, advise
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, Change, LedgerEntry, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.model.readings import Reading
from intake.model.sightings import Picture, Query, Sighting


@dataclass(frozen=True, slots=True)
class Scan:
    """What arrived from a picture, a scanner or a keyboard.

    Attributes:
        text: the number with its supplement, or a title as typed; empty where a picture gave nothing.
        request: an id made by the station; the same id twice changes nothing the second time.
        trusted: whether the number may be booked without asking.
        methods: what read it.
        picture: the picture it was read from, already kept in the library.
        others: numbers that it may be too, best first, where it is not trusted.
    """

    text: str
    request: str
    trusted: bool = True
    methods: tuple[str, ...] = ("typed",)
    picture: Picture | None = None
    others: tuple[str, ...] = ()


def scan_of(reading: Reading, picture: Picture, request: str) -> Scan:
    """Turn a reading into a scan."""
    text = f"{reading.number} {reading.add_on}" if reading.add_on else reading.number
    others = () if reading.accepted else tuple(each for each in reading.candidates if each != reading.number)
    return Scan(text, request, reading.accepted, reading.methods, picture, others)


class Disposition(StrEnum):
    """What can be done with the thing in the hand."""

    BOOK = "book"
    AGAIN = "seen again"
    NEW_COPY = "new copy"


@dataclass(frozen=True, slots=True)
class Option:
    """One answer a person may give, in words; the same words on every screen."""

    act: Disposition
    edition: Edition
    copy: Copy | None
    words: str


@dataclass(frozen=True, slots=True)
class Question:
    """What the tool cannot decide: what it saw, in which box, why it asks, and the answers, best first."""

    scan: Scan
    box: str
    why: str
    options: tuple[Option, ...]


Choose = Callable[[Question], Option | None]
"""Asks a person; None puts the thing on the query pile."""


def defer_to_queue(_question: Question) -> Option | None:
    """Answer for nobody: everything uncertain waits on the query pile."""
    return None


@dataclass(frozen=True, slots=True)
class ScanOutcome:
    """The answer: what it is, what was done, where it goes.

    Attributes:
        option: what was booked; None where it was put on the query pile or had been booked before.
        copy: the copy as it now is.
        query: the new item of the query pile, if that is what became of it.
        why: the reason for the question, or for the booking.
        repeated: True where the station had sent this scan before, and nothing was changed.
    """

    scan: Scan
    weighed: Identification
    option: Option | None
    copy: Copy | None
    query: Query | None
    why: str
    advice: Advice | None
    entry: LedgerEntry | None
    repeated: bool = False


def check_unpackable(box: Box) -> None:
    """Refuse a box that has not been checked in, or is finished.

    Raises:
        RefusedError: with the step that is missing.
    """
    if box.state in (BoxState.OPEN, BoxState.CLOSED):
        remedy = f"check it in first with 'intake box arrive {box.number}'"
        raise RefusedError(f"Box {box.number}", f"is {box.state} and has not been checked in", remedy)
    if box.state is BoxState.UNPACKED:
        raise RefusedError(f"Box {box.number}", "is finished", "take its last step back with 'intake undo' to go on")


def book_scan(
    library: Library, box: Box, scan: Scan, *, choose: Choose = defer_to_queue, station: str, now: datetime
) -> ScanOutcome:
    """Take one thing out of a box.

    Args:
        library: where it is booked.
        box: the box on the trolley, checked in.
        scan: what was read or typed.
        choose: asks a person where needed.
        station: who does it.
        now: when, in UTC.

    Raises:
        RefusedError: the box is not checked in, or another station has changed the copy meanwhile.
    """
    check_unpackable(box)
    with library.reading() as records:
        weighed = identify_any(records, (scan.text, *scan.others), box.number)
        earlier = entry_of_request(records, scan.request)
        if earlier is not None:
            return ScanOutcome(scan, weighed, None, None, None, "was booked before", None, earlier, repeated=True)
    options = options_of(weighed)
    option, why = _sure(weighed, scan, options)
    if option is None:
        option = choose(Question(scan, box.number, why, options))
    with library.writing() as work:
        if option is None:
            query = _query(work, scan, box.number, why, station, now)
            changes = (*_picture_made(work, scan), *made(query))
            entry = work.apply(Action("put on query pile", str(query.id), station, scan.request), changes).entry
            return ScanOutcome(scan, weighed, None, None, query, why, None, entry)
        copy, changes = plan_booking(work, option, scan, box=box.number, station=station, now=now)
        entry = work.apply(Action(_VERBS[option.act], copy.accession, station, scan.request), changes).entry
        return ScanOutcome(scan, weighed, option, copy, None, why, advise(work, copy, option.edition), entry)


def options_of(weighed: Identification) -> tuple[Option, ...]:
    """List what a person may answer, best first."""
    options: list[Option] = []
    for candidate in weighed.candidates:
        edition, copy = candidate.edition, candidate.copy
        if copy is not None and copy.state in (CopyState.UNPACKED, CopyState.SHELVED):
            options.append(
                Option(Disposition.AGAIN, edition, copy, f"copy {copy.accession} again, which was seen already")
            )
        elif copy is not None:
            where = f"listed in box {copy.box}" if copy.box else "not packed"
            options.append(Option(Disposition.BOOK, edition, copy, f"copy {copy.accession}, {where}"))
    editions = dict.fromkeys(candidate.edition for candidate in weighed.candidates)
    return (
        *options,
        *(Option(Disposition.NEW_COPY, edition, None, "a copy that is on no list") for edition in editions),
    )


def plan_booking(
    work: LibraryWriter, option: Option, scan: Scan, *, box: str | None, station: str, now: datetime
) -> tuple[Copy, tuple[Change, ...]]:
    """Plan the sighting, and what it changes about the copy.

    Returns:
        The copy as it will be, and the changes.
    """
    changes: tuple[Change, ...] = ()
    if option.copy is None:
        accession = new_number(work, OwnKind.COPY)
        copy = Copy(accession=accession, edition_id=option.edition.id, state=CopyState.UNPACKED, box=box)
        changes = made(copy)
    elif option.act is Disposition.BOOK:
        copy = replace(option.copy, state=CopyState.UNPACKED)
        changes = (Change(option.copy, copy),)
    else:
        copy = option.copy
    sighting = Sighting(
        id=work.new_id(Sighting),
        copy=copy.accession,
        at=now,
        station=station,
        box=box,
        number=scan.text,
        methods=" ".join(scan.methods),
        picture=scan.picture.sha256 if scan.picture else None,
    )
    return copy, (*changes, *_picture_made(work, scan), *made(sighting))


def _sure(weighed: Identification, scan: Scan, options: tuple[Option, ...]) -> tuple[Option | None, str]:
    """Return the option that may be booked without asking, or None and the reason to ask."""
    if not scan.text:
        return None, "nothing could be read in the picture"
    if weighed.certain and options and options[0].act is Disposition.BOOK:
        if scan.trusted:
            return options[0], weighed.why
        return None, f"the reading is not certain enough to book; if it is right: {weighed.why}"
    return None, weighed.why


def _picture_made(work: LibraryWriter, scan: Scan) -> tuple[Change, ...]:
    """Plan the record of the scan's picture, where the library has none yet."""
    if scan.picture is None or work.get(Picture, scan.picture.sha256) is not None:
        return ()
    return made(scan.picture)


def _query(work: LibraryWriter, scan: Scan, box: str, why: str, station: str, now: datetime) -> Query:
    return Query(
        id=work.new_id(Query),
        at=now,
        station=station,
        reason=why,
        number=scan.text or None,
        box=box,
        picture=scan.picture.sha256 if scan.picture else None,
        others=" ".join(scan.others) or None,
    )


_VERBS = {Disposition.BOOK: "unpack copy", Disposition.AGAIN: "see copy again", Disposition.NEW_COPY: "record new copy"}
