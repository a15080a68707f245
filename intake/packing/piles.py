"""Arranging books flat in a box, in piles side by side, the largest and heaviest at the bottom.

A book goes on the smallest pile that has height left, whose bottom book is at least as large, and in which it stands
out over no book below it by more than `OVERHANG_MM`; otherwise it begins a new pile, in rows along the length of the
box. The books of a pile are aligned at one corner and lie in the same direction, none stands on edge, and the gaps
between piles are for padding. An arrangement that is found can be packed; if none is found, one may still exist. Which
one is found depends on the books alone, not on the order in which they are given. Books flat and the heaviest below are
common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from intake.packing.packing_plan import PackItem, PlacedCopy, Size

CLEARANCE_MM = 10.0
"""Space left free at the top for padding."""
PLAY_MM = 2.0
"""Space left free around each pile."""
OVERHANG_MM = 15.0
"""How far a book may stand out, in length or width, over any book below it in its pile (from memory)."""


@dataclass(slots=True)
class Pile:
    """A pile being built; sides in mm.

    Attributes:
        long, short: the sides of its first book, which no other exceeds.
        least_long, least_short: the least of each side in it; a book on top stands out over these.
        lengthwise: whether its longer side lies along the box's length.
    """

    x: float
    y: float
    lengthwise: bool
    long: float
    short: float
    least_long: float
    least_short: float
    high: float
    items: list[PackItem]

    def takes(self, item: PackItem, height: float) -> bool:
        """Return whether a book may lie on top, below this height."""
        thick, short, long = item.flat_mm
        inside = self.high + thick <= height and long <= self.long and short <= self.short
        return inside and long - self.least_long <= OVERHANG_MM and short - self.least_short <= OVERHANG_MM

    def put(self, item: PackItem) -> None:
        """Lay a book on top."""
        thick, short, long = item.flat_mm
        self.high += thick
        self.least_long, self.least_short = min(self.least_long, long), min(self.least_short, short)
        self.items.append(item)


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
        PlacedCopy(item.key, number, layer, pile.x, pile.y, pile.lengthwise)
        for number, pile in enumerate(piles, 1)
        for layer, item in enumerate(_heaviest_first(pile.items), 1)
    )


def _piles(items: Iterable[PackItem], inner_mm: Size) -> list[Pile] | None:
    length, width, height = inner_mm
    piles: list[Pile] = []
    rows: list[PileRow] = []
    for item in sorted(items, key=_largest_first):
        thick, short, long = item.flat_mm
        room = [pile for pile in piles if pile.takes(item, height - CLEARANCE_MM)]
        if room:
            min(room, key=lambda candidate: candidate.long * candidate.short).put(item)
            continue
        corner = _corner(rows, long + PLAY_MM, short + PLAY_MM, length, width)
        if corner is None or thick > height - CLEARANCE_MM:
            return None
        piles.append(Pile(*corner, long, short, long, short, thick, [item]))
    return piles


def _heaviest_first(items: list[PackItem]) -> list[PackItem]:
    """Move heavier books below lighter ones that then stand out over them by `OVERHANG_MM` at most.

    Each exchange lays one book on one that lay on it, so the limit holds for every pair of the pile.
    """
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


def _largest_first(item: PackItem) -> tuple[float, float, float, str]:
    _, short, long = item.flat_mm
    return -long * short, -item.mass_g, -long, item.key


def _corner(
    rows: list[PileRow], long: float, short: float, length: float, width: float
) -> tuple[float, float, bool] | None:
    """Return the corner of a new pile and whether it lies lengthwise, in a row that is deep enough or in a new row.

    None if there is no space.
    """
    ways = ((short, long, False), (long, short, True))
    for row in rows:
        for along, across, lengthwise in ways:
            if across <= row.deep and row.used + along <= length:
                x, row.used = row.used, row.used + along
                return x, row.y, lengthwise
    y = rows[-1].y + rows[-1].deep if rows else 0.0
    for along, across, lengthwise in ways:
        if y + across <= width and along <= length:
            rows.append(PileRow(y, across, along))
            return 0.0, y, lengthwise
    return None
