"""Photographs of shelves: the labels and copy flags in them, or the text on their spines."""

from collections.abc import Sequence
from pathlib import Path

from intake.edges import ocr, pictures
from intake.model.readings import Reading, TextLine
from intake.reading.decoders import Decoder
from intake.reading.read import read


def read_labels(path: Path, decoders: Sequence[Decoder]) -> tuple[Reading, ...]:
    """Return the symbols in a photograph.

    Raises:
        FileError: it cannot be opened.
    """
    return read(pictures.load(path).grey, decoders=decoders)


def read_spines(path: Path) -> Sequence[TextLine]:
    """Return the lines of text in a photograph.

    Raises:
        FileError: it cannot be opened.
        MissingPartError: the part that reads text is not installed.
    """
    return ocr.read_lines(pictures.load(path).grey)
