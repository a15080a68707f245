"""Room for one more copy, on a small invented library: the words, the booking, and undo."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies, copies_of_editions
from intake.edges.store.queries.editions import edition_by_key
from intake.edges.store.queries.shelves import shelf_ordering, shelves_in_order
from intake.errors import RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.shelves.arrange_shelves import propose
from intake.flow.shelves.find_room import Room, find_room, put
from intake.flow.shelves.make_places import set_order
from intake.flow.shelves.shelf_state import double_positions, read_shelves
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.undo import undo
from intake.flow.unpacking.advice import advise
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, CopyState
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

EDITIONS = """key,title,subject,language,thickness_mm,height_mm,set,volume
A,The Auks,Birds,eng,30,240,,
B,Buntings,Birds,eng,30,240,,
C,Cranes,Birds,eng,30,240,,
D,Divers,Birds,eng,30,240,,
E,A Book of Eagles,Birds,eng,40,240,,
F1,Finches,Birds,eng,30,240,Finches,1
F2,Finches,Birds,eng,35,240,Finches,2
F3,Finches,Birds,eng,35,240,Finches,3
U,Unmeasured Umbrellabirds,Birds,eng,,,,
T,Tall Herons,Birds,eng,30,500,,
M,Mosses,Plants,eng,30,240,,
X,On Nothing in Particular,,eng,30,240,,
"""
SHELVES = """room,bookcase,shelf,width_mm,height_mm,depth_mm,subject
Study,A,1,100,300,250,Birds
Study,A,2,100,300,250,Birds
Study,A,3,100,300,250,Birds
Study,B,1,60,300,250,
Study,B,2,,300,250,Fish
"""
UNBOXED = "key\nA\nB\nC\nD\nE\nF1\nU\nT\nM\nX\n"
BOXED = "box,room,key\n1,Study,F2\n1,Study,F3\n"


@pytest.fixture(scope="module")
def shelves_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shelves")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, EDITIONS)
        import_text(library, folder, ListKind.PLACES, SHELVES)
        import_text(library, folder, ListKind.COPIES, UNBOXED)
        import_text(library, folder, ListKind.COPIES, BOXED)
    return folder / "library"


@pytest.fixture
def shelves(shelves_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Ten copies at hand, numbered as listed, two volumes in a box, five shelves, nothing shelved."""
    with copy_library(shelves_made, tmp_path / "library") as opened:
        yield opened


def copy_of(library: Library, key: str) -> str:
    with library.reading() as records:
        edition = edition_by_key(records, key)
        assert edition is not None
        return copies_of_editions(records, [edition.id])[0].accession


def place(library: Library, *keys: str) -> Room | None:
    """Put copies one after the other where the tool says; return the last answer."""
    room = None
    for key in keys:
        _, room = put(library, copy_of(library, key), station="test", now=NOW)
    return room


def rows(library: Library) -> list[str]:
    """The keys on each shelf from the left."""
    with library.reading() as records:
        return ["".join(edition.key for _, edition in shelf.standing) for shelf in read_shelves(records)]


def test_copies_in_any_order_end_in_the_order_of_the_rule(shelves: Library) -> None:
    place(shelves, "D", "A", "C", "B")
    assert rows(shelves)[:2] == ["ABC", "D"]
    with shelves.reading() as records:
        marks = {copy.accession: (copy.position, copy.shelfmark) for copy, _ in all_copies(records) if copy.place}
    assert marks[copy_of(shelves, "B")] == (2, "A 1")
    assert marks[copy_of(shelves, "D")] == (1, "A 2")


def test_a_full_shelf_hands_its_last_on(shelves: Library) -> None:
    place(shelves, "B", "C", "D")
    room = place(shelves, "A")
    a, b, d = (copy_of(shelves, key) for key in "ABD")
    assert room is not None
    assert room.sentences == (
        f"Move the last book of A 1 ({d} 'Divers') to the front of A 2.",
        f"Then put it at the front of A 1, before {b} 'Buntings'.",
    )
    assert room.handled == 1
    assert rows(shelves)[:2] == ["ABC", "D"]
    undo(shelves, station="test")
    assert rows(shelves)[:2] == ["BCD", ""]
    with shelves.reading() as records:
        copy = records.get(Copy, a)
        assert copy is not None
        assert copy.place is None


