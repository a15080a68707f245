"""Many pictures are read in processes of their own, and the answers are those of one."""

from dataclasses import replace
from pathlib import Path

import pytest

from intake.edges import demo_scans, pictures
from intake.flow.pictures import read_files as reading
from intake.flow.pictures.read_files import ReadPicture, read_files
from intake.reading.code_book import CodeBook
from intake.reading.decoders import available

SCANS = demo_scans.folder(None) / demo_scans.PHOTOGRAPHS


def timeless(one: ReadPicture) -> ReadPicture:
    return replace(one, result=replace(one.result, ms=0.0))


@pytest.mark.slow
def test_processes_answer_as_threads_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    damaged = tmp_path / "damaged.jpg"
    damaged.write_bytes(b"no picture at all")
    paths = [*pictures.find([SCANS / "box-1"])[:5], damaged, *pictures.find([SCANS / "box-2"])[:2]]
    known = CodeBook.of(["9780306406157", "9783161484100"], expected=["9783161484100"])
    ticks: list[None] = []
    here = list(read_files(paths, available(), workers=2, known=known, printed=False))
    monkeypatch.setattr(reading, "MANY", len(paths))
    there = list(read_files(paths, available(), workers=2, known=known, printed=False, tick=lambda: ticks.append(None)))
    assert list(map(timeless, there)) == list(map(timeless, here))
    assert [one.path for one in there] == paths
    assert len(ticks) == len(paths)
    assert [one.path for one in there if one.result.error] == [damaged]
    assert sum(bool(one.result.readings) for one in there) >= 5


def test_nothing_to_read() -> None:
    assert list(read_files([], available(), workers=2)) == []
