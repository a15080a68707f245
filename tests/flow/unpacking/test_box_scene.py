"""Pictures of many books against the list of the open box: found, not listed, not seen; comparing writes nothing."""

from dataclasses import replace
from pathlib import Path

import cv2
import pytest

from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_box
from intake.flow.moving import box_lifecycle
from intake.flow.pictures.read_scene import ReadScene
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.box_scene import BoxScene, book_scene, compare_with_box, look_into_box
from intake.flow.unpacking.box_scene_words import NO_TEXT, scene_lines
from intake.flow.unpacking.scan_results import Booked, BookedBefore, Queued, Scan
from intake.model.editions import Copy, CopyState
from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading
from intake.model.scenes import Scene, Spine
from intake.reading.decoders import available
from tests.flow.conftest import import_text
from tests.reading.drawn_stack import drawn_books

FERNS, INNER, GULLS, STRANGE = "9780306406157", "9783161484100", "9780804429573", "9789295055124"
BOX: tuple[Point, ...] = ((0, 0), (9, 0), (9, 9), (0, 9))


def number_of_box(library: Library, text: str = "1") -> str:
    with library.reading() as records:
        return find_box(records, text).number


def read(number: str, *, accepted: bool = True, at: float = 0.0) -> Reading:
    corners = tuple((x + at, y) for x, y in BOX)
    return Reading(number, NumberKind.ISBN, accepted, 0.99 if accepted else 0.5, ("zxing",), corners=corners)


def shown(*symbols: Reading, spines: tuple[str, ...] = (), name: str = "stack.jpg") -> ReadScene:
    return ReadScene(name, Scene(symbols, tuple(Spine(text, 0.9, BOX) for text in spines)))


def compared(library: Library, *scenes: ReadScene, box: str = "1") -> BoxScene:
    with library.reading() as records:
        return compare_with_box(records, find_box(records, box).number, scenes)


def test_found_not_listed_and_not_seen(arrived: Library) -> None:
    # Box 1 holds by its list F1, G1, P5 and O1 (tests.flow.conftest); F2 is in box 2, the last number in no list.
    with arrived.reading() as records:
        head = ledger_head(records)
    scene = shown(read(FERNS), read(INNER), read(STRANGE), read(GULLS, accepted=False), spines=("OLD CHARTS Marrow",))
    answer = compared(arrived, scene)
    assert [each.edition.key for each in answer.found] == ["F1"]
    assert [each.seen.reading.number for each in answer.not_listed] == [INNER, STRANGE]
    assert [each.seen.reading.number for each in answer.doubtful] == [GULLS]
    assert sorted(edition.key or "" for _, edition in answer.not_seen) == ["G1", "O1", "P5"]
    (hint,) = answer.hints
    assert [edition.key for _, edition in hint.copies] == ["O1"]
    lines = list(scene_lines(answer, number_of_box(arrived)))
    assert "1 of 4 copies still in it were found" in lines[0]
    # O1 is asked about by its spine, G1 by its number.
    assert sum("asked about above: " in line for line in lines) == 2
    assert sum("not seen: " in line for line in lines) == 1
    assert NO_TEXT not in lines
    assert not any("Left out" in line for line in lines)
    assert any("Left out: 3 lines of text" in line for line in scene_lines(replace(answer, other_lines=3), "B1"))
    assert NO_TEXT in list(scene_lines(replace(answer, text_missing=True), "B1"))
    with arrived.reading() as records:
        assert ledger_head(records) == head


def test_a_spine_is_no_more_than_a_question(arrived: Library) -> None:
    # The whole title and its author: still nothing is found by it.
    answer = compared(arrived, shown(spines=("Ferns of the Outer Isles Ada Thorn 1", "Nothing of the kind")))
    assert answer.found == ()
    (hint,) = answer.hints
    assert hint.copies[0][1].key == "F1"
    assert list(book_scene(arrived, number_of_box(arrived), answer, station="test", now=clock.now)) == []


def test_each_spine_is_told_once_and_what_is_cut_is_counted(arrived: Library, tmp_path: Path) -> None:
    titles = "".join(f"V{nth},Mosses of the Valley part {nth}\n" for nth in "12345")
    import_text(arrived, tmp_path, ListKind.EDITIONS, f"key,title\nE8,Eight Lamps\n{titles}")
    import_text(arrived, tmp_path, ListKind.COPIES, "box,key\n" + "".join(f"7,V{nth}\n" for nth in "12345"))
    box_lifecycle.close_box(arrived, "7", station="test")
    box_lifecycle.check_in(arrived, "7", station="test")
    spines = ("Mosses of the Valley", "Ferns of the Inner Isles", "Eight Lamps LANTERN", "Kwyjibo")
    answer = compared(arrived, shown(spines=spines), box="7")
    (mosses,) = answer.hints
    assert [edition.key for _, edition in mosses.copies] == ["V1", "V2", "V3", "V4", "V5"]
    lines = list(scene_lines(answer, number_of_box(arrived, "7")))
    (asked,) = [line for line in lines if "a spine reads" in line]
    assert "and 2 more?" in asked
    told = [line for line in lines if "on a spine" in line]
    assert len(told) == 3
    assert f"listed in box {number_of_box(arrived, '2')}" in told[0]
    assert "no copy of it is recorded" in told[1]
    assert "no title like it" in told[2]
    assert sum("asked about above: " in line for line in lines) == 5
    assert not any("not seen: " in line for line in lines)


