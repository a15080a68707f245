"""Condition reports as papers: what was seen before beside what was seen after, and the photographs of each."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from intake.edges.store.library import Library
from intake.errors import RefusedError
from intake.flow.condition.condition_report import Inspection, report_condition
from intake.flow.condition.confirm_condition import confirm_condition
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.moving.reconcile import record_damage
from intake.flow.papers.condition_papers import gather_condition, lay_out_condition
from intake.flow.papers.look_here import HEADING
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.unpacking.station import book_line
from intake.model.condition import ConditionReport, Occasion
from intake.model.editions import Grade, Sewing
from intake.model.pages import PlacedPicture, Text
from intake.model.schedules import Dossier, Section
from intake.valuing import proof
from tests.covers.drawn_pair import crushed_pair
from tests.flow.conftest import NOW, booked

BEFORE = Inspection(grade=Grade.VERY_GOOD, parts={"boards": "rubbed"}, note="at packing")
AFTER = Inspection(grade=Grade.GOOD, parts={"boards": "warped", "": "ex-library"}, note="on the trolley")


def report(
    library: Library,
    copy: str,
    seen: Inspection,
    occasion: Occasion,
    *,
    at: datetime = NOW,
    shown: tuple[Path, ...] = (),
) -> ConditionReport:
    return report_condition(library, copy, seen, occasion=occasion, photographs=shown, station="desk", now=at).report


def gather(library: Library, *copies: str) -> tuple[Dossier, ...]:
    with library.reading() as records:
        source = PaperSource(library, records, date(2026, 4, 2), PaperFormat.PDF)
        return gather_condition(source, PaperOptions(copies=copies))


def section(dossier: Dossier, nth: int) -> Section:
    return dossier.sections[nth]


def picture(folder: Path, name: str, colour: str) -> Path:
    path = folder / name
    Image.new("RGB", (40, 30), colour).save(path)
    return path


def test_both_sides_of_the_move_stand_beside_each_other(library: Library) -> None:
    report(library, "1", BEFORE, Occasion.BEFORE)
    report(library, "1", AFTER, Occasion.AFTER, at=NOW + timedelta(days=2, hours=3))
    (dossier,) = gather(library)
    assert (dossier.number, dossier.on, len(dossier.signatures)) == ("A1-59", date(2026, 4, 2), 2)
    assert dict(dossier.facts)["Box"] == "B1-56"
    rows = {name: (before, after) for name, before, after in section(dossier, 0).rows}
    assert rows["Book and jacket"] == ("VG/no jacket", "G/no jacket")
    assert rows["Boards"] == ("rubbed", "warped")
    assert rows["Block"] == ("–", "–")
    assert rows["Also stated"] == ("–", "ex-library")
    assert rows["Note"] == ("at packing", "on the trolley")
    assert rows["Station, day"] == ("desk, 2026-03-31 09:30 UTC", "desk, 2026-04-02 12:30 UTC")
    differs = section(dossier, 1)
    assert len(differs.sentences) == 1, "it is graded lower after the move"
    assert {row[0]: row[1:] for row in differs.rows}["Boards"] == ("rubbed", "warped")
    assert [sentence.split(":")[0] for sentence in section(dossier, 2).sentences] == ["Very Good", "Good"]


def test_a_grade_that_did_not_fall_is_not_said_to_have_fallen(library: Library) -> None:
    report(library, "1", AFTER, Occasion.BEFORE)
    report(library, "1", replace(AFTER, parts={"boards": "warped, torn"}), Occasion.AFTER)
    (dossier,) = gather(library)
    assert section(dossier, 1).sentences == ()
    assert section(dossier, 1).rows == (("Boards", "warped", "warped, torn"),)


@pytest.mark.parametrize(("occasion", "filled"), [(Occasion.BEFORE, 1), (Occasion.AFTER, 2)])
def test_one_side_alone_is_compared_with_nothing(library: Library, occasion: Occasion, filled: int) -> None:
    report(library, "1", BEFORE, occasion)
    (dossier,) = gather(library)
    boards = next(row for row in section(dossier, 0).rows if row[0] == "Boards")
    assert (boards[filled], boards[3 - filled]) == ("rubbed", "")
    grades = section(dossier, 0).rows[0]
    assert (grades[filled], grades[3 - filled]) == ("VG/no jacket", "no report")
    differs = section(dossier, 1)
    (sentence,) = differs.sentences
    assert (Occasion.BEFORE.value in sentence, Occasion.AFTER.value in sentence) == (filled == 2, filled == 1)
    assert differs.rows == ()


def test_two_reports_that_say_the_same_differ_in_nothing(library: Library) -> None:
    report(library, "1", BEFORE, Occasion.BEFORE)
    report(library, "1", BEFORE, Occasion.AFTER)
    (dossier,) = gather(library)
    assert (len(section(dossier, 1).sentences), section(dossier, 1).rows) == (1, ())


def test_of_a_wrapped_copy_the_inside_is_unseen_and_the_outside_is_not(library: Library) -> None:
    report(library, "2", Inspection(parts={"boards": "rubbed"}, sewing=Sewing.SEWN), Occasion.BEFORE)
    (dossier,) = gather(library)
    rows = {name: before for name, before, _ in section(dossier, 0).rows}
    assert (rows["Boards"], rows["Spine"], rows["Block"], rows["Leaves"]) == ("rubbed", "–", "unseen", "unseen")
    assert section(dossier, 2).sentences == ("No grade was given.",)


def test_photographs_stand_in_the_order_of_the_reports_and_say_on_which_occasion(
    library: Library, tmp_path: Path
) -> None:
    """One of the first report is sent after one of the second, and one belongs to no report."""
    red, green, blue = (picture(tmp_path, f"{colour}.png", colour) for colour in ("red", "green", "blue"))
    first = report(library, "1", BEFORE, Occasion.BEFORE)
    second = report(library, "1", AFTER, Occasion.AFTER, shown=(red,))
    photograph_copy(library, "1", green.read_bytes(), report=first.id, note="jacket", station="desk", now=NOW)
    photograph_copy(library, "1", blue.read_bytes(), station="desk", now=NOW)
    assert first.id < second.id
    (dossier,) = gather(library)
    (of_red,) = dossier.compared
    assert of_red.later.caption == "after the move; seen by desk, 2026-03-31 09:30 UTC"
    assert of_red.earlier is None
    assert [one.caption for one in dossier.photographs] == [
        "before the move; jacket; seen by desk, 2026-03-31 09:30 UTC"
    ]


def test_damage_is_shown_large_beside_the_same_part_before(library: Library, tmp_path: Path) -> None:
    red, green, blue, grey = (picture(tmp_path, f"{colour}.png", colour) for colour in ("red", "green", "blue", "grey"))
    first = report(library, "1", BEFORE, Occasion.BEFORE)
    second = report(library, "1", AFTER, Occasion.AFTER, at=NOW + timedelta(days=3))
    for file, owner, note in (
        (red, first, "front of the boards"),
        (green, first, "spine"),
        (blue, second, "Boards, upper corner"),
        (grey, second, "jacket"),
    ):
        photograph_copy(library, "1", file.read_bytes(), report=owner.id, note=note, station="desk", now=NOW)
    (dossier,) = gather(library)
    boards, jacket = dossier.compared
    assert boards.earlier is not None
    assert boards.earlier.caption == (
        "before the move; boards: rubbed; front of the boards; seen by desk, 2026-03-31 09:30 UTC"
    )
    assert boards.later.caption == (
        "after the move; boards: warped; Boards, upper corner; seen by desk, 2026-04-03 09:30 UTC"
    )
    assert (jacket.earlier, jacket.why) == (None, "There is no picture of the jacket from before the move.")
    assert ["spine" in one.caption for one in dossier.photographs] == [True]
    pages = lay_out_condition((dossier,), PaperOptions()).pages
    later = [mark for page in pages for mark in page.marks if isinstance(mark, PlacedPicture)]
    # 4 : 3, half as wide as the text: 87.5 mm.
    assert later[0].width_mm == later[1].width_mm == pytest.approx(87.5)
    words = " ".join(mark.text for page in pages for mark in page.marks if isinstance(mark, Text))
    assert words.count("Carrier's code and initials, after the move") == len(pages)


def test_photographs_stay_with_their_copies(library: Library, tmp_path: Path) -> None:
    for copy, colours in (("1", ("red", "green")), ("3", ("blue",))):
        shown = tuple(picture(tmp_path, f"{colour}.png", colour) for colour in colours)
        report(library, copy, BEFORE, Occasion.BEFORE, shown=shown)
    assert {one.number: len(one.photographs) for one in gather(library)} == {"A1-59": 2, "A3-41": 1}


def test_each_sheet_proves_what_it_says_of_its_copy(library: Library) -> None:
    report(library, "1", BEFORE, Occasion.BEFORE)
    report(library, "2", Inspection(wrapped=True), Occasion.BEFORE)
    valued, unvalued = (proof.parse(dossier.proof) for dossier in gather(library, "1", "2"))
    assert valued is not None
    assert unvalued is not None
    assert (valued.scope, valued.copies, valued.unvalued, len(valued.totals)) == ("copy A1-59", 1, 0, 1)
    assert (unvalued.scope, unvalued.copies, unvalued.unvalued, unvalued.totals) == ("copy A2-50", 1, 1, ())
    assert (valued.on, valued.seq, valued.head) == (date(2026, 4, 2), unvalued.seq, unvalued.head)


def test_the_copies_named_come_in_that_order_and_once(library: Library) -> None:
    for copy in ("1", "3", "4"):
        report(library, copy, BEFORE, Occasion.BEFORE)
    assert [dossier.number for dossier in gather(library, "4", "1", "4")] == ["A4-32", "A1-59"]
    assert {dossier.number for dossier in gather(library)} == {"A1-59", "A3-41", "A4-32"}


def test_what_has_no_report_is_refused(library: Library) -> None:
    with pytest.raises(RefusedError):
        gather(library)
    report(library, "1", BEFORE, Occasion.BEFORE)
    with pytest.raises(RefusedError) as caught:
        gather(library, "1", "3")
    assert "A3-41" in caught.value.thing


def test_a_file_of_one_copy_carries_its_proof_and_one_of_several_none(library: Library) -> None:
    for copy in ("1", "3"):
        report(library, copy, BEFORE, Occasion.BEFORE)
    both = gather(library)
    assert lay_out_condition(both[:1], PaperOptions()).proof == both[0].proof
    together = lay_out_condition(both, PaperOptions(size="letter"))
    assert (together.proof, len(together.pages) >= 2) == ("", True)
    assert together.pages[0].width_mm == PaperOptions(size="letter").paper_mm[0]


def test_two_pictures_of_one_side_say_where_to_look(library: Library, tmp_path: Path) -> None:
    """The corner was crushed by drawing; both covers are printed with it outlined, as places and never as a verdict."""
    for occasion, at, data in zip(
        (Occasion.BEFORE, Occasion.AFTER), (NOW, NOW + timedelta(days=40)), crushed_pair()[:2], strict=True
    ):
        path = tmp_path / f"{occasion.name}.png"
        path.write_bytes(data)
        report(library, "1", Inspection(grade=Grade.FINE), occasion, at=at, shown=(path,))
    (dossier,) = gather(library, "1")
    looked = next(section for section in dossier.sections if section.heading == HEADING)
    assert any("bottom left corner" in sentence for sentence in looked.sentences)
    outlined, plain = dossier.compared
    for pair in (outlined, plain):
        assert pair.earlier is not None
        assert pair.earlier.data
        assert pair.later.data
    assert outlined.later.sha256 == plain.later.sha256
    assert dossier.photographs == ()


def test_damage_on_the_discrepancy_report_stands_on_the_report_of_the_copy_too(arrived: Library) -> None:
    """Else the carrier would sign that the copy is as it was, while a letter of the same day claims for its damage."""
    report(arrived, "1", BEFORE, Occasion.BEFORE)
    booked(book_line(arrived, "1", "A1-59", request="r", station="test", now=NOW))
    confirm_condition(arrived, "1", station="test", request=None)
    (clean,) = gather(arrived, "1")
    assert not any("came damaged" in cell for part in clean.sections for row in part.rows for cell in row)
    record_damage(arrived, "1", "leaves 10 to 40 soaked", now=NOW, station="test")
    (sheet,) = gather(arrived, "1")
    assert ("Damage", "", "came damaged: leaves 10 to 40 soaked") in section(sheet, 0).rows
    assert section(sheet, 1).sentences == (
        "By the discrepancy report: came damaged: leaves 10 to 40 soaked.",
        "The two reports say the same.",
    )
