"""What a shelf takes: each measure up to its limit, and what is not known does not limit."""

import pytest

from intake.errors import RefusedError
from intake.model.shelving import Book, Space

BOOK = Book(copy="A1-59", thickness_mm=30, height_mm=250, depth_mm=200, mass_g=1000)


def test_a_shelf_takes_what_is_just_as_large() -> None:
    exact = {"width_mm": 30.0, "height_mm": 250.0, "depth_mm": 200.0, "limit_g": 1000.0}
    assert Space(shelf="S1-00", **exact).takes(BOOK)  # type: ignore[arg-type] # by name
    for measure, most in exact.items():
        assert not Space(shelf="S1-00", **{**exact, measure: most - 0.1}).takes(BOOK)  # type: ignore[arg-type] # by name
    assert Space(shelf="S1-00", width_mm=30).takes(BOOK)


def test_a_shelf_has_a_width_and_stands_where_it_is_said_to() -> None:
    plain = Space(shelf="S1-00", width_mm=0.5)
    assert (plain.x_m, plain.y_m) == (0, 0)
    assert BOOK.growth_mm == 0
    for width in (0, -1):
        with pytest.raises(RefusedError):
            Space(shelf="S1-00", width_mm=width)
