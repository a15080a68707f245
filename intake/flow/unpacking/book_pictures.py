"""A picture taken at an open box: it is kept, read, and every symbol in it taken out of the box.

The command line reads whole folders, several pictures at a time; a station of the desk sends one. What becomes of what
was read is the same for both.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import edition_numbers
from intake.errors import LibraryBusyError
from intake.flow.pictures.read_files import ReadPicture, read_files
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.busy_library import until_free
from intake.flow.unpacking.cover_evidence import CoverLookup
from intake.flow.unpacking.scan_results import Choose, CoverEvidence, Scan, ScanResult, defer_to_queue, scan_of
from intake.model.identifiers import NumberKind
from intake.model.readings import Reading
from intake.model.sightings import Picture, ReadingMethod
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder

SECOND_LINE_PREFIXES = ("191", "192")


def book_pictures(
    library: Library,
    box: str,
    paths: Iterable[Path],
    *,
    decoders: Sequence[Decoder],
    workers: int,
    choose: Choose = defer_to_queue,
    covers: CoverLookup | None = None,
    station: str,
    now: Callable[[], datetime],
    on_busy: Callable[[LibraryBusyError], None] = lambda _: None,
) -> Iterator[tuple[ReadPicture, tuple[ScanResult, ...]]]:
    """Take everything in the pictures out of the box, whose number is given.

    A picture that cannot be opened is passed on with its reason and changes nothing. The same picture taken from the
    same box again changes nothing either: its SHA-256 is part of each request's id. Where no symbol in a picture tells
    for certain what it shows, its cover is compared with `covers`. While others write to the library, each booking
    waits and is tried again; `on_busy` is called after every try.
    """
    known = code_book(library, box)
    for read in read_files(paths, decoders, workers=workers, known=known):
        if read.picture is None:
            yield read, ()
            continue
        request = f"{read.picture.sha256}/{box}"
        cover = covers.evidence(read) if covers is not None else None
        scans = picture_scans(read.picture, read.result.readings, cover=cover, request=request)
        steps = (partial(book_scan, library, box, scan, choose=choose, station=station, now=now()) for scan in scans)
        with library.keeping_picture(read.path, read.picture):
            booked = tuple(until_free(step, on_busy) for step in steps)
        yield read, booked


def picture_scans(
    picture: Picture, readings: Sequence[Reading], *, cover: CoverEvidence | None = None, request: str
) -> tuple[Scan, ...]:
    """Return the scans that a picture stands for: one without text where nothing could be read in it.

    Args:
        picture: its record.
        readings: everything that was read in it; lines that name no book are dropped.
        cover: whose cover it shows, where no symbol tells for certain.
        request: what the id of each scan begins with.
    """
    scans = tuple(
        scan_of(reading, picture, f"{request}/{nth}")
        for nth, reading in enumerate(readings, 1)
        if not is_second_line(reading, readings)
    )
    if cover is not None and (cover.trusted or not scans):
        return (cover_scan(cover, readings, picture, request),)
    return scans or (Scan("", f"{request}/0", trusted=False, methods=(), picture=picture),)


def cover_scan(cover: CoverEvidence, readings: Sequence[Reading], picture: Picture, request: str) -> Scan:
    """Return the scan that a cover stands for; what was read beside it but doubtful, leaves a doubt with it."""
    trusted = cover.trusted and not readings
    methods = (ReadingMethod.COVER,)
    return Scan("", f"{request}/0", trusted=trusted, methods=methods, picture=picture, cover=cover)


def code_book(library: Library, box: str) -> CodeBook:
    """Prepare the catalog's numbers for the reader, those still packed in the box marked as expected."""
    with library.reading() as records:
        return CodeBook.of(edition_numbers(records), expected=edition_numbers(records, box))


def is_second_line(reading: Reading, readings: Sequence[Reading]) -> bool:
    """Return whether a symbol is the lower of the two on a Japanese book: its class and price, which name no book.

    Its prefix is 191 or 192, its neighbour an ISBN (common practice of that trade; from memory).
    """
    beside_isbn = any(other.kind is NumberKind.ISBN for other in readings)
    return beside_isbn and reading.number.startswith(SECOND_LINE_PREFIXES)
