"""A copy put where a person says: its place in the row, its shelfmark, and what is refused."""

from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.edges.store.queries.shelves import copies_on_shelves
from intake.errors import ChangedMeanwhileError, RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.shelves import shelve_copy
from intake.flow.shelves.find_room import apply_shelving
from intake.flow.shelves.shelf_layout import plan_layout
from intake.flow.shelves.shelf_state import read_shelves
from intake.flow.shelves.shelve_copy import copies_named, shelve, shelve_all, shelved_words
from intake.flow.undo import undo
from intake.model.changes import LedgerEntry
from intake.model.editions import Copy, CopyState
from intake.model.places import Place
from intake.shelving.excess import ShelfLimit
from tests.flow.conftest import NOW, import_text


@pytest.fixture
def unboxed(library: Library, tmp_path: Path) -> tuple[Library, dict[str, str], str]:
    """Copies of both guides to gulls, the quarterly's part 6 and the charts at hand; the shelf for birds."""
    import_text(library, tmp_path, ListKind.COPIES, "key\nG1\nG2\nP6\nO1\n")
    with library.reading() as records:
        own = {edition.key or "": copy.accession for copy, edition in all_copies(records) if copy.box is None}
        shelf = next(place.number for place in records.all(Place) if place.subject == "Birds")
    return library, own, shelf


def row(library: Library, shelf: str) -> list[str]:
    with library.reading() as records:
        return [copy.accession for copy, _ in next(
            one for one in read_shelves(records) if one.place.number == shelf).standing]  # fmt: skip


def test_a_copy_takes_its_place_in_the_order(unboxed: tuple[Library, dict[str, str], str]) -> None:
    library, own, shelf = unboxed
    for key in ("P6", "G2", "O1", "G1"):
        shelved = shelve(library, own[key], shelf, station="test", now=NOW).copies[0]
        assert (shelved.accession, shelved.place, shelved.state) == (own[key], shelf, CopyState.SHELVED)
    # By subject (Atlases, Birds, Periodicals), then title, then year.
    assert row(library, shelf) == [own[key] for key in ("O1", "G1", "G2", "P6")]


def test_a_copy_stands_behind_the_one_that_is_named(unboxed: tuple[Library, dict[str, str], str]) -> None:
    library, own, shelf = unboxed
    for key in ("G1", "G2"):
        shelve(library, own[key], shelf, station="test", now=NOW)
    shelve(library, own["O1"], shelf, behind=own["G1"], station="test", now=NOW)
    assert row(library, shelf) == [own[key] for key in ("G1", "O1", "G2")]
    # Shelved again it only changes its place.
    shelved = shelve(library, own["O1"], shelf, behind=own["G2"], station="test", now=NOW).copies[0]
    assert (shelved.position, row(library, shelf)) == (3, [own[key] for key in ("G1", "G2", "O1")])


SMALL = "room,bookcase,shelf,width_mm,height_mm,depth_mm,rated_kg\nStudy,C,1,55,260,250,1\n"


def test_what_the_shelf_lacks_is_said_and_the_copy_is_booked(
    unboxed: tuple[Library, dict[str, str], str], tmp_path: Path
) -> None:
    # 55 mm long, 260 high, for 1 kg: two guides of 25 and 26 mm fit but for their mass, charts of 40 and 400 mm do not.
    library, own, _ = unboxed
    import_text(library, tmp_path, ListKind.PLACES, SMALL)
    with library.reading() as records:
        small = next(place for place in records.all(Place) if place.width_mm == 55)
    first = shelve(library, own["G1"], small.number, station="test", now=NOW)
    assert {excess.limit for excess in first.excess} == set()
    second = shelve(library, own["G2"], small.number, station="test", now=NOW)
    assert {excess.limit for excess in second.excess} == {ShelfLimit.LOAD}
    third = shelve(library, own["O1"], small.number, station="test", now=NOW)
    found = {excess.limit: (excess.needs, excess.copies) for excess in third.excess}
    assert found[ShelfLimit.LENGTH] == (91, ())
    assert found[ShelfLimit.HEIGHT] == (400, (own["O1"],))
    assert row(library, small.number) == [own[key] for key in ("O1", "G1", "G2")]
    words = shelved_words(third)
    assert words.startswith(f"Copy {own['O1']} stands at C 1. The books on C 1 need 91 mm and have 55 mm.")
    assert "too low for" in words
    # Who stands beside it is no news: the next one that fits in height says nothing of it.
    fourth = shelve(library, own["G1"], small.number, station="test", now=NOW)
    assert ShelfLimit.HEIGHT not in {excess.limit for excess in fourth.excess}


