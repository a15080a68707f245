"""Picture files in, readings out: the pure form of the tool, with no library.

Where the bars give nothing that may be booked, and the part that reads text is installed, the printed number is looked
for: about the bars of each doubtful reading, or else in the whole picture, which may be a copyright page. That costs a
second or so. Live frames of a camera do without, as the next one is better.
"""

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from intake.edges import ocr, pictures
from intake.errors import IntakeError
from intake.model.identifiers import NumberKind
from intake.model.readings import PictureReadings, Reading, TextLine
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.geometry import Grey
from intake.reading.printed import Printed, printed_numbers
from intake.reading.printed_evidence import cut_out, in_picture, with_printed
from intake.reading.read import read
from intake.reading.text_rows import other_way

PLACES = 2
"""Doubtful readings about which text is looked for at most."""


@dataclass(frozen=True, slots=True)
class ReadPicture:
    """A picture file and what was read from it; `picture` is None where the file could not be opened."""

    path: Path
    result: PictureReadings
    picture: pictures.Loaded | None


def read_picture(
    grey: Grey, decoders: Sequence[Decoder], known: CodeBook | None = None, *, printed: bool = True
) -> tuple[Reading, ...]:
    """Read a picture by its bars and, where these give nothing that may be booked, by the number printed in it.

    Args:
        grey: uint8, height by width, upright.
        decoders: see `intake.reading.decoders.available`.
        known: the numbers of the catalog.
        printed: whether text is read, where the part for it is installed.
    """
    readings = read(grey, decoders=decoders, known=known)
    if not printed or any(reading.accepted for reading in readings) or not ocr.is_there():
        return readings
    return with_printed(readings, find_printed(grey, readings), known)


def find_printed(grey: Grey, readings: Sequence[Reading]) -> list[Printed]:
    """Find the numbers printed about doubtful readings; where there are none, those in the whole picture."""
    found: list[Printed] = []
    for reading in [each for each in readings if each.corners and each.kind is not NumberKind.OWN][:PLACES]:
        crop = cut_out(grey, reading.corners)
        found += [in_picture(number, crop) for number in numbers_in(crop.grey, under_bars=True)]
    return found or list(numbers_in(grey))


def numbers_in(grey: Grey, *, under_bars: bool = False) -> tuple[Printed, ...]:
    """Find the numbers printed in a picture or a cut-out of one, whichever way it is turned."""
    lines = read_upright(grey, 0)
    numbers = printed_numbers(lines, under_bars=under_bars)
    quarter = other_way(lines)
    if numbers or quarter is None:
        return numbers
    return printed_numbers(read_upright(grey, quarter), under_bars=under_bars)


def read_upright(grey: Grey, quarter: int) -> tuple[TextLine, ...]:
    """Read the lines that run to the right when the picture is turned anticlockwise by quarters."""
    return ocr.read_lines(grey, quarters=(quarter,), either_way_up=False)


def read_file(
    path: Path, decoders: Sequence[Decoder], known: CodeBook | None = None, *, printed: bool = True
) -> ReadPicture:
    """Read one picture file; a file that cannot be opened gives a reason, not an exception."""
    started = time.perf_counter()
    picture: pictures.Loaded | None = None
    readings: tuple[Reading, ...] = ()
    error = None
    try:
        picture = pictures.load(path)
        readings = read_picture(picture.grey, decoders, known, printed=printed)
    except IntakeError as reason:
        error = str(reason)
    ms = (time.perf_counter() - started) * 1000
    return ReadPicture(path, PictureReadings(str(path), round(ms, 1), readings, error), picture)


def read_files(
    paths: Iterable[Path],
    decoders: Sequence[Decoder],
    *,
    workers: int,
    known: CodeBook | None = None,
    printed: bool = True,
    tick: Callable[[], None] = lambda: None,
) -> Iterator[ReadPicture]:
    """Read picture files on several cores, in their order; `tick` is called once for each.

    Both decoders release Python's lock, so threads suffice. Only a few pictures are held at a time.
    """
    with ThreadPoolExecutor(workers) as pool:
        waiting = []
        for path in paths:
            waiting.append(pool.submit(read_file, path, decoders, known, printed=printed))
            if len(waiting) > 2 * workers:
                yield waiting.pop(0).result()
                tick()
        for future in waiting:
            yield future.result()
            tick()
