"""How long shelving takes at 20,000 copies: printed, never asserted. Run with `pytest --benchmark-only`."""

import random
from collections.abc import Callable

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from intake.model.shelving import Book, Space
from intake.shelving.arrange import Division, arrange
from intake.shelving.make_room import FilledShelf, make_room
from intake.shelving.moves import plan_moves

COPIES, SHELVES = 20_000, 800


def made(count: int, mean_mm: float) -> list[Book]:
    rng = random.Random(1)
    return [
        Book(
            copy=f"A{n}",
            name=f"Invented {n}",
            thickness_mm=max(4.0, rng.gauss(mean_mm, 10)),
            height_mm=rng.uniform(200, 320),
            depth_mm=200,
            mass_g=1200,
            set_id=n // 4 if n % 3 else None,
            growth_mm=20.0 if n % 50 == 0 else 0.0,
        )
        for n in range(count)
    ]


def spaces(count: int, sizes: int) -> list[Space]:
    return [
        Space(shelf=f"S{n}", width_mm=900 + n % sizes, height_mm=340, x_m=n // 6 * 0.9, y_m=0.33 * (n % 6))
        for n in range(count)
    ]


@pytest.mark.parametrize("sizes", [1, 400], ids=["shelves of one width", "of 400 widths"])
def test_the_whole_arranged(benchmark: BenchmarkFixture, sizes: int) -> None:
    books, shelves = made(COPIES, 28), spaces(SHELVES, sizes)
    found = benchmark.pedantic(lambda: arrange(books, shelves), rounds=3)  # type: ignore[no-untyped-call] # untyped there
    assert isinstance(found, Division)


def test_the_way_to_another_arrangement(benchmark: BenchmarkFixture) -> None:
    books, shelves = made(COPIES, 28), spaces(SHELVES, 1)
    found = arrange(books, shelves)
    assert isinstance(found, Division)
    wanted = {space.shelf: books[a:b] for space, (a, b) in zip(shelves, found.runs(), strict=True)}
    today = {shelf: list(reversed(on)) for shelf, on in wanted.items()}
    moves = benchmark.pedantic(lambda: plan_moves(today, wanted, {s.shelf: s for s in shelves}), rounds=3)  # type: ignore[no-untyped-call] # untyped there
    assert moves.steps


@pytest.mark.parametrize("free_mm", [400.0, 15.0, 0.5], ids=["roomy", "nearly full", "full, none to be had"])
def test_room_for_one_more(benchmark: BenchmarkFixture, free_mm: float) -> None:
    rng, books = random.Random(2), iter(made(COPIES + 5000, 30))
    filled = []
    for n in range(720):
        on: list[Book] = []
        while sum(book.thickness_mm for book in on) < 850:
            on.append(next(books))
        width = sum(book.thickness_mm for book in on) + rng.uniform(0, free_mm)
        filled.append(
            FilledShelf(Space(shelf=f"S{n}", width_mm=width, x_m=n // 6 * 0.9, y_m=0.33 * (n % 6)), tuple(on))
        )
    assert sum(len(shelf.books) for shelf in filled) > COPIES
    new = Book(copy="new", thickness_mm=45, height_mm=250, depth_mm=200, mass_g=1000)
    job: Callable[[], object] = lambda: make_room(filled, [new], (360, 10))  # noqa: E731 - one line
    benchmark(job)
