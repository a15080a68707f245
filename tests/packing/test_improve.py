"""Improving a packing: small cases whose best packing is seen at once."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from intake.packing.filling import Block, OpenBox, make_block
from intake.packing.improve import improve
from intake.packing.packing_plan import BoxKind, PackItem

KIND = BoxKind(name="box", inner_mm=(1000, 1000, 1000), tare_g=0, limit_g=10)


def block(mass: float, room: str = "") -> Block:
    return make_block([PackItem(key=f"of {mass}", mass_g=mass, size_mm=(10, 10, 1), room=room)])


def box(*masses: float, fixed: float = 0, room: str = "") -> OpenBox:
    inside = block(fixed, room).items if fixed else ()
    filled = OpenBox(KIND, room, {}, fixed=inside)
    for mass in masses:
        filled.put(block(mass, room))
    return filled


def improved(*bins: OpenBox, bound: int = 1, going: bool = True) -> list[list[float]]:
    """Return the masses in each box that is still used, in an order of their own."""
    found = improve(bins, bound=bound, going=lambda: going)
    return sorted(sorted(item.mass_g for item in one.items()) for one in found)


def test_two_half_empty_boxes_become_one() -> None:
    assert improved(box(6), box(4)) == [[4, 6]]
    assert improved(box(6), box(4), bound=2) == [[4], [6]]
    assert improved(box(6), box(4), going=False) == [[4], [6]]
    assert improved(box(6), box(5)) == [[5], [6]]


def test_a_lighter_copy_makes_room_for_a_heavier_one() -> None:
    # 5 fits beside neither 4 + 3 nor 6; with the 4 gone to the 6 it does.
    assert improved(box(5), box(4, 3), box(6)) == [[3, 5], [4, 6]]


def test_the_fuller_box_grows_fuller_where_none_can_be_emptied() -> None:
    # Of 7 + 2 and 8 the 2 goes to the 8, which is full then; so does a swap: 8 + 1 takes 2 for its 1.
    assert improved(box(7, 2), box(8)) == [[2, 8], [7]]
    assert improved(box(6, 2), box(8, 1)) == [[1, 6], [2, 8]]


@given(st.lists(st.lists(st.integers(1, 6), min_size=1, max_size=3), min_size=2, max_size=7), st.booleans())
def test_nothing_is_lost_or_overfilled(masses: list[list[int]], begun: bool) -> None:
    bins = [box(*some) for some in masses if sum(some) <= 10]
    if begun:
        bins.append(box(2, fixed=3))
    before = sorted(item.mass_g for one in bins for item in one.items())
    found = improve(bins, bound=1, going=lambda: True)
    assert sorted(item.mass_g for one in found for item in one.items()) == before
    assert all(sum(item.mass_g for item in one.items()) == one.mass <= 10 for one in found)
    assert len(found) <= len(bins)


def test_a_box_that_was_begun_is_filled_and_never_emptied() -> None:
    assert improved(box(fixed=3), box(8)) == [[3], [8]]
    assert improved(box(fixed=3), box(4)) == [[3, 4]]
    assert improved(box(fixed=3), box(fixed=4)) == [[3], [4]]


def test_boxes_of_different_rooms_are_not_mixed() -> None:
    assert improved(box(4, room="Study"), box(5, room="Hall")) == [[4], [5]]
    assert improved(box(4, room="Study"), box(5, room="Hall"), box(3, room="Study")) == [[3, 4], [5]]


def test_what_lies_on_a_book_keeps_its_place_when_the_book_is_moved() -> None:
    # In a box for one pile of 302 x 202 mm two books that bear each other neither way lie on a third; without it they
    # would need two piles. It would fill the other box, and stays all the same.
    kind = BoxKind(name="flat", inner_mm=(302, 202, 60), tare_g=0, limit_g=10)
    full, other = OpenBox(kind, "", {}), OpenBox(kind, "", {})

    def put(filled: OpenBox, key: str, mass: float, sides: tuple[float, float]) -> None:
        filled.put(make_block([PackItem(key=key, mass_g=mass, size_mm=(*sides, 10))]))

    put(full, "in the fuller", 8, (300, 200))
    for key, mass, sides in (("base", 2, (300, 200)), ("long", 2.5, (300, 186)), ("broad", 2.5, (286, 200))):
        put(other, key, mass, sides)
    improved_boxes = improve([full, other], bound=1, going=lambda: True)
    assert all(one.filled(kind).placed for one in improved_boxes)
    assert sorted(len(one.items()) for one in improved_boxes) == [1, 3]


def test_the_space_of_a_box_is_kept_to_as_well() -> None:
    flat = replace(KIND, inner_mm=(12, 12, 12))
    one, two = OpenBox(flat, "", {}), OpenBox(flat, "", {})
    for filled, key in ((one, "a"), (two, "b")):
        filled.put(make_block([PackItem(key=key, mass_g=1, size_mm=(10, 10, 2))]))
    assert len(improve([one, two], bound=1, going=lambda: True)) == 2


def test_a_copy_goes_into_the_fullest_box_that_takes_it() -> None:
    # Best fit: the free space stays together, where something larger can use it.
    assert improved(box(2), box(5), box(8), bound=2) == [[2, 8], [5]]
    assert improved(box(2), box(8), box(5), bound=2) == [[2, 8], [5]]
    assert improved(box(2), box(5), box(9), bound=2) == [[2, 5], [9]]


def test_the_lightest_box_is_emptied_first() -> None:
    assert improved(box(4), box(3), box(6), bound=2) == [[3, 6], [4]]
    assert improved(box(6), box(3), box(4), bound=2) == [[3, 6], [4]]


def test_a_box_whose_copies_do_not_all_find_room_keeps_all_of_them() -> None:
    # The 1 would fit beside the 9, the 5 fits nowhere.
    assert improved(box(5, 1), box(9), box(8), bound=2) in ([[1, 5], [8], [9]], [[1, 9], [5], [8]], [[1, 8], [5], [9]])
    assert sum(len(masses) for masses in improved(box(5, 1), box(9), box(8), bound=2)) == 4
