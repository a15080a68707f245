"""How long reading takes; run by hand with `pytest tests/benchmarks/test_reading_speed.py --benchmark-only -s`.

The measure is one `pyzbar.decode` of the same picture: the ratio is printed beside the times. What is aimed at: half of
it for a sharp frame, 300 ms for a defocused one with 10,000 numbers and 1 s with 100,000; for a sharp photograph of 12
megapixels no more than it, for a defocused one 1.5 s; a folder as many times as fast as there are cores.
"""

import os
import statistics
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import cv2
import numpy as np
import psutil
import pytest
import zint
from pytest_benchmark.fixture import BenchmarkFixture

from intake.edges import demo_scans
from intake.edges.pictures import find, load
from intake.flow.pictures.read_files import read_files
from intake.reading.code_book import CodeBook
from intake.reading.decoders import available
from intake.reading.read import read
from intake.reading.symbol_forms import check_digit
from tests.reading.drawing import Grey, Shot, photograph, symbol

DECODERS = available()
BOOK = symbol(zint.Symbology.EANX, "978030640615")
PRICED = symbol(zint.Symbology.EANX, "978030640615+51299")


def frame(name: str) -> Grey:
    """Draw a frame of 640 by 480 as a webcam gives it."""
    drawn = {
        "book": lambda: photograph(BOOK, Shot(module_px=2.5))[0],
        "book near": lambda: photograph(BOOK, Shot(module_px=4.0))[0],
        "book with supplement": lambda: photograph(PRICED, Shot(module_px=2.5))[0],
        "slanted book": lambda: photograph(BOOK, Shot(module_px=3.0, angle=30))[0],
        "no book": lambda: photograph(np.full_like(BOOK, 255), Shot(noise=6))[0],
    }
    return drawn[name]()


def milliseconds(work: Callable[[], object], rounds: int = 15) -> float:
    """Measure the median of some rounds."""
    ticks = cv2.getTickFrequency() / 1000
    times = []
    for _ in range(rounds):
        start = cv2.getTickCount()
        work()
        times.append((cv2.getTickCount() - start) / ticks)
    return statistics.median(times)


@pytest.mark.parametrize("name", ["book", "book near", "book with supplement", "slanted book", "no book"])
def test_camera_frame_against_one_pyzbar_decode(benchmark: BenchmarkFixture, name: str) -> None:
    pyzbar = pytest.importorskip("pyzbar.pyzbar", exc_type=ImportError)
    picture = frame(name)
    readings = benchmark(read, picture, decoders=DECODERS)
    assert all(reading.accepted for reading in readings)
    assert len(readings) == (name != "no book")
    measure = milliseconds(lambda: pyzbar.decode(picture))
    ours = milliseconds(lambda: read(picture, decoders=DECODERS))
    print(f"\n{name}: {ours:.1f} ms, one pyzbar.decode {measure:.1f} ms, ratio {ours / measure:.2f}")


def catalog(count: int) -> CodeBook:
    """Draw a catalog of so many numbers."""
    random = np.random.default_rng(5)
    data = ["978" + "".join(str(digit) for digit in row) for row in random.integers(0, 10, (count, 9))]
    return CodeBook.of([each + check_digit(each) for each in data] + ["9780306406157"])


@pytest.mark.parametrize("count", [10_000, 100_000])
def test_defocused_frame_with_a_catalog(benchmark: BenchmarkFixture, count: int) -> None:
    pyzbar = pytest.importorskip("pyzbar.pyzbar", exc_type=ImportError)
    picture, _ = photograph(BOOK, Shot(module_px=2.5, blur_px=3.6, angle=4))
    before = psutil.Process().memory_info().rss
    known = catalog(count)
    (reading,) = benchmark(read, picture, decoders=DECODERS, known=known)
    assert reading.accepted
    held = (psutil.Process().memory_info().rss - before) / 1e6
    ours = milliseconds(lambda: read(picture, decoders=DECODERS, known=known), 7)
    measure = milliseconds(lambda: pyzbar.decode(picture))
    print(f"\n{count} numbers: {ours:.0f} ms, {ours / measure:.1f} times one pyzbar.decode; {held:.0f} MB more")


