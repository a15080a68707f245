"""Making room: against every shift there is, and carried out step by step."""

from collections.abc import Sequence
from itertools import combinations_with_replacement, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.model.shelving import Book
from intake.shelving.instructions import room_sentences
from intake.shelving.make_room import PER_METRE, FilledShelf, RoomPlan, find_slot, make_room
from tests.drawn_examples import examples
from tests.shelving.making import book, space


@st.composite
def rooms(draw: st.DrawFn) -> tuple[list[FilledShelf], list[Book], tuple[int, int]]:
    """Up to four shelves with up to three books each, and a place for one more."""
    shelves = []
    for nth in range(draw(st.integers(1, 4))):
        thicknesses = draw(st.lists(st.integers(10, 50), max_size=3))
        own = [book(f"{nth}{letter}", one, height_mm=draw(st.sampled_from([200, 300]))) for letter, one in
               zip("abc", thicknesses, strict=False)]  # fmt: skip
        kept = [book("", draw(st.integers(10, 20)), name="volume 9")] if draw(st.integers(0, 3)) == 0 else []
        full = sum(one.thickness_mm for one in [*own, *kept])
        where = {"x_m": float(draw(st.integers(0, 3))), "y_m": draw(st.sampled_from([0.3, 0.6]))}
        height = 350.0 if any(one.height_mm > 250 for one in own) else draw(st.sampled_from([250.0, 350.0]))
        width = max(full + draw(st.integers(0, 40)), 30)
        shelves.append(FilledShelf(space(f"s{nth}", width, height_mm=height, **where), (*own, *kept)))
    nth = draw(st.integers(0, len(shelves) - 1))
    new = [book("new", draw(st.integers(10, 50)), height_mm=draw(st.sampled_from([200, 300])))]
    if draw(st.booleans()):
        new.append(book("", 15, name="volume 2"))
    return shelves, new, (nth, draw(st.integers(0, len(shelves[nth].books))))


def metres(shelves: Sequence[FilledShelf], one: int, other: int) -> float:
    a, b = shelves[one].space, shelves[other].space
    return abs(a.x_m - b.x_m) + abs(a.y_m - b.y_m)


def least_price(shelves: Sequence[FilledShelf], new: Sequence[Book], at: tuple[int, int]) -> float | None:
    """Try every division of all books, in their order, over the shelves."""
    line: list[tuple[Book, int | None]] = []
    for nth, shelf in enumerate(shelves):
        own: list[tuple[Book, int | None]] = [(one, nth if one.copy else None) for one in shelf.books]
        if nth == at[0]:
            own[at[1] : at[1]] = [(one, None) for one in new]
        line += own
    best = None
    for inner in combinations_with_replacement(range(len(line) + 1), len(shelves) - 1):
        price = 0.0
        for nth, (a, b) in enumerate(pairwise((0, *inner, len(line)))):
            on = [one for one, _ in line[a:b]]
            wide = sum(one.thickness_mm for one in on) <= shelves[nth].space.width_mm
            if not wide or any(one.height_mm > shelves[nth].space.height_mm for one in on):
                break
            homes = [home for _, home in line[a:b] if home is not None and home != nth]
            price += len(homes) + PER_METRE * sum(metres(shelves, home, nth) for home in homes)
        else:
            best = price if best is None else min(best, price)
    return best


@settings(max_examples=examples(300), deadline=None)
@given(rooms())
def test_no_shift_is_smaller_and_each_step_finds_room(
    case: tuple[list[FilledShelf], list[Book], tuple[int, int]],
) -> None:
    shelves, new, at = case
    plan = make_room(shelves, new, at)
    least = least_price(shelves, new, at)
    if plan is None:
        assert least is None
        return
    assert least is not None
    assert plan.handled + PER_METRE * plan.carried_m == pytest.approx(least, abs=0.01)
    carried_out(shelves, new, plan)


def carried_out(shelves: Sequence[FilledShelf], new: Sequence[Book], plan: RoomPlan) -> None:
    """Move the books as the plan says, from end to end only, and compare."""
    now = [[one for one in shelf.books if one.copy] for shelf in shelves]
    for shift in plan.shifts:
        ones = [one for one in shift.books if one.copy]
        if shift.target > shift.origin:
            assert now[shift.origin][-len(ones) :] == ones
            del now[shift.origin][-len(ones) :]
            now[shift.target][:0] = ones
        else:
            assert now[shift.origin][: len(ones)] == ones
            del now[shift.origin][: len(ones)]
            now[shift.target] += ones
        assert sum(one.thickness_mm for one in now[shift.target]) <= shelves[shift.target].space.width_mm
    before = [one for one in plan.before if one.copy]
    assert now[plan.target][: len(before)] == before
    now[plan.target].insert(len(before), new[0])
    for nth, books in plan.filled.items():
        assert now[nth] == [one for one in books if one.copy]
    assert len(room_sentences(plan, shelves, new)) >= len(plan.shifts) + 1


def full(*thicknesses: float, name: str, free: float = 0, x_m: float = 0.0) -> FilledShelf:
    books = tuple(book(f"{name}{nth}", one) for nth, one in enumerate(thicknesses, 1))
    return FilledShelf(space(name, sum(thicknesses) + free, x_m=x_m), books)


def test_the_sentences_can_be_followed_with_the_hands() -> None:
    shelves = [full(20, 20, 20, 20, name="B 1"), full(30, 30, 30, name="B 2"), full(20, 20, name="B 3", free=65)]
    new = [book("A9", 20, name="Gulls"), book("", 25, name="volume 2")]
    plan = make_room(shelves, new, (1, 1))
    assert plan is not None
    assert room_sentences(plan, shelves, new) == (
        "Move the last 2 of B 2 (from B 22 'B 22' on) to the front of B 3.",
        "Then put it on B 2, right after B 21 'B 21'.",
        "Leave 25 mm free after it for volume 2.",
    )


def test_a_book_that_fits_moves_nothing() -> None:
    plan = make_room([full(20, 20, name="A", free=40)], [book("new")], (0, 1))
    assert plan is not None
    assert (plan.handled, plan.target, [one.copy for one in plan.before]) == (0, 0, ["A1"])


def test_where_all_is_full_there_is_no_plan() -> None:
    assert make_room([full(20, 20, name=str(n)) for n in range(80)], [book("new")], (40, 1)) is None


def test_the_place_of_a_new_book_in_books_out_of_order() -> None:
    assert find_slot([[(1,), (9,), (3,)], [(5,), (7,)]], (4,)) == (0, 3)
    assert find_slot([[(5,)], [(5,)]], (5,)) == (1, 1)  # a second copy after the first
    assert find_slot([[], [(5,)]], (1,)) == (1, 0)
