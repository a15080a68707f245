"""Filling pages from the top with strips, each as wide as the page: where a page may end, and what stands at its ends.

A strip says how firmly it holds to the one after it. Of strips that hold together, all go to the next page where this
one is too short; where no page is high enough for all of them, the weakest holds give way first.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import partial

from intake.model.pages import ContentOf, Mark

Draw = Callable[[float], Iterable[Mark]]
"""From the top of a strip, in mm, to its marks."""


class Hold(IntEnum):
    """How firmly a strip holds to the next: FREE where a page may end after it, GLUED where it never does."""

    FREE = 0
    KEPT = 1
    """What is read or signed together, such as totals and the lines to sign on."""
    FIRM = 2
    """The first two rows of a table, and the last two."""
    GLUED = 3
    """A heading, the head of its table and the first lines of its first row."""


def nothing() -> tuple["Strip", ...]:
    """Return no strip."""
    return ()


@dataclass(frozen=True, slots=True)
class Strip:
    """A piece of a page.

    Attributes:
        height_mm: how much of the page it takes.
        draw: its marks, given where its top is.
        hold: to the strip after it.
        lead_mm: space above it, left out at the top of a page.
        above: what stands above it where it begins a page other than the first, such as the head of its table.
        below: what stands below it where the next strip begins a page, such as the sum so far.
        below_mm: the height of that.
    """

    height_mm: float
    draw: Draw
    hold: Hold = Hold.FREE
    lead_mm: float = 0.0
    above: Callable[[], tuple["Strip", ...]] = nothing
    below: Callable[[], tuple["Strip", ...]] = nothing
    below_mm: float = 0.0

    def holding(self, hold: Hold) -> "Strip":
        """Return it with at least this hold."""
        return replace(self, hold=max(self.hold, hold))


def repeated(strip: Strip) -> Strip:
    """Return a strip that is no part of the document, because it is there for the end of a page alone."""
    return replace(strip, draw=partial(_unread, strip))


def _unread(strip: Strip, top_mm: float) -> Iterator[Mark]:
    yield ContentOf(None)
    yield from strip.draw(top_mm)


def fill(strips: Iterable[Strip], *, later: Draw, tops_mm: tuple[float, float], bottom_mm: float) -> list[list[Mark]]:
    """Return the marks of each page.

    Args:
        strips: from the first to the last.
        later: draws the head of each page after the first.
        tops_mm: where the first strip begins on the first page, and on each page after it.
        bottom_mm: where the last strip of a page ends at the latest.
    """
    pages = _Pages(later, tops_mm, bottom_mm)
    pages.set(list(strips), Hold.KEPT)
    return pages.pages


class _Pages:
    """Pages being filled; `y_mm` is the next free position on the last."""

    def __init__(self, later: Draw, tops_mm: tuple[float, float], bottom_mm: float) -> None:
        self.later = later
        self.top_mm = tops_mm[1]
        self.bottom_mm = bottom_mm
        self.pages: list[list[Mark]] = [[]]
        self.y_mm = tops_mm[0]
        self.fresh = True
        self.last: Strip | None = None

    def set(self, strips: Sequence[Strip], least: int) -> None:
        """Set strips, of which those that hold by `least` or more stay together where a page is high enough."""
        for part in _parts(strips, least):
            if self.y_mm + _height(part, fresh=self.fresh) <= self.bottom_mm + 1e-6:
                self._put(part)
                continue
            if len(part) > 1 and least <= Hold.GLUED and not self._fits_a_page(part):
                self.set(part, least + 1)
                continue
            if not self.fresh:
                self._turn(part[0])
            self._put(part)

    def _fits_a_page(self, part: Sequence[Strip]) -> bool:
        above = sum(strip.height_mm for strip in part[0].above())
        return self.top_mm + above + _height(part, fresh=not above) <= self.bottom_mm + 1e-6

    def _put(self, part: Iterable[Strip]) -> None:
        for strip in part:
            self.y_mm += 0.0 if self.fresh else strip.lead_mm
            self.pages[-1] += strip.draw(self.y_mm)
            self.y_mm += strip.height_mm
            self.fresh, self.last = False, strip

    def _turn(self, strip: Strip) -> None:
        """End the page, and begin one with what stands above a strip."""
        if self.last is not None:
            self._put(self.last.below())
        self.pages.append(list(self.later(0.0)))
        self.y_mm, self.fresh = self.top_mm, True
        self._put(strip.above())


def _parts(strips: Sequence[Strip], least: int) -> Iterator[Sequence[Strip]]:
    """Yield the longest runs of strips that hold together by `least` or more."""
    start = 0
    for end, strip in enumerate(strips, start=1):
        if strip.hold < least or end == len(strips):
            yield strips[start:end]
            start = end


def _height(part: Sequence[Strip], *, fresh: bool) -> float:
    """Return the height of strips with what may have to stand below the last of them."""
    whole = sum(strip.lead_mm + strip.height_mm for strip in part) + part[-1].below_mm
    return whole - part[0].lead_mm if fresh else whole
