"""Many pictures are read in processes of their own, and the answers are those of one."""

import os
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from PIL import Image

from intake.edges import demo_scans, ocr, pictures
from intake.errors import FileError
from intake.flow.pictures import read_files as reading
from intake.flow.pictures.read_files import NOT_READ, ReadPicture, read_files
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoded, available
from intake.reading.geometry import Grey

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


class Stubborn:
    """A decoder that cannot work on any picture."""

    name = "stubborn"

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        message = f"no picture of {grey.shape}"
        raise AssertionError(message)


def drawn(folder: Path, width: int, height: int) -> Path:
    Image.effect_noise((width, height), 90).save(folder / f"{width}x{height}.png")
    return folder / f"{width}x{height}.png"


def test_what_a_decoder_throws_is_a_reason_and_the_run_goes_on(tmp_path: Path) -> None:
    paths = [drawn(tmp_path, 90, 80), tmp_path / "absent.png", drawn(tmp_path, 80, 90)]
    read = list(read_files(paths, [Stubborn()], workers=2))
    assert [one.path for one in read] == paths
    assert all(one.result.error and one.picture is None and not one.result.readings for one in read)
    assert NOT_READ in str(read[0].result.error)


def test_what_the_reader_of_text_throws_is_a_reason_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise OSError(5, "odd")

    monkeypatch.setattr(ocr, "is_installed", lambda: True)
    monkeypatch.setattr(reading, "may_show_print", lambda _: True)
    monkeypatch.setattr(ocr, "read_page", stop)
    (read,) = read_files([drawn(tmp_path, 90, 80)], available(), workers=1)
    assert read.result.error is not None
    assert read.picture is None


@pytest.mark.slow
@pytest.mark.parametrize(
    "size", [(65_535, 1), (1, 65_535), (32_768, 20), (20, 40_000), (60_000, 800), (2, 2), (700, 3)]
)
def test_pictures_of_odd_shapes_are_read(tmp_path: Path, size: tuple[int, int]) -> None:
    (read,) = read_files([drawn(tmp_path, *size)], available(), workers=1)
    assert read.result.error is None


class Deadly:
    """A decoder that ends its process, as the system does when memory runs out."""

    name = "zxing"

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        os._exit(9)


@pytest.mark.slow
def test_a_process_that_is_ended_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MANY", 2)
    monkeypatch.setattr(reading, "read_equipped", partial(reading.read_file, decoders=[Deadly()]))
    with pytest.raises(FileError):
        list(read_files([drawn(tmp_path, 90, 80), drawn(tmp_path, 80, 90)], available(), workers=2))
