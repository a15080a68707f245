"""What the store knows of shelves."""

from dataclasses import replace
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import volumes_to_come
from intake.edges.store.queries.shelves import (
    copies_on_shelves,
    first_copies_on,
    own_ordering,
    place_path,
    place_paths,
    printed_labels,
    shelf_ordering,
)
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import Copy, CopyState
from intake.model.places import PlacePath
from intake.model.shelving import Ordering, Printed
from tests.edges.store.made import BOX, CASE, CONSIGNMENT, FIRST, ROOM, SECOND, SET, SHELF
from tests.made_library import new_library

IMPORT = ActionKind.IMPORT_EDITIONS


@pytest.fixture
def library(tmp_path: Path) -> Library:
    opened = new_library(tmp_path / "library")
    standing = [
        Copy(accession=f"A{n}", edition_id=2, state=state, place="S3", position=position)
        for n, position, state in (
            (1, 3, CopyState.SHELVED),
            (2, 1, CopyState.SHELVED),
            (3, None, CopyState.SHELVED),
            (4, 2, CopyState.MISSING),
        )
    ]
    packed = Copy(accession="A5", edition_id=1, state=CopyState.PACKED, box="B1")
    with opened.writing() as work:
        work.apply(
            Action(IMPORT, ""),
            made(ROOM, CASE, SHELF, SET, FIRST, SECOND, CONSIGNMENT, BOX, *standing, packed),
        )
    return opened


def test_copies_stand_from_the_left_and_missing_ones_nowhere(library: Library) -> None:
    with library.reading() as records:
        standing = copies_on_shelves(records, ["S3", "S9"])
        assert [copy.accession for copy, _ in standing["S3"]] == ["A2", "A1", "A3"]
        assert standing["S9"] == []
        assert {number: copy.accession for number, (copy, _) in first_copies_on(records, ["S3", "S9"]).items()} == {
            "S3": "A2"
        }
        assert standing["S3"][0][1] == SECOND


def test_where_places_are_in_the_tree(library: Library) -> None:
    shelf = PlacePath((ROOM.name, CASE.name, SHELF.name))
    with library.reading() as records:
        assert place_paths(records, ["S3", "S1", "S9"]) == {"S3": shelf, "S1": PlacePath((ROOM.name,))}
        assert place_paths(records) == {
            "S1": PlacePath((ROOM.name,)),
            "S2": PlacePath((ROOM.name, CASE.name)),
            "S3": shelf,
        }
        assert place_paths(records, []) == {}
        assert place_path(records, SHELF) == shelf
    assert (shelf.room, shelf.in_room) == (ROOM.name, (CASE.name, SHELF.name))


def test_volumes_to_come(library: Library) -> None:
    with library.reading() as records:
        assert volumes_to_come(records, [1, 2]) == (FIRST,)
        assert volumes_to_come(records, []) == ()


def test_the_rule_of_order_and_what_was_printed(library: Library) -> None:
    with library.reading() as records:
        assert shelf_ordering(records) == Ordering()
        assert own_ordering(records) is None
        assert printed_labels(records, ["shelf S3"]) == {}
    own, label = Ordering(keys=("title",), language="da"), Printed(label="shelf S3", words="Birds")
    with library.writing() as work:
        work.apply(Action(IMPORT, ""), made(own, label))
        work.apply(Action(IMPORT, ""), [Change(label, replace(label, words="Moss"))])
    with library.reading() as records:
        assert shelf_ordering(records) == own
        assert own_ordering(records) == own
        assert printed_labels(records, ["shelf S3", "shelf S4"])["shelf S3"].words == "Moss"
