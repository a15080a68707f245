"""Condition reports: kept beside each other, photographs with them, and nothing claimed of what is wrapped."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from PIL import Image

from intake.edges.store.library import Library
from intake.edges.store.queries.condition import condition_reports, copy_pictures
from intake.errors import FileError, RefusedError, UsageError
from intake.flow.condition.condition_report import (
    Inspection,
    RecordedReport,
    before_and_after,
    report_condition,
)
from intake.flow.condition.inspect_copy import Facts
from intake.flow.lookup.history import copy_history
from intake.flow.moving import box_lifecycle
from intake.flow.undo import undo
from intake.flow.unpacking.station import book_line
from intake.model.condition import Occasion
from intake.model.editions import Copy, Covering, Grade, Printing, Sewing
from tests.flow.conftest import booked
from tests.flow.recorded_facts import record_facts

NOW = datetime(2026, 3, 31, 9, tzinfo=UTC)


def report(library: Library, copy: str, seen: Inspection, **more: object) -> RecordedReport:
    return report_condition(library, copy, seen, station="test", now=NOW, **more)  # type: ignore[arg-type] # by name


def test_before_and_after_stay_side_by_side(library: Library) -> None:
    report(library, "1", Inspection(parts={"boards": "rubbed"}, sewing=Sewing.SEWN, covering=Covering.CLOTH))
    report(library, "1", Inspection(grade=Grade.GOOD, parts={"boards": "rubbed, warped"}), occasion=Occasion.AFTER)
    with library.reading() as records:
        reports = condition_reports(records)
        copy = records.get(Copy, reports[0].copy)
    before, after = before_and_after(reports)
    assert before is not None
    assert after is not None
    assert (before.grade, before.condition) == (Grade.FINE, "boards: rubbed")
    assert (after.grade, after.condition) == (Grade.GOOD, "boards: rubbed, warped")
    assert copy is not None
    assert (copy.grade, copy.condition, copy.sewing, copy.covering) == (
        Grade.GOOD, "boards: rubbed, warped", Sewing.SEWN, Covering.CLOTH,
    )  # fmt: skip


def test_what_is_wrapped_is_not_graded(library: Library) -> None:
    for seen in (Inspection(grade=Grade.FINE), Inspection(parts={"leaves": "foxing"})):
        with pytest.raises(RefusedError):
            report(library, "2", seen)
    with library.reading() as records:
        assert condition_reports(records) == ()
    report(library, "2", Inspection(grade=Grade.FINE, wrapped=False))


def test_photographs_are_kept_under_their_sha256(library: Library, tmp_path: Path) -> None:
    Image.new("RGB", (40, 30), "blue").save(tmp_path / "one.jpg")
    report(library, "1", Inspection(), photographs=(tmp_path / "one.jpg",))
    with library.reading() as records:
        (shown,) = copy_pictures(records)
        (held,) = condition_reports(records)
    assert (shown.copy, shown.report) == (held.copy, held.id)
    assert library.picture_path(shown.picture) is not None
    with pytest.raises(FileError):
        report(library, "1", Inspection(), photographs=(tmp_path / "gone.jpg",))
    with library.reading() as records:
        assert len(condition_reports(records)) == 1


def test_what_is_said_at_the_trolley_is_a_report_too(library: Library) -> None:
    record_facts(library, "1", Facts(grade=Grade.FAIR), station="test")
    record_facts(library, "1", Facts(note="lent"), station="test")
    with library.reading() as records:
        (held,) = condition_reports(records)
    assert (held.grade, held.occasion) == (Grade.FAIR, Occasion.BEFORE)


def test_a_report_of_before_the_move_does_not_take_over_the_present_condition(arrived: Library) -> None:
    """Entered after the move from a sheet of the packing day: the damage of the move stays what is so today."""
    copy = booked(book_line(arrived, "1", "9780306406157", request="r1", station="test", now=NOW)).copy.accession
    today = report(arrived, copy, Inspection(grade=Grade.FAIR, parts={"boards": "warped"}))
    assert (today.report.occasion, today.is_present) == (Occasion.AFTER, True)
    for more in ({"occasion": Occasion.BEFORE}, {"on": date(2026, 2, 27)}):
        older = report(arrived, copy, Inspection(grade=Grade.FINE, parts={"spine": "faded"}), **more)
        assert (older.report.occasion, older.is_present) == (Occasion.BEFORE, False)
        assert (older.report.grade, older.report.condition) == (Grade.FINE, "spine: faded")
        assert (older.copy.grade, older.copy.condition) == (Grade.FAIR, "boards: warped")
    with arrived.reading() as records:
        held = records.get(Copy, copy)
        before, after = before_and_after(condition_reports(records, copy))
    assert held == older.copy
    assert before is not None
    assert after is not None
    assert (before.condition, after.condition) == ("spine: faded", "boards: warped")


def test_a_report_of_an_earlier_day_than_the_latest_one_changes_nothing_of_today(library: Library) -> None:
    report(library, "1", Inspection(parts={"jacket": "torn"}))
    older = report(library, "1", Inspection(grade=Grade.POOR), on=date(2026, 1, 5))
    assert (older.is_present, older.copy.grade, older.copy.condition) == (False, Grade.FINE, "jacket: torn")
    assert older.report.condition == "", "what was seen later is not put into an earlier report"
    assert older.report.at == datetime(2026, 1, 5, tzinfo=UTC)
    between = report(library, "1", Inspection(parts={"spine": "faded"}), on=date(2026, 2, 5))
    assert (between.report.grade, between.report.condition) == (Grade.POOR, "spine: faded")
    again = report(library, "1", Inspection(parts={"spine": "cracked"}), on=date(2026, 3, 31))
    assert (again.is_present, again.copy.condition) == (True, "jacket: torn; spine: cracked")
    with pytest.raises(UsageError, match="future"):
        report(library, "1", Inspection(), on=date(2026, 4, 1))


def test_an_earlier_report_adds_to_what_a_copy_is_and_contradicts_none_of_it(library: Library) -> None:
    report(library, "1", Inspection(covering=Covering.CLOTH, number_line="5 4 3"))
    older = report(library, "1", Inspection(sewing=Sewing.SEWN, number_line="5 4 3"), on=date(2026, 1, 5))
    assert (older.copy.sewing, older.copy.covering) == (Sewing.SEWN, Covering.CLOTH)
    for contradicting in (Inspection(covering=Covering.LEATHER), Inspection(number_line="5 4 3 2")):
        with pytest.raises(RefusedError, match="has another"):
            report(library, "1", contradicting, on=date(2026, 1, 6))


def test_a_refused_report_leaves_no_printing_behind(library: Library) -> None:
    with pytest.raises(RefusedError, match="wrapped"):
        report(library, "2", Inspection(grade=Grade.FINE, number_line="5 4 3"))
    with library.reading() as records:
        assert records.all(Printing) == ()


def test_a_report_that_states_nothing_is_not_kept(library: Library) -> None:
    for seen in (Inspection(), Inspection(parts={"spine": " "})):
        with pytest.raises(RefusedError, match="states nothing"):
            report(library, "1", seen)
    report(library, "1", Inspection(parts={"spine": "faded"}))
    report(library, "1", Inspection(parts={"spine": ""}))  # it takes the words away, so it states something
    with library.reading() as records:
        assert [kept.condition for kept in condition_reports(records)] == ["spine: faded", ""]


def test_a_number_line_that_changes_the_printing_says_what_it_was(library: Library) -> None:
    first = report(library, "1", Inspection(number_line="3 4 5"))
    second = report(library, "1", Inspection(number_line="1 2 3"))
    same = report(library, "1", Inspection(number_line="1 2 3 4"))
    ordinals = [
        (kept.printing and kept.printing.ordinal, kept.printing_before and kept.printing_before.ordinal)
        for kept in (first, second, same)
    ]
    assert ordinals == [(3, None), (1, 3), (None, None)]


def test_a_missing_copy_is_inspected_only_as_of_before_the_move(arrived: Library) -> None:
    box_lifecycle.finish(arrived, "1", station="test")
    with pytest.raises(RefusedError, match="missing from box B1-56"):
        report(arrived, "1", Inspection(grade=Grade.GOOD))
    with pytest.raises(RefusedError, match="missing from box B1-56"):
        record_facts(arrived, "1", Facts(grade=Grade.GOOD), station="test")
    assert not report(arrived, "1", Inspection(grade=Grade.GOOD), occasion=Occasion.BEFORE).is_present
    record_facts(arrived, "1", Facts(note="ask the carrier"), station="test")  # a note claims no look at it


def test_the_history_of_a_copy_has_what_was_recorded_about_it(arrived: Library) -> None:
    """A report of before the move and a photograph alter nothing of the copy's record; they are in its history."""
    booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW))
    report(arrived, "1", Inspection(grade=Grade.GOOD), occasion=Occasion.BEFORE)
    report(arrived, "1", Inspection(parts={"boards": "bumped"}), occasion=Occasion.BEFORE)
    undo(arrived, station="test")
    with arrived.reading() as records:
        lines = copy_history(records, "A1-59")
    assert [line.what for line in lines] == [
        "import copies", "unpack copy", "report condition", "report condition", "undo",
    ]  # fmt: skip
    assert [bool(line.standing) for line in lines] == [True, False, False, True, False]
    assert lines[-1].subject == f"entry {lines[-2].seq}: report condition, A1-59"
