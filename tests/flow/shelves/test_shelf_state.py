"""The shelves in their order, with their place in the room and what stands on them. All invented."""

from collections.abc import Iterator
from dataclasses import replace
from math import inf
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import PlaceNode, place_nodes
from intake.flow.lists.import_list import ListKind
from intake.flow.shelves.make_places import set_order
from intake.flow.shelves.shelf_state import (
    Filing,
    Shelf,
    ShelfOrder,
    as_book,
    case_of,
    double_positions,
    name_of,
    read_shelves,
)
from intake.flow.shelves.shelve_copy import shelve
from intake.model.editions import Copy, Edition
from intake.model.places import Place, PlaceKind, PlacePath
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

SHELVES = """room,bookcase,shelf,width_mm,height_mm,depth_mm,above_floor_mm,board_mm,rated_kg,bookcase_width_mm
Study,A,1,800,300,250,,20,30,
Study,A,2,700,350,,,25,,
Study,A,3,600,400,,100,30,,
Study,B,1,500,,,,,,1200
Hall,C,1,,300,,50,,,
Hall,C,2,900,300,,,,,
Hall,D,1,400,300,,,,,
"""
EDITIONS = """key,title,subject,thickness_mm,set,volume
A,Auks,Birds,30,,
F2,Finches,Birds,35,Small Birds,2
F1,Finches,Birds,25,Small Birds,1
"""


@pytest.fixture(scope="module")
def rooms_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("rooms")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.PLACES, SHELVES)
        import_text(library, folder, ListKind.EDITIONS, EDITIONS)
        import_text(library, folder, ListKind.COPIES, "key\nA\nF2\nF1\n")
    return folder / "library"


