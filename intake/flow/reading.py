"""Picture files in, readings out: the pure form of the tool, with no library."""

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from intake.edges import pictures
from intake.errors import IntakeError
from intake.model.readings import PictureReadings, Reading
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.read import read


@dataclass(frozen=True, slots=True)
class ReadPicture:
    """A picture file and what was read from it; `picture` is None where the file could not be opened."""

    path: Path
    result: PictureReadings
    picture: pictures.Loaded | None


def read_file(path: Path, decoders: Sequence[Decoder], known: CodeBook | None = None) -> ReadPicture:
    """Read one picture file; a file that cannot be opened gives a reason, not an exception."""
    started = time.perf_counter()
    picture: pictures.Loaded | None = None
    readings: tuple[Reading, ...] = ()
    error = None
    try:
        picture = pictures.load(path)
        readings = read(picture.grey, decoders=decoders, known=known)
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
    tick: Callable[[], None] = lambda: None,
) -> Iterator[ReadPicture]:
    """Read picture files on several cores, in their order; `tick` is called once for each.

    Both decoders release Python's lock, so threads suffice. Only a few pictures are held at a time.
    """
    with ThreadPoolExecutor(workers) as pool:
        waiting = []
        for path in paths:
            waiting.append(pool.submit(read_file, path, decoders, known))
            if len(waiting) > 2 * workers:
                yield waiting.pop(0).result()
                tick()
        for future in waiting:
            yield future.result()
            tick()
