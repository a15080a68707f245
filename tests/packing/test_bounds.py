"""Lower bounds on the number of boxes: worked by hand, and never above what trying every packing finds."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.packing import bounds
from tests.drawn_examples import examples
from tests.packing.exhaustive import fewest


@pytest.mark.parametrize(
    ("pieces", "capacity", "boxes"),
    [
        ([], 10, 0),
        ([10], 10, 1),
        ([5, 5], 10, 1),  # exactly half: two share a box
        ([5, 5, 5], 10, 2),
        ([6, 6, 6], 10, 3),  # more than half: none shares
        ([6, 6, 6, 4, 4], 10, 3),
        ([6, 6, 6, 4, 4, 4, 4], 10, 4),
        ([7, 7, 4, 4], 10, 3),  # what two sevens leave holds no four: 2 boxes, and one for both fours
        ([8, 8, 8, 3, 3, 3], 10, 4),  # the same, three threes in one box
        ([1] * 21, 10, 3),
    ],
)
def test_the_bound_l2_by_hand(pieces: list[int], capacity: int, boxes: int) -> None:
    assert bounds.by_mass([float(piece) for piece in pieces], capacity) == boxes
    assert fewest(pieces, capacity) == boxes


@settings(max_examples=examples(60))
@given(st.lists(st.integers(1, 20), min_size=1, max_size=9))
def test_the_bound_l2_is_never_above_the_optimum(pieces: list[int]) -> None:
    bound = bounds.by_mass([float(piece) for piece in pieces], 20)
    assert -(-sum(pieces) // 20) <= bound <= fewest(pieces, 20)


@pytest.mark.parametrize(
    ("amount", "capacities", "boxes"),
    [
        (100, [(40, 1), (30, None)], 3),
        (100, [(30, None), (40, 1)], 3),  # in whatever order they are given
        (100, [(40, 2), (30, None)], 3),
        (80, [(40, 2), (30, None)], 2),
        (81, [(40, 2), (30, None)], 3),
        (40, [(40, None)], 1),
        (41, [(40, None)], 2),
        (0, [(40, None)], 0),
        (-5, [(40, None)], 0),
        (100, [(40, 1)], 1),  # no more are at hand
        (100, [], 0),
        (100, [(40, None), (0, None)], 3),
        (100, [(0, None)], 0),
    ],
)
def test_the_largest_boxes_are_filled_first(
    amount: float, capacities: list[tuple[float, int | None]], boxes: int
) -> None:
    assert bounds.by_sum(amount, capacities) == boxes
