"""The demonstration's photographs, their symbols drawn by another encoder (zint): each read once, and nothing else."""

from collections import Counter
from pathlib import Path

import pytest

from intake.edges import pictures
from intake.reading.decoders import available
from intake.reading.read import read

PHOTOGRAPHS = Path(__file__).parent.parent.parent / "demo_scans" / "photographs"
FILES = sorted(path for path in PHOTOGRAPHS.rglob("*") if path.suffix in pictures.SUFFIXES)


@pytest.mark.slow
@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(PHOTOGRAPHS).as_posix())
def test_each_symbol_is_read_once(file: Path) -> None:
    printed = Counter(line.split()[0] for line in file.with_suffix(".txt").read_text(encoding="utf-8").splitlines())
    found = read(pictures.load(file).grey, decoders=available())
    assert Counter(reading.number for reading in found if reading.accepted) == printed
