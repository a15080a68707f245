"""Condition reports: kept beside each other, photographs with them, and nothing claimed of what is wrapped."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image

from intake.edges.store.library import Library
from intake.edges.store.queries.condition import condition_reports, copy_pictures
from intake.errors import FileError, RefusedError
from intake.flow.condition.condition_report import Inspection, before_and_after, report_condition
from intake.flow.condition.inspect_copy import Facts, record_facts
from intake.model.condition import Occasion
from intake.model.editions import Copy, Covering, Grade, Sewing

NOW = datetime(2026, 3, 31, 9, tzinfo=UTC)


def report(library: Library, copy: str, seen: Inspection, **more: object) -> object:
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
