"""Pictures of many books at a time: an opened box, a stack, a trolley, a shelf."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from intake.edges import ocr, pictures
from intake.edges.decoder_faults import refusing
from intake.errors import IntakeError
from intake.flow.pictures.read_files import NOT_READ
from intake.flow.pictures.received import load_received
from intake.model.scenes import Scene
from intake.model.sightings import NAMELESS, Picture
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.geometry import Grey
from intake.reading.scene_symbols import read_symbols
from intake.reading.spine_lines import spines_of
from intake.shelving.spines import best_lines


@dataclass(frozen=True, slots=True)
class ReadScene:
    """One picture and what was read in it.

    Attributes:
        name: of the file, for a message.
        scene: what was read; empty where the file could not be opened or read.
        picture: its record; None where it could not be opened or read.
        text_missing: whether the text of spines was asked for and not read, as that optional part is not installed.
        error: why the file was not opened or read.
        source: the file, or the bytes that a station sent.
        pages: pages or frames in the file, of which the first was read.
    """

    name: str
    scene: Scene
    picture: Picture | None = None
    text_missing: bool = False
    error: str | None = None
    source: Path | bytes = b""
    pages: int = 1


def read_scene(grey: Grey, decoders: Sequence[Decoder], known: CodeBook | None = None, *, spines: bool = True) -> Scene:
    """Read every symbol, and the text of every spine, in a picture of many books.

    Args:
        grey: uint8, height by width, upright.
        decoders: see `intake.reading.decoders.available`.
        known: the numbers of the catalog.
        spines: whether text is read, where the part for it is installed.

    Raises:
        FileError: one of the libraries that look for symbols or text stopped at it; it is called "The picture".
    """
    with refusing("The picture", NOT_READ):
        symbols, left_out = read_symbols(grey, decoders=decoders, known=known)
        lines = ocr.read_lines(grey) if spines and ocr.is_installed() else ()
        texts, other_lines = spines_of(best_lines(lines))
        return Scene(symbols, texts, left_out, other_lines)


def read_scenes(
    sources: Iterable[Path | bytes],
    decoders: Sequence[Decoder],
    *,
    known: CodeBook | None = None,
    spines: bool = True,
    tick: Callable[[], None] = lambda: None,
) -> Iterator[ReadScene]:
    """Read pictures of many books, in their order; one that cannot be opened gives a reason, not an exception.

    Args:
        sources: files, or the bytes that a station sent.
        decoders: see `intake.reading.decoders.available`.
        known: the numbers of the catalog.
        spines: whether text is read, where the part for it is installed.
        tick: called once for each.
    """
    for source in sources:
        name = source.name if isinstance(source, Path) else NAMELESS
        try:
            loaded = pictures.load(source) if isinstance(source, Path) else load_received(source)
            scene = read_scene(loaded.grey, decoders, known, spines=spines)
            text_missing = spines and not ocr.is_installed()
            shown = ReadScene(name, scene, loaded.record, text_missing, source=source, pages=loaded.pages)
        except IntakeError as error:
            shown = ReadScene(name, Scene(()), error=str(error), source=source)
        yield shown
        tick()
