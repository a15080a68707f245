"""The demonstration's photographs, their symbols drawn by another encoder (zint): each read once, and nothing else."""

from collections import Counter
from pathlib import Path

import pytest

from intake.edges import pictures
from intake.reading.decoders import available
from intake.reading.read import read
from intake.reading.scene_symbols import read_symbols

PHOTOGRAPHS = Path(__file__).parent.parent.parent / "demo_scans" / "photographs"
OPENED = PHOTOGRAPHS / "opened"
"""Pictures of many books, which are read otherwise."""
FILES = sorted(path for path in PHOTOGRAPHS.rglob("*") if path.suffix in pictures.SUFFIXES and path.parent != OPENED)


def numbers_beside(file: Path) -> Counter[str]:
    """Return the numbers that are printed in a picture."""
    return Counter(line.split()[0] for line in file.with_suffix(".txt").read_text(encoding="utf-8").splitlines())


@pytest.mark.slow
@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(PHOTOGRAPHS).as_posix())
def test_each_symbol_is_read_once(file: Path) -> None:
    found = read(pictures.load(file).grey, decoders=available())
    assert Counter(reading.number for reading in found if reading.accepted) == numbers_beside(file)


@pytest.mark.slow
@pytest.mark.parametrize("file", sorted(OPENED.glob("*.jpg")), ids=lambda file: file.name)
def test_each_symbol_of_an_opened_box_is_read_once(file: Path) -> None:
    found, left_out = read_symbols(pictures.load(file).grey, decoders=available())
    assert Counter(reading.number for reading in found if reading.accepted) == numbers_beside(file)
    assert left_out == 0
