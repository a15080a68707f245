"""How long the schedules of a large collection take, and how much memory: printed, never asserted.

10,000 copies, 3,000 photographs of 1600 x 1200 pixels. Run with
`pytest tests/benchmarks/test_inventory_speed.py --benchmark-only -m "slow or not slow" -s`. The photographs are cut out
of one picture at 3,000 places, so that no two are alike and the PDF has to hold them all. Seconds of the processor are
printed beside those of the clock: other work on the machine slows the clock alone.
"""

import hashlib
import io
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import psutil
import pypdfium2
import pytest
from PIL import Image
from pytest_benchmark.fixture import BenchmarkFixture

from intake.edges import print_pictures
from intake.edges.store.library import Library, open_library
from intake.flow.papers import proofs
from intake.flow.values.exchange_rates import rate_table
from intake.flow.values.value_copies import worth
from intake.identifiers.own import make
from intake.model.changes import Action, ActionKind, Record, made
from intake.model.condition import CopyPicture
from intake.model.editions import Copy, Edition, Grade
from intake.model.identifiers import OwnKind
from intake.model.sightings import Picture
from intake.model.valuations import Basis, Rate, Valuation, rate_key
from intake.valuing.totals import total_value

pytestmark = pytest.mark.slow

COPIES, PHOTOGRAPHS = 10_000, 3_000
ON = date(2026, 3, 31)


def scene(width: int, height: int) -> Image.Image:
    """A picture with soft shapes and a little grain, about as large a file as a photograph."""
    rng = np.random.default_rng(1)
    y, x = np.mgrid[0:height, 0:width]
    soft = 120 + 60 * np.sin(x / 90) + 50 * np.cos(y / 70)
    rgb = np.stack([soft + rng.normal(0, 6, soft.shape) for _ in range(3)], axis=-1).clip(0, 255).astype(np.uint8)
    return Image.fromarray(rgb)


def jpeg(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=85)
    return out.getvalue()


@pytest.fixture(scope="module")
def collection(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Library]:
    library = open_library(tmp_path_factory.mktemp("collection") / "library", create=True)
    records: list[Record] = []
    for n in range(1, COPIES + 1):
        title = f"Die Gräser der Küste und ihre Verwandten, Teil {n}" if n % 9 else f"鳥の島 図鑑 {n}"
        records.append(Edition(id=n, title=title, contributors=("Irma Tessendorf", "Ottokar Brindlmayer"), year=1987,
                               subject=f"Class {n % 12}", mass_g=900.0))  # fmt: skip
        number = make(OwnKind.COPY, n)
        records.append(Copy(accession=number, edition_id=n, grade=Grade.VERY_GOOD, condition="spine: faded"))
        if n % 10:
            records.append(Valuation(id=n, copy=number, amount=Decimal(n) / 4, currency=("EUR", "USD", "GBP")[n % 3],
                                     on=ON, basis=Basis.MARKET, source="own estimate"))  # fmt: skip
    for code, per_base in (("USD", "1.0843"), ("GBP", "0.8517")):
        key = rate_key(ON, "EUR", code)
        records.append(Rate(key=key, on=ON, base="EUR", currency=code, per_base=Decimal(per_base)))
    whole = scene(1660, 1250)
    for n in range(1, PHOTOGRAPHS + 1):
        left, top = n % 60, n // 60
        own = jpeg(whole.crop((left, top, left + 1600, top + 1200)))
        sha256 = hashlib.sha256(own).hexdigest()
        picture = Picture(sha256=sha256, name=f"{n}.jpg", media_type="image/jpeg", width_px=1600, height_px=1200)
        library.keep_picture(own, picture)
        records += [picture, CopyPicture(id=n, copy=make(OwnKind.COPY, 3 * n), picture=sha256)]
    with library.writing() as work:
        work.apply(Action(ActionKind.IMPORT_EDITIONS, "all"), made(*records))
    yield library
    library.close()


def schedule(library: Library, path: Path) -> tuple[float, float]:
    """Run the command as a person does; return the most memory that it used, in MB, and seconds of the processor."""
    program = [sys.executable, "-m", "intake.cli.main", "--library", str(library.folder)]
    job = subprocess.Popen([*program, "schedule", "insurance", "--on", str(ON), "--single-limit", "2000", "-o", path])
    most = used = 0.0
    while job.poll() is None:
        try:
            process = psutil.Process(job.pid)
            most = max(most, process.memory_info().rss / 1e6)
            used = sum(process.cpu_times()[:2])
        except psutil.NoSuchProcess:
            break
        time.sleep(0.02)
    assert job.wait() == 0
    return most, used


@pytest.mark.parametrize("suffix", [".pdf", ".xlsx", ".csv"])
def test_insurance_schedule(benchmark: Any, collection: Library, tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"schedule{suffix}"
    most, used = benchmark.pedantic(lambda: schedule(collection, path), rounds=1)
    benchmark.extra_info["peak_mb"] = round(most)
    size = path.stat().st_size / 1e6
    pages = len(pypdfium2.PdfDocument(path)) if suffix == ".pdf" else 1
    clock = f"{benchmark.stats['mean']:.1f} s ({used:.1f} s of the processor)"
    print(f"\n{suffix}: {clock}, peak {most:.0f} MB, file {size:.1f} MB, {pages} pages")
    assert size > 0.1


def test_totals(benchmark: BenchmarkFixture, collection: Library) -> None:
    with collection.reading() as records:
        held = proofs.held_at(records)
        values = proofs.values_in(held, "")
        table = rate_table(records, ["EUR", "USD", "GBP"])
    copies = sorted(held.copies)
    found = benchmark(lambda: total_value(copies, values, table, currency="EUR", on=ON))
    assert sum(one.copies for one in found.at_risk.subtotals) == COPIES * 9 // 10


def test_totals_with_what_is_read_from_the_library(benchmark: BenchmarkFixture, collection: Library) -> None:
    with collection.reading() as records:
        found = benchmark(lambda: worth(records, "EUR", on=ON))
    assert sum(one.copies for one in found.at_risk.subtotals) == COPIES * 9 // 10


def test_forty_photographs_of_twelve_megapixels(benchmark: Any, tmp_path: Path) -> None:
    data, paths = jpeg(scene(4000, 3000)), {}
    for n in range(40):
        own = data + n.to_bytes(4, "big")
        path = tmp_path / f"{n}.jpg"
        path.write_bytes(own)
        paths[hashlib.sha256(own).hexdigest()] = path
    job = benchmark.pedantic(lambda: list(print_pictures.scale(paths, width_mm=60, height_mm=46)), rounds=1)
    assert all(one.data for one in job)
