"""The whole library arranged anew: what is proposed, booked, or short."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store import staging
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import shelves_in_order
from intake.errors import ChangedMeanwhileError, RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.history import latest_history
from intake.flow.shelves.arrange_shelves import adopt, propose
from intake.flow.shelves.make_places import set_order
from intake.flow.shelves.shelf_loads import weigh_shelves
from intake.flow.shelves.shelf_state import read_shelves
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.undo import undo
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import Copy, CopyState
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

EDITIONS = """key,title,subject,thickness_mm,height_mm,width_mm,mass_g,set,volume
A,Auks,Birds,30,240,180,1000,,
B,Buntings,Birds,30,240,180,1000,,
C,Cranes,Birds,30,240,180,1000,,
D,Divers,Birds,30,240,180,1000,,
G,Giant Plates of Gulls,Birds,40,420,300,5000,,
M,Mosses,Plants,30,240,180,,,
N,Nettles,Plants,30,240,180,1000,,
P,Packed Peonies,Plants,30,240,180,1000,,
"""
SHELVES = """room,bookcase,shelf,width_mm,height_mm,depth_mm,subject,material,board_mm
Study,A,1,100,300,250,Birds,,
Study,A,2,100,300,250,Birds,,
Study,A,3,100,450,350,Birds,particleboard,18
Study,B,1,100,300,250,,,
"""


@pytest.fixture(scope="module")
def mixed_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("mixed")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, EDITIONS)
        import_text(library, folder, ListKind.PLACES, SHELVES)
        import_text(library, folder, ListKind.COPIES, "key\nA\nB\nC\nD\nG\nM\nN\n")
        import_text(library, folder, ListKind.COPIES, "box,room,key\n1,Study,P\n")
        with library.reading() as records:
            shelves = [shelf.number for shelf in shelves_in_order(records)]
            copies = {edition.key: copy.accession for copy, edition in all_copies(records)}
        for shelf, keys in zip(shelves, ("DC", "BA", "GN", "M"), strict=True):
            behind = ""
            for key in keys:
                shelve(library, copies[key], shelf, behind=behind, station="test", now=NOW)
                behind = copies[key]
    return folder / "library"


@pytest.fixture
def mixed(mixed_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Seven copies shelved out of order, one in a box."""
    with copy_library(mixed_made, tmp_path / "library") as opened:
        yield opened


def rows(library: Library) -> list[str]:
    with library.reading() as records:
        return ["".join(edition.key for _, edition in shelf.standing) for shelf in read_shelves(records)]


def test_the_new_arrangement_is_booked_as_proposed_and_can_be_undone(mixed: Library) -> None:
    set_order(mixed, "subject size title", station="test")
    with mixed.reading() as records:
        proposal = propose(records)
    assert proposal.short == ()
    assert rows(mixed) == ["DC", "BA", "GN", "M"]
    adopt(mixed, station="test")
    after = rows(mixed)
    assert after[2:] == ["G", "MN"]
    assert "".join(after[:2]) == "ABCD"
    assert 3 <= proposal.handled <= 5
    assert len(proposal.sentences) >= 2
    undo(mixed, station="test")
    assert rows(mixed) == ["DC", "BA", "GN", "M"]
    _, entries = adopt(mixed, station="test")
    assert len(entries) == 1
    assert adopt(mixed, station="test")[1] == ()


def test_a_large_arrangement_is_booked_in_parts_all_or_nothing(mixed: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(staging, "LOT", 2)
    set_order(mixed, "subject size title", station="test")
    before = rows(mixed)
    _, entries = adopt(mixed, station="test")
    assert len(entries) > 2
    with mixed.reading() as records:
        line = latest_history(records, 1).lines[0]
    assert (line.first, line.seq) == (entries[0], entries[-1])
    undo(mixed, entries[1], station="test")
    assert rows(mixed) == before


def test_a_copy_that_another_puts_on_a_shelf_while_it_is_arranged_in_parts_stops_all_of_it(
    mixed: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(staging, "LOT", 2)
    set_order(mixed, "subject size title", station="test")
    with mixed.reading() as records:
        shelf = shelves_in_order(records)[0].number
    lots = staging.StagedPlan.__iter__

    def disturbed(staged: staging.StagedPlan) -> Iterator[list[Change]]:
        for nth, lot in enumerate(lots(staged)):
            if nth == 1:
                joined = Copy(accession="A90-10", edition_id=1, state=CopyState.SHELVED, place=shelf, position=9)
                mixed.apply(Action(ActionKind.SHELVE_COPY, "A90-10", "phone"), made(joined))
            yield lot

    monkeypatch.setattr(staging.StagedPlan, "__iter__", disturbed)
    with pytest.raises(ChangedMeanwhileError):
        adopt(mixed, station="test")
    monkeypatch.undo()
    assert rows(mixed) == ["DCA", "BA", "GN", "M"]


def test_in_one_sequence_the_folio_stands_last_of_its_subject_on_the_shelf_that_takes_it(mixed: Library) -> None:
    adopt(mixed, station="test")
    assert "".join(rows(mixed)[:3]) == "ABCDG"
    assert rows(mixed)[2].endswith("G")
    assert rows(mixed)[3] == "MN"


def test_more_books_than_shelves_says_how_many_metres_and_where(mixed: Library, tmp_path: Path) -> None:
    more = "key,title,subject,thickness_mm,height_mm\n" + "".join(f"Z{n},Zebra {n},Plants,40,240\n" for n in range(5))
    import_text(mixed, tmp_path, ListKind.EDITIONS, more)
    import_text(mixed, tmp_path, ListKind.COPIES, "key\n" + "".join(f"Z{n}\n" for n in range(5)))
    with mixed.reading() as records:
        (sentence,) = propose(records).short
    assert sentence.startswith("Shelves for any subject: 0.16 m are short, from A10-75 'Zebra 1'")
    with pytest.raises(RefusedError, match="cannot be made"):
        adopt(mixed, station="test")
    assert rows(mixed) == ["DC", "BA", "GN", "M"]


def test_what_is_too_large_for_every_shelf_is_named(mixed: Library, tmp_path: Path) -> None:
    import_text(mixed, tmp_path, ListKind.EDITIONS, "key,title,subject,height_mm\nT,Tallest Toucans,Birds,700\n")
    import_text(mixed, tmp_path, ListKind.COPIES, "key\nT\n")
    with mixed.reading() as records:
        short = propose(records).short
    assert any("'Tallest Toucans' is too large for each (700 mm high" in sentence for sentence in short)


def test_a_shelf_without_width_is_left_alone(mixed: Library, tmp_path: Path) -> None:
    shelf = "room,bookcase,shelf,height_mm,subject\nStudy,C,1,300,Birds\n"
    import_text(mixed, tmp_path, ListKind.PLACES, shelf)
    with mixed.reading() as records:
        assert propose(records).remarks == ("Shelf C 1 has no width and was left as it is.",)


def test_loads_of_the_bookcases(mixed: Library) -> None:
    with mixed.reading() as records:
        first, second = weigh_shelves(records)
    assert first.name == "Study · A"
    assert [load.mass_g for _, load in first.shelves] == [2000, 2000, 6000]
    assert first.load.mass_g == 10_000
    assert not first.top_heavy
    sag = first.shelves[2][1].sag_mm
    assert sag is not None
    assert sag < 0.1
    assert second.shelves[0][1].estimated == 1
