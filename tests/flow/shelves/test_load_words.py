"""Words about loads: each figure with its code or table, and the engineer who decides."""

import pytest

from intake.flow.shelves.load_words import (
    ENGINEER,
    excess_words,
    floor_cautions,
    floor_loads_words,
    floor_words,
    shelves_cautions,
)
from intake.model.places import Place, PlaceKind
from intake.shelving.excess import Excess, ShelfLimit
from intake.shelving.loads import BookcaseLoad, bookcase_load, shelf_load
from tests.shelving.making import book

CASE = Place(number="S2-82", kind=PlaceKind.BOOKCASE, name="A", width_mm=800, depth_mm=250)


def shelf(material: str = "particleboard", rated_g: float | None = None) -> Place:
    return Place(
        number="S3-81", kind=PlaceKind.SHELF, name="1", width_mm=800, depth_mm=250, board_mm=18, material=material,
        rated_g=rated_g,
    )  # fmt: skip


def case_of(kilograms: float, case: Place = CASE) -> BookcaseLoad:
    return bookcase_load(case, [shelf_load(shelf(), [book("a", mass_g=1000 * kilograms)])])


def test_every_floor_load_stands_beside_its_code() -> None:
    words = floor_loads_words()
    assert "dwellings 1.92 kPa (IBC 2021, table 1607.1)" in words
    assert "stores of books 7.50 kPa (EN 1991-1-1, table 6.4)" in words
    assert "1.5 to 2.0 kPa (EN 1991-1-1, table 6.2, from memory)" in words
    assert "structural engineer" in ENGINEER


def test_what_is_not_known_of_a_bookcase_is_said() -> None:
    assert floor_words(case_of(148)) == (
        "Books 148.00 kg, without the bookcase, whose mass is not known: 7.26 kPa on its footprint, "
        "1.51 kPa spread over 1.2 m from the wall."
    )
    bare = Place(number="S2-82", kind=PlaceKind.BOOKCASE, name="A", mass_g=20_000)
    assert floor_words(case_of(100, bare)).startswith(
        "Books and bookcase 120.00 kg; its load on the floor is not known"
    )


@pytest.mark.parametrize(("kilograms", "cautions"), [(140, 0), (148, 1), (160, 2)])
def test_a_bookcase_above_what_floors_are_designed_for_sends_to_the_engineer(kilograms: float, cautions: int) -> None:
    # 1.5 kPa on 0.8 x 1.2 m are 146.8 kg; 7.5 kPa on 0.8 x 0.25 m are 153 kg.
    found = floor_cautions(case_of(kilograms))
    assert len(found) == cautions
    assert all("structural engineer" in caution for caution in found)


def test_a_sag_names_its_tables_and_the_same_of_several_shelves_is_said_once() -> None:
    loads = [(name, shelf_load(shelf(), [book("a", mass_g=30_000)])) for name in ("A 1", "A 2")]
    visible, beyond = shelves_cautions(loads)
    assert visible.startswith("A 1, A 2: Over the years it may sag by 32.8 mm")
    assert "EN 312, type P2" in visible
    assert "EN 1995-1-1, table 3.2" in visible
    assert "k_def 2.25" in visible
    assert "Architectural Woodwork Standards (L/144, 5.6 mm)" in beyond


def test_a_sag_that_is_not_known_says_why() -> None:
    loads = [
        (material, shelf_load(shelf(material), [book("a")])) for material in ("", "glass")
    ]  # fmt: skip
    nameless, glass = shelves_cautions(loads)
    assert "is not recorded" in nameless
    assert "'glass'" in glass
    assert shelves_cautions([("A 1", shelf_load(shelf("glass"), []))]) == []


def test_each_limit_in_words() -> None:
    said = [
        excess_words(Excess(ShelfLimit.LENGTH, 815, 800), "A 3"),
        excess_words(Excess(ShelfLimit.LOAD, 21_000, 20_000, estimated=True), "A 3"),
        excess_words(Excess(ShelfLimit.HEIGHT, 420, 300, ("A7-52",)), "A 3"),
        excess_words(Excess(ShelfLimit.DEPTH, 320, 300, ("A7-52", "A8-49"), estimated=True), "A 3"),
    ]
    assert said == [
        "The books on A 3 need 815 mm and have 800 mm.",
        "A 3 carries about 21.00 kg, more than the 20.00 kg that its maker allows.",
        "A 3 is 300 mm high, too low for A7-52 (420 mm high).",
        "A 3 is 300 mm deep, less than A7-52 and A8-49 (up to 320 mm deep; some of these sizes are estimated).",
    ]
