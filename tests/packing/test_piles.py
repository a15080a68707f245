"""Piles of books in a box, against geometry: nothing overlaps or stands out, whichever way each pile is turned."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from intake.packing.packing_plan import PackItem, PlacedCopy, Size
from intake.packing.piles import fits, pile_up


def book(key: str, size: Size, mass_g: float = 1000) -> PackItem:
    return PackItem(key=key, mass_g=mass_g, size_mm=size)


def placed(items: list[PackItem], inner_mm: Size) -> list[tuple[str, int, int, float, float]]:
    found = pile_up(items, inner_mm)
    assert found is not None
    return [(one.key, one.pile, one.layer, one.x_mm, one.y_mm) for one in found]


def test_large_and_heavy_lie_below() -> None:
    small, wide, heavy = (
        book("small", (150, 100, 20), 285),
        book("wide", (310, 240, 20), 1413),
        book("heavy", (300, 235, 60), 4018),
    )
    assert [row[:3] for row in placed([small, wide, heavy], (330, 250, 310))] == [
        ("heavy", 1, 1), ("wide", 1, 2), ("small", 1, 3),
    ]  # fmt: skip
    assert pile_up([small], (90, 90, 300)) is None


def test_a_heavier_book_sinks_below_one_that_stands_out_by_15_mm_and_no_more() -> None:
    wide = book("wide", (310, 240, 20), 900)
    for size, order in (((295, 240, 30), ["heavy", "wide"]), ((294, 240, 30), ["wide", "heavy"]),
                        ((310, 225, 30), ["heavy", "wide"]), ((310, 224, 30), ["wide", "heavy"])):  # fmt: skip
        assert [row[0] for row in placed([wide, book("heavy", size, 2000)], (330, 250, 310))] == order
    alike = book("alike", (305, 235, 30), 900)
    assert [row[0] for row in placed([wide, alike], (330, 250, 310))] == ["wide", "alike"]


def test_the_heaviest_of_many_alike_sinks_to_the_bottom() -> None:
    items = [book(f"b{n}", (300 - n, 240, 20), 500 + 100 * n) for n in range(5)]
    assert [row[0] for row in placed(items, (330, 250, 310))] == ["b4", "b3", "b2", "b1", "b0"]


def test_a_centimetre_stays_free_at_the_top() -> None:
    books = [book(f"b{n}", (300, 240, 100)) for n in range(3)]
    assert fits(books, (302, 242, 310))
    assert not fits(books, (302, 242, 309))
    assert fits([book("b", (300, 240, 100))], (302, 242, 110))
    assert not fits([book("b", (300, 240, 100))], (302, 242, 109))


def test_two_millimetres_stay_free_around_a_pile() -> None:
    # Two piles of books 200 mm wide take 404 mm of length, and 302 mm of width.
    books = [book(f"b{n}", (300, 200, 50)) for n in range(2)]
    assert [row[1:] for row in placed(books, (404, 302, 60))] == [(1, 1, 0, 0), (2, 1, 202, 0)]
    assert not fits(books, (403, 302, 60))
    assert not fits(books, (404, 301, 60))


def test_a_second_row_begins_behind_the_first() -> None:
    books = [book(f"b{n}", (200, 150, 50)) for n in range(4)]
    assert [row[1:] for row in placed(books, (304, 404, 60))] == [
        (1, 1, 0, 0), (2, 1, 152, 0), (3, 1, 0, 202), (4, 1, 152, 202),
    ]  # fmt: skip
    assert not fits(books, (304, 403, 60))


def test_a_book_is_turned_where_it_fits_so_alone() -> None:
    assert [row[3:] for row in placed([book("b", (400, 100, 20))], (402, 102, 60))] == [(0, 0)]
    assert [row[3:] for row in placed([book("b", (400, 100, 20))], (102, 402, 60))] == [(0, 0)]
    # In a row that is 202 mm deep, 150 mm of length are left for the second book: it lies along the row.
    two = [book("large", (300, 200, 50)), book("small", (200, 148, 50))]
    assert [row[3:] for row in placed(two, (352, 302, 60))] == [(0, 0), (202, 0)]


def test_a_book_goes_on_the_smallest_pile_that_bears_it() -> None:
    # 300 x 200 and 260 x 220 bear each other neither way; the second pile is the smaller one.
    items = [book("long", (300, 200, 20)), book("broad", (260, 220, 20)), book("small", (200, 150, 20))]
    assert [row[:3] for row in placed(items, (424, 302, 60))] == [("long", 1, 1), ("broad", 2, 1), ("small", 2, 2)]
    # Where no height is left on it, the other bears it; where none is left at all, the box does not hold them.
    items[1] = book("broad", (260, 220, 35))
    assert [row[:3] for row in placed(items, (424, 302, 60))] == [("long", 1, 1), ("small", 1, 2), ("broad", 2, 1)]
    assert not fits(items, (424, 302, 45))


def rectangles_fit(places: list[PlacedCopy], items: dict[str, PackItem], inner: Size) -> bool:
    """Tell whether the piles, each turned one way or the other, lie inside the box and beside each other."""
    piles: dict[int, tuple[float, float, float, float]] = {}
    for place in places:
        sides = sorted(items[place.key].size_mm)[1:]
        long, short = piles.get(place.pile, (0.0, 0.0, 0.0, 0.0))[2:]
        piles[place.pile] = (place.x_mm, place.y_mm, max(long, sides[1]), max(short, sides[0]))
    for turned in itertools.product((False, True), repeat=len(piles)):
        areas = [(x, y, x + (long if turn else short), y + (short if turn else long))
                 for turn, (x, y, long, short) in zip(turned, piles.values(), strict=True)]  # fmt: skip
        inside = all(right <= inner[0] and back <= inner[1] for _, _, right, back in areas)
        apart = all(
            a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for a, b in itertools.combinations(areas, 2)
        )
        if inside and apart:
            return True
    return False


sizes = st.tuples(st.integers(100, 300), st.integers(80, 250), st.integers(5, 60))


@settings(max_examples=150)
@given(
    st.lists(sizes, min_size=1, max_size=9),
    st.tuples(st.integers(200, 450), st.integers(200, 350), st.integers(60, 310)),
)
def test_no_book_overlaps_another_or_stands_out_of_its_box(drawn: list[Size], inner: Size) -> None:
    items = {str(n): book(str(n), size, 100 + 37 * (n * 5 % 7)) for n, size in enumerate(drawn)}
    found = pile_up(list(items.values()), inner)
    assert (found is not None) == fits(items.values(), inner)
    if found is None:
        return
    assert sorted(place.key for place in found) == sorted(items)
    for _, pile in itertools.groupby(found, key=lambda place: place.pile):
        layers = list(pile)
        assert [place.layer for place in layers] == list(range(1, len(layers) + 1))
        assert sum(min(items[place.key].size_mm) for place in layers) <= inner[2] - 10
    assert rectangles_fit(list(found), items, inner)
