"""The place that is shown and drawn is the one where the copy then stands."""

import re
from xml.etree import ElementTree

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import edition_by_key
from intake.flow.shelves.draw_place import place_svg, shelf_place
from intake.flow.shelves.find_room import Room, find_room, put
from intake.flow.shelves.shelf_state import read_shelves
from tests.flow.conftest import NOW
from tests.flow.shelves.test_find_room import shelves as shelves  # noqa: PLC0414 - its library is looked at here
from tests.flow.shelves.test_find_room import shelves_made as shelves_made  # noqa: PLC0414 - as above


def room_of(library: Library, key: str) -> tuple[str, Room]:
    with library.reading() as records:
        edition = edition_by_key(records, key)
        assert edition is not None
        copy = copies_of_editions(records, [edition.id])[0]
        return copy.accession, find_room(records, copy, edition)


def standing(library: Library, copy: str) -> list[tuple[str, str, float]]:
    """The row in which a copy stands: numbers, titles, and thicknesses in mm, from the left."""
    with library.reading() as records:
        for shelf in read_shelves(records):
            row = [(held.accession, edition.title, edition.thickness_mm or 0.0) for held, edition in shelf.standing]
            if any(number == copy for number, _, _ in row):
                return row
    return []


@pytest.mark.parametrize("order", ["DACB", "ABCD", "CDAB"])
def test_the_copy_then_stands_where_it_was_shown(shelves: Library, order: str) -> None:
    for key in order:
        copy, room = room_of(shelves, key)
        place = shelf_place(room)
        svg = ElementTree.fromstring(place_svg(room))  # noqa: S314 - our own drawing
        put(shelves, copy, station="test", now=NOW)
        row = standing(shelves, copy)
        at = [number for number, _, _ in row].index(copy)
        assert place is not None
        assert (place.nth, place.of) == (at + 1, len(row))
        assert place.after.startswith(row[at - 1][1] if at else "")
        assert (row[at + 1][1] if at + 1 < len(row) else "") == place.before
        (black,) = [rect for rect in svg.iter() if rect.get("fill") == "#000000"]
        others = [rect for rect in svg.iter() if re.fullmatch(r"#f\w+|#ed\w+", rect.get("fill") or "")]
        left = [rect for rect in others if float(rect.get("x", 0)) < float(black.get("x", 0))]
        assert len(left) == at
        scale = float(black.get("width", 0)) / row[at][2]
        assert sum(float(rect.get("width", 0)) for rect in left) == pytest.approx(
            scale * sum(thick for _, _, thick in row[:at]), rel=0.02
        )


def test_a_copy_that_goes_nowhere_has_no_drawing(shelves: Library) -> None:
    _, room = room_of(shelves, "T")
    assert (shelf_place(room), place_svg(room)) == (None, "")


def test_a_copy_that_stands_is_shown_where_it_stands(shelves: Library) -> None:
    for key in "AB":
        put(shelves, room_of(shelves, key)[0], station="test", now=NOW)
    place = shelf_place(room_of(shelves, "A")[1])
    assert place is not None
    assert (place.nth, place.of, place.before) == (1, 2, "Buntings")
