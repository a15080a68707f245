"""A film taken along a shelf or round a stack: its books, each once, and what was not read in it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from intake.edges import camera
from intake.edges.decoder_faults import refusing
from intake.flow.pictures.read_files import NOT_READ
from intake.model.readings import Reading
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.geometry import Grey
from intake.reading.read import read
from intake.reading.sweep import STILL, Sweep, moved


@dataclass(frozen=True, slots=True)
class ReadFilm:
    """What was read in a film.

    Attributes:
        books: their readings, in the order in which they stand.
        frames: that the film shows.
        frames_read: those that were read; in the others the camera had hardly gone on.
        frames_empty: of those read, the ones in which no number was certain.
        cut_short: that the film has fewer frames than it should have; None where it is whole.
    """

    books: tuple[Reading, ...]
    frames: int
    frames_read: int
    frames_empty: int
    cut_short: str | None = None


def read_film(
    film: Path,
    decoders: Sequence[Decoder],
    known: CodeBook | None = None,
    *,
    tick: Callable[[int, int], None] = lambda _nth, _stated: None,
) -> ReadFilm:
    """Read a film taken along a shelf or round a stack; each book once, in the order in which they stand.

    Frames in which the camera has hardly gone on are passed over: they show what the last one showed.

    Args:
        film: a video file.
        decoders: see `intake.reading.decoders.available`.
        known: the numbers of the catalog.
        tick: called after each frame with how many there were so far, and how many the film has, 0 if it does not say.

    Raises:
        FileError: the file is not a video, or a frame cannot be read.
    """
    sweep = Sweep()
    before: Grey | None = None
    x = y = 0.0
    shown = frames_read = frames_empty = 0
    stated = camera.stated_frames(film)
    for shown, grey in enumerate(camera.frames(film), 1):
        if before is not None and before.shape == grey.shape:
            step = moved(grey, before)
            x, y = x + step[0], y + step[1]
        if before is None or max(abs(x), abs(y)) >= STILL * max(grey.shape):
            with refusing("A frame", NOT_READ, "try another film"):
                readings = read(grey, decoders=decoders, known=known)
            sweep = sweep.add(readings, (x, y))
            frames_read += 1
            frames_empty += not any(reading.accepted for reading in readings)
            x = y = 0.0
        before = grey
        tick(shown, stated)
    cut = camera.cut_short(film, stated, shown)
    return ReadFilm(sweep.books(), shown, frames_read, frames_empty, str(cut) if cut else None)


def film_lines(film: ReadFilm, *, spines: bool) -> Iterator[str]:
    """Write what was not read in a film, a sentence each.

    Args:
        film: what was read.
        spines: whether the text of spines was asked for.
    """
    if film.cut_short:
        yield film.cut_short
    if film.frames_empty:
        yield (
            f"In {film.frames_empty} of the {film.frames_read} frames that were read no number was certain; "
            "if books are missing, film them again, more slowly and from nearer."
        )
    if spines:
        yield "The text on spines is not read in a film; take pictures for that."
