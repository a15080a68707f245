"""The order of a serial's parts, as places on one line: arithmetic on places serves every run at once.

The plain numbers and the volumes after them are one line, for a serial that begins again at volume 2 goes on; annuals,
specials and the like are lines of their own. Places count only parts that there are: where a number was never
published, the parts before and after it are neighbours.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from math import floor

from intake.runs.captions import LEVELS
from intake.runs.parts import Parts, RunKey, part_order, union_of
from intake.runs.spans import Spans, spans_of


@dataclass(frozen=True, slots=True)
class Stretch:
    """Whole numbers of one run that follow each other, or one part by itself: inserted, or with several numbers.

    Attributes:
        size: count of its parts.
        place: that of the first.
        numbers: from the first on; more than `size` for a double number, which is one part.
    """

    key: RunKey
    first: Fraction
    size: int
    place: int
    numbers: int

    @property
    def is_combined(self) -> bool:
        """Tell whether it is one part with several numbers."""
        return self.numbers > self.size


class PartOrder:
    """The parts that a serial is known to have, in order.

    Args:
        known: they; without an open end.
    """

    def __init__(self, known: Parts) -> None:
        pieces = sorted(_stretches(known), key=lambda piece: part_order(piece[0], piece[1]))
        stretches: list[Stretch] = []
        place = 0
        for key, first, size, numbers in pieces:
            stretches.append(Stretch(key, first, size, place, numbers))
            place += size
        self.stretches = tuple(stretches)
        self.size = place
        self._places = [stretch.place for stretch in stretches]
        self._runs: dict[RunKey, list[Stretch]] = {}
        self._inserted: dict[tuple[RunKey, Fraction], int] = {}
        for stretch in stretches:
            if stretch.first.denominator == 1:
                self._runs.setdefault(stretch.key, []).append(stretch)
            else:
                self._inserted[stretch.key, stretch.first] = stretch.place

    def places(self, parts: Parts) -> Spans:
        """Return the places of parts; those that the serial is not known to have have none.

        Any number of a double number has its place.
        """
        found: list[tuple[int, int]] = []
        for key, spans in parts.spans.items():
            for stretch in self._runs.get(key, ()):
                low, high = int(stretch.first), int(stretch.first) + stretch.numbers - 1
                for first, last in spans:
                    if first > high or last < low:
                        continue
                    if stretch.is_combined:
                        found.append((stretch.place, stretch.place))
                    else:
                        found.append((stretch.place + max(first, low) - low, stretch.place + min(last, high) - low))
        for key, fractions in parts.inserted.items():
            places = (self._inserted.get((key, number)) for number in fractions)
            found += [(place, place) for place in places if place is not None]
        return spans_of(found)

    def parts(self, places: Spans) -> Parts:
        """Return the parts at places."""
        read: list[Parts] = []
        for first, last in places:
            nth = self._nth(first)
            while nth < len(self.stretches) and self.stretches[nth].place <= last:
                stretch = self.stretches[nth]
                low = max(first, stretch.place) - stretch.place
                high = min(last, stretch.place + stretch.size - 1) - stretch.place
                read.append(_part(stretch, low, high))
                nth += 1
        return union_of(read)

    def lines(self) -> Spans:
        """Return the lines that are read by themselves, each as its first and last place."""
        return self._joined(line_of)

    def line_at(self, place: int) -> str:
        """Return the name of the line that a place is on; '' for the main one."""
        return line_of(self.stretches[self._nth(place)].key)

    def runs(self) -> Spans:
        """Return the stretches of one run, each as its first and last place; a restart begins another one."""
        return self._joined(lambda key: key)

    def _joined(self, same: Callable[[RunKey], object]) -> Spans:
        """Return the places of stretches that follow each other and are the same in something of their runs."""
        found: list[tuple[int, int]] = []
        for _, group in groupby(self.stretches, key=lambda stretch: same(stretch.key)):
            stretches = list(group)
            found.append((stretches[0].place, stretches[-1].place + stretches[-1].size - 1))
        return tuple(found)

    def _nth(self, place: int) -> int:
        return bisect_right(self._places, place) - 1


def line_of(key: RunKey) -> str:
    """Return the name of the line that a run is on; '' for the main one."""
    return "" if not key or key[0] in LEVELS else str(key[0])


def on_line(parts: Parts, name: str) -> Parts:
    """Return the parts that are on one line.

    >>> on_line(Parts({(): ((1, 9),), ("annual",): ((1, 2),)}), "annual").spans
    {('annual',): ((1, 2),)}
    """
    return Parts(
        {key: spans for key, spans in parts.spans.items() if line_of(key) == name},
        {key: found for key, found in parts.inserted.items() if line_of(key) == name},
        {key: pieces for key, pieces in parts.combined.items() if line_of(key) == name},
    )


def _part(stretch: Stretch, low: int, high: int) -> Parts:
    if stretch.first.denominator > 1:
        return Parts({}, {stretch.key: frozenset({stretch.first})})
    first = int(stretch.first)
    if stretch.is_combined:
        piece = ((first, first + stretch.numbers - 1),)
        return Parts({stretch.key: piece}, {}, {stretch.key: piece})
    return Parts({stretch.key: ((first + low, first + high),)})


def _stretches(known: Parts) -> Iterator[tuple[RunKey, Fraction, int, int]]:
    """Return the run, first number, count of parts and count of numbers of each stretch that nothing stands within."""
    for key in known.runs():
        inserted = sorted(known.inserted.get(key, ()))
        cuts = [floor(number) + 1 for number in inserted]
        pieces = frozenset(known.combined.get(key, ()))
        within = {number for first, last in pieces for number in range(first + 1, last + 1)}
        around = [number for first, last in pieces for number in (first, last + 1)]
        for first, last in known.spans.get(key, ()):
            by_itself = len(key) == 1 and key[0] in LEVELS
            inner = range(first, last + 1) if by_itself else [*cuts, *around]
            starts = sorted({first, *(number for number in inner if first < number <= last)} - within)
            for start, end in zip(starts, [*starts[1:], last + 1], strict=True):
                is_piece = (start, end - 1) in pieces
                yield key, Fraction(start), 1 if is_piece else end - start, end - start
        yield from ((key, number, 1, 1) for number in inserted)
