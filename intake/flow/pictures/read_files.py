"""Picture files in, readings out: the pure form of the tool, with no library.

Where the bars give nothing that may be booked, and the part that reads text is installed, the printed number is looked
for once: about the bars of the best doubtful reading, about bars that were not read, or else in the whole picture,
which may be a copyright page, and only where there are pieces of the size of letters. That costs a second or so. Live
frames of a camera do without, as the next one is better.
"""

import multiprocessing
import signal
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from intake.edges import ocr, pictures
from intake.edges.decoder_faults import refusing
from intake.errors import FileError, IntakeError, UsageError
from intake.model.identifiers import NumberKind
from intake.model.readings import PictureReadings, Reading
from intake.model.sightings import Picture
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder, available
from intake.reading.expected_bars import bars_of_print
from intake.reading.fuse import fuse
from intake.reading.geometry import Grey
from intake.reading.letters import may_show_print
from intake.reading.printed import PrintedNumber, printed_numbers
from intake.reading.printed_evidence import cut_out, framed_bars, in_picture, with_printed
from intake.reading.read import read
from intake.reading.text_rows import is_unreadable

MANY = 24
"""So many pictures are worth the second or two in which further processes begin."""

AHEAD = 32
"""Pictures handed out ahead of the oldest that is not yet read, for each core. A hopeless picture takes as long as
twenty sharp ones, and reading print as long again: with fewer, the other cores would wait for it."""

UNDER_BARS = ("", "bars")
"""Labels of printed numbers that may stand below bars: none."""
NOT_READ = "cannot be read: what looks for numbers stopped at it"
"""Why a picture is refused that can be opened, but that one of the libraries cannot work on."""


@dataclass(frozen=True, slots=True)
class ReadPicture:
    """A picture file and what was read from it; `picture` is None where it could not be opened or read."""

    path: Path
    result: PictureReadings
    picture: Picture | None


def read_picture(
    grey: Grey, decoders: Sequence[Decoder], known: CodeBook | None = None, *, printed: bool = True
) -> tuple[Reading, ...]:
    """Read a picture by its bars and, where these give nothing that may be booked, by the number printed in it.

    Args:
        grey: uint8, height by width, upright.
        decoders: see `intake.reading.decoders.available`.
        known: the numbers of the catalog.
        printed: whether text is read, where the part for it is installed.

    Raises:
        FileError: one of the libraries that look for symbols or text stopped at it; it is called "The picture".
    """
    with refusing("The picture", NOT_READ):
        readings = read(grey, decoders=decoders, known=known)
        return with_print(grey, readings, known) if printed and needs_print(readings) else readings


def needs_print(readings: Sequence[Reading]) -> bool:
    """Return whether no bars gave a number that may be booked, and the optional text reader is installed."""
    return not any(reading.accepted for reading in readings) and ocr.is_installed()


def with_print(grey: Grey, readings: Sequence[Reading], known: CodeBook | None) -> tuple[Reading, ...]:
    """Look for the printed number, and bring it together with the readings of the bars.

    Bars that gave nothing by themselves are compared with the number printed below them.
    """
    printed = find_printed(grey, readings)
    if not readings:
        found = (bars_of_print(grey, number) for number in printed if number.label in UNDER_BARS)
        readings = fuse((), [evidence for evidence in found if evidence])
    return with_printed(readings, printed, known)


def find_printed(grey: Grey, readings: Sequence[Reading]) -> list[PrintedNumber]:
    """Find the numbers printed about the best doubtful reading or bars not read; where there are none, in the picture.

    Text is looked for once, as that takes longer than anything else. About bars it is enlarged, and more of it is read.
    """
    doubtful = [reading.corners for reading in readings if reading.corners and reading.kind is not NumberKind.OWN]
    bars = doubtful[0] if doubtful else framed_bars(grey)
    if bars:
        crop = cut_out(grey, bars)
        return [in_picture(number, crop) for number in numbers_in(crop.grey, under_bars=True)]
    return list(numbers_in(grey))


def numbers_in(grey: Grey, *, under_bars: bool = False) -> tuple[PrintedNumber, ...]:
    """Find the numbers printed in a picture or a cut-out of one, whichever way it is turned."""
    if not may_show_print(grey):
        return ()
    lines = ocr.read_page(grey)
    numbers = printed_numbers(lines, under_bars=under_bars)
    if numbers or not is_unreadable(lines):
        return numbers
    return printed_numbers(ocr.read_backwards(grey, lines), under_bars=under_bars)


@dataclass(frozen=True, slots=True)
class Equipment:
    """What a process of its own needs to read pictures: names and numbers, from which it makes the rest."""

    decoders: tuple[str, ...]
    numbers: tuple[str, ...]
    awaited: tuple[str, ...]


