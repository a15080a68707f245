"""A scan on a page that is not an open box's: what it names, what may be done with it, and how it is put on a shelf.

Looking changes nothing. On a shelf's page a copy is put on that shelf without asking only where the number read is one
copy's own, or that of an edition with one copy; anything else is shown with the choices.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import carries
from intake.edges.store.queries.ledger_entries import entry_of_request
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.identify import Identification, identify
from intake.flow.lookup.resolve import find_shelf
from intake.flow.lookup.wording import where_each_is
from intake.flow.shelves.find_room import Room, find_rooms
from intake.flow.shelves.shelve_copy import Shelved, shelve
from intake.flow.unpacking.book_scan import label_of
from intake.flow.unpacking.scan_results import LabelScan
from intake.model.boxes import Box, BoxState
from intake.model.changes import LedgerEntry
from intake.model.editions import UNSEEN, Copy, CopyState, Edition
from intake.model.places import Place
from intake.model.reasons import ReasonKind, Reasons

OFFERED = 6
"""Copies of one scan that are shown; a search shows them all."""
LOOSE = (CopyState.AT_HAND, CopyState.UNPACKED, CopyState.SHELVED)
"""The states of a copy that can be put on a shelf, besides one recorded as missing that turned up."""
_OF_THE_DESK = re.compile(r"https?://[^/\s]+/(?:boxes|copies|shelves|unpack)/([^/?#\s]+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class CopyOffer:
    """A copy that was scanned, and the two things that may be done with it.

    Attributes:
        where: where it is by the records; empty where that is not known.
        box: the number of the box it may be unpacked from now; None where it is in none that is open.
        waits_in: a box that it is listed in, which has to be checked in first; None where there is none.
        missing_from: the finished box that it is recorded as missing from; None where it is not missing.
        room: where it goes on the shelves; None where it cannot be shelved yet.
    """

    copy: Copy
    edition: Edition
    where: str
    box: str | None
    waits_in: str | None
    missing_from: str | None
    room: Room | None

    @property
    def stands(self) -> bool:
        """Return whether it is recorded on a shelf, which `where` names then."""
        return self.copy.state is CopyState.SHELVED and self.copy.place is not None


@dataclass(frozen=True, slots=True)
class Shown:
    """What was scanned, for a person to choose; nothing was changed.

    Attributes:
        offers: the copies, the likest first; as many as are shown.
        more: how many copies more there are.
        editions: those without a copy.
        shelf: the shelf whose page it was scanned on; None on another page.
    """

    text: str
    why: Reasons
    offers: tuple[CopyOffer, ...]
    more: int
    editions: tuple[Edition, ...]
    shelf: Place | None = None


@dataclass(frozen=True, slots=True)
class ShelvedScan:
    """A scan that put a copy on the shelf whose page is open.

    Attributes:
        entry: of the ledger; None where the copy stood there already and nothing was changed.
        shelved: as it stands now; None where nothing was changed.
    """

    copy: Copy
    edition: Edition
    shelf: Place
    shelved: Shelved | None
    entry: LedgerEntry | None


def scanned_text(text: str) -> str:
    """Return what a symbol names: of an address that a label of this tool carries, the number at its end.

    >>> scanned_text("http://192.168.0.20:8710/boxes/B1-56"), scanned_text(" 978-0-00-000000-2 ")
    ('B1-56', '978-0-00-000000-2')
    """
    found = _OF_THE_DESK.fullmatch(text.strip())
    return found[1] if found else text.strip()


def look(library: Library, text: str) -> LabelScan | Shown:
    """Return what a scan names, and what may be done with it."""
    with library.reading() as reader:
        return _looked_up(reader, scanned_text(text))


def shelve_scan(
    library: Library, shelf_text: str, text: str, *, request: str, station: str, now: datetime
) -> LabelScan | Shown | ShelvedScan:
    """Put a scanned copy on a shelf, where it is beyond doubt which copy it is; else show what it may be.

    Raises:
        RefusedError: there is no such shelf; see also `intake.flow.shelves.shelve_copy.shelve_all`.
    """
    text = scanned_text(text)
    with library.reading() as reader:
        shelf = find_shelf(reader, shelf_text)
        label = label_of(reader, text)
        if label is not None:
            return label
        only = _only_copy(reader, identify(reader, text, None))
        if only is None or only[0].state not in LOOSE:
            return _looked_up(reader, text, shelf)
        copy, edition = only
        earlier = entry_of_request(reader, request)
        if copy.place == shelf.number and earlier is None:
            return ShelvedScan(copy, edition, shelf, None, None)
    shelved = shelve(library, copy.accession, shelf.number, station=station, now=now, request=request)
    return ShelvedScan(shelved.copies[0], edition, shelf, shelved, shelved.entry)


def _only_copy(reader: LibraryReader, found: Identification) -> tuple[Copy, Edition] | None:
    """Return the one copy that a number can mean; None for words, doubtful numbers, and where there are more."""
    number = found.identifier
    doubts = (ReasonKind.TWIN_NUMBER, ReasonKind.NEIGHBOURS_SWAPPED)
    if number is None or any(reason.kind in doubts for reason in found.why):
        return None
    if number.own_kind is None:
        editions = {each.edition.id: each.edition for each in found.candidates if carries(each.edition, number.number)}
        copies = copies_of_editions(reader, editions)
        return (copies[0], editions[copies[0].edition_id]) if len(copies) == 1 else None
    return next(((each.copy, each.edition) for each in found.candidates if each.copy is not None), None)


def _looked_up(reader: LibraryReader, text: str, shelf: Place | None = None) -> LabelScan | Shown:
    label = label_of(reader, text)
    if label is not None:
        return label
    found = identify(reader, text, None)
    editions = {each.edition.id: each.edition for each in found.candidates}
    if found.identifier is not None and found.identifier.own_kind is not None:
        copies = [each.copy for each in found.candidates if each.copy is not None]
    else:
        # Of copies that are alike a match names one; here a person chooses among all.
        order = list(editions)
        copies = sorted(copies_of_editions(reader, editions), key=lambda copy: order.index(copy.edition_id))
    held = {copy.edition_id for copy in copies}
    shown = [(copy, editions[copy.edition_id]) for copy in copies[:OFFERED]]
    without = tuple(edition for edition in editions.values() if edition.id not in held)
    return Shown(text, found.why, _offers(reader, shown), len(copies) - len(shown), without, shelf)


def _offers(reader: LibraryReader, pairs: Sequence[tuple[Copy, Edition]]) -> tuple[CopyOffer, ...]:
    where = where_each_is(reader, [copy for copy, _ in pairs])
    packed_in = {copy.box for copy, _ in pairs if copy.box and copy.state in UNSEEN}
    boxes = reader.get_many(Box, sorted(packed_in))
    stages = {box.number: box.state for box in boxes.values()}
    turned_up = {copy.accession for copy, _ in pairs if _stage(copy, stages) is BoxState.UNPACKED}
    loose = [pair for pair in pairs if pair[0].state in LOOSE or pair[0].accession in turned_up]
    rooms = dict(zip((copy.accession for copy, _ in loose), find_rooms(reader, loose), strict=True))
    return tuple(
        CopyOffer(
            copy,
            edition,
            where[copy.accession],
            copy.box if stage is BoxState.ARRIVED else None,
            copy.box if stage is BoxState.OPEN or stage is BoxState.CLOSED else None,
            copy.box if stage is BoxState.UNPACKED else None,
            rooms.get(copy.accession),
        )
        for copy, edition in pairs
        for stage in (_stage(copy, stages),)
    )


def _stage(copy: Copy, stages: Mapping[str, BoxState]) -> BoxState | None:
    """Return the state of the box that a copy was not taken out of; a box is finished where the copy is missing."""
    return stages.get(copy.box or "") if copy.state in UNSEEN else None
