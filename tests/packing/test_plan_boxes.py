"""Packing against instances whose optimum is known.

Generated: boxes filled exactly, then shuffled, so that the optimum is their number (the classes of triplets are made
so: Falkenauer, Journal of Heuristics 2, 1996; from memory). Stated: the thirty pieces of Johnson's example on which
first-fit decreasing needs 11/9 of the optimum (Johnson 1973; from memory, and checked here by its own perfect packing).
Small: the optimum by trying everything.
"""

import itertools
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.errors import UsageError
from intake.model.packing import PackingRules
from intake.packing.filling import FirstFit, OpenBox, make_block
from intake.packing.packing_plan import BegunBox, BoxFlaw, BoxKind, PackingPlan, PackItem, WhyLeft
from intake.packing.piles import arrange_in_piles
from intake.packing.plan_boxes import plan
from tests.drawn_examples import examples
from tests.packing.exhaustive import fewest
from tests.packing.pile_checks import check_piles

BOX = BoxKind(name="book box", inner_mm=(420, 330, 310), tare_g=900, limit_g=18_000)


def item(key: str, mass: float, **more: object) -> PackItem:
    return PackItem(key=key, mass_g=mass, size_mm=(10, 10, 1), **more)  # type: ignore[arg-type] # keyword by keyword


def by_mass(masses: list[int], capacity: int) -> PackingPlan:
    kind = BoxKind(name="box", inner_mm=(1000, 1000, 1000), tare_g=1, limit_g=capacity + 1)
    return plan([item(str(n), mass) for n, mass in enumerate(masses)], [kind])


def book(key: str, size: tuple[float, float, float], density: float = 0.95, **more: object) -> PackItem:
    mass = size[0] * size[1] * size[2] * density / 1000
    return PackItem(key=key, mass_g=mass, size_mm=size, **more)  # type: ignore[arg-type] # keyword by keyword


def check(found: PackingPlan, items: list[PackItem]) -> None:
    """Every copy once, no box over its limit, rooms apart, sets whole where they fit, each copy borne inside its box.

    For plans without open boxes.
    """
    packed = [one for box in found.boxes for one in box.items]
    assert sorted(one.key for one in packed + [left.item for left in found.left]) == sorted(one.key for one in items)
    assert len(found.boxes) >= found.bound
    for box in found.boxes:
        assert box.mass_g <= box.kind.limit_g + 1e-3
        assert {one.room for one in box.items} == {box.room}
        check_piles(box.placed, {one.key: one for one in box.items}, box.kind.inner_mm)
        assert not {BoxFlaw.NO_PILES, BoxFlaw.OVER_LIMIT} & set(box.flaws)


@pytest.mark.parametrize("seed", range(4))
def test_boxes_that_were_filled_exactly_are_found_again_nearly(seed: int) -> None:
    draw = random.Random(seed)
    masses: list[int] = []
    for _ in range(30):
        cuts = sorted(draw.sample(range(1, 1000), draw.randint(3, 8)))
        masses += [b - a for a, b in itertools.pairwise([0, *cuts, 1000])]
    draw.shuffle(masses)
    found = by_mass(masses, 1000)
    assert found.bound == 30
    assert 30 <= len(found.boxes) <= 31


@pytest.mark.parametrize(("boxes", "seed"), [(20, 1), (40, 2)])
def test_triplets_are_packed_within_a_box_of_the_optimum(boxes: int, seed: int) -> None:
    # Each box holds exactly three pieces of 250 to 490 of 1000: first-fit decreasing wastes a sixth.
    draw = random.Random(seed)
    masses: list[int] = []
    for _ in range(boxes):
        first = draw.randint(380, 490)
        second = draw.randint(250, (1000 - first) // 2)
        masses += [first, second, 1000 - first - second]
    found = by_mass(masses, 1000)
    assert found.bound == boxes
    assert found.first > boxes + 2
    assert len(found.boxes) <= boxes + 1


def test_the_case_on_which_first_fit_decreasing_is_worst() -> None:
    # Six pieces each of 1/2 + e, 1/4 + 2e and 1/4 + e, twelve of 1/4 - 2e, here of 400 with e = 4: nine boxes are full.
    masses = [204] * 6 + [108] * 6 + [104] * 6 + [92] * 12
    assert sum(masses) == 9 * 400
    assert 204 + 104 + 92 == 108 + 108 + 92 + 92 == 400
    found = by_mass(masses, 400)
    assert (found.bound, found.first) == (9, 11)
    assert len(found.boxes) == 9


@settings(max_examples=examples(60), deadline=None)
@given(st.lists(st.integers(1, 20), min_size=1, max_size=9))
def test_small_cases_are_bounded_and_packed_as_trying_everything_does(pieces: list[int]) -> None:
    optimum = fewest(pieces, 20)
    assert by_mass(pieces, 20).bound <= optimum
    assert len(by_mass(pieces, 20).boxes) == optimum


@settings(max_examples=examples(25), deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(120, 400), st.floats(90, 300), st.floats(4, 70), st.sampled_from("AB"), st.integers(0, 3)),
        max_size=40,
    )
)
def test_no_box_breaks_a_rule(rows: list[tuple[float, float, float, str, int]]) -> None:
    items = [
        book(str(n), (high, wide, thick), room=room, set_key=str(key) if key else "", order=(n, ""))
        for n, (high, wide, thick, room, key) in enumerate(rows)
    ]
    check(plan(items, [BOX]), items)