def test_room_is_kept_for_volumes_in_boxes(shelves: Library) -> None:
    place(shelves, "A")
    room = place(shelves, "F1")
    assert room is not None
    assert room.sentences[-1] == "Leave 70 mm free after it for Volume 2 and Volume 3."
    assert rows(shelves)[:2] == ["A", "F1"]
    # Two more fit beside A; a third must not take the room of volumes 2 and 3.
    place(shelves, "B", "C", "D")
    assert rows(shelves)[:3] == ["ABC", "DF1", ""]
    # 40 mm are left beside D and F1, of which volume 2 needs 35: a book of 40 mm does not go there without a shift.
    with shelves.reading() as records:
        eagles, edition = next(pair for pair in all_copies(records) if pair[1].key == "E")
        assert find_room(records, eagles, edition).handled > 0
    with shelves.reading() as records:
        copy, edition = next(pair for pair in all_copies(records) if pair[1].key == "F2")
        assert find_room(records, copy, edition).handled == 0


def test_what_has_no_size_is_reckoned_and_said(shelves: Library) -> None:
    room = place(shelves, "U")
    assert room is not None
    assert "Its thickness was not measured and is estimated at 30 mm." in room.remarks


def test_a_copy_that_stands_there_already_is_booked_again(shelves: Library) -> None:
    place(shelves, "A", "B")
    room = place(shelves, "B")
    assert room is not None
    assert room.sentences == ("It stands there already.",)
    assert rows(shelves)[0] == "AB"


def test_a_copy_that_stands_where_there_is_no_room_for_it_stays_and_that_is_said(shelves: Library) -> None:
    # A person put four birds of 30 mm and herons of 500 mm on a shelf of 100 x 300 mm.
    with shelves.reading() as records:
        shelf = shelves_in_order(records)[0].number
    for key in "ABCT":
        shelve(shelves, copy_of(shelves, key), shelf, station="test", now=NOW)
    room = place(shelves, "T")
    assert room is not None
    assert room.shelf is not None
    assert room.shelf.place.number == shelf
    assert "need 120 mm and have 100 mm" in room.remarks[0]
    assert "too low for" in room.remarks[1]
    assert rows(shelves)[0] == "ABCT"
    # What another shelf has room for goes there.
    moved = place(shelves, "A")
    assert moved is not None
    assert moved.shelf is not None
    assert moved.shelf.place.number != shelf
    with shelves.reading() as records:
        tall, edition = next(pair for pair in all_copies(records) if pair[1].key == "T")
        assert find_room(records, tall, edition).reason.startswith("no shelf has room for it: ")


def test_a_heavy_book_and_those_it_moves_are_named(shelves: Library, tmp_path: Path) -> None:
    import_text(shelves, tmp_path, ListKind.EDITIONS, EDITIONS.split("\n", maxsplit=1)[0] + ",mass_g\n" + "".join(
        f"{key},{title},Birds,eng,30,240,,,{grams}\n"
        for key, title, grams in (("A", "The Auks", 3500), ("B", "Buntings", 900), ("D", "Divers", 4200))))  # fmt: skip
    place(shelves, "B", "C", "D")
    room = place(shelves, "A")
    assert room is not None
    (heavy,) = [remark for remark in room.remarks if remark.startswith("Heavy: ")]
    assert f"{copy_of(shelves, 'A')} (3.50 kg), {copy_of(shelves, 'D')} (4.20 kg)" in heavy


def test_a_set_stands_together_in_its_order_whatever_the_subjects_of_its_volumes(tmp_path: Path) -> None:
    # Common practice, no source: a set is not divided. The first recorded is of plants.
    subjects = ((1, "Plants"), (2, "Birds"), (3, "Birds"))
    rows_of_set = "".join(f"V{n},Shores,{subject},30,240,Shores,{n}\n" for n, subject in subjects)
    case = "room,bookcase,shelf,width_mm,height_mm,depth_mm,subject\n"
    with new_library(tmp_path / "library") as library:
        head = "key,title,subject,thickness_mm,height_mm,set,volume\n"
        import_text(library, tmp_path, ListKind.EDITIONS, f"{head}{rows_of_set}")
        import_text(library, tmp_path, ListKind.PLACES, f"{case}H,A,1,100,300,250,Birds\nH,A,2,100,300,250,Plants\n")
        import_text(library, tmp_path, ListKind.COPIES, "key\nV1\nV2\nV3\n")
        with library.reading() as records:
            found = [find_room(records, *pair) for pair in all_copies(records)]
            layout = propose(records).layout
        assert found[0].reason == "shelf of 'Plants'"
        assert [room.reason for room in found[1:]] == ["shelf of 'Plants', as the first volume of its set"] * 2
        assert [len(copies) for _, copies in layout] == [0, 3]
        place(library, "V3", "V1", "V2")
        assert rows(library) == ["", "V1V2V3"]


