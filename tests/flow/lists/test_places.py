"""Lists of shelves: each column in its unit, the tree they make, and what is refused."""

from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.flow.lists.import_list import ListKind
from intake.model.places import Place, PlaceKind
from tests.flow.conftest import import_text

HEADINGS = (
    "room,bookcase,shelf,width_mm,height_mm,depth_mm,subject,above_floor_mm,material,board_mm,span_mm,rated_kg,"
    "bookcase_width_mm,bookcase_depth_mm,bookcase_mass_kg\n"
)


def places(library: Library) -> dict[str, Place]:
    with library.reading() as records:
        return {place.name: place for place in records.all(Place)}


def test_every_column_is_read_in_its_unit(library: Library, tmp_path: Path) -> None:
    row = "Hall,Oak,top,900,320,260,Maps,1500,white oak,22,450,40,1000,300,35.5\n"
    result = import_text(library, tmp_path, ListKind.PLACES, HEADINGS + row)
    assert result.made == 3
    made = places(library)
    shelf, bookcase, room = made["top"], made["Oak"], made["Hall"]
    assert (shelf.kind, bookcase.kind, room.kind) == (PlaceKind.SHELF, PlaceKind.BOOKCASE, PlaceKind.ROOM)
    assert (shelf.parent, bookcase.parent, room.parent) == (bookcase.number, room.number, None)
    assert (shelf.width_mm, shelf.height_mm, shelf.depth_mm, shelf.subject) == (900, 320, 260, "Maps")
    assert (shelf.above_floor_mm, shelf.material, shelf.board_mm, shelf.span_mm) == (1500, "white oak", 22, 450)
    assert (shelf.rated_g, bookcase.mass_g, bookcase.width_mm, bookcase.depth_mm) == (40_000, 35_500, 1000, 300)


def test_rows_give_the_order_of_shelves(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.PLACES, "room,bookcase,shelf\nHall,Oak,top\nHall,Oak,low\nHall,Ash,only\n")
    import_text(library, tmp_path, ListKind.PLACES, "room,bookcase,shelf\nHall,Oak,cellar\n")
    made = places(library)
    assert [made[name].position for name in ("top", "low", "cellar", "only")] == [1, 2, 3, 1]
    assert [made[name].position for name in ("Oak", "Ash")] == [1, 2]
    # The study of the small library was there before.
    assert made["Hall"].position == made["Study"].position + 1


def test_a_shelf_described_again_is_altered_or_unchanged(library: Library, tmp_path: Path) -> None:
    text = "room,bookcase,shelf,width_mm\nStudy,A,1,800\nStudy,A,2,850\n"
    result = import_text(library, tmp_path, ListKind.PLACES, text)
    assert (result.made, result.altered, result.unchanged) == (0, 1, 1)
    with library.reading() as records:
        (wider,) = [place for place in records.all(Place) if place.width_mm == 850]
    # An empty cell takes nothing away, and the place in the order stays.
    assert (wider.height_mm, wider.subject, wider.position) == (300, "Birds", 2)


@pytest.mark.parametrize(
    ("rows", "lines"),
    [
        ("Hall,Oak,,\n", [2]), ("Hall,,top,\n", [2]), (",Oak,top,\n", [2]), ("Hall,Oak,top,wide\n", [2]),
        ("Hall,Oak,top,\nHall,Oak,low,\nHall,Oak,top,\n", [4]), ("Hall,Oak,top,\nHall,Ash,top,\n", []),
    ],
)  # fmt: skip
def test_rows_that_cannot_be_used(library: Library, tmp_path: Path, rows: str, lines: list[int]) -> None:
    result = import_text(library, tmp_path, ListKind.PLACES, f"room,bookcase,shelf,width_mm\n{rows}")
    assert [bad.line for bad in result.bad_rows] == lines
    assert (result.entries == ()) == bool(lines)


def test_a_shelf_may_stand_on_the_floor_and_nothing_else_is_zero(library: Library, tmp_path: Path) -> None:
    text = "room,bookcase,shelf,above_floor_mm\nHall,Oak,low,0\n"
    assert import_text(library, tmp_path, ListKind.PLACES, text).made == 3
    assert places(library)["low"].above_floor_mm == 0
    refused = import_text(library, tmp_path, ListKind.PLACES, text.replace("above_floor", "width"), dry_run=True)
    assert [row.line for row in refused.bad_rows] == [2]