def test_a_set_stays_together_where_a_box_holds_it_and_is_cut_in_its_order_where_not() -> None:
    small = [book(f"s{n}", (250, 180, 30), set_key="small", order=(n, "")) for n in range(4)]
    large = [book(f"l{n}", (300, 240, 35), set_key="large", order=(n, "")) for n in range(12)]
    found = plan([*reversed(large), *small], [BOX])
    check(found, [*small, *large])
    assert "small" not in found.torn
    assert found.torn["large"] == 2
    halves = [sorted(int(one.key[1:]) for one in box.items if one.set_key == "large") for box in found.boxes]
    assert sorted(n for half in halves for n in half) == list(range(12))
    assert all(half == list(range(half[0], half[-1] + 1)) for half in halves if half)
    apart = plan([*large, *small], [BOX], rules=PackingRules(together=False))
    assert len(apart.boxes) <= len(found.boxes)


def test_what_is_valuable_does_not_all_lie_in_one_box() -> None:
    items = [item(f"v{n}", 500, value=1000.0, currency="EUR") for n in range(8)]
    items += [item(f"p{n}", 500) for n in range(40)]
    found = plan(items, [BOX], rules=PackingRules(share=0.25))
    worth = [sum(one.value for one in box.items) for box in found.boxes]
    assert max(worth) <= 2000
    assert sum(worth) == 8000
    # A single copy above the share is packed all the same, with nothing else of value.
    dear = [item("dear", 500, value=9000.0, currency="EUR"), item("other", 500, value=100.0, currency="EUR")]
    alone = plan(dear, [BOX])
    assert [len(box.items) for box in alone.boxes] == [1, 1]


def test_a_set_worth_more_than_a_box_should_hold_is_kept_whole_and_told() -> None:
    # Half of the value is the share with few boxes; the set has 90 % of it, and 3 kg.
    dear = [item(f"s{n}", 1000, set_key="dear", order=(n, ""), value=300.0, currency="EUR") for n in range(3)]
    rest = [item("other", 500, value=100.0, currency="EUR"), item("plain", 500)]
    found = plan([*dear, *rest], [BOX])
    assert found.torn == {}
    assert [sorted(one.key for one in box.items) for box in found.boxes] == [["plain", "s0", "s1", "s2"], ["other"]]
    assert [box.flaws for box in found.boxes] == [(BoxFlaw.OVER_SHARE,), ()]
    # A set that no box holds is cut, and its parts then keep to the share, where they are more than one volume.
    large = [item(f"l{n}", 6000, set_key="large", order=(n, ""), value=100.0, currency="EUR") for n in range(4)]
    cut = plan(large, [BOX], rules=PackingRules(share=0.25))
    assert [len(box.items) for box in cut.boxes] == [1, 1, 1, 1]
    assert cut.torn == {"large": 4}


def test_a_set_that_must_be_cut_is_counted_by_its_volumes() -> None:
    # 4 + 4 + 4 + 4 kg go into no box of 10 kg. Cut by twos, with 6 and 6 kg beside, they take four boxes; cut otherwise
    # three: 4 + 6, 4 + 6, 4 + 4. A bound of four would say that there is no such plan.
    kind = BoxKind(name="box", inner_mm=(1000, 1000, 1000), tare_g=1, limit_g=10_001)
    items = [item(f"s{n}", 4000, set_key="set", order=(n, "")) for n in range(4)]
    items += [item("a", 6000), item("b", 6000)]
    assert plan(items, [kind]).bound == 3


