"""Lay books flat into a box, in piles side by side, the largest and heaviest at the bottom.

A book goes on the smallest pile whose bottom book is as large and that has height left; else it begins a pile of its
own, in rows along the length of the box. Two books are not put crosswise on a pile, none stands on edge, and the gaps
between the piles are for padding. A plan that is found can be packed; that none is found does not prove that there is
none. Books flat and the heaviest below are common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from intake.packing.packing_plan import PackItem, PlacedCopy, Size

CLEARANCE_MM = 10.0
"""Left free at the top for padding."""
PLAY_MM = 2.0
"""Left free around each pile."""
OVERHANG_MM = 15.0
"""A book may stand out over the one below it by so much, in length or width (from memory)."""


@dataclass(slots=True)
class Pile:
    """A pile under way; `long` and `short` are the sides of its bottom book."""

    x: float
    y: float
    long: float
    short: float
    high: float
    items: list[PackItem]


@dataclass(slots=True)
class PileRow:
    """A row of piles along the length of the box."""

    y: float
    deep: float
    used: float


def fits(items: Iterable[PackItem], inner_mm: Size) -> bool:
    """Tell whether books find a place in a box of this length, width and height inside."""
    return _piles(items, inner_mm) is not None


def pile_up(items: Iterable[PackItem], inner_mm: Size) -> tuple[PlacedCopy, ...] | None:
    """Lay books into a box; None where they do not all find a place.

    Args:
        items: in any order.
        inner_mm: length, width and height of the box.
    """
    piles = _piles(items, inner_mm)
    if piles is None:
        return None
    return tuple(
        PlacedCopy(item.key, number, layer, pile.x, pile.y)
        for number, pile in enumerate(piles, 1)
        for layer, item in enumerate(_heavy_down(pile.items), 1)
    )


def _piles(items: Iterable[PackItem], inner_mm: Size) -> list[Pile] | None:
    length, width, height = inner_mm
    piles: list[Pile] = []
    rows: list[PileRow] = []
    for item in sorted(items, key=_largest_first):
        thick, short, long = item.flat_mm
        room = [
            pile
            for pile in piles
            if pile.high + thick <= height - CLEARANCE_MM and long <= pile.long and short <= pile.short
        ]
        if room:
            pile = min(room, key=lambda one: one.long * one.short)
            pile.high += thick
            pile.items.append(item)
            continue
        corner = _corner(rows, long + PLAY_MM, short + PLAY_MM, length, width)
        if corner is None or thick > height - CLEARANCE_MM:
            return None
        piles.append(Pile(*corner, long, short, thick, [item]))
    return piles


def _heavy_down(items: list[PackItem]) -> list[PackItem]:
    """Let heavier books sink below lighter ones that are hardly larger."""
    pile = list(items)
    for _ in pile:
        for n in range(len(pile) - 1):
            lower, upper = pile[n], pile[n + 1]
            below, above = lower.flat_mm[1:], upper.flat_mm[1:]
            little = all(one - other <= OVERHANG_MM for one, other in zip(below, above, strict=True))
            if upper.mass_g > lower.mass_g and little:
                pile[n], pile[n + 1] = upper, lower
    return pile


def _largest_first(item: PackItem) -> tuple[float, float]:
    _, short, long = item.flat_mm
    return -long * short, -item.mass_g


def _corner(rows: list[PileRow], long: float, short: float, length: float, width: float) -> tuple[float, float] | None:
    """Find a place for a new pile: in a row that is deep enough, else in a new row; along the box or across it."""
    for row in rows:
        for along, across in ((short, long), (long, short)):
            if across <= row.deep and row.used + along <= length:
                x, row.used = row.used, row.used + along
                return x, row.y
    y = rows[-1].y + rows[-1].deep if rows else 0.0
    for along, across in ((short, long), (long, short)):
        if y + across <= width and along <= length:
            rows.append(PileRow(y, across, along))
            return 0.0, y
    return None
