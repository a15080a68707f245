"""What a station sends while a box is unpacked: a picture, or a line from a scanner or keyboard.

Several stations work at one library. A request that comes twice changes nothing the second time and is answered as the
first was; of two stations that show the same copy at the same moment, the second is asked about it.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from intake.edges.decoder_faults import refusing
from intake.edges.store.library import Library
from intake.flow.lookup.resolve import find_box
from intake.flow.pictures.read_files import NOT_READ, read_picture
from intake.flow.pictures.received import load_received
from intake.flow.unpacking.book_pictures import code_book, is_second_line, picture_scans
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.cover_evidence import CoverLookup
from intake.flow.unpacking.scan_results import Scan, ScanResult, number_of, scan_of
from intake.model.readings import Reading
from intake.reading.decoders import Decoder
from intake.reading.geometry import Grey
from intake.reading.read import read, skim


@dataclass(frozen=True, slots=True)
class PictureResult:
    """The result of a picture: every symbol in it, and the results of those that were booked or queued."""

    readings: tuple[Reading, ...]
    taken: tuple[ScanResult, ...]
    width_px: int
    height_px: int


def book_line(library: Library, box_text: str, text: str, *, request: str, station: str, now: datetime) -> ScanResult:
    """Book one scan that a scanner or a person typed."""
    return book_scan(library, box_text, Scan(text, request), station=station, now=now)


def book_picture(
    library: Library,
    box_text: str,
    data: bytes,
    *,
    decoders: Sequence[Decoder],
    covers: CoverLookup | None = None,
    request: str,
    station: str,
    now: datetime,
) -> PictureResult:
    """Keep a picture and take everything in it out of the box; nothing read puts it on the query pile.

    Where no symbol tells for certain what it shows, its cover is compared with `covers`.

    Raises:
        FileError: the data is not a picture that can be opened and read; nothing was changed.
        RefusedError: see `intake.flow.unpacking.book_scan.book_scan`.
    """
    box = _box_number(library, box_text)
    loaded = load_received(data)
    readings = read_picture(loaded.grey, decoders, code_book(library, box))
    cover = covers.evidence_of(loaded.grey, loaded.record, readings) if covers is not None else None
    scans = picture_scans(loaded.record, readings, cover=cover, request=request)
    with library.keeping_picture(data, loaded.record):
        taken = tuple(book_scan(library, box, scan, station=station, now=now) for scan in scans)
    shown = tuple(reading for reading in readings if not is_second_line(reading, readings))
    return PictureResult(shown, taken, loaded.width_px, loaded.height_px)


def book_frame(
    library: Library,
    box_text: str,
    data: bytes,
    *,
    answered: Collection[str],
    decoders: Sequence[Decoder],
    request: str,
    station: str,
    now: datetime,
) -> PictureResult:
    """Book what a frame of the live camera shows for certain; anything else is left to the next frame.

    Args:
        library: where it is booked.
        box_text: the box on the trolley.
        data: the frame, as JPEG.
        answered: numbers of symbols still before the camera, which were booked or queued by an earlier frame.
        decoders: see `intake.reading.decoders.available`.
        request: an id made by the station.
        station: who does it.
        now: when, in UTC.
    """
    box = _box_number(library, box_text)
    loaded = load_received(data)
    readings = _read_frame(loaded.grey, answered, decoders)
    sure = {number_of(reading): reading for reading in readings if reading.accepted}
    news = [reading for number, reading in sure.items() if number not in answered]
    if not news:
        return PictureResult(readings, (), loaded.width_px, loaded.height_px)
    picture = loaded.record
    scans = [scan_of(reading, picture, f"{request}/{number_of(reading)}") for reading in news]
    with library.keeping_picture(data, picture):
        taken = tuple(book_scan(library, box, scan, station=station, now=now) for scan in scans)
    return PictureResult(readings, taken, loaded.width_px, loaded.height_px)


def _read_frame(grey: Grey, answered: Collection[str], decoders: Sequence[Decoder]) -> tuple[Reading, ...]:
    """Read quickly; look for symbols that are harder to read only if that gives nothing new."""
    with refusing("The picture", NOT_READ):
        readings = skim(grey, decoders=decoders)
        if any(reading.accepted and number_of(reading) not in answered for reading in readings):
            return readings
        return read(grey, decoders=decoders)


def _box_number(library: Library, text: str) -> str:
    with library.reading() as records:
        return find_box(records, text).number