def test_a_set_for_which_no_box_is_left_is_cut_rather_than_left_out() -> None:
    # The one large box takes the heavier set whole; of the other it takes a volume, and a small box the second one.
    large = BoxKind(name="large", inner_mm=(1000, 1000, 1000), tare_g=0, limit_g=10_000, count=1)
    small = BoxKind(name="small", inner_mm=(900, 900, 900), tare_g=0, limit_g=4_000, count=2)
    heavy = [item(f"h{n}", 3100, set_key="heavy", order=(n, "")) for n in range(2)]
    light = [item(f"l{n}", 3000, set_key="light", order=(n, "")) for n in range(2)]
    found = plan([*light, *heavy], [large, small])
    assert (found.left, found.torn) == ((), {"light": 2})
    assert [sorted(one.key for one in box.items) for box in found.boxes] == [["h0", "h1", "l0"], ["l1"]]
    assert plan([*light, *heavy], [large, replace(small, count=0)]).left[0].why is WhyLeft.TOO_FEW_BOXES


def test_open_boxes_are_filled_up_and_keep_what_is_in_them() -> None:
    inside = (book("in", (300, 240, 30), room="Study"),)
    begun = BegunBox(number="B7-01", kind=BOX, room="Study", items=inside)
    items = [book(f"n{n}", (300, 240, 30), room="Study") for n in range(3)]
    found = plan(items, [BOX], begun=[begun])
    assert [(box.number, len(box.items)) for box in found.boxes] == [("B7-01", 4)]
    assert found.bound == 1


def test_an_open_box_that_cannot_be_filled_is_told_and_left_as_it_is() -> None:
    # Five atlases of 60 mm are in a box that is 310 mm high: with a centimetre at the top, one too many by their sizes.
    piled = tuple(book(f"in{n}", (400, 320, 62), density=0.3) for n in range(5))
    heavy = (item("anvil", 18_000),)
    begun = [
        BegunBox(number="B1", kind=BOX, room="", items=piled),
        BegunBox(number="B2", kind=BOX, room="", items=heavy),
    ]
    found = plan([book("new", (300, 240, 30))], [BOX], begun=begun)
    full, over, new = found.boxes
    assert (full.number, len(full.items), full.placed, full.flaws) == ("B1", 5, (), (BoxFlaw.NO_PILES,))
    assert (over.number, len(over.items), len(over.placed), over.flaws) == ("B2", 1, 1, (BoxFlaw.OVER_LIMIT,))
    assert [one.key for one in new.items] == ["new"]
    # What is over the limit there needs no other box: one for the new copy, and no more for the anvil's 40 kg.
    anvil = BegunBox(number="B2", kind=BOX, room="", items=(item("anvil", 40_000),))
    alone = plan([book("new", (300, 240, 30))], [BOX], begun=[anvil])
    assert (alone.bound, len(alone.boxes)) == (2, 2)


def test_a_copy_that_only_an_open_box_holds_goes_there() -> None:
    chest = BoxKind(name="chest", inner_mm=(700, 500, 300), tare_g=2000, limit_g=30_000, count=1)
    atlas = book("atlas", (600, 450, 40), room="Study")
    begun = BegunBox(number="B1", kind=chest, room="Study", items=())
    assert [box.number for box in plan([atlas], [BOX], begun=[begun]).boxes] == ["B1"]
    elsewhere = plan([atlas], [BOX], begun=[replace(begun, room="Hall")])
    assert [left.why for left in elsewhere.left] == [WhyLeft.TOO_LARGE]


def test_a_small_rest_goes_into_the_smallest_box_that_holds_it() -> None:
    small = BoxKind(name="small", inner_mm=(320, 260, 150), tare_g=400, limit_g=12_000, count=1)
    found = plan([book("a", (250, 180, 30)), book("b", (250, 180, 30))], [BOX, small])
    assert [box.kind.name for box in found.boxes] == ["small"]


