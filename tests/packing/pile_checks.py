"""Whether books lie in a box as a plan says: rectangles, heights and support, worked out from the sizes alone."""

import itertools
from collections.abc import Iterable, Mapping

from intake.packing.packing_plan import PackItem, PlacedCopy, Size

Rectangle = tuple[float, float, float, float]
OVERHANG_MM, CLEARANCE_MM = 15.0, 10.0
"""The limits that `intake.packing.piles` states."""
ROUNDING_MM = 1e-6


def rectangle(place: PlacedCopy, item: PackItem) -> Rectangle:
    """Return left, front, right and back of a book that lies on its largest face."""
    _, short, long = sorted(item.size_mm)
    along, across = (long, short) if place.lengthwise else (short, long)
    return place.x_mm, place.y_mm, place.x_mm + along, place.y_mm + across


def overlap(a: Rectangle, b: Rectangle) -> bool:
    return (
        a[0] < b[2] - ROUNDING_MM
        and b[0] < a[2] - ROUNDING_MM
        and a[1] < b[3] - ROUNDING_MM
        and b[1] < a[3] - ROUNDING_MM
    )


def stands_out(upper: Rectangle, lower: Rectangle) -> float:
    """Return how far a book stands out over another one on the side where it does so most."""
    return max(lower[0] - upper[0], lower[1] - upper[1], upper[2] - lower[2], upper[3] - lower[3])


def check_piles(places: Iterable[PlacedCopy], items: Mapping[str, PackItem], inner: Size) -> None:
    """Each book once and inside its box; no two piles overlap; no book stands out too far over any book below it."""
    every = list(places)
    assert sorted(place.key for place in every) == sorted(items)
    areas = {place.key: rectangle(place, items[place.key]) for place in every}
    length, width, height = inner
    for left, front, right, back in areas.values():
        assert left >= 0
        assert front >= 0
        assert right <= length + ROUNDING_MM
        assert back <= width + ROUNDING_MM
    for one, other in itertools.combinations(every, 2):
        if one.pile != other.pile:
            assert not overlap(areas[one.key], areas[other.key]), (one, other)
    piles: dict[int, list[PlacedCopy]] = {}
    for place in every:
        piles.setdefault(place.pile, []).append(place)
    assert sorted(piles) == list(range(1, len(piles) + 1))
    for pile in piles.values():
        assert [place.layer for place in pile] == list(range(1, len(pile) + 1))
        assert len({(place.x_mm, place.y_mm) for place in pile}) == 1
        assert sum(min(items[place.key].size_mm) for place in pile) <= height - CLEARANCE_MM + ROUNDING_MM
        for lower, upper in itertools.combinations(pile, 2):
            assert stands_out(areas[upper.key], areas[lower.key]) <= OVERHANG_MM + ROUNDING_MM, (lower, upper)
