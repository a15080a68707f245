"""Arranging books flat in a box, in piles side by side, the largest and heaviest at the bottom.

A book goes on the smallest pile whose bottom book is at least as large and that has height left; otherwise it begins a
new pile, in rows along the length of the box. All books of a pile lie in the same direction, none stands on edge, and
the gaps between piles are for padding. An arrangement that is found can be packed; if none is found, one may still
exist. Books flat and the heaviest below are common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from intake.packing.packing_plan import PackItem, PlacedCopy, Size

CLEARANCE_MM = 10.0
"""Space left free at the top for padding."""
PLAY_MM = 2.0
"""Space left free around each pile."""
OVERHANG_MM = 15.0
"""Greatest overhang that putting a heavier book below a smaller one may make, in length or width (from memory)."""


@dataclass(slots=True)
class Pile:
    """A pile being built; `long` and `short` are the sides of its bottom book, in mm."""

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


def fits_in_box(items: Iterable[PackItem], inner_mm: Size) -> bool:
    """Return whether an arrangement of the books is found in a box of this inner length, width and height."""
    return _piles(items, inner_mm) is not None


def arrange_in_piles(items: Iterable[PackItem], inner_mm: Size) -> tuple[PlacedCopy, ...] | None:
    """Return the position of every book in a box; None if no arrangement is found.

    Args:
        items: in any order.
        inner_mm: inner length, width and height of the box.
    """
    piles = _piles(items, inner_mm)
    if piles is None:
        return None
    return tuple(
        PlacedCopy(item.key, number, layer, pile.x, pile.y)
        for number, pile in enumerate(piles, 1)
        for layer, item in enumerate(_heaviest_first(pile.items), 1)
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
            pile = min(room, key=lambda candidate: candidate.long * candidate.short)
            pile.high += thick
            pile.items.append(item)
            continue
        corner = _corner(rows, long + PLAY_MM, short + PLAY_MM, length, width)
        if corner is None or thick > height - CLEARANCE_MM:
            return None
        piles.append(Pile(*corner, long, short, thick, [item]))
    return piles


def _heaviest_first(items: list[PackItem]) -> list[PackItem]:
    """Move heavier books below lighter ones that are at most `OVERHANG_MM` larger."""
    pile = list(items)
    for _ in pile:
        for n in range(len(pile) - 1):
            lower, upper = pile[n], pile[n + 1]
            below, above = lower.flat_mm[1:], upper.flat_mm[1:]
            little = all(
                lower_side - upper_side <= OVERHANG_MM for lower_side, upper_side in zip(below, above, strict=True)
            )
            if upper.mass_g > lower.mass_g and little:
                pile[n], pile[n + 1] = upper, lower
    return pile


def _largest_first(item: PackItem) -> tuple[float, float]:
    _, short, long = item.flat_mm
    return -long * short, -item.mass_g


def _corner(rows: list[PileRow], long: float, short: float, length: float, width: float) -> tuple[float, float] | None:
    """Return the corner of a new pile, in a row that is deep enough or in a new row; None if there is no space."""
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
