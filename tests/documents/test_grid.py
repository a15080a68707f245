"""Where labels stand, worked out by hand."""

from dataclasses import replace
from itertools import islice

from hypothesis import given
from hypothesis import strategies as st

from intake.documents.grid import Slot, slots
from intake.model.papers import LabelTemplate, LabelUse

TWO_BY_THREE = LabelTemplate(
    name="test", use=LabelUse.SHELF, paper_width_mm=100, paper_height_mm=100, left_mm=5, top_mm=7, pitch_x_mm=45,
    pitch_y_mm=30, label_width_mm=40, label_height_mm=25, columns=2, rows=3, continuous=False, guides=False, fields=(),
)  # fmt: skip


def test_along_the_rows_and_on_to_the_next_sheet() -> None:
    assert list(islice(slots(TWO_BY_THREE, 4), 4)) == [
        Slot(0, 50, 37), Slot(0, 5, 67), Slot(0, 50, 67), Slot(1, 5, 7),
    ]  # fmt: skip


@given(start=st.integers(1, 6), count=st.integers(1, 40))
def test_no_place_is_used_twice(start: int, count: int) -> None:
    found = list(islice(slots(replace(TWO_BY_THREE), start), count))
    assert len(set(found)) == count
    assert found[-1].sheet == (start - 1 + count - 1) // 6
