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


def test_a_shelf_label_belongs_to_the_row_above_it_and_above_all_rows_to_none() -> None:
    readings = [
        reading("S9", 50, 20),
        reading("A1", 100, 200), reading("S1", 100, 300), reading("S1", 101, 301), reading("S8", 600, 300),
        reading("A2", 100, 500), reading("A2", 100, 500), reading("A3", 200, 500),
    ]  # fmt: skip
    rows = read_rows(readings, is_shelf=lambda number: number.startswith("S"))
    assert rows == (ReadRow((), ("S9",)), ReadRow(("A1",), ("S1", "S8")), ReadRow(("A2", "A3"), ()))


def test_a_reading_without_a_place_in_the_picture_is_in_no_row() -> None:
    placed = reading("A1", 100, 100)
    nowhere = Reading("A2", NumberKind.OWN, accepted=True, score=1.0, methods=("test",), corners=())
    assert read_rows([nowhere, placed], is_shelf=lambda _: False) == (ReadRow(("A1",)),)
    assert read_rows([nowhere], is_shelf=lambda _: False) == ()


def test_labels_on_end_are_no_tilt_of_the_picture() -> None:
    """A label may be stuck upright or a quarter turned: the rows stay rows."""
    upright = [reading(f"A{n}", 100.0 * n, 100) for n in range(1, 4)]
    on_end = [
        Reading(
            one.number, one.kind, accepted=True, score=1.0, methods=("test",), corners=one.corners[1:] + one.corners[:1]
        )
        for one in (reading(f"A{n}", 100.0 * (n - 3), 400) for n in range(4, 7))
    ]
    rows = read_rows([*on_end, *upright], is_shelf=lambda _: False)
    assert [row.numbers for row in rows] == [("A1", "A2", "A3"), ("A4", "A5", "A6")]


def test_a_copy_of_another_shelf_goes_to_the_front_there_where_it_is_the_first() -> None:
    found = check_row("S1", ["B6"], recorded=["A1"], homes={"B6": "S2"}, order={"S2": ["B6", "B7"]})
    ((copy, home, behind),) = [(one.copy, one.home, one.behind) for one in found.misplaced]
    assert (copy, home, behind, found.foreign) == ("B6", "S2", None, ())


def test_a_misplaced_copy_goes_behind_the_nearest_one_that_is_there() -> None:
    found = check_row("S1", ["A4", "A1", "A2"], recorded=["A1", "A2", "A3", "A4"], homes={}, order={})
    assert [(one.copy, one.behind) for one in found.misplaced] == [("A4", "A2")], "A3 was not seen"
    assert (found.shelf, found.missing) == ("S1", ("A3",))