def test_what_is_not_there_is_refused(unboxed: tuple[Library, dict[str, str], str]) -> None:
    library, own, shelf = unboxed
    with pytest.raises(RefusedError):
        shelve(library, own["G1"], shelf, behind=own["G2"], station="test", now=NOW)
    with library.reading() as records:
        packed = next(copy.accession for copy, _ in all_copies(records) if copy.box is not None)
    with pytest.raises(RefusedError):
        shelve(library, packed, shelf, station="test", now=NOW)
    assert row(library, shelf) == []


def test_several_stand_on_a_shelf_or_none_does(unboxed: tuple[Library, dict[str, str], str]) -> None:
    library, own, shelf = unboxed
    with library.reading() as records:
        packed = next(copy.accession for copy, _ in all_copies(records) if copy.box is not None)
        head = ledger_head(records)
    for texts in ([own["G1"], packed], [own["G1"], "A99-70"], [own["G1"], own["G1"]]):
        with pytest.raises(RefusedError):
            shelve_all(library, texts, shelf, station="test", now=NOW)
    with library.reading() as records:
        assert ledger_head(records) == head
    shelved = shelve_all(library, [own[key] for key in ("P6", "O1", "G1")], shelf, station="test", now=NOW)
    assert [copy.accession for copy in shelved.copies] == [own[key] for key in ("P6", "O1", "G1")]
    assert row(library, shelf) == [own[key] for key in ("O1", "G1", "P6")]
    again = shelve_all(library, [own["O1"], own["G2"]], shelf, behind=own["P6"], station="test", now=NOW)
    assert [copy.position for copy in again.copies] == [3, 4]
    assert row(library, shelf) == [own[key] for key in ("G1", "P6", "O1", "G2")]
    undo(library, station="test")
    assert row(library, shelf) == [own[key] for key in ("O1", "G1", "P6")], "they are taken back as one"


def test_two_stations_at_one_shelf_do_not_take_one_place(
    unboxed: tuple[Library, dict[str, str], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the plan of one station and its booking another puts a copy on the shelf: both stand, side by side."""
    library, own, shelf = unboxed
    meanwhile = iter([own["G2"]])

    def interrupted(*arguments: object, **more: object) -> tuple[tuple[Copy, ...], LedgerEntry]:
        for copy in meanwhile:
            shelve(library, copy, shelf, station="door", now=NOW)
        return apply_shelving(*arguments, **more)  # type: ignore[arg-type] # passed on as they are

    monkeypatch.setattr(shelve_copy, "apply_shelving", interrupted)
    shelve(library, own["G1"], shelf, station="hall", now=NOW)
    assert row(library, shelf) == [own["G1"], own["G2"]]
    with library.reading() as records:
        assert [copy.position for copy, _ in copies_on_shelves(records, [shelf])[shelf]] == [1, 2]


def test_a_plan_of_a_shelf_that_another_station_fills_is_refused(unboxed: tuple[Library, dict[str, str], str]) -> None:
    library, own, shelf = unboxed
    with library.reading() as records:
        stands, copies = records.get(Place, shelf), [records.get(Copy, own["G1"])]
        changes = plan_layout(records, [(shelf, [own["G1"]])])
    assert stands is not None
    shelve(library, own["G2"], shelf, station="door", now=NOW)
    with pytest.raises(ChangedMeanwhileError):
        apply_shelving(library, [copy for copy in copies if copy], stands, changes, station="hall", now=NOW)
    assert row(library, shelf) == [own["G2"]]


def test_a_line_may_name_several_copies() -> None:
    assert copies_named("A1-59 A2-50;A3-41,") == ["A1-59", "A2-50", "A3-41"]
    assert copies_named("1 59") == ["1 59"], "a number without its letter is one, however it is written"
