"""When a page of a large move is first seen: 600 boxes, 20,000 copies; figures are printed, none is asserted.

The browser tells it itself (Paint Timing: `first-contentful-paint`), from the moment a person asked for the page; and
when the desk's answer had come, how long that was and how many elements it has. The aim is 300 ms on an idle machine.

    pytest tests/benchmarks/test_paint_speed.py --benchmark-only -s
"""

# ruff: noqa: F811 - a fixture that is imported has the name of the argument it fills

import statistics
from collections.abc import Iterator
from urllib.parse import urljoin

import pytest
from playwright.sync_api import Browser, Page
from pytest_benchmark.fixture import BenchmarkFixture

from tests import large_move
from tests.desk.conftest import (  # noqa: F401 - fixtures are found by their names
    WIDE,
    Running,
    chromium,
    playwright,
    running,
    visit,
)
from tests.made_library import new_library

ROUNDS = 9
AIM_MS = 300
PATHS = (
    "/", "/boxes", "/boxes?by=room", "/boxes?q=B57", "/boxes/1", "/boxes/201", "/unpack/201", "/progress", "/pile",
    "/shelves", "/catalog", "/catalog?q=garden", "/copies", "/copies?q=garden", "/copies/A1-59", "/sets", "/ledger",
)  # fmt: skip

PAINTED = """() => new Promise((resolve) => new PerformanceObserver((list) => {
  const [paint] = list.getEntriesByName("first-contentful-paint");
  if (!paint) return;
  const [page] = performance.getEntriesByType("navigation");
  resolve([paint.startTime, page.responseEnd, page.decodedBodySize, document.querySelectorAll("*").length]);
}).observe({ type: "paint", buffered: true }))"""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory, chromium: Browser) -> Iterator[Page]:
    folder = tmp_path_factory.mktemp("painted")
    with new_library(folder / "library") as library:
        large_move.fill(library)
        with running(library, folder / "keys") as desk, visit(chromium, desk.link, size=WIDE) as page:
            yield page


@pytest.mark.parametrize("path", PATHS)
def test_the_first_paint(benchmark: BenchmarkFixture, page: Page, path: str) -> None:
    address = urljoin(page.url, path)
    figures: list[list[float]] = []

    def once() -> None:
        page.goto(address)
        figures.append(page.evaluate(PAINTED))

    benchmark.pedantic(once, rounds=ROUNDS, warmup_rounds=1)  # type: ignore[no-untyped-call] # the library types it not
    paint, answer, size, elements = (statistics.median(column) for column in zip(*figures[1:], strict=True))
    print(
        f"\n{path}: first paint {paint:.0f} ms ({paint / AIM_MS:.2f} of the aim), of which {answer:.0f} ms the answer;"
        f" {size / 1000:.0f} kB, {elements} elements"
    )
