"""What a station sends while a box is unpacked: a picture, or a line from a scanner or keyboard.

Several stations work at one library. A request that comes twice changes nothing the second time and is answered as the
first was; two stations that show the same copy at the same moment are served one after the other.
"""

import threading
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import holds_number
from intake.edges.store.queries.shelves import place_path
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import path_words
from intake.flow.pictures.read_files import read_picture
from intake.flow.pictures.received import load_received
from intake.flow.unpacking.advice import advise
from intake.flow.unpacking.book_pictures import code_book, is_second_line
from intake.flow.unpacking.book_scan import Scan, ScanOutcome, book_scan, scan_of
from intake.identifiers.parse import parse
from intake.model.boxes import Box
from intake.model.changes import LedgerEntry
from intake.model.editions import Copy, Edition
from intake.model.identifiers import Identifier, OwnKind
from intake.model.places import Place
from intake.model.readings import Reading
from intake.model.sightings import Query
from intake.reading.decoders import Decoder
from intake.reading.geometry import Grey
from intake.reading.read import read, skim

_one_at_a_time = threading.Lock()
"""Weighing and booking are two transactions; between them no other station of this desk may book the same copy."""


@dataclass(frozen=True, slots=True)
class LabelScan:
    """The label of a box or a place, scanned where a book was expected: nothing is booked.

    Attributes:
        words: what it is the label of, as a person finds it; empty where the library has no such thing.
    """

    number: str
    kind: OwnKind
    words: str


ScanResult = ScanOutcome | LabelScan


@dataclass(frozen=True, slots=True)
class PictureResult:
    """What a picture gave: every symbol in it, and what became of those that were taken."""

    readings: tuple[Reading, ...]
    taken: tuple[ScanResult, ...]
    width_px: int
    height_px: int


def book_line(library: Library, box_text: str, text: str, *, request: str, station: str, now: datetime) -> ScanResult:
    """Take one thing out of a box by what a scanner or a person typed."""
    return _take(library, _box(library, box_text), Scan(text, request), station=station, now=now)


def book_picture(
    library: Library,
    box_text: str,
    data: bytes,
    *,
    decoders: Sequence[Decoder],
    request: str,
    station: str,
    now: datetime,
) -> PictureResult:
    """Keep a picture and take everything in it out of the box; nothing read puts it on the query pile.

    Raises:
        FileError: it is no picture that can be opened; nothing was changed.
        RefusedError: see `intake.flow.unpacking.book_scan.take`.
    """
    box = _box(library, box_text)
    loaded = load_received(data)
    found = read_picture(loaded.grey, decoders, code_book(library, box))
    readings = tuple(reading for reading in found if not is_second_line(reading, found))
    picture = loaded.record
    library.keep_picture(data, picture)
    scans = [scan_of(reading, picture, f"{request}/{nth}") for nth, reading in enumerate(readings, 1)]
    if not scans:
        scans = [Scan("", f"{request}/0", trusted=False, methods=(), picture=picture)]
    taken = tuple(_take(library, box, scan, station=station, now=now) for scan in scans)
    return PictureResult(readings, taken, loaded.width_px, loaded.height_px)


def book_frame(
    library: Library,
    box_text: str,
    data: bytes,
    *,
    held: Collection[str],
    decoders: Sequence[Decoder],
    request: str,
    station: str,
    now: datetime,
) -> PictureResult:
    """Take what a frame of a film shows beyond doubt; the next frame is better, so nothing else is kept of this one.

    Args:
        library: where it is booked.
        box_text: the box on the trolley.
        data: the frame, as JPEG.
        held: numbers that are still before the camera and were answered already.
        decoders: see `intake.reading.decoders.available`.
        request: an id made by the station.
        station: who does it.
        now: when, in UTC.
    """
    box = _box(library, box_text)
    loaded = load_received(data)
    readings = _read_frame(loaded.grey, held, decoders)
    sure = {number_of(reading): reading for reading in readings if reading.accepted}
    wanted = [reading for number, reading in sure.items() if number not in held]
    if not wanted:
        return PictureResult(readings, (), loaded.width_px, loaded.height_px)
    picture = loaded.record
    library.keep_picture(data, picture)
    taken = tuple(
        _take(library, box, scan_of(reading, picture, f"{request}/{number_of(reading)}"), station=station, now=now)
        for reading in wanted
    )
    return PictureResult(readings, taken, loaded.width_px, loaded.height_px)


def number_of(reading: Reading) -> str:
    """Return the number with its supplement, as a scan names it."""
    return f"{reading.number} {reading.add_on}" if reading.add_on else reading.number


def _read_frame(grey: Grey, held: Collection[str], decoders: Sequence[Decoder]) -> tuple[Reading, ...]:
    """Read what a glance shows, if that is news; look for symbols that are harder to see only where it is not."""
    readings = skim(grey, decoders=decoders)
    if any(reading.accepted and number_of(reading) not in held for reading in readings):
        return readings
    return read(grey, decoders=decoders)


def _box(library: Library, text: str) -> Box:
    with library.reading() as records:
        return find_box(records, text)


def _take(library: Library, box: Box, scan: Scan, *, station: str, now: datetime) -> ScanResult:
    with library.reading() as records:
        label = label_of(records, scan.text)
    if label is not None:
        return label
    with _one_at_a_time:
        outcome = book_scan(library, box, scan, station=station, now=now)
    if not outcome.repeated or outcome.entry is None:
        return outcome
    with library.reading() as records:
        return _answered_again(records, outcome, outcome.entry)


def label_of(records: LibraryReader, text: str) -> LabelScan | None:
    """Return what a label is on, if the text is the number of a box or a place; None for anything else."""
    found = parse(text, is_known=partial(holds_number, records))
    if not isinstance(found, Identifier) or found.own_kind not in (OwnKind.BOX, OwnKind.PLACE):
        return None
    box, place = records.get(Box, found.number), records.get(Place, found.number)
    if place is not None:
        return LabelScan(found.number, OwnKind.PLACE, f"{place.kind} {path_words(place_path(records, place))}")
    return LabelScan(found.number, found.own_kind, f"box {box.number}, {box.room or 'no room named'}" if box else "")


def _answered_again(records: LibraryReader, outcome: ScanOutcome, entry: LedgerEntry) -> ScanOutcome:
    """Answer a repeated request as the first was answered: its answer may have been lost on the way."""
    if entry.action.name == "put on query pile":
        return replace(outcome, query=records.get(Query, int(entry.action.subject)), why=outcome.weighed.why)
    copy = records.get(Copy, entry.action.subject)
    edition = records.get(Edition, copy.edition_id) if copy else None
    if copy is None or edition is None:
        return outcome
    return replace(outcome, copy=copy, advice=advise(records, copy, edition))
