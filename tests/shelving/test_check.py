"""A row of labels against the record."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.identifiers import NumberKind
from intake.model.readings import Reading
from intake.shelving.check import ReadRow, check_row, read_rows

RECORD = ["A1", "A2", "A3", "A4", "A5"]


def seen(*numbers: str) -> tuple[tuple[str, ...], list[tuple[str, str | None]], tuple[str, ...], tuple[str, ...]]:
    found = check_row("S1", numbers, recorded=RECORD, homes={"B7": "S2"}, order={"S2": ["B6", "B7"]})
    return found.in_place, [(one.copy, one.behind) for one in found.misplaced], found.missing, found.foreign


def test_all_in_place() -> None:
    assert seen(*RECORD) == (tuple(RECORD), [], (), ())


def test_two_neighbours_swapped_are_one_move() -> None:
    assert seen("A1", "A3", "A2", "A4", "A5") == (("A1", "A2", "A4", "A5"), [("A3", "A2")], (), ())


def test_two_far_ones_swapped_are_two_moves() -> None:
    kept, moved, missing, _ = seen("A5", "A2", "A3", "A4", "A1")
    assert (kept, moved, missing) == (("A2", "A3", "A4"), [("A5", "A4"), ("A1", None)], ())


def test_one_gone_one_from_another_shelf_and_one_unknown() -> None:
    assert seen("A1", "B7", "A3", "A4", "X", "A5") == (
        ("A1", "A3", "A4", "A5"), [("B7", "B6")], ("A2",), ("X",))  # fmt: skip


def test_an_empty_row() -> None:
    assert seen() == ((), [], tuple(RECORD), ())


@given(st.permutations(RECORD), st.integers(0, 5))
def test_moving_the_misplaced_restores_the_order(order: list[str], count: int) -> None:
    row = order[:count]
    kept, moved, missing, _ = seen(*row)
    now = list(kept)
    for copy, behind in sorted(moved):
        now.insert(now.index(behind) + 1 if behind else 0, copy)
    assert now == [copy for copy in RECORD if copy in row]
    assert set(missing) == set(RECORD) - set(row)


def reading(number: str, x: float, y: float, *, tilt: float = 0.0, side: float = 20.0) -> Reading:
    """A square symbol round a point, the whole picture turned by an angle."""
    cos, sin = math.cos(tilt), math.sin(tilt)
    half = side / 2
    corners = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    turned = tuple((px * cos - py * sin, px * sin + py * cos) for px, py in corners)
    return Reading(number, NumberKind.OWN, accepted=True, score=1.0, methods=("test",), corners=turned)


@pytest.mark.parametrize("degrees", [-42, -12, 0, 3, 20, 42])
def test_rows_of_a_picture_that_was_held_askew(degrees: float) -> None:
    tilt = math.radians(degrees)
    readings = [
        reading("A4", 200, 480, tilt=tilt), reading("S2", 50, 560, tilt=tilt), reading("A2", 900, 120, tilt=tilt),
        reading("A1", 100, 100, tilt=tilt), reading("S1", 400, 300, tilt=tilt), reading("A3", 60, 500, tilt=tilt),
        reading("A3", 61, 501, tilt=tilt),
    ]  # fmt: skip
    rows = read_rows(readings, is_shelf=lambda number: number.startswith("S"))
    assert rows == (ReadRow(("A1", "A2"), ("S1",)), ReadRow(("A3", "A4"), ("S2",)))


def test_labels_at_different_heights_of_one_row_stay_together() -> None:
    readings = [reading(f"A{n}", 60.0 * n, 100 + 37 * (n % 4)) for n in range(9)]
    (row,) = read_rows(readings, is_shelf=lambda _: False)
    assert row.numbers == tuple(f"A{n}" for n in range(9))


def test_a_picture_without_symbols_and_one_of_a_shelf_label_alone() -> None:
    assert read_rows([], is_shelf=lambda _: True) == ()
    assert read_rows([reading("S1", 5, 5)], is_shelf=lambda _: True) == (ReadRow((), ("S1",)),)
