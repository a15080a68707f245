"""Arithmetic of whole numbers held as spans: sorted tuples of (first, last), both included, that do not touch.

The largest number of all, `END`, stands for an end that is open: a span up to it is cut where the extent is known.
"""

from bisect import bisect_right
from collections.abc import Iterable

Span = tuple[int, int]
Spans = tuple[Span, ...]

END = 1_000_000_000
"""Larger than any number of a part."""


def spans_of(pairs: Iterable[Span]) -> Spans:
    """Return the spans of pairs in any order, which may touch and overlap; a pair that runs backwards is empty.

    >>> spans_of([(5, 7), (1, 2), (3, 3), (6, 9)])
    ((1, 3), (5, 9))
    """
    merged: list[Span] = []
    for first, last in sorted(pairs):
        if first > last:
            continue
        if merged and first <= merged[-1][1] + 1:
            if last > merged[-1][1]:
                merged[-1] = (merged[-1][0], last)
        else:
            merged.append((first, last))
    return tuple(merged)


def union(*several: Spans) -> Spans:
    """Return the numbers that are in any."""
    return spans_of(span for spans in several for span in spans)


def intersection(one: Spans, other: Spans) -> Spans:
    """Return the numbers that are in both.

    >>> intersection(((1, 10),), ((3, 4), (9, 12)))
    ((3, 4), (9, 10))
    """
    common: list[Span] = []
    left, right = 0, 0
    while left < len(one) and right < len(other):
        first, last = max(one[left][0], other[right][0]), min(one[left][1], other[right][1])
        if first <= last:
            common.append((first, last))
        if one[left][1] < other[right][1]:
            left += 1
        else:
            right += 1
    return tuple(common)


def difference(one: Spans, other: Spans) -> Spans:
    """Return the numbers that are in the first and not in the second.

    >>> difference(((1, 10),), ((3, 4), (9, 12)))
    ((1, 2), (5, 8))
    """
    left: list[Span] = []
    nth = 0
    for start, last in one:
        first = start
        while nth < len(other) and other[nth][1] < first:
            nth += 1
        at = nth
        while at < len(other) and other[at][0] <= last:
            if other[at][0] > first:
                left.append((first, other[at][0] - 1))
            first = other[at][1] + 1
            at += 1
        if first <= last:
            left.append((first, last))
    return tuple(left)


def shifted(spans: Spans, by: int) -> Spans:
    """Return the numbers, each greater by as much.

    >>> shifted(((5, 7), (9, 9)), -5)
    ((0, 2), (4, 4))
    """
    return tuple((first + by, last + by) for first, last in spans)


def has(spans: Spans, number: int) -> bool:
    """Tell whether a number is in the spans."""
    nth = bisect_right(spans, (number, END + 1)) - 1
    return nth >= 0 and number <= spans[nth][1]


def count(spans: Spans) -> int:
    """Return how many numbers there are."""
    return sum(last - first + 1 for first, last in spans)


def hull(spans: Spans) -> Spans:
    """Return the one span from the least to the greatest number; none for none."""
    return ((spans[0][0], spans[-1][1]),) if spans else ()