def read_file(path: Path, decoders: Sequence[Decoder], known: CodeBook | None = None) -> ReadPicture:
    """Read the bars in one picture file; one that cannot be opened or read gives a reason, not an exception."""
    started = time.perf_counter()
    picture: Picture | None = None
    readings: tuple[Reading, ...] = ()
    error = None
    pages = 1
    try:
        loaded = pictures.load(path)
        with refusing(str(path), NOT_READ):
            readings = read(loaded.grey, decoders=decoders, known=known)
        picture, pages = loaded.record, loaded.pages
    except IntakeError as reason:
        error = str(reason)
    return ReadPicture(path, PictureReadings(str(path), since(started), readings, error, pages), picture)


def file_with_print(picture: ReadPicture, known: CodeBook | None) -> ReadPicture:
    """Look for the printed number in a file of which the bars gave nothing that may be booked.

    Where that fails, the reason takes the place of what was read: a doubtful reading would look like all there is.
    """
    if picture.result.error or not needs_print(picture.result.readings):
        return picture
    started = time.perf_counter()
    try:
        grey = pictures.load(picture.path).grey
        with refusing(str(picture.path), NOT_READ):
            result = replace(picture.result, readings=with_print(grey, picture.result.readings, known))
    except IntakeError as reason:
        result, picture = replace(picture.result, readings=(), error=str(reason)), replace(picture, picture=None)
    return replace(picture, result=replace(result, ms=round(result.ms + since(started), 1)))


def since(started: float) -> float:
    """Return the milliseconds since a moment."""
    return round((time.perf_counter() - started) * 1000, 1)


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

    A few are read in threads, many in processes: much of it keeps Python's lock. Print is read here, one picture
    after the other, as its model is large and uses all cores by itself.

    Raises:
        FileError: a process was ended by the system; what was yielded before stays good.
    """
    files = list(paths)
    pool, job = hired(workers if len(files) >= MANY else 1, workers, decoders, known)
    waiting: deque[Future[ReadPicture]] = deque()
    try:
        for nth, path in enumerate(files, 1):
            waiting.append(pool.submit(job, path))
            while waiting and (len(waiting) > AHEAD * workers or nth == len(files)):
                picture = _answer(waiting.popleft())
                yield file_with_print(picture, known) if printed else picture
                tick()
    finally:  # who stops early waits only for the pictures that are being read
        pool.shutdown(cancel_futures=True)


def _answer(waiting: Future[ReadPicture]) -> ReadPicture:
    try:
        return waiting.result()
    except BrokenProcessPool as error:
        why = "was ended by the system, most likely because the memory of this machine is used up"
        remedy = "close other programs, or name fewer pictures at a time; what was done before is kept"
        raise FileError("A process that reads pictures", why, remedy) from error


def hired(
    processes: int, threads: int, decoders: Sequence[Decoder], known: CodeBook | None
) -> tuple[Executor, Callable[[Path], ReadPicture]]:
    """Return what the bars are read with: several processes, or threads of this one."""
    if processes < 2:
        return ThreadPoolExecutor(threads), partial(read_file, decoders=decoders, known=known)
    names = tuple(decoder.name for decoder in decoders)
    needs = Equipment(names, known.numbers if known else (), tuple(known.awaited) if known else ())
    # Begun anew: a copy of this process could hold a lock that one of its threads had taken.
    context = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(processes, context, equip, (needs,)), read_equipped


tools: tuple[tuple[Decoder, ...], CodeBook | None] = ((), None)
"""What a process of its own reads with."""


def equip(needs: Equipment) -> None:
    """Begin a process that reads pictures; an interruption is for the first process to answer."""
    global tools  # noqa: PLW0603 -- how a pool hands something large to its processes once
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    pictures.use_one_core()
    chosen = tuple(decoder for decoder in available() if decoder.name in needs.decoders)
    tools = chosen, CodeBook.of(needs.numbers, needs.awaited) if needs.numbers else None


def read_equipped(path: Path) -> ReadPicture:
    """Read the bars in one picture file, in a process of its own."""
    return read_file(path, *tools)


def find_pictures(named: Sequence[Path]) -> tuple[Path, ...]:
    """Return the picture files named, and those in the folders named; see `intake.edges.pictures.find`.

    Raises:
        UsageError: there is none.
        FileError: a folder cannot be listed.
    """
    if found := pictures.find(named):
        return found
    names = ", ".join(str(path) for path in named) or "The command line"
    remedy = "name files or folders of JPEG, PNG, WebP, TIFF or HEIC pictures"
    raise UsageError(names, "contains no pictures", remedy)


def passed_over_words(named: Sequence[Path]) -> str:
    """Write what was left out in the folders named; empty where nothing was.

    Raises:
        FileError: a folder cannot be listed.
    """
    kinds = pictures.passed_over(named)
    if not kinds:
        return ""
    counts = ", ".join(f"{count} {kind or 'without a suffix or not a file'}" for kind, count in sorted(kinds.items()))
    return (
        f"Left out in the folders, by the ends of their names: {counts}. A picture among them is read if you name it."
    )


def further_pages_words(name: str, pages: int) -> str:
    """Write that only the first page of a picture file was read; empty where it has one."""
    if pages < 2:
        return ""
    return f"{name} has {pages} pages or frames, and only the first was read; save each as a picture of its own."
