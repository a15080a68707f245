"""Piles of books in a box, against geometry: nothing overlaps, or stands out of its box or over what bears it."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from intake.packing.packing_plan import PackItem, Size
from intake.packing.piles import arrange_in_piles, fits_in_box
from tests.drawn_examples import examples
from tests.packing.pile_checks import check_piles


def book(key: str, size: Size, mass_g: float = 1000) -> PackItem:
    return PackItem(key=key, mass_g=mass_g, size_mm=size)


def placed(items: list[PackItem], inner_mm: Size) -> list[tuple[str, int, int, float, float]]:
    found = arrange_in_piles(items, inner_mm)
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
    assert arrange_in_piles([small], (90, 90, 300)) is None


def test_a_heavier_book_sinks_below_one_that_stands_out_by_15_mm_and_no_more() -> None:
    wide = book("wide", (310, 240, 20), 900)
    for size, order in (((295, 240, 30), ["heavy", "wide"]), ((294, 240, 30), ["wide", "heavy"]),
                        ((310, 225, 30), ["heavy", "wide"]), ((310, 224, 30), ["wide", "heavy"])):  # fmt: skip
        assert [row[0] for row in placed([wide, book("heavy", size, 2000)], (330, 250, 310))] == order
    alike = book("alike", (305, 235, 30), 900)
    assert [row[0] for row in placed([wide, alike], (330, 250, 310))] == ["wide", "alike"]


def test_no_book_stands_out_by_more_than_15_mm_over_any_book_below_it() -> None:
    # All three are no larger than the first; the third stands out over the second by 16 mm, though not over the first.
    books = [book("a", (116, 100, 10)), book("b", (100, 96, 10)), book("c", (116, 80, 10))]
    assert [row[:3] for row in placed(books, (240, 120, 60))] == [("a", 1, 1), ("b", 1, 2), ("c", 2, 1)]
    assert not fits_in_box(books, (118, 102, 60))
    books[2] = book("c", (115, 80, 10))
    assert [row[:3] for row in placed(books, (118, 102, 60))] == [("a", 1, 1), ("b", 1, 2), ("c", 1, 3)]
    # Each of four stands out by 10 mm over the one below it, the heaviest lowest: by 30 mm over the first, if let.
    steps = [book(f"s{n}", (200 + 10 * n, 150, 10), 4000 - 900 * n) for n in range(4)]
    rows = placed(steps, (240, 160, 60))
    check_piles(arrange_in_piles(steps, (240, 160, 60)) or (), {one.key: one for one in steps}, (240, 160, 60))
    assert [row[0] for row in rows] != ["s0", "s1", "s2", "s3"]


def test_an_arrangement_does_not_depend_on_the_order_of_the_books() -> None:
    # The same area and mass, 200 x 120 and 160 x 150 mm: only their sides tell which comes first.
    books = [book("long", (200, 120, 20)), book("broad", (160, 150, 20)), book("small", (150, 110, 20))]
    assert len({tuple(placed(list(order), (420, 310, 60))) for order in itertools.permutations(books)}) == 1


def test_the_heaviest_of_many_alike_sinks_to_the_bottom() -> None:
    items = [book(f"b{n}", (300 - n, 240, 20), 500 + 100 * n) for n in range(5)]
    assert [row[0] for row in placed(items, (330, 250, 310))] == ["b4", "b3", "b2", "b1", "b0"]


def test_a_centimetre_stays_free_at_the_top() -> None:
    books = [book(f"b{n}", (300, 240, 100)) for n in range(3)]
    assert fits_in_box(books, (302, 242, 310))
    assert not fits_in_box(books, (302, 242, 309))
    assert fits_in_box([book("b", (300, 240, 100))], (302, 242, 110))
    assert not fits_in_box([book("b", (300, 240, 100))], (302, 242, 109))


def test_two_millimetres_stay_free_around_a_pile() -> None:
    # Two piles of books 200 mm wide take 404 mm of length, and 302 mm of width.
    books = [book(f"b{n}", (300, 200, 50)) for n in range(2)]
    assert [row[1:] for row in placed(books, (404, 302, 60))] == [(1, 1, 0, 0), (2, 1, 202, 0)]
    assert not fits_in_box(books, (403, 302, 60))
    assert not fits_in_box(books, (404, 301, 60))


def test_a_second_row_begins_behind_the_first() -> None:
    books = [book(f"b{n}", (200, 150, 50)) for n in range(4)]
    assert [row[1:] for row in placed(books, (304, 404, 60))] == [
        (1, 1, 0, 0), (2, 1, 152, 0), (3, 1, 0, 202), (4, 1, 152, 202),
    ]  # fmt: skip
    assert not fits_in_box(books, (304, 403, 60))


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
    assert not fits_in_box(items, (424, 302, 45))


sizes = st.tuples(st.integers(100, 300), st.integers(80, 250), st.integers(5, 60))


@settings(max_examples=examples(150))
@given(
    st.lists(sizes, min_size=1, max_size=9),
    st.tuples(st.integers(200, 450), st.integers(200, 350), st.integers(60, 310)),
)
def test_no_book_overlaps_another_or_stands_out_of_its_box(drawn: list[Size], inner: Size) -> None:
    items = {str(n): book(str(n), size, 100 + 37 * (n * 5 % 7)) for n, size in enumerate(drawn)}
    found = arrange_in_piles(list(items.values()), inner)
    assert (found is not None) == fits_in_box(items.values(), inner)
    if found is None:
        return
    check_piles(found, items, inner)