def test_a_subject_without_shelves_goes_to_those_of_no_subject(shelves: Library) -> None:
    assert place(shelves, "M", "X") is not None
    assert rows(shelves)[3] == "MX" or rows(shelves)[3] == "XM"
    with pytest.raises(RefusedError, match=r"does not fit anywhere: .*; a shelf for any subject: it is too large"):
        place(shelves, "T")


def test_the_person_s_own_place_and_its_refusals(shelves: Library) -> None:
    with shelves.reading() as records:
        second = shelves_in_order(records)[1].number
    for key in "ABC":
        shelve(shelves, copy_of(shelves, key), second, station="test", now=NOW)
    shelve(shelves, copy_of(shelves, "C"), second, behind=copy_of(shelves, "A"), station="test", now=NOW)
    assert rows(shelves)[1] == "ACB"
    with pytest.raises(RefusedError, match="does not stand on shelf"):
        shelve(shelves, copy_of(shelves, "B"), second, behind=copy_of(shelves, "D"), station="test", now=NOW)
    with pytest.raises(RefusedError, match="unpack it from that box first"):
        shelve(shelves, copy_of(shelves, "F2"), second, station="test", now=NOW)
    assert rows(shelves)[1] == "ACB"


def test_another_rule_gives_another_order(shelves: Library) -> None:
    set_order(shelves, "title", language="de", station="test")
    place(shelves, "A", "E")
    assert rows(shelves)[0] == "AE"
    set_order(shelves, "year title", station="test")
    with shelves.reading() as records:
        assert (shelf_ordering(records).keys, shelf_ordering(records).language) == (("year", "title"), "de")


def test_two_copies_that_claim_one_position(shelves: Library) -> None:
    place(shelves, "A", "B")
    a, b = copy_of(shelves, "A"), copy_of(shelves, "B")
    with shelves.writing() as work:
        copy = work.get(Copy, b)
        assert copy is not None
        work.apply(Action(ActionKind.IMPORT_EDITIONS, b), [Change(copy, replace(copy, position=1))])
    with shelves.reading() as records:
        (sentence,) = double_positions(read_shelves(records)[0])
    assert sentence == f"{a} and {b} are both recorded at place 1 on A 1: check which stands first."
    room = place(shelves, "C")
    assert room is not None
    assert sentence in room.remarks
    assert rows(shelves)[0] == "ABC"
    with shelves.reading() as records:
        assert not double_positions(read_shelves(records)[0])


def test_a_missing_copy_takes_no_room_and_stays_missing(shelves: Library) -> None:
    place(shelves, "A", "B", "C")
    with shelves.writing() as work:
        copy = work.get(Copy, copy_of(shelves, "B"))
        assert copy is not None
        work.apply(
            Action(ActionKind.IMPORT_EDITIONS, copy.accession), [Change(copy, replace(copy, state=CopyState.MISSING))]
        )
    place(shelves, "D")
    assert rows(shelves)[0] == "ACD"
    with shelves.reading() as records:
        missing = records.get(Copy, copy_of(shelves, "B"))
        assert missing is not None
        assert missing.state is CopyState.MISSING


def test_the_advice_while_unpacking_carries_the_steps(shelves: Library) -> None:
    place(shelves, "B", "C", "D")
    with shelves.reading() as records:
        copy, edition = next(pair for pair in all_copies(records) if pair[1].key == "A")
        advice = advise(records, copy, edition)
    assert advice.where == "Study · A · 1 (shelf of 'Birds')"
    assert len(advice.steps) == 2
