"""What is said of the copy in the hand: where it goes, its set, and how to handle it. Invented."""

from datetime import date
from pathlib import Path

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import shelves_in_order
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_copy
from intake.flow.moving import box_lifecycle
from intake.flow.moving.box_lifecycle import ArrivalReport
from intake.flow.shelves.find_room import Room, put
from intake.flow.unpacking.advice import SHOWN, Advice, advise, room_words, waiting_copies
from intake.flow.unpacking.station import book_line
from intake.identifiers.own import serial_of
from intake.model.boxes import CartonState
from intake.model.editions import Edition
from tests.flow.conftest import NOW, import_text
from tests.made_library import new_library

TODAY = date(2026, 3, 31)


def advice(library: Library, copy_text: str) -> Advice:
    with library.reading() as records:
        copy = find_copy(records, copy_text)
        edition = records.get(Edition, copy.edition_id)
        assert edition is not None
        return advise(records, copy, edition)


def test_the_shelf_of_its_subject_or_none_that_is_known(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "key\nF1\nP5\n")
    with library.reading() as records:
        plants = shelves_in_order(records)[0].number
    ferns, quarterly = advice(library, "6"), advice(library, "7")
    assert (ferns.shelf, ferns.where.startswith("Study · A · 1 (")) == (plants, True)
    assert ferns.steps
    assert (quarterly.shelf, quarterly.steps) == (None, ())
    assert room_words(Room(None, "no reason")).count("no reason") == 1


def test_where_no_shelf_takes_its_subject_that_is_said_and_not_that_there_are_none(tmp_path: Path) -> None:
    with new_library(tmp_path / "unshelved") as library:
        import_text(library, tmp_path, ListKind.EDITIONS, "key,title,subject\nM1,Atlas of Lanes,Atlases\nM2,Lanes,\n")
        import_text(library, tmp_path, ListKind.COPIES, "key\nM1\nM2\n")
        assert advice(library, "1").room.reason == "no shelf is known"
        import_text(library, tmp_path, ListKind.PLACES, "room,bookcase,shelf,width_mm,subject\nStudy,A,1,800,Plants\n")
        of_atlases, of_none = advice(library, "1").room.reason, advice(library, "2").room.reason
        assert of_atlases.startswith("no shelf is for 'Atlases' or for any subject: ")
        assert of_none.startswith("every shelf is kept for a subject, and the book has none: ")


def test_the_other_volumes_of_its_set_packed_and_missing(arrived: Library, tmp_path: Path) -> None:
    import_text(
        arrived,
        tmp_path,
        ListKind.EDITIONS,
        "key,title,set,volume\nF3,Ferns of the Far Isles,Ferns,3\nF0,Index,Ferns,\n",
    )
    import_text(arrived, tmp_path, ListKind.COPIES, "box,key\n3,F3\n3,F0\n3,F2\n")
    second = advice(arrived, "5").remarks
    assert any("Volume 2" in remark and "'Ferns'" in remark for remark in second)
    assert [remark for remark in second if "Volume 1" in remark and "B1-56" in remark]
    assert [remark for remark in second if "Volume 3" in remark and "B3-38" in remark]
    assert not any("Volume 2" in remark and "box" in remark for remark in second), "another copy of the same volume"
    box_lifecycle.finish(arrived, "1", station="test")
    (gone,) = [remark for remark in advice(arrived, "5").remarks if "Volume 1" in remark]
    assert "missing" in gone
    assert "box" not in gone
    index = advice(arrived, "7").remarks
    assert not any("of the set" in remark for remark in index), "it has no number to be called by"
    assert len([remark for remark in index if "Volume" in remark]) == 4


def test_a_book_of_a_wet_box_is_not_sent_to_its_shelf_without_a_caution(library: Library) -> None:
    """Within 48 hours, as the salvage guides say that `handling_words` names."""
    for box, carton in (("1", CartonState.WET), ("2", CartonState.SOUND)):
        box_lifecycle.close_box(library, box, station="test")
        box_lifecycle.check_in(library, box, seen=ArrivalReport(carton=carton), today=TODAY, station="test")
    with library.reading() as records:
        boxes = {copy: find_copy(records, copy).box for copy in ("1", "5")}
    assert boxes == {"1": "B1-56", "5": "B2-47"}
    first = advice(library, "1").remarks[0]
    assert "B1-56 came wet" in first
    assert "48 hours" in first
    assert not any("wet" in remark for remark in advice(library, "5").remarks)


