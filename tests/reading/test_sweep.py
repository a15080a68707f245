"""A film along a shelf: how far the camera went, and each book once, in order."""

import numpy as np
import pytest

from intake.model.identifiers import NumberKind
from intake.model.readings import Reading
from intake.reading.sweep import Sweep, moved
from tests.reading.drawing import Grey, invented
from tests.reading.drawn_stack import drawn_books

NUMBERS = [number for number in invented(100) if number.startswith("978")][:5]


def seen_at(number: str, x: float, *, accepted: bool = True) -> Reading:
    corners = ((x, 50.0), (x + 95, 50.0), (x + 95, 110.0), (x, 110.0))
    return Reading(number, NumberKind.ISBN, accepted, 0.99 if accepted else 0.5, ("zxing",), corners=corners)


@pytest.mark.parametrize(("dx", "dy"), [(40, 0), (-25, 12), (3, -60)])
def test_the_way_of_the_camera_is_measured(dx: int, dy: int) -> None:
    shelf, _ = drawn_books(NUMBERS, columns=5, module_px=1.5, seed=3)

    def frame(left: int, top: int) -> Grey:
        return np.ascontiguousarray(shelf[top : top + 240, left : left + 640])

    x, y = moved(frame(600 + dx, 90 + dy), frame(600, 90))
    assert (x, y) == pytest.approx((dx, dy), abs=3)


def test_each_book_is_told_once_in_order_although_seen_out_of_order() -> None:
    # Five books 200 px apart, a frame 450 px wide; the camera goes back and forth, and the third is read late.
    sweep, before = Sweep(), 0.0
    for left in (0.0, 150.0, 300.0, 150.0, 450.0, 600.0, 300.0):
        here = [
            seen_at(number, 200.0 * nth - left)
            for nth, number in enumerate(NUMBERS)
            if 0 <= 200.0 * nth - left <= 350 and (nth != 2 or left == 300.0)
        ]
        sweep = sweep.add(here[::-1], (left - before, 0.0))
        before = left
    assert [book.number for book in sweep.books()] == NUMBERS


def test_two_copies_are_told_where_one_frame_shows_both() -> None:
    once = Sweep().add([seen_at(NUMBERS[0], 0)], (0, 0)).add([seen_at(NUMBERS[0], 30)], (40, 0))
    assert len(once.books()) == 1
    both = once.add([seen_at(NUMBERS[0], 0), seen_at(NUMBERS[0], 150)], (10, 0))
    assert len(both.books()) == 2
    assert Sweep().books() == ()
    doubtful = Sweep().add([seen_at(NUMBERS[0], 0, accepted=False)], (0, 0))
    assert doubtful.books() == ()