@pytest.fixture
def rooms(rooms_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Two rooms with two bookcases each; three copies at hand."""
    with copy_library(rooms_made, tmp_path / "library") as opened:
        yield opened


def read(library: Library, *names: str) -> dict[str, Shelf]:
    with library.reading() as records:
        chosen = [shelf.place for shelf in read_shelves(records) if shelf.name in names] if names else None
        return {shelf.name: shelf for shelf in read_shelves(records, chosen)}


def test_shelves_come_by_room_bookcase_and_shelf(rooms: Library) -> None:
    assert list(read(rooms)) == ["A 1", "A 2", "A 3", "B 1", "C 1", "C 2", "D 1"]
    assert list(read(rooms, "C 2", "A 3")) == ["A 3", "C 2"]
    shelf = read(rooms)["C 2"]
    assert (shelf.room, shelf.path, shelf.bookcase and shelf.bookcase.name) == (
        "Hall",
        PlacePath(("Hall", "C", "2")),
        "C",
    )


def test_the_space_of_a_shelf_is_as_measured_and_unlimited_where_it_was_not(rooms: Library) -> None:
    shelves = read(rooms)
    first, second = shelves["A 1"].space, shelves["A 2"].space
    assert first is not None
    assert second is not None
    assert (first.width_mm, first.height_mm, first.depth_mm, first.limit_g) == (800, 300, 250, 30_000)
    assert (second.height_mm, second.depth_mm, second.limit_g) == (350, inf, inf)
    assert (first.name, first.shelf) == ("A 1", shelves["A 1"].place.number)
    assert shelves["B 1"].space is not None
    assert shelves["B 1"].space.height_mm == inf
    assert shelves["C 1"].space is None, "its width is not known"


def test_heights_add_up_from_the_lowest_shelf(rooms: Library) -> None:
    """100 mm, as measured; 100 + 400 clear + 30 of board; 530 + 350 + 25."""
    shelves = read(rooms)
    heights = {name: shelf.space.y_m for name, shelf in shelves.items() if shelf.space}
    assert [heights[name] for name in ("A 3", "A 2", "A 1")] == pytest.approx([0.1, 0.53, 0.905])
    # Nothing is known below the lowest of these: it stands on the floor.
    assert (heights["C 2"], heights["D 1"], heights["B 1"]) == (0, 0, 0)
    # The same, whichever shelves are asked for.
    alone = read(rooms, "A 1")["A 1"].space
    assert alone is not None
    assert alone.y_m == pytest.approx(0.905)


def test_bookcases_stand_side_by_side_and_rooms_apart(rooms: Library) -> None:
    """A is as wide as its widest shelf, 0.8 m, and B as its outside, 1.2 m, says."""
    shelves = read(rooms)
    along = {name: shelf.space.x_m for name, shelf in shelves.items() if shelf.space}
    assert (along["A 1"], along["A 2"], along["A 3"]) == (0, 0, 0)
    assert along["B 1"] == pytest.approx(0.8)
    assert along["C 2"] > 0.8 + 1.2 + 1, "a room further on"
    assert along["D 1"] == pytest.approx(along["C 2"] + 0.9)


def node(number: str, kind: PlaceKind, parent: str | None = None, width_mm: float | None = None) -> PlaceNode:
    return PlaceNode(number, kind, number.upper(), parent, 1, "", width_mm)


def test_a_bookcase_that_was_not_measured_is_taken_as_wide_as_usual() -> None:
    places = [
        node("r", PlaceKind.ROOM), node("a", PlaceKind.BOOKCASE, "r"), node("a1", PlaceKind.SHELF, "a"),
        node("b", PlaceKind.BOOKCASE, "r"), node("b1", PlaceKind.SHELF, "b", 500.0),
    ]  # fmt: skip
    order = ShelfOrder(places)
    assert order.x_m("a") == 0
    assert 0.5 <= order.x_m("b") <= 1.5
    assert [shelf.number for shelf in order.shelves] == ["a1", "b1"]
    assert [shelf.number for shelf in order.chosen(["b1", "a1", "x"])] == ["a1", "b1"]
    assert ("a1" in order, "a" in order, "x" in order) == (True, False, False)
    assert order.node("b").kind is PlaceKind.BOOKCASE
    assert order.path("b1") == PlacePath(("R", "B", "B1"))


def test_a_shelf_in_no_bookcase_is_a_case_of_its_own() -> None:
    """A board on a wall: no bookcase's width counts, and another of the room stands beside it."""
    places = [
        node("r", PlaceKind.ROOM),
        node("w1", PlaceKind.SHELF, None, 700.0),
        node("w2", PlaceKind.SHELF, None, 600.0),
    ]
    order = ShelfOrder(places)
    assert (case_of(places[1]), case_of(node("a1", PlaceKind.SHELF, "a"))) == ("w1", "a")
    assert [order.x_m("w1"), order.x_m("w2")] == pytest.approx([0, 0.7])
    board = Place(number="w1", kind=PlaceKind.SHELF, name="Board")
    case = Place(number="a", kind=PlaceKind.BOOKCASE, name="A")
    assert (name_of(board, None), name_of(board, case)) == ("Board", "A Board")
    loose = Shelf(board, "Board", PlacePath(("Study", "Board")), None, None, ())
    assert (loose.room, replace(loose, path=PlacePath(("Study", "A", "Board"))).room) == ("", "Study")


def test_books_stand_from_the_left_as_instructions_call_them(rooms: Library) -> None:
    with rooms.reading() as records:
        shelf = read_shelves(records)[0].place.number
    for copy, behind in (("1", ""), ("2", "1"), ("3", "1")):
        shelve(rooms, copy, shelf, behind=behind, station="test", now=NOW)
    standing = read(rooms)["A 1"]
    assert [copy.accession.split("-")[0] for copy, _ in standing.standing] == ["A1", "A3", "A2"]
    assert [(book.name, book.thickness_mm) for book in standing.books] == [
        ("Auks", 30), ("Finches, vol. 1", 25), ("Finches, vol. 2", 35),
    ]  # fmt: skip
    assert read(rooms)["A 2"].standing == ()
    assert as_book(*standing.standing[0], growth_mm=40).growth_mm == 40


def test_copies_file_by_the_rule_and_second_copies_by_their_own_number(rooms: Library, tmp_path: Path) -> None:
    import_text(rooms, tmp_path, ListKind.COPIES, "key\n" + "A\n" * 9)
    with rooms.reading() as records:
        pairs = list(all_copies(records))
        filed = Filing(records).in_order(reversed(pairs))
        titles = Filing(records).set_titles
    numbers = [copy.accession.split("-")[0] for copy, _ in filed]
    # By subject, then by the set: the auks, and the small birds in the order of their volumes.
    assert numbers == ["A1", *(f"A{n}" for n in range(4, 12)), "A3", "A2"]
    assert list(titles.values()) == ["Small Birds"]
    set_order(rooms, "volume", station="test")
    with rooms.reading() as records:
        assert [copy.accession.split("-")[0] for copy, _ in Filing(records).in_order(pairs)][-2:] == ["A3", "A2"]


def test_a_set_files_under_its_own_title(rooms: Library) -> None:
    set_order(rooms, "set", station="test")
    with rooms.reading() as records:
        filing = Filing(records)
        pairs = {edition.key: edition for _, edition in all_copies(records)}
    keys = {key: filing.key(edition) for key, edition in pairs.items()}
    between = filing.key(Edition(id=90, title="Petrels"))
    assert keys["A"] < between < keys["F1"] == keys["F2"], "P comes before S of Small Birds, and after F of Finches"


def test_copies_that_claim_one_position_are_named_together() -> None:
    place = Place(number="S1", kind=PlaceKind.SHELF, name="1")
    positions = [1, 2, 2, 3, 3, 3, None, None]
    pairs = tuple(
        (Copy(accession=f"A{n}", edition_id=1, position=position), Edition(id=1, title="Auks"))
        for n, position in enumerate(positions)
    )
    second, third = double_positions(Shelf(place, "A 1", PlacePath(("Study", "A", "1")), None, None, pairs))
    assert second.startswith("A1 and A2 are")
    assert "place 2 on A 1" in second
    assert third.startswith("A3 and A4 and A5 are")
    assert double_positions(Shelf(place, "A 1", PlacePath(("S", "A", "1")), None, None, pairs[:2])) == ()


def test_nodes_of_chosen_places_bring_what_they_are_in(rooms: Library) -> None:
    with rooms.reading() as records:
        shelf = read_shelves(records)[3].place.number
        order = ShelfOrder(place_nodes(records, [shelf]))
    assert [one.number for one in order.shelves] == [shelf]
    assert order.path(shelf) == PlacePath(("Study", "B", "1"))
