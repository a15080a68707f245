"""Photographs of shelves: the labels and copy flags in them, or the text on their spines."""

from collections.abc import Sequence
from pathlib import Path

from intake.edges import ocr, pictures
from intake.edges.decoder_faults import refusing
from intake.flow.pictures.read_files import NOT_READ
from intake.model.readings import Reading, TextLine
from intake.reading.decoders import Decoder
from intake.reading.read import read


def read_labels(path: Path, decoders: Sequence[Decoder]) -> tuple[Reading, ...]:
    """Return the symbols in a photograph.

    Raises:
        FileError: it cannot be opened or read.
    """
    grey = pictures.load(path).grey
    with refusing(str(path), NOT_READ):
        return read(grey, decoders=decoders)


def read_spines(path: Path) -> Sequence[TextLine]:
    """Return the lines of text in a photograph.

    Raises:
        FileError: it cannot be opened or read.
        RefusedError: the part that reads text is not installed.
    """
    grey = pictures.load(path).grey
    with refusing(str(path), NOT_READ):
        return ocr.read_lines(grey)