def test_pictures_of_one_stack_show_each_book_once(arrived: Library) -> None:
    twice = compared(arrived, shown(read(FERNS)), shown(read(FERNS), name="again.jpg"))
    assert len(twice.found) == 1
    assert twice.not_listed == ()
    # In one picture they are two books: the second is on no list.
    both = compared(arrived, shown(read(FERNS), read(FERNS, at=300)))
    assert (len(both.found), len(both.not_listed)) == (1, 1)
    (more,) = [line for line in scene_lines(both, number_of_box(arrived)) if "not listed: " in line]
    assert "more copies were seen than this box has on its list" in more
    assert "listed in this box" not in more
    # Doubtful in one picture, certain in another: it was read.
    sure = compared(arrived, shown(read(FERNS, accepted=False)), shown(read(FERNS), name="again.jpg"))
    assert (len(sure.found), sure.doubtful) == (1, ())


def test_a_copy_too_many_may_be_that_of_another_box(arrived: Library, tmp_path: Path) -> None:
    import_text(arrived, tmp_path, ListKind.COPIES, "box,key\n7,F1\n")
    both = compared(arrived, shown(read(FERNS), read(FERNS, at=300)))
    (more,) = [line for line in scene_lines(both, number_of_box(arrived)) if "not listed: " in line]
    assert f"perhaps: listed in box {number_of_box(arrived, '7')}" in more
    # Of a number that nothing is known of, each line says how manieth it is.
    unknown = compared(arrived, shown(read(STRANGE), read(STRANGE, at=300)))
    first, second = [line for line in scene_lines(unknown, number_of_box(arrived)) if "not listed: " in line]
    assert "of this number are in the picture" not in first
    assert "2 of this number are in the picture" in second


def test_where_no_picture_was_read_nothing_is_said_of_the_box(arrived: Library, tmp_path: Path) -> None:
    answer = look_into_box(arrived, number_of_box(arrived), [tmp_path / "gone.png"], available(), spines=False)
    lines = list(scene_lines(answer, number_of_box(arrived)))
    assert len(lines) == 2
    assert "not compared" in lines[0]
    assert "gone.png" in lines[1]


def test_numbers_of_one_list_are_written_one_way(arrived: Library) -> None:
    hyphened = list(scene_lines(compared(arrived, shown(read(STRANGE))), "B1"))
    assert sum("978-92-95055-12-4" in line for line in hyphened) == 1
    # The registrant of the second is in no range that is known, so that it has no hyphens.
    mixed = list(scene_lines(compared(arrived, shown(read(STRANGE), read("9789999817189"))), "B1"))
    assert not any("978-" in line for line in mixed)
    assert sum(STRANGE in line for line in mixed) == 1


def test_what_was_read_for_certain_is_booked_once_and_the_rest_waits(arrived: Library, tmp_path: Path) -> None:
    import_text(arrived, tmp_path, ListKind.COPIES, "box,key\n7,F2\n7,F2\n")
    box_lifecycle.close_box(arrived, "7", station="test")
    box_lifecycle.check_in(arrived, "7", station="test")
    box = number_of_box(arrived, "7")
    grey, _ = drawn_books([INNER, FERNS, INNER], columns=3, module_px=1.3, seed=5)
    cv2.imwrite(str(tmp_path / "opened.png"), grey)
    paths = [tmp_path / "opened.png", tmp_path / "gone.png"]
    answer = look_into_box(arrived, box, paths, available(), spines=False)
    assert [each.seen.reading.number for each in answer.found] == [INNER, INNER]
    assert len({each.copy.accession for each in answer.found}) == 2
    assert answer.not_seen == ()
    assert len(answer.failed) == 1
    outcomes = list(book_scene(arrived, box, answer, station="test", now=clock.now))
    assert [type(each) for each in outcomes] == [Booked, Booked, Queued]
    booked = {each.copy.accession for each in outcomes if isinstance(each, Booked)}
    assert booked == {each.copy.accession for each in answer.found}
    with arrived.reading() as records:
        assert {records.get_many(Copy, booked)[each].state for each in booked} == {CopyState.UNPACKED}
    again = list(book_scene(arrived, box, answer, station="test", now=clock.now))
    assert [type(each) for each in again] == [BookedBefore, BookedBefore, BookedBefore]
    # A second look, from elsewhere: nothing is left of it to be found.
    later = look_into_box(arrived, box, paths[:1], available(), spines=False)
    assert later.found == ()
    assert later.not_seen == ()


@pytest.mark.parametrize("before", [True, False])
def test_a_copy_already_taken_out_is_not_found_again(arrived: Library, before: bool) -> None:
    box = number_of_box(arrived)
    if before:
        book_scan(arrived, box, Scan(FERNS, "first"), station="test", now=clock.now())
    answer = compared(arrived, shown(read(FERNS)))
    assert len(answer.found) == (0 if before else 1)
    assert len(answer.not_listed) == (1 if before else 0)