def large(blur_px: float) -> Grey:
    """Draw a photograph of 12 megapixels: a book's back among soft shapes, noise everywhere."""
    random = np.random.default_rng(3)
    soft = random.integers(60, 190, (40, 60)).astype(np.float32)
    ground = cv2.resize(soft, (4000, 3000), interpolation=cv2.INTER_CUBIC)
    book, _ = photograph(BOOK, Shot(size=(1400, 1000), module_px=5.0, angle=8, noise=0, blur_px=blur_px))
    ground[1200:2200, 1500:2900] = book
    return np.asarray(np.clip(ground + random.normal(0, 4, ground.shape), 0, 255), np.uint8)


@pytest.mark.parametrize(("name", "blur_px"), [("sharp", 0.6), ("defocused", 7.0)])
def test_twelve_megapixels_against_one_pyzbar_decode(benchmark: BenchmarkFixture, name: str, blur_px: float) -> None:
    pyzbar = pytest.importorskip("pyzbar.pyzbar", exc_type=ImportError)
    picture, known = large(blur_px), catalog(10_000)
    (reading,) = benchmark(read, picture, decoders=DECODERS, known=known)
    assert reading.accepted
    measure = milliseconds(lambda: pyzbar.decode(picture), 3)
    ours = milliseconds(lambda: read(picture, decoders=DECODERS, known=known), 5)
    print(f"\n12 megapixels, {name}: {ours:.0f} ms, one pyzbar.decode {measure:.0f} ms, ratio {ours / measure:.2f}")


@pytest.fixture(scope="module")
def twelve_megapixels(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A phone's photograph as a file."""
    grey = large(0.6)
    path = tmp_path_factory.mktemp("photographs") / "phone.jpg"
    path.write_bytes(cv2.imencode(".jpg", cv2.merge([grey, grey, grey]), [cv2.IMWRITE_JPEG_QUALITY, 90])[1].tobytes())
    return path


def test_twelve_megapixel_file(benchmark: BenchmarkFixture, twelve_megapixels: Path) -> None:
    (reading,) = benchmark(lambda: read(load(twelve_megapixels).grey, decoders=DECODERS))
    assert reading.accepted
    before = psutil.Process().memory_info().rss
    peak = max(grown(twelve_megapixels) for _ in range(3)) - before
    print(
        f"\n12 megapixels: {milliseconds(lambda: load(twelve_megapixels), 5):.0f} ms of it loading; {peak / 1e6:.0f} MB"
    )


def grown(path: Path) -> int:
    """Return the process's memory while picture and readings are held."""
    picture = load(path)
    kept = (picture, read(picture.grey, decoders=DECODERS))
    assert kept[1]
    return int(psutil.Process().memory_info().rss)


def test_folder_of_a_thousand_photographs(benchmark: BenchmarkFixture) -> None:
    demo = find([demo_scans.folder(None) / demo_scans.PHOTOGRAPHS])
    paths = [demo[i % len(demo)] for i in range(1000)]
    cores = os.cpu_count() or 1

    def seconds(some: Sequence[Path], workers: int) -> float:
        start = time.perf_counter()
        results = list(read_files(some, DECODERS, workers=workers, printed=False))
        assert sum(bool(each.result.readings) for each in results) > 0.8 * len(some)
        return time.perf_counter() - start

    benchmark(seconds, paths[: len(demo)], cores)
    one, all_cores = seconds(paths[:200], 1), seconds(paths[:200], cores)
    whole = seconds(paths, cores)
    print(f"\n1,000 photographs: {whole:.1f} s; {cores} cores are {one / all_cores:.2f} times as fast as one")
