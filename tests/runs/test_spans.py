"""Arithmetic of spans against `portion`'s discrete intervals and against sets of numbers."""

from itertools import pairwise

import portion
from hypothesis import given
from hypothesis import strategies as st

from intake.runs.spans import Spans, count, difference, has, hull, intersection, spans_of, union

PAIRS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 12)), max_size=8)
SPANS = PAIRS.map(lambda pairs: spans_of((first, first + size) for first, size in pairs))


class WholeNumbers(portion.AbstractDiscreteInterval):  # type: ignore[misc] # portion ships no types
    _step = 1


api = portion.create_api(WholeNumbers)


def as_portion(spans: Spans) -> object:
    result = api.empty()
    for first, last in spans:
        result |= api.closed(first, last)
    return result


def as_set(spans: Spans) -> set[int]:
    return {number for first, last in spans for number in range(first, last + 1)}


@given(SPANS, SPANS)
def test_union_intersection_and_difference_agree_with_portion(one: Spans, other: Spans) -> None:
    left, right = as_portion(one), as_portion(other)
    assert as_portion(union(one, other)) == left | right  # type: ignore[operator]
    assert as_portion(intersection(one, other)) == left & right  # type: ignore[operator]
    assert as_portion(difference(one, other)) == left - right  # type: ignore[operator]


@given(SPANS, SPANS)
def test_results_are_sorted_and_do_not_touch(one: Spans, other: Spans) -> None:
    for spans in (union(one, other), intersection(one, other), difference(one, other)):
        assert all(first <= last for first, last in spans)
        assert all(before[1] + 1 < after[0] for before, after in pairwise(spans))


@given(SPANS)
def test_membership_count_and_hull_are_those_of_the_numbers(spans: Spans) -> None:
    numbers = as_set(spans)
    assert {number for number in range(-2, 60) if has(spans, number)} == numbers
    assert count(spans) == len(numbers)
    assert hull(spans) == (((min(numbers), max(numbers)),) if numbers else ())
