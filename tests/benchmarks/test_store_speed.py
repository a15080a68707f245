"""How fast the store is; figures are printed, none is asserted (pytest tests/benchmarks --benchmark-only).

Books, numbers and titles are made up by counting.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from sqlalchemy import insert

from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import editions_by_number
from intake.edges.store.queries.words import find_editions
from intake.edges.store.tables import TABLES
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change, Provisional, made
from intake.model.editions import Copy, CopyState, Edition, title_key
from intake.model.sightings import Sighting
from tests.edges.store.made import NOON

WORDS = ("coast", "garden", "marsh", "orchard", "moor", "island", "river", "meadow")
MILLION = 1_000_000


def edition(nth: int) -> Edition:
    words = [WORDS[nth % 8], WORDS[nth // 8 % 8], WORDS[nth // 64 % 8]]
    title = f"The invented {' '.join(words)} {nth}"
    return Edition(id=nth, title=title, number=f"978{nth:010d}", contributors=(f"Person {nth % 5000}",), year=1990)


@pytest.fixture(scope="module")
def million(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Library]:
    with open_library(tmp_path_factory.mktemp("million") / "library", create=True) as library:
        for start in range(0, MILLION, 50_000):
            rows = []
            for nth in range(start + 1, start + 50_001):
                made_up = edition(nth)
                fields = {name: getattr(made_up, name) for name in Edition.__dataclass_fields__}
                rows.append(
                    {**fields, "contributors": list(made_up.contributors), "title_key": title_key(made_up.title)}
                )
            with library.writing() as work:  # past the ledger, for the look-ups alone
                work.connection.execute(insert(TABLES[Edition]), rows)
        yield library


def test_import_of_100_000_editions(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    changes = made(*(edition(nth) for nth in range(1, 100_001)))
    with open_library(tmp_path / "library", create=True) as library:

        def run() -> None:
            with library.writing() as work:
                work.apply(Action(ActionKind.IMPORT_EDITIONS, "catalog"), changes)

        benchmark.pedantic(run, rounds=1)  # type: ignore[no-untyped-call] # the library types it not


def test_verify_a_chain_of_1_000_entries(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    with open_library(tmp_path / "library", create=True) as library:
        for nth in range(1, 1001):
            with library.writing() as work:
                work.apply(Action(ActionKind.IMPORT_EDITIONS, str(nth)), made(edition(nth)))
        with library.reading() as records:
            assert benchmark.pedantic(partial(verify_chain, records), rounds=3) is None  # type: ignore[no-untyped-call] # the library types it not


def test_match_by_number_among_a_million(benchmark: BenchmarkFixture, million: Library) -> None:
    with million.reading() as records:
        found = benchmark(partial(editions_by_number, records), "9780000654321")
    assert [one.id for one in found] == [654321]


@pytest.mark.parametrize("words", ["invented 654321", "the", "the invented ga", "person 17 moor"])
def test_words_among_a_million(benchmark: BenchmarkFixture, million: Library, words: str) -> None:
    with million.reading() as records:
        assert benchmark(partial(find_editions, records), words)


def test_a_scan_booked_among_a_million(benchmark: BenchmarkFixture, million: Library) -> None:
    """One scan as unpacking books it: look up, new sighting, copy unpacked, ledger, commit."""
    with million.writing() as work:
        copies = [Copy(accession=f"A{nth}", edition_id=nth, state=CopyState.PACKED, box="B1") for nth in range(1, 2001)]
        work.apply(Action(ActionKind.IMPORT_EDITIONS, "box"), made(Box(number="B1"), *copies))
    waiting = iter(copies)

    def scan() -> None:
        copy = next(waiting)
        with million.reading() as records:
            (found,) = editions_by_number(records, f"978{copy.edition_id:010d}")
            copies_of_editions(records, [found.id])
        sighting = Sighting(id=Provisional().id(), copy=copy.accession, at=NOON, station="bench", box="B1")
        seen = Change(copy, replace(copy, state=CopyState.UNPACKED))
        million.apply(Action(ActionKind.UNPACK_COPY, copy.accession, request=copy.accession), (seen, *made(sighting)))

    benchmark.pedantic(scan, rounds=500)  # type: ignore[no-untyped-call] # the library types it not