def test_a_wrapped_copy_and_one_that_was_not_inspected(arrived: Library) -> None:
    plain, wrapped, graded = (advice(arrived, copy).remarks for copy in ("1", "2", "3"))
    cut = {remark for remark in wrapped if "rapped" in remark}
    inspected = {remark for remark in wrapped if "inspected" in remark}
    assert len(cut) == len(inspected) == 1
    assert not (cut | inspected) & (set(plain) | set(graded))


def test_of_the_copies_that_wait_the_first_are_shown_and_all_counted(library: Library, tmp_path: Path) -> None:
    rows = "box,key\n" + "3,G2\n" * (SHOWN + 2)
    import_text(library, tmp_path, ListKind.COPIES, rows)
    box_lifecycle.close_box(library, "3", station="test")
    box_lifecycle.check_in(library, "3", station="test")
    for nth in range(SHOWN + 2):
        with library.reading() as records:
            waiting = waiting_copies(records)
        assert (waiting.total, len(waiting.places)) == (nth, min(nth, SHOWN))
        serials = [serial_of(copy.accession) for copy, _, _ in waiting.places]
        assert serials == list(range(6, 6 + len(serials))), "A6, A7 … A10, and not A10 before A6"
        with library.reading() as records:
            copy = find_copy(records, str(6 + nth)).accession
        book_line(library, "3", copy, request=f"r{nth}", station="test", now=NOW)


def test_a_volume_out_of_its_box_is_said_to_be_so_and_a_second_copy_is_not_taken_for_it(
    arrived: Library, tmp_path: Path
) -> None:
    import_text(arrived, tmp_path, ListKind.EDITIONS, "key,title,set,volume\nF7,Ferns Beyond,Ferns,7-8\n")
    import_text(arrived, tmp_path, ListKind.COPIES, "box,key\n3,F1\n3,F7\n")
    book_line(arrived, "1", "A1-59", request="r1", station="test", now=NOW)
    remarks = advice(arrived, "5").remarks
    assert "Volume 1 is out of the box and on no shelf yet." in remarks
    assert "Another copy of Volume 1 is still in box B3-38." in remarks
    assert "Volumes 7-8 are still in box B3-38." in remarks
    put(arrived, "A1-59", station="test", now=NOW)
    after = advice(arrived, "5")
    assert not any("on no shelf yet" in remark for remark in after.remarks)
    assert "Another copy of Volume 1 is still in box B3-38." in after.remarks
    # Room is kept for what is to come alone: the volume that stands there needs none for its second copy.
    assert not any("for Volume 1" in step for step in after.steps)


def test_room_is_kept_for_a_volume_that_waits_for_its_shelf(arrived: Library) -> None:
    book_line(arrived, "1", "A1-59", request="r1", station="test", now=NOW)
    assert any("30 mm free before it for Volume 1" in step for step in advice(arrived, "5").steps)


def test_a_heavy_copy_is_cautioned_although_no_shelf_takes_it(library: Library, tmp_path: Path) -> None:
    import_text(
        library,
        tmp_path,
        ListKind.EDITIONS,
        "key,title,height_mm,width_mm,thickness_mm,mass_g\nH1,Heavy Invented Plates,900,700,90,14500\n",
    )
    import_text(library, tmp_path, ListKind.COPIES, "key\nH1\n")
    heavy = advice(library, "6")
    assert heavy.shelf is None
    assert heavy.where.startswith("no shelf is found for it (")
    assert [remark for remark in heavy.remarks if remark.startswith("Heavy: A6-14")], heavy.remarks


def test_two_copies_are_not_sent_to_the_room_of_one(library: Library, tmp_path: Path) -> None:
    """The shelf for atlases is 50 mm wide, and each of the charts is 40 mm thick."""
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n3,O1\n3,O1\n")
    box_lifecycle.close_box(library, "3", station="test")
    box_lifecycle.check_in(library, "3", station="test")
    for number in ("A6-14", "A7-05"):
        book_line(library, "3", number, request=number, station="test", now=NOW)
    with library.reading() as records:
        waiting = waiting_copies(records)
    (first, _, room), (second, _, same) = waiting.places
    assert room.shelf is not None
    assert same.shelf is not None
    assert room.shelf.place.number == same.shelf.place.number
    assert waiting.after == {second.accession: first.accession}
