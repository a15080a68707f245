"""A folder of photographs taken at an open box: each is kept, read, and every symbol in it taken out of the box."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import edition_numbers
from intake.flow.pictures.read_files import ReadPicture, read_files
from intake.flow.unpacking.book_scan import Choose, Scan, ScanOutcome, book_scan, defer_to_queue, scan_of
from intake.model.boxes import Box
from intake.model.identifiers import NumberKind
from intake.model.readings import Reading
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder

SECOND_LINE_PREFIXES = ("191", "192")


def book_pictures(
    library: Library,
    box: Box,
    paths: Iterable[Path],
    *,
    decoders: Sequence[Decoder],
    workers: int,
    choose: Choose = defer_to_queue,
    station: str,
    now: Callable[[], datetime],
    tick: Callable[[], None] = lambda: None,
) -> Iterator[tuple[ReadPicture, tuple[ScanOutcome, ...]]]:
    """Take everything in the pictures out of the box.

    A picture that cannot be opened is passed on with its reason and changes nothing. The same picture taken from the
    same box again changes nothing either: its SHA-256 is part of each request's id.
    """
    known = code_book(library, box)
    for read in read_files(paths, decoders, workers=workers, known=known, tick=tick):
        if read.picture is None:
            yield read, ()
            continue
        kept = read.picture
        library.keep_picture(read.path, kept)
        scans = [
            scan_of(reading, kept, f"{kept.sha256}/{box.number}/{index}")
            for index, reading in enumerate(read.result.readings, 1)
            if not is_second_line(reading, read.result.readings)
        ]
        if not scans:
            scans = [Scan("", f"{kept.sha256}/{box.number}/0", trusted=False, methods=(), picture=kept)]
        yield read, tuple(book_scan(library, box, scan, choose=choose, station=station, now=now()) for scan in scans)


def code_book(library: Library, box: Box) -> CodeBook:
    """Prepare the catalog's numbers for the reader, those still packed in the box marked as expected."""
    with library.reading() as records:
        return CodeBook.of(edition_numbers(records), expected=edition_numbers(records, box.number))


def is_second_line(reading: Reading, readings: Sequence[Reading]) -> bool:
    """Tell whether a symbol is the lower of the two on a Japanese book: its class and price, which name no book.

    Its prefix is 191 or 192, its neighbour an ISBN (common practice of that trade; from memory).
    """
    beside_isbn = any(other.kind is NumberKind.ISBN for other in readings)
    return beside_isbn and reading.number.startswith(SECOND_LINE_PREFIXES)
