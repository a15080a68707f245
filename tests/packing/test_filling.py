"""What fits into a box under way, worked by hand at each limit: mass, room, value, shape."""

from dataclasses import replace

import pytest

from intake.packing.filling import Block, OpenBox, make_block
from intake.packing.packing_plan import BoxKind, PackItem

# Holds 10,000 g, and a pile of 300 x 200 x 190 mm.
KIND = BoxKind(name="box", inner_mm=(302, 202, 200), tare_g=500, limit_g=10_500)


def item(key: str, mass_g: float = 1000, thick_mm: float = 10, value: float = 0, currency: str = "EUR") -> PackItem:
    return PackItem(
        key=key,
        mass_g=mass_g,
        size_mm=(300, 200, thick_mm),
        room="Study",
        value=value,
        currency=currency if value else "",
    )


def block(*items: PackItem) -> Block:
    return make_block(items)


def box(*fixed: PackItem, cap: float | None = None) -> OpenBox:
    return OpenBox(KIND, "Study", {} if cap is None else {"EUR": cap}, fixed=fixed)


def test_a_block_adds_up_its_copies() -> None:
    found = block(item("a", 1000, 10), item("b", 2500, 30))
    assert (found.mass, found.volume, found.room) == (3500, 300 * 200 * 40, "Study")


def test_what_lies_in_it_counts_from_the_beginning() -> None:
    begun = box(item("a", 1000, 10), item("b", 2500, 30))
    assert (begun.mass, begun.volume, begun.slack) == (3500, 300 * 200 * 40, 6500)
    assert [one.key for one in begun.items()] == ["a", "b"]


def test_putting_in_and_taking_out_are_each_others_reverse() -> None:
    filling = box(item("a"))
    one, two = block(item("b", 2000, 20)), block(item("c", 3000, 30))
    filling.put(one)
    filling.put(two)
    assert (filling.mass, filling.volume, filling.slack) == (6000, 300 * 200 * 60, 4000)
    assert [copy.key for copy in filling.items()] == ["a", "b", "c"]
    filling.take(one)
    assert (filling.mass, filling.volume, filling.slack) == (4000, 300 * 200 * 40, 6000)
    assert [copy.key for copy in filling.items()] == ["a", "c"]


def test_the_mass_may_reach_the_limit_and_not_pass_it() -> None:
    filling = box(item("a", 4000))
    assert filling.takes(block(item("b", 6000)))
    assert not filling.takes(block(item("b", 6000.1)))
    gone = block(item("c", 3000))
    filling.put(gone)
    assert not filling.takes(block(item("b", 6000)))
    assert filling.takes(block(item("b", 6000)), [gone])
    assert not filling.takes(block(item("b", 6001)), [gone])


def test_the_height_may_reach_the_top_and_not_pass_it() -> None:
    filling = box(item("a", 1000, 100))
    assert filling.takes(block(item("b", 1000, 90)))
    assert not filling.takes(block(item("b", 1000, 91)))
    gone = block(item("c", 1000, 60))
    filling.put(gone)
    assert not filling.takes(block(item("b", 1000, 90)))
    assert filling.takes(block(item("b", 1000, 90)), [gone])


def test_more_volume_than_the_box_has_is_refused_before_any_pile_is_tried() -> None:
    # Exactly as large as the space inside it is no reason yet; the clearance of the piles then is.
    assert OpenBox(KIND, "Study", {}).volume == 0
    assert not box().takes(block(PackItem(key="b", mass_g=1, size_mm=(302, 202, 201), room="Study")))


def test_a_box_goes_to_one_room() -> None:
    assert not box(item("a")).takes(block(replace(item("b"), room="Hall")))


def test_the_value_may_reach_the_cap_and_not_pass_it() -> None:
    filling = box(item("a", value=300), cap=1000)
    assert filling.takes(block(item("b", value=700)))
    assert not filling.takes(block(item("b", value=701)))
    assert filling.takes(block(item("b")))
    gone = block(item("c", value=200))
    filling.put(gone)
    assert not filling.takes(block(item("b", value=700)))
    assert filling.takes(block(item("b", value=700)), [gone])


def test_what_alone_is_over_the_cap_lies_with_what_has_no_value() -> None:
    assert box(item("a"), cap=1000).takes(block(item("b", value=5000)))
    assert not box(item("a", value=1), cap=1000).takes(block(item("b", value=5000)))
    full = box(item("a", value=5000), cap=1000)
    assert full.takes(block(item("b")))
    assert not full.takes(block(item("b", value=1)))


def test_each_currency_has_its_own_cap() -> None:
    filling = OpenBox(KIND, "Study", {"EUR": 1000, "JPY": 100_000}, fixed=(item("a", value=900),))
    assert filling.takes(block(item("b", value=100_000, currency="JPY")))
    assert not filling.takes(block(item("b", value=50_000, currency="JPY"), item("c", value=101)))


@pytest.mark.parametrize("kind", [KIND, replace(KIND, name="higher", inner_mm=(302, 202, 300))])
def test_a_filled_box_names_its_copies_and_where_each_lies(kind: BoxKind) -> None:
    filling = OpenBox(KIND, "Study", {}, number="B7-01", fixed=(item("a", 1000, 50),))
    filling.put(block(item("b", 2000, 60)))
    filled = filling.filled(kind)
    assert (filled.kind, filled.number, filled.room, filled.mass_g) == (kind, "B7-01", "Study", 3500)
    assert [(place.key, place.pile, place.layer) for place in filled.placed] == [("b", 1, 1), ("a", 1, 2)]
