"""Coverage by counting place by place; the fewest changes of volume by trying every order."""

from fractions import Fraction
from functools import cache
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from intake.runs.coverage import alone, coverage, fewest_changes, longest_stretch, missing, places_after
from intake.runs.part_order import PartOrder
from intake.runs.parts import Parts, beyond, expanded, known_parts
from intake.runs.spans import Spans, has, intersection, spans_of, union

SPANS = st.lists(st.tuples(st.integers(0, 14), st.integers(0, 5)), min_size=1, max_size=3).map(
    lambda pairs: spans_of((first, first + size) for first, size in pairs)
)
VOLUMES = st.dictionaries(st.sampled_from("abcde"), SPANS, min_size=1)
PLACES = range(22)


@given(VOLUMES)
def test_the_sweep_counts_what_counting_counts(volumes: dict[str, Spans]) -> None:
    counted = {place: tuple(sorted(key for key in volumes if has(volumes[key], place))) for place in PLACES}
    swept = {place: one.volumes for one in coverage(volumes) for place in range(one.first, one.last + 1)}
    assert swept == {place: keys for place, keys in counted.items() if keys}
    for key in volumes:
        only = {place for place, keys in counted.items() if keys == (key,)}
        assert {place for place in PLACES if has(alone(volumes).get(key, ()), place)} == only


@given(VOLUMES, st.integers(1, 19))
def test_gaps_and_the_longest_stretch_end_where_a_line_ends(volumes: dict[str, Spans], cut: int) -> None:
    lines = ((0, cut - 1), (cut, 20))
    held = union(*volumes.values())
    gaps = missing(held, lines)
    assert {p for p in range(21) if has(spans_of(gaps), p)} == {p for p in range(21) if not has(held, p)}
    assert all(
        len(intersection((gap,), lines)) == 1 and intersection((gap,), (lines[0],)) in ((), (gap,)) for gap in gaps
    )
    unbroken = [
        (first, last)
        for low, high in lines
        for first in range(low, high + 1)
        for last in range(first, high + 1)
        if all(has(held, place) for place in range(first, last + 1))
    ]
    longest = longest_stretch(held, lines)
    assert (longest[1] - longest[0] if longest else -1) == max((last - first for first, last in unbroken), default=-1)


def least_changes(volumes: dict[str, Spans]) -> int:
    """Return the number of volumes taken up, by trying every volume at every place."""
    places = [place for place in PLACES if any(has(spans, place) for spans in volumes.values())]

    @cache
    def taken_up(nth: int, volume: str) -> int:
        if nth == len(places):
            return 0
        having = [key for key in volumes if has(volumes[key], places[nth])]
        return min((key != volume) + taken_up(nth + 1, key) for key in having)

    return taken_up(0, "")


@given(VOLUMES)
def test_the_order_to_read_in_changes_volume_as_seldom_as_any(volumes: dict[str, Spans]) -> None:
    reads = fewest_changes(volumes)
    assert len(reads) == least_changes(volumes)
    assert all(before.volume != after.volume for before, after in pairwise(reads))
    places = [place for read in reads for first, last in read.places for place in range(first, last + 1)]
    assert places == [place for place in PLACES if has(union(*volumes.values()), place)]
    assert all(intersection(read.places, volumes[read.volume]) == read.places for read in reads)


def test_of_volumes_that_go_equally_far_the_preferred_one_is_read() -> None:
    volumes = {"a": ((0, 5),), "b": ((0, 5),)}
    assert [read.volume for read in fewest_changes(volumes, ["b", "a"])] == ["b"]


def test_the_line_goes_on_from_volume_to_volume_and_annuals_are_a_line_of_their_own() -> None:
    known = Parts(
        {(): ((1, 3),), ("v", 2, "no"): ((1, 2),), ("v",): ((3, 3),), ("annual",): ((1, 2),)},
        {(): frozenset({Fraction(5, 2)})},
    )
    order = PartOrder(known)
    assert order.size == 9  # 1 2 2½ 3, v.2:no.1 2, v.3, annual 1 2
    assert order.lines() == ((0, 6), (7, 8))
    assert order.runs() == ((0, 3), (4, 5), (6, 6), (7, 8))
    assert order.parts(((1, 4),)) == Parts(
        {(): ((2, 3),), ("v", 2, "no"): ((1, 1),)}, {(): frozenset({Fraction(5, 2)})}
    )
    assert places_after(order.places(Parts({(): ((2, 3),)})), order.lines()) == ((1, 2), (3, 4))
    assert places_after(order.places(Parts({("v",): ((3, 3),)})), order.lines()) == ((6, None),)


RUN_SPANS = st.dictionaries(st.sampled_from([(), ("annual",), ("v", 1, "no")]), SPANS, min_size=1)


@given(RUN_SPANS, RUN_SPANS)
def test_places_and_parts_are_each_other_s_inverse(
    known: dict[tuple[str | int, ...], Spans], other: dict[tuple[str | int, ...], Spans]
) -> None:
    order, parts = PartOrder(Parts(known)), Parts(other)
    assert order.parts(order.places(parts)) == parts & Parts(known)
    assert order.places(Parts(known)) == (((0, order.size - 1),))


def test_what_is_known_is_the_extent_or_spans_all_that_is_collected() -> None:
    collected = [
        Parts({(): ((5, 9),)}),
        Parts({(): ((20, 1_000_000_000),)}),
        Parts({(): ((12, 24),)}, {(): frozenset({Fraction(15, 2)})}),
    ]
    assert known_parts(collected) == Parts({(): ((5, 24),)}, {(): frozenset({Fraction(15, 2)})})
    extent = Parts({(): ((1, 10),)})
    known = known_parts(collected, extent)
    assert known == Parts({(): ((1, 10),)}, {(): frozenset({Fraction(15, 2)})})
    assert beyond(collected[2], known) == Parts({(): ((12, 24),)})
    assert beyond(collected[1], known) == Parts({(): ((20, 20),)})
    assert not expanded(collected[1], known) & known
