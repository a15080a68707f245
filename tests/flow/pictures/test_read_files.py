"""Many pictures are read in processes of their own, and the answers are those of one."""

import os
import threading
from concurrent.futures import ThreadPoolExecutor
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


class Patient:
    """A decoder that is not done with the first picture before so many others are read."""

    name = "patient"

    def __init__(self, others: int) -> None:
        self.others = others
        self.read: set[int] = set()
        self.done = threading.Event()

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        """Read nothing; pictures are told apart by their width."""
        if grey.shape[1] == 64:
            assert self.done.wait(60), "the others wait for the first"
        else:
            self.read.add(grey.shape[1])
            if len(self.read) == self.others:
                self.done.set()
        return ()


def test_no_core_waits_for_the_other_at_a_picture_that_takes_long(tmp_path: Path) -> None:
    paths = [tmp_path / f"{nth:02}.png" for nth in range(20)]
    for nth, path in enumerate(paths):
        Image.new("L", (64 + nth, 32), 200).save(path)
    read = list(read_files(paths, [Patient(others=19)], workers=2, printed=False))
    assert [one.path for one in read] == paths
    assert not any(one.result.error for one in read)


class Held:
    """A decoder that works on one picture at a time, and waits after the first until it is let go."""

    name = "held"

    def __init__(self) -> None:
        self.seen: set[int] = set()
        self.go = threading.Event()

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        """Read nothing; pictures are told apart by their width."""
        self.seen.add(grey.shape[1])
        assert grey.shape[1] == 64 or self.go.wait(60)
        return ()


def test_who_stops_early_waits_only_for_what_is_being_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [tmp_path / f"{nth:02}.png" for nth in range(20)]
    for nth, path in enumerate(paths):
        Image.new("L", (64 + nth, 32), 200).save(path)
    held = Held()

    class Letting(ThreadPoolExecutor):
        """Lets the decoder go once it is told which pictures are no longer wanted."""

        def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
            super().shutdown(wait=False, cancel_futures=cancel_futures)
            held.go.set()
            super().shutdown(wait=wait)

    monkeypatch.setattr(reading, "ThreadPoolExecutor", Letting)
    reading_on = read_files(paths, [held], workers=1, printed=False)
    assert next(reading_on).path == paths[0]
    del reading_on  # which ends it, as an interruption does
    assert held.seen <= {64, 65}


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
