"""Where labels stand, worked out by hand."""

from dataclasses import replace
from itertools import islice

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.documents.grid import Slot, slots
from intake.errors import UsageError
from intake.model.papers import LabelTemplate, LabelUse

TWO_BY_THREE = LabelTemplate(
    name="test", use=LabelUse.SHELF, paper_width_mm=100, paper_height_mm=100, left_mm=5, top_mm=7, pitch_x_mm=45,
    pitch_y_mm=30, label_width_mm=40, label_height_mm=25, columns=2, rows=3, continuous=False, guides=False, fields=(),
)  # fmt: skip


def test_along_the_rows_and_on_to_the_next_sheet() -> None:
    assert list(islice(slots(TWO_BY_THREE, 4), 4)) == [
        Slot(0, 50, 37), Slot(0, 5, 67), Slot(0, 50, 67), Slot(1, 5, 7),
    ]  # fmt: skip


def test_labels_that_are_gone_are_left_out_of_the_first_sheet_alone() -> None:
    assert list(islice(slots(TWO_BY_THREE, 2, {3, 6}), 4)) == [
        Slot(0, 50, 7), Slot(0, 50, 37), Slot(0, 5, 67), Slot(1, 5, 7),
    ]  # fmt: skip
    assert [(slot.x_mm, slot.y_mm) for slot in islice(slots(TWO_BY_THREE, 6, {1}), 1, 7)] == [
        (5, 7), (50, 7), (5, 37), (50, 37), (5, 67), (50, 67),
    ]  # fmt: skip


@pytest.mark.parametrize(("start", "used"), [(1, {7}), (1, {0}), (1, {1, 2, 3, 4, 5, 6}), (6, {6})])
def test_a_label_that_is_not_there_and_a_sheet_without_labels_are_refused(start: int, used: set[int]) -> None:
    with pytest.raises(UsageError):
        slots(TWO_BY_THREE, start, used)


@given(start=st.integers(1, 6), count=st.integers(1, 40))
def test_no_place_is_used_twice(start: int, count: int) -> None:
    found = list(islice(slots(replace(TWO_BY_THREE), start), count))
    assert len(set(found)) == count
    assert found[-1].sheet == (start - 1 + count - 1) // 6