def test_what_no_box_takes_is_named_and_the_rest_is_planned() -> None:
    items = [
        book("atlas", (600, 450, 40)),
        item("anvil", 40_000),
        item("nothing", 0),
        item("less", -5),
        book("good", (300, 240, 30)),
    ]
    found = plan(items, [BOX])
    assert {left.item.key: left.why for left in found.left} == {
        "atlas": WhyLeft.TOO_LARGE,
        "anvil": WhyLeft.TOO_HEAVY,
        "nothing": WhyLeft.NO_MEASURE,
        "less": WhyLeft.NO_MEASURE,
    }
    assert [one.key for box in found.boxes for one in box.items] == ["good"]
    few = plan([book(str(n), (400, 300, 60)) for n in range(9)], [replace(BOX, count=1)])
    assert {left.why for left in few.left} == {WhyLeft.TOO_FEW_BOXES}
    assert len(few.boxes) == few.bound == 1
    assert plan([book("a", (300, 240, 30))], []).left[0].why is WhyLeft.NO_KIND


def test_a_copy_named_twice_and_a_box_that_holds_nothing_are_refused() -> None:
    begun = BegunBox(number="B1", kind=BOX, room="", items=(item("a", 5),))
    for items, started in (([item("a", 5), item("a", 5)], []), ([item("a", 5)], [begun])):
        with pytest.raises(UsageError, match="Copy a"):
            plan(items, [BOX], begun=started)
    for useless in (replace(BOX, limit_g=900), replace(BOX, inner_mm=(420, 0, 310))):
        with pytest.raises(UsageError, match="book box"):
            plan([item("a", 5)], [BOX, useless])


def test_nothing_to_pack_makes_an_empty_plan() -> None:
    found = plan([], [BOX])
    assert (found.boxes, found.bound, found.gap) == ((), 0, 0.0)


def test_large_and_heavy_lie_below() -> None:
    small, wide, heavy = book("small", (150, 100, 20)), book("wide", (310, 240, 20)), book("heavy", (300, 235, 60))
    placed = arrange_in_piles([small, wide, heavy], (330, 250, 310))
    assert placed is not None
    assert [place.key for place in placed] == ["heavy", "wide", "small"]
    assert arrange_in_piles([small], (90, 90, 300)) is None


def test_a_plan_whose_time_is_up_leaves_the_rest_out_and_counts_it() -> None:
    items = [book(f"n{n}", (300, 240, 30)) for n in range(30)]
    nothing = plan(items, [BOX], in_time=lambda: False)
    assert (nothing.boxes, nothing.bound, nothing.not_reached) == ((), 0, 30)
    asked = itertools.count()
    some = plan(items, [BOX], in_time=lambda: next(asked) < 20)
    assert (sum(len(box.items) for box in some.boxes), some.not_reached) == (20, 10)
    assert len(some.boxes) >= some.bound
    assert plan(items, [BOX]).not_reached == 0


@given(st.lists(st.integers(1, 100), max_size=60))
def test_the_first_box_that_takes_a_block_is_found_as_by_trying_all(masses: list[int]) -> None:
    kind = BoxKind(name="box", inner_mm=(1000, 1000, 1000), tare_g=1, limit_g=101)
    tree = FirstFit()
    loads: list[int] = []
    for nth, mass in enumerate(masses):
        block = make_block([item(str(nth), mass)])
        first = next((at for at, load in enumerate(loads) if load + mass <= 100), None)
        assert tree.put(block) is (first is not None)
        if first is not None:
            loads[first] += mass
            continue
        fresh = OpenBox(kind, "", {})
        fresh.put(block)
        tree.add(fresh)
        loads.append(mass)
    assert [one.mass for one in tree.boxes] == loads


@pytest.mark.parametrize(
    ("masses", "values"),
    [
        # In how many boxes all would go by their mass, and what boxes then hold: the rule of `PackingRules.share`.
        (1, [500, 500]),  # never more than a half
        (4, [500, 500]),
        (5, [400, 400, 200]),  # two fifths
        (7, [200, 200, 200, 200, 200]),  # two sevenths are 285.7
        (12, [200, 200, 200, 200, 200]),  # never less than a quarter, 250
    ],
)
def test_the_share_of_the_value_that_one_box_may_hold(masses: int, values: list[int]) -> None:
    # Ten copies of 100 each, which are the heaviest and go in first; the rest fills the boxes.
    rest = (masses * BOX.contents_g - 10 * 1001 - 500) / 900
    items = [item(f"v{n}", 1001, value=100.0, currency="EUR") for n in range(10)]
    items += [item(f"p{n}", 900) for n in range(int(rest))]
    found = plan(items, [BOX])
    worth = [sum(one.value for one in box.items) for box in found.boxes]
    assert [value for value in worth if value] == values


