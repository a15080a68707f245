"""Condition reports: what was seen of a copy before the move, after it, or between, each kept beside the others."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time
from pathlib import Path

from intake.edges.store.library import Library
from intake.edges.store.queries.condition import condition_reports
from intake.edges.store.queries.sightings import sightings_of
from intake.edges.store.reader import LibraryReader
from intake.errors import FileError, RefusedError, UsageError
from intake.flow.condition.inspect_copy import check_here, plan_printing
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.lookup.resolve import find_copy
from intake.model.changes import Action, ActionKind, Change, Provisional, made
from intake.model.condition import ConditionReport, Occasion, join_parts, report_of, split_parts
from intake.model.editions import Copy, Covering, Finish, Grade, Printing, Sewing
from intake.valuing.condition import contradiction, occasion_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """What a person saw. A field that is None was not looked at, and stays as it was recorded last.

    Attributes:
        parts: defects by part of the book; under an empty name what is always stated, whatever the grade.
        number_line: the printer's key as printed.
    """

    grade: Grade | None = None
    jacket: Grade | None = None
    has_jacket: bool | None = None
    wrapped: bool | None = None
    parts: Mapping[str, str] = field(default_factory=dict)
    sewing: Sewing | None = None
    covering: Covering | None = None
    finish: Finish | None = None
    slipcase: bool | None = None
    signed: str | None = None
    limitation: str | None = None
    number_line: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class RecordedReport:
    """A condition report that was kept.

    Attributes:
        is_present: whether it is the present condition of the copy; False where that was recorded later, or after the
            move.
        copy: the copy as it is now.
        printing: the printing that the copy is of by this report, where another was recorded before or none.
        printing_before: what was recorded before it.
    """

    report: ConditionReport
    is_present: bool
    copy: Copy
    printing: Printing | None = None
    printing_before: Printing | None = None


def report_condition(
    library: Library,
    copy_text: str,
    seen: Inspection,
    *,
    occasion: Occasion | None = None,
    on: date | None = None,
    photographs: tuple[Path, ...] = (),
    station: str,
    now: datetime,
) -> RecordedReport:
    """Record the condition of a copy as a report of its own, and as its present condition if it is that.

    A report of an earlier day than the latest one, or of before the move where the copy has moved, is kept beside the
    others and changes nothing of the present condition; what was not looked at is as the report before it has it.

    Args:
        library: where it is recorded.
        copy_text: the copy, as typed.
        seen: what was seen.
        occasion: before or after the move; None decides by where the copy is, and was on that day.
        on: the day on which it was seen, if not today.
        photographs: picture files to keep with the report.
        station: who looked.
        now: when.

    Raises:
        RefusedError: the copy does not exist, or is missing and not inspected as of before the move; nothing was seen;
            it is wrapped and a grade or a defect of its inside is given; the number line cannot be read and would
            replace a printing; an earlier report contradicts what the copy is.
        UsageError: the day is still to come.
        FileError: a photograph cannot be opened; the report then stands without it and those after it.
    """
    if on is not None and on > now.date():
        raise UsageError(f"An inspection on {on}", f"is in the future (today is {now.date()})", "correct the date")
    at = now if on is None or on == now.date() else datetime.combine(on, time(), UTC)
    pictures = [_bytes(path) for path in photographs]
    new = Provisional()
    with library.reading() as records:
        copy = find_copy(records, copy_text)
        reports = condition_reports(records, copy.accession)
        occasion = occasion or _occasion_on(records, copy, at.date())
        check_here(copy, occasion)
        printing_id, changes = plan_printing(records, copy, seen.number_line, new)
        printings = records.get_many(Printing, [key for key in (copy.printing_id, printing_id) if key is not None])
    is_present = not any(report.at.date() > at.date() for report in reports)
    if occasion is Occasion.BEFORE and occasion_of(copy) is not Occasion.BEFORE:
        is_present = False
    then = copy if is_present else _as_then(copy, reports, occasion, at)
    described = _as_seen(then, seen)
    if not photographs and described == then and not _states_anything(seen):
        raise RefusedError(f"The report on copy {copy.accession}", "states nothing", "say what was seen")
    if why := contradiction(described):
        remedy = "open it first and record that, or leave it out"
        raise RefusedError(f"Copy {copy.accession}", why, remedy)
    after = replace(described if is_present else _with_lasting(copy, seen), printing_id=printing_id)
    if not is_present:
        _refuse_replacing(copy, after)
    planned = report_of(described, new.id(), at=at, occasion=occasion, station=station, note=seen.note)
    action = Action(ActionKind.REPORT_CONDITION, copy.accession, station, note=planned.occasion)
    applied = library.apply(action, (*changes, *made(planned), Change(copy, after)))
    report = replace(planned, id=applied.key(planned.id))
    for data in pictures:
        photograph_copy(library, report.copy, data, report=report.id, station=station, now=now)
    if printing_id == copy.printing_id:
        return RecordedReport(report, is_present, after)
    made_now = (change.after for change in changes if isinstance(change.after, Printing))
    printing = printings.get(printing_id or 0) or next(made_now, None)
    return RecordedReport(report, is_present, after, printing, printings.get(copy.printing_id or 0))


def _states_anything(seen: Inspection) -> bool:
    """Return whether a report states anything, be it what was known; an empty text only takes words away."""
    stated = any(words.strip() for words in seen.parts.values())
    return stated or replace(seen, parts={}) != Inspection(parts={})


def _occasion_on(records: LibraryReader, copy: Copy, day: date) -> Occasion:
    """Return whether a copy was inspected before or after the move: it moved on the day it was taken out of its box."""
    taken_out = [sighting.at.date() for sighting in sightings_of(records, copy.accession) if sighting.box]
    return Occasion.BEFORE if taken_out and day < min(taken_out) else occasion_of(copy)


def _as_then(copy: Copy, reports: Sequence[ConditionReport], occasion: Occasion, at: datetime) -> Copy:
    """Return a copy in the condition that the last report before a moment states, in none where there is none.

    A copy without any report is as the list of it says.
    """
    if not reports:
        return copy
    earlier = [
        report
        for report in reports
        if report.at <= at and not (occasion is Occasion.BEFORE and report.occasion is Occasion.AFTER)
    ]
    if not earlier:
        return replace(copy, grade=None, jacket=None, has_jacket=None, wrapped=False, condition="")
    last = latest(earlier)
    return replace(
        copy,
        grade=last.grade,
        jacket=last.jacket,
        has_jacket=last.has_jacket,
        wrapped=last.wrapped,
        condition=last.condition,
    )


def _as_seen(copy: Copy, seen: Inspection) -> Copy:
    wrapped = copy.wrapped if seen.wrapped is None else seen.wrapped
    return replace(
        _with_lasting(copy, seen),
        grade=seen.grade or copy.grade,
        jacket=None if seen.has_jacket is False else seen.jacket or copy.jacket,
        has_jacket=True if seen.jacket else (copy.has_jacket if seen.has_jacket is None else seen.has_jacket),
        wrapped=wrapped,
        condition=join_parts({**split_parts(copy.condition), **seen.parts}),
    )


LASTING = ("printing_id", "sewing", "covering", "finish", "slipcase", "signed", "limitation")
"""What a copy is, whenever it was looked at; no report has these."""


def _with_lasting(copy: Copy, seen: Inspection) -> Copy:
    return replace(
        copy,
        sewing=seen.sewing or copy.sewing,
        covering=seen.covering or copy.covering,
        finish=seen.finish or copy.finish,
        slipcase=copy.slipcase if seen.slipcase is None else seen.slipcase,
        signed=copy.signed if seen.signed is None else seen.signed,
        limitation=copy.limitation if seen.limitation is None else seen.limitation,
    )


def _refuse_replacing(before: Copy, after: Copy) -> None:
    """Refuse an earlier report that says another thing of what the copy is than is recorded now."""
    for name in LASTING:
        recorded = getattr(before, name)
        if recorded not in (None, "") and getattr(after, name) != recorded:
            what = name.removesuffix("_id")
            remedy = f"leave the {what} out of a report of an earlier day"
            raise RefusedError(f"Copy {before.accession}", f"has another {what} on record by now", remedy)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check the path") from error


def before_and_after(reports: Sequence[ConditionReport]) -> tuple[ConditionReport | None, ConditionReport | None]:
    """Return the last report before the move and the last after it."""
    before = [report for report in reports if report.occasion is Occasion.BEFORE]
    after = [report for report in reports if report.occasion is Occasion.AFTER]
    return (latest(before) if before else None), (latest(after) if after else None)


def latest(reports: Sequence[ConditionReport]) -> ConditionReport:
    """Return the report of the latest day; of several of one moment, the one that was entered last."""
    return max(reports, key=lambda report: (report.at, report.id))
