"""Sizes of a box: known whole or not at all."""

import pytest

from intake.model.boxes import Box

SIDES = {"length_mm": 400.0, "width_mm": 300.0, "height_mm": 200.0}


def test_inside_and_outside_are_kept_apart() -> None:
    inside = Box(number="B1-56", **SIDES)  # type: ignore[arg-type] # by name
    outside = Box(number="B1-56", **{f"outer_{name}": size for name, size in SIDES.items()})  # type: ignore[arg-type] # by name
    assert (inside.inner_mm, inside.outer_mm) == ((400, 300, 200), None)
    assert (outside.inner_mm, outside.outer_mm) == (None, (400, 300, 200))


@pytest.mark.parametrize("unknown", SIDES)
@pytest.mark.parametrize("prefix", ["", "outer_"])
def test_a_size_with_an_unknown_side_is_none(unknown: str, prefix: str) -> None:
    known = {f"{prefix}{name}": size for name, size in SIDES.items() if name != unknown}
    box = Box(number="B1-56", **known)  # type: ignore[arg-type] # sides by name
    assert (box.inner_mm, box.outer_mm) == (None, None)