@pytest.mark.parametrize(
    ("rows", "begun", "boxes"),
    [
        ([("Study", 100), ("Hall", 100)], [], 2),  # a box goes to one room
        ([("Study", 17_100)], [], 1),
        ([("Study", 10_000), ("Study", 7_101)], [], 2),
        ([("Study", 9_000)] * 3, [], 3),  # each more than half a box
        ([("Study", 6_000)] * 2, [("Study", 5_000)], 1),  # 12,100 g are left in the box begun
        ([("Study", 6_100)] * 2, [("Study", 5_000)], 2),
        ([("Hall", 100)], [("Study", 5_000)], 2),
        ([("Study", 17_000), ("Study", 17_000)], [("Study", 0)], 2),  # a box begun with nothing in it counts when used
        ([], [("Study", 5_000)], 1),
        ([], [("Study", 0)], 0),
    ],
)
def test_the_bound_by_hand(rows: list[tuple[str, int]], begun: list[tuple[str, int]], boxes: int) -> None:
    items = [item(str(n), mass, room=room) for n, (room, mass) in enumerate(rows)]
    started = [
        BegunBox(number=f"B{n}", kind=BOX, room=room, items=(item(f"in{n}", mass, room=room),) if mass else ())
        for n, (room, mass) in enumerate(begun)
    ]
    found = plan(items, [BOX], begun=started)
    assert (found.bound, len(found.boxes), found.left) == (boxes, boxes, ())


def test_the_bound_by_volume() -> None:
    # Light blocks of 200 x 165 x 300 mm; the box holds 420 x 330 x 310 mm, four by their volume.
    items = [PackItem(key=str(n), mass_g=10, size_mm=(200, 160, 300)) for n in range(9)]
    assert plan(items, [BOX]).bound == 3
    begun = BegunBox(number="B1", kind=BOX, room="", items=(items[0],))
    assert plan(items[1:], [BOX], begun=[begun]).bound == 3


def test_the_gap_is_the_share_of_boxes_above_the_bound() -> None:
    nine = by_mass([204] * 6 + [108] * 6 + [104] * 6 + [92] * 12, 400)
    assert nine.gap == 0
    assert replace(nine, boxes=(*nine.boxes, *nine.boxes[:3])).gap == pytest.approx(1 / 3)


def test_the_roomiest_boxes_are_taken_first_and_no_more_than_there_are() -> None:
    large = BoxKind(name="large", inner_mm=(500, 400, 400), tare_g=1000, limit_g=11_000, count=2)
    middle = BoxKind(name="middle", inner_mm=(400, 300, 300), tare_g=1000, limit_g=8_000, count=1)
    found = plan([item(str(n), 4_000) for n in range(6)], [middle, large])
    assert sorted(box.kind.name for box in found.boxes) == ["large", "large", "middle"]
    assert len(found.left) == 1
    assert [len(box.items) for box in found.boxes] == [2, 2, 1]


def test_each_rest_takes_the_smallest_box_that_is_left() -> None:
    small = BoxKind(name="small", inner_mm=(320, 260, 150), tare_g=400, limit_g=12_000, count=1)
    least = BoxKind(name="least", inner_mm=(310, 250, 60), tare_g=100, limit_g=3_000, count=1)
    rooms = [book(room, (250, 180, 30), room=room) for room in ("Study", "Hall", "Attic")]
    assert sorted(box.kind.name for box in plan(rooms, [BOX, small, least]).boxes) == ["book box", "least", "small"]
    # What weighs too much for the smallest goes into the next.
    heavy = item("heavy", 2_950)
    assert [box.kind.name for box in plan([heavy], [BOX, small, least]).boxes] == ["small"]
    # A box that was begun stays what it is.
    begun = BegunBox(number="B1", kind=BOX, room="", items=(item("in", 10),))
    assert [box.kind.name for box in plan([item("a", 10)], [BOX, small, least], begun=[begun]).boxes] == ["book box"]


def test_a_search_that_may_not_go_on_leaves_the_greedy_plan() -> None:
    masses = [204] * 6 + [108] * 6 + [104] * 6 + [92] * 12
    kind = BoxKind(name="box", inner_mm=(1000, 1000, 1000), tare_g=1, limit_g=401)
    items = [item(str(n), mass) for n, mass in enumerate(masses)]
    found = plan(items, [kind], going=lambda: False)
    assert (len(found.boxes), found.first, found.bound) == (11, 11, 9)
