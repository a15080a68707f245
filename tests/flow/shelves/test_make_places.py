"""Bookcases from a few words and from a list, and the rule of order."""

from functools import partial
from pathlib import Path
from typing import Any

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import places_in
from intake.errors import ChangedMeanwhileError, RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.places import PlacePlanner
from intake.flow.shelves.make_places import ShelfRequest, make_bookcase, parse_shelves
from intake.flow.shelves.shelf_state import read_shelves
from intake.model.places import Place, PlaceKind
from tests.flow.conftest import import_text
from tests.made_library import new_library

CASE = Place(number="", kind=PlaceKind.BOOKCASE, name="Oak")
BOARD = Place(number="", kind=PlaceKind.SHELF, name="", subject="Birds", material="oak", board_mm=20)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("five shelves of 800 mm", ShelfRequest(5, 800)),
        ("5 shelves of 800 x 300 x 250 mm", ShelfRequest(5, 800, 300, 250)),
        ("one shelf of 1.2 m", ShelfRequest(1, 1200)),
        ("Twelve shelves, 80 by 32,5 cm.", ShelfRequest(12, 800, 325)),
        ("3 boards: 900×350", ShelfRequest(3, 900, 350)),
    ],
)
def test_what_a_person_says_of_shelves(text: str, said: ShelfRequest) -> None:
    assert parse_shelves(text) == said


@pytest.mark.parametrize(
    "text",
    ["5 shelves of 31 x 11 x 12", "2 shelves of 3/4", "5 shelves of 2 mm", "5 shelves of 9 x 3 x 2 m"],
)
def test_a_size_that_no_shelf_has_asks_for_its_unit(text: str) -> None:
    """Inches or centimetres without a unit are never taken for millimetres; with their unit they are what they say."""
    with pytest.raises(UsageError, match="which no shelf has"):
        parse_shelves(text)
    assert parse_shelves("2 shelves of 2 ft 7 in x 11 in").width_mm == pytest.approx(787.4)
    assert parse_shelves("2 shelves of 31 x 11 x 12 in").depth_mm == pytest.approx(304.8)
    assert parse_shelves("2 shelves of 600 x 90 x 90 mm").height_mm == 90  # small ones, said in millimetres


@pytest.mark.parametrize(
    "text", ["", "shelves", "many shelves of 800 mm", "0 shelves of 800 mm", "five shelves", "5 shelves of 0 mm",
             "5 shelves of 1 x 2 x 3 x 4 mm", "101 shelves of 800 mm", "5 shelves of 900 km"]
)  # fmt: skip
def test_words_that_say_no_shelves(text: str) -> None:
    with pytest.raises(UsageError, match="five shelves of 800 x 300 x 250 mm"):
        parse_shelves(text)


def test_a_bookcase_made_by_words(tmp_path: Path) -> None:
    library = new_library(tmp_path / "library")
    said = parse_shelves("three shelves of 800 x 300 x 250 mm")
    made = make_bookcase(library, said, room="Study", bookcase=CASE, board=BOARD, lowest_mm=80, station="test")
    assert [(shelf.name, shelf.above_floor_mm, shelf.width_mm) for shelf in made] == [
        ("1", 720, 800), ("2", 400, 800), ("3", 80, 800)]  # fmt: skip
    with pytest.raises(RefusedError, match="has a bookcase Oak already"):
        make_bookcase(library, said, room="Study", bookcase=CASE, board=BOARD, lowest_mm=80, station="test")
    make_bookcase(library, said, room="Hall", bookcase=CASE, board=BOARD, lowest_mm=None, station="test")
    with library.reading() as records:
        shelves = read_shelves(records)
    assert [shelf.name for shelf in shelves] == ["Oak 1", "Oak 2", "Oak 3"] * 2
    heights = [round(shelf.space.y_m, 3) for shelf in shelves if shelf.space]
    assert heights == [0.72, 0.4, 0.08, 0.64, 0.32, 0.0]
    across = [shelf.space.x_m for shelf in shelves if shelf.space]
    assert across[3] - across[0] > 5  # another room is far away
    with pytest.raises(UsageError, match="needs a room and a name"):
        make_bookcase(library, said, room=" ", bookcase=CASE, board=BOARD, lowest_mm=None, station="test")
    library.close()


def test_two_stations_do_not_make_one_bookcase_twice(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the plan of one station and its booking another makes the same; a new room is not made twice either."""
    said = parse_shelves("two shelves of 800 mm")
    make = partial(make_bookcase, library, said, bookcase=CASE, board=BOARD, lowest_mm=None)
    for room in ("Study", "Hall"):
        meanwhile = iter([room])
        plan = PlacePlanner.plan

        def interrupted(planner: PlacePlanner, rows: Any) -> Any:
            planned = plan(planner, rows)  # noqa: B023 - it is called in this round
            for name in meanwhile:  # noqa: B023 - as above
                make(room=name, station="door")
            return planned

        monkeypatch.setattr(PlacePlanner, "plan", interrupted)
        with pytest.raises(ChangedMeanwhileError):
            make(room=room, station="hall")
        monkeypatch.setattr(PlacePlanner, "plan", plan)
    with library.reading() as records:
        places = records.all(Place)
    assert sorted(place.name for place in places if place.kind is PlaceKind.ROOM) == ["Hall", "Study"]
    assert [place.name for place in places if place.kind is PlaceKind.BOOKCASE].count("Oak") == 2


def test_columns_of_boards_and_bookcases(library: Library, tmp_path: Path) -> None:
    heading = "room,bookcase,shelf,width_mm,above floor,material,board_mm,rated load,bookcase_width_mm,bookcase_mass_kg"
    text = f"{heading}\nStudy,A,1,800,1200,Oak,20,35.5,840,41\nStudy,A,3,800,,,,,,\n"
    result = import_text(library, tmp_path, ListKind.PLACES, text)
    assert (result.made, result.altered, result.bad_rows) == (1, 2, ())
    with library.reading() as records:
        case = next(place for place in records.all(Place) if place.name == "A")
        first, _, third = places_in(records, case.number)
    assert (case.width_mm, case.mass_g) == (840, 41_000)
    assert (first.above_floor_mm, first.material, first.board_mm, first.rated_g) == (1200, "Oak", 20, 35_500)
    assert (first.subject, third.position) == ("Plants", 3)
    again = import_text(library, tmp_path, ListKind.PLACES, text)
    assert (again.made, again.altered, again.unchanged) == (0, 0, 2)
