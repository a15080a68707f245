"""One scan at an open box: identified, decided, booked in one transaction, answered.

Everything is looked up and planned in one transaction that reads; the one that writes only applies the plan. Where
another station has booked the same copy between the two, the thing is looked at once more, as it is then.

The one question that may have to be asked goes through `choose`; a caller that cannot ask a person passes
`defer_to_queue`, and what is not certain waits on the query pile.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import entry_of_request
from intake.edges.store.queries.shelves import place_path
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.identify import Identification, identify_any, identify_copies
from intake.flow.lookup.plan_again import plan_again
from intake.flow.lookup.resolve import find_box, parse_known
from intake.flow.lookup.wording import path_words
from intake.flow.unpacking.advice import Advice, advise
from intake.flow.unpacking.scan_results import (
    Booked,
    BookedBefore,
    Choose,
    Disposition,
    LabelScan,
    Option,
    Question,
    Queued,
    Scan,
    ScanResult,
    defer_to_queue,
)
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Provisional, made
from intake.model.editions import SEEN, Copy, CopyState, Edition
from intake.model.identifiers import Identifier, OwnKind
from intake.model.places import Place
from intake.model.reasons import Reason, ReasonKind, Reasons, reasons_text
from intake.model.sightings import Picture, Query, Sighting, methods_text

ACTIONS = {
    Disposition.BOOK: ActionKind.UNPACK_COPY,
    Disposition.AGAIN: ActionKind.SEE_COPY_AGAIN,
    Disposition.NEW_COPY: ActionKind.RECORD_NEW_COPY,
}


def check_unpackable(box: Box) -> None:
    """Refuse a box that has not been checked in, or is finished.

    Raises:
        RefusedError: with the step that is missing.
    """
    if box.state in (BoxState.OPEN, BoxState.CLOSED):
        remedy = "check it in first"
        raise RefusedError(f"Box {box.number}", f"is {box.state} and has not been checked in", remedy)
    if box.state is BoxState.UNPACKED:
        raise RefusedError(f"Box {box.number}", "is finished", "undo its last step to go on unpacking it")


def book_scan(
    library: Library, box: str, scan: Scan, *, choose: Choose = defer_to_queue, station: str, now: datetime
) -> ScanResult:
    """Book one scan at an open box.

    Args:
        library: where it is booked.
        box: number of the box on the trolley, checked in.
        scan: what was read or typed.
        choose: asks a person where needed.
        station: who does it.
        now: when, in UTC.

    Raises:
        RefusedError: there is no such box, it is not checked in, or other stations change the copy again and again.
    """
    return plan_again(partial(_book_once, library, box, scan, choose, station, now))


@dataclass(frozen=True, slots=True)
class BookingPlan:
    """The changes of a booking, with provisional keys, and the answer to show once it is applied."""

    option: Option
    copy: Copy
    changes: tuple[Change, ...]
    advice: Advice


def _book_once(library: Library, box: str, scan: Scan, choose: Choose, station: str, now: datetime) -> ScanResult:
    plan: BookingPlan | None = None
    with library.reading() as records:
        label = label_of(records, scan.text)
        if label is not None:
            return label
        opened = _unpackable(records, box)
        number = opened.number
        identification = _identified(records, scan, number)
        options = options_of(identification)
        option, why = _sure(identification, scan, options)
        if option is not None:  # else a repeated request must not be asked about
            plan = plan_booking(records, option, scan, box=number, opened=opened, station=station, now=now)
        elif (earlier := entry_of_request(records, scan.request)) is not None:
            return _booked_before(records, scan, identification, earlier)
        picture = _picture_made(records, scan.picture)
    if option is None and (option := choose(Question(scan, number, why, options))) is not None:
        with library.reading() as records:
            plan = plan_booking(records, option, scan, box=number, opened=opened, station=station, now=now)
    query = _query(scan, number, why, station, now)
    if plan is None:
        action = Action(ActionKind.QUEUE_QUERY, str(query.id), station, scan.request)
        applied = library.apply(action, (*picture, *made(query)))
    else:
        action = Action(ACTIONS[plan.option.act], plan.copy.accession, station, scan.request)
        applied = library.apply(action, (*picture, *plan.changes))
    if applied.repeated:
        with library.reading() as records:
            return _booked_before(records, scan, identification, applied.entry)
    if plan is None:
        return Queued(scan, identification, replace(query, id=applied.key(query.id)), why, applied.entry)
    copy = replace(plan.copy, accession=applied.key(plan.copy.accession))
    return Booked(scan, identification, plan.option.act, copy, plan.option.edition, why, plan.advice, applied.entry)


def _identified(records: LibraryReader, scan: Scan, box: str) -> Identification:
    """Match what was read, or else the copies whose cover was seen, with the catalog."""
    if scan.text or scan.cover is None:
        return identify_any(records, (scan.text, *scan.others), box)
    by_cover = identify_copies(records, scan.cover.copies, box)
    certain = by_cover.certain and scan.cover.trusted
    return replace(by_cover, certain=certain, why=(*scan.cover.why, *by_cover.why))


def _unpackable(records: LibraryReader, text: str) -> Box:
    box = find_box(records, text)
    check_unpackable(box)
    return box


def label_of(records: LibraryReader, text: str) -> LabelScan | None:
    """Return what a label is on, if the text is the number of a box or a place; None for anything else."""
    identifier = parse_known(records, text)
    if not isinstance(identifier, Identifier) or identifier.own_kind not in (OwnKind.BOX, OwnKind.PLACE):
        return None
    box, place = records.get(Box, identifier.number), records.get(Place, identifier.number)
    if place is not None:
        return LabelScan(identifier.number, OwnKind.PLACE, f"{place.kind} {path_words(place_path(records, place))}")
    return LabelScan(
        identifier.number, identifier.own_kind, f"box {box.number}, {box.room or 'no room named'}" if box else ""
    )


def _booked_before(
    records: LibraryReader, scan: Scan, identification: Identification, entry: LedgerEntry
) -> BookedBefore:
    """Answer a repeated request as the first was answered: its answer may have been lost on the way."""
    why = (Reason(ReasonKind.BOOKED_BEFORE),)
    if entry.action.kind is ActionKind.QUEUE_QUERY:
        query = records.get(Query, int(entry.action.subject))
        waiting = Queued(scan, identification, query, identification.why, entry) if query else None
        return BookedBefore(scan, entry, waiting)
    copy = records.get(Copy, entry.action.subject)
    edition = records.get(Edition, copy.edition_id) if copy else None
    if copy is None or edition is None:
        return BookedBefore(scan, entry, None)
    act = next((act for act, kind in ACTIONS.items() if kind is entry.action.kind), Disposition.BOOK)
    advice = advise(records, copy, edition)
    return BookedBefore(scan, entry, Booked(scan, identification, act, copy, edition, why, advice, entry))


def options_of(identification: Identification) -> tuple[Option, ...]:
    """List what a person may answer, best first."""
    candidates = identification.candidates
    copies = [option_for(candidate.edition, candidate.copy) for candidate in candidates if candidate.copy is not None]
    editions = dict.fromkeys(candidate.edition for candidate in candidates)
    return (*copies, *(option_for(edition, None) for edition in editions))


def option_for(edition: Edition, copy: Copy | None) -> Option:
    """Return the answer that it is this copy, or a new one of this edition."""
    if copy is None:
        return Option(Disposition.NEW_COPY, edition, None)
    seen = copy.state in SEEN
    return Option(Disposition.AGAIN if seen else Disposition.BOOK, edition, copy)


def plan_booking(
    records: LibraryReader,
    option: Option,
    scan: Scan,
    *,
    box: str | None,
    opened: Box | None = None,
    station: str,
    now: datetime,
    new: Provisional | None = None,
) -> BookingPlan:
    """Plan the sighting, and what it changes about the copy; `new` are the keys where more is made with it.

    `opened` is the box, where it was read already.
    """
    new = new or Provisional()
    changes: tuple[Change, ...] = ()
    if option.copy is None:
        copy = Copy(accession=new.number(OwnKind.COPY), edition_id=option.edition.id, state=CopyState.UNPACKED, box=box)
        changes = made(copy)
    elif option.act is Disposition.BOOK:
        copy = replace(option.copy, state=CopyState.UNPACKED)
        changes = (Change(option.copy, copy),)
    else:
        copy = option.copy
    sighting = Sighting(
        id=new.id(),
        copy=copy.accession,
        at=now,
        station=station,
        box=box,
        number=scan.text or None,
        methods=methods_text(scan.methods),
        picture=scan.picture.sha256 if scan.picture else None,
    )
    return BookingPlan(option, copy, (*changes, *made(sighting)), advise(records, copy, option.edition, opened))


def _sure(identification: Identification, scan: Scan, options: tuple[Option, ...]) -> tuple[Option | None, Reasons]:
    """Return the option that may be booked without asking, or None and the reasons to ask."""
    if not scan.text and scan.cover is None:
        return None, (Reason(ReasonKind.EMPTY_PICTURE),)
    if identification.certain and options and options[0].act is Disposition.BOOK:
        if scan.trusted:
            return options[0], identification.why
        return None, (Reason(ReasonKind.UNCERTAIN_READING), *identification.why)
    return None, identification.why


def _picture_made(records: LibraryReader, picture: Picture | None) -> tuple[Change, ...]:
    """Plan the record of the scan's picture, where the library has none yet."""
    if picture is None or records.get(Picture, picture.sha256) is not None:
        return ()
    return made(picture)


def _query(scan: Scan, box: str, why: Reasons, station: str, now: datetime) -> Query:
    return Query(
        id=Provisional().id(),
        at=now,
        station=station,
        reason=reasons_text(why),
        number=scan.text or None,
        box=box,
        picture=scan.picture.sha256 if scan.picture else None,
        others=" ".join(scan.others or (scan.cover.copies if scan.cover else ())) or None,
    )
