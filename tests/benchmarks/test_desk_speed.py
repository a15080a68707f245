"""How fast the desk answers; figures are printed, none is asserted (pytest tests/benchmarks --benchmark-only -s).

From the shutter to the answer is measured in the browser: from the moment a frame of the live camera is taken to the
moment its answer has been laid out. Pages, search and weight are measured at the server with 100,000 made-up books.
"""

# ruff: noqa: F811 - a fixture that is imported has the name of the argument it fills

import gzip
import statistics
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect
from pytest_benchmark.fixture import BenchmarkFixture

from intake.desk.static_files import read_files
from intake.edges.store.library import Library, open_library
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind, own_number
from tests.desk.conftest import (  # noqa: F401 - fixtures are found by their names
    ALLOWED,
    PHOTOGRAPHS,
    Running,
    Station,
    browser,
    desk,
    film,
    let_in,
    library,
    playwright,
    running,
    stocked,
    visit,
)

WORDS = ("coast", "garden", "marsh", "orchard", "moor", "island", "river", "meadow")
HUNDRED_THOUSAND = 100_000
BOXES = 2_000
ROUNDS = 60


def filled(library: Library) -> None:
    editions, copies = [], []
    boxes = [
        Box(number=own_number(OwnKind.BOX, nth), state=BoxState.ARRIVED, room="Study") for nth in range(1, BOXES + 1)
    ]
    for nth in range(1, HUNDRED_THOUSAND + 1):
        title = f"The invented {WORDS[nth % 8]} {WORDS[nth // 8 % 8]} {WORDS[nth // 64 % 8]} {nth}"
        editions.append(Edition(id=nth, title=title, number=f"978{nth:010d}", contributors=(f"Person {nth % 5000}",)))
        state = CopyState.UNPACKED if nth % 3 == 0 else CopyState.PACKED
        box = boxes[nth % BOXES].number
        copies.append(Copy(accession=own_number(OwnKind.COPY, nth), edition_id=nth, state=state, box=box))
    with library.writing() as work:
        work.apply(Action(ActionKind.IMPORT_EDITIONS, "catalog"), made(*boxes, *editions, *copies))


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("large")
    with open_library(folder / "library", create=True) as held:
        filled(held)
        with running(held, folder / "keys") as served:
            yield served


def told(name: str, milliseconds: list[float]) -> None:
    cut = statistics.quantiles(milliseconds, n=20)
    middle = statistics.median(milliseconds)
    print(f"\n{name}: median {middle:.0f} ms, 95th percentile {cut[18]:.0f} ms, longest {max(milliseconds):.0f} ms")


@pytest.mark.parametrize("picture", ["box-1/12", "box-1/06", "box-1/01"])
def test_from_the_shutter_to_the_answer(
    benchmark: BenchmarkFixture,
    desk: Running,
    playwright: Playwright,
    tmp_path: Path,
    picture: str,
) -> None:
    played = film([PHOTOGRAPHS / f"{picture}.jpg"], tmp_path / "one.y4m")
    with (
        browser(playwright, ALLOWED, f"--use-file-for-fake-video-capture={played}") as chromium,
        visit(chromium, desk.link) as page,
    ):
        page.goto(f"{desk.base}/unpack/1")
        page.get_by_role("button", name="Live camera").click()

        def once() -> None:
            expect(page.locator("#answer.good h2")).to_be_visible()
            page.get_by_role("button", name="Take this back").click()
            expect(page.locator("#answer")).to_contain_text("Took back")
            page.get_by_role("button", name="One more").click()

        benchmark.pedantic(once, rounds=ROUNDS)  # type: ignore[no-untyped-call] # the library types it not
        taken = page.evaluate("performance.getEntriesByName('answer').map((each) => each.duration)")
    told(f"From the shutter to the answer, {picture}", taken)


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/boxes",
        "/boxes?q=B57",
        "/progress",
        "/unpack/1",
        "/catalog",
        "/catalog?q=marsh",
        "/copies",
        "/shelves",
        "/pile",
        "/ledger",
    ],
)
def test_a_page_with_100_000_copies(benchmark: BenchmarkFixture, large: Running, path: str) -> None:
    station = let_in(large)
    assert station.get(path).status_code == 200
    benchmark.pedantic(station.get, args=(path,), rounds=20)  # type: ignore[no-untyped-call] # as above


@pytest.mark.parametrize("typed", ["in", "the inv", "marsh moor", "person 17", "97800000543", "nothing like it"])
def test_search_as_one_types(benchmark: BenchmarkFixture, large: Running, typed: str) -> None:
    station = let_in(large)
    benchmark.pedantic(station.get, args=(f"/api/typing?text={typed}",), rounds=40)  # type: ignore[no-untyped-call] # as above


def test_a_scan_with_100_000_copies(benchmark: BenchmarkFixture, large: Running) -> None:
    station = let_in(large)
    waiting = iter(range(BOXES, HUNDRED_THOUSAND, BOXES))

    def once() -> None:
        nth = next(waiting) + 1
        answer = station.post("/api/scan", box="2", text=f"978{nth:010d}", request=f"r{nth}")
        assert answer.status_code == 200

    benchmark.pedantic(once, rounds=40)  # type: ignore[no-untyped-call] # as above


def test_the_weight_of_script_and_style(benchmark: BenchmarkFixture) -> None:
    held = benchmark(read_files)
    whole = sum(len(data) for name, (data, _, _) in held.items() if not name.endswith(".svg"))
    packed = sum(len(gzip.compress(data)) for name, (data, _, _) in held.items() if not name.endswith(".svg"))
    print(f"\nScript and style: {whole / 1000:.1f} kB as sent, {packed / 1000:.1f} kB if they were compressed")
