"""Condition reports: what was seen of a copy before the move, after it, or between, each kept beside the others."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from intake.edges.store.library import Library
from intake.errors import FileError, RefusedError
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.lookup.resolve import find_copy
from intake.model.changes import Action, ActionKind, Change, Provisional, made
from intake.model.condition import ConditionReport, Occasion, join_parts, split_parts
from intake.model.editions import Copy, Covering, Finish, Grade, Sewing
from intake.valuing.condition import contradiction, occasion_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """What a person saw. A field that is None was not looked at, and stays as it was recorded last.

    Attributes:
        parts: defects by part of the book; under an empty name what is always stated, whatever the grade.
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
    note: str = ""


def report_condition(
    library: Library,
    copy_text: str,
    seen: Inspection,
    *,
    occasion: Occasion | None = None,
    photographs: tuple[Path, ...] = (),
    station: str,
    now: datetime,
) -> ConditionReport:
    """Record the condition of a copy as a report of its own, and as its present condition.

    Args:
        library: where it is recorded.
        copy_text: the copy, as typed.
        seen: what was seen.
        occasion: before or after the move; None decides by where the copy is.
        photographs: picture files to keep with the report.
        station: who looked.
        now: when.

    Raises:
        RefusedError: the copy does not exist, or it is wrapped and a grade or a defect of its inside is given.
        FileError: a photograph cannot be opened; the report then stands without it and those after it.
    """
    pictures = [_bytes(path) for path in photographs]
    with library.reading() as records:
        copy = find_copy(records, copy_text)
    after = _as_seen(copy, seen)
    if why := contradiction(after):
        remedy = "open it first and record that, or leave it out"
        raise RefusedError(f"Copy {copy.accession}", why, remedy)
    planned = ConditionReport(
        id=Provisional().id(),
        copy=copy.accession,
        at=now,
        occasion=occasion or occasion_of(copy),
        station=station,
        grade=after.grade,
        jacket=after.jacket,
        has_jacket=after.has_jacket,
        wrapped=after.wrapped,
        condition=after.condition,
        note=seen.note,
    )
    action = Action(ActionKind.REPORT_CONDITION, copy.accession, station, note=planned.occasion)
    applied = library.apply(action, (*made(planned), Change(copy, after)))
    report = replace(planned, id=applied.key(planned.id))
    for data in pictures:
        photograph_copy(library, report.copy, data, report=report.id, station=station, now=now)
    return report


def _as_seen(copy: Copy, seen: Inspection) -> Copy:
    stated = {part: " ".join(words.replace(";", ",").split()) for part, words in seen.parts.items()}
    wrapped = copy.wrapped if seen.wrapped is None else seen.wrapped
    return replace(
        copy,
        grade=seen.grade or copy.grade,
        jacket=None if seen.has_jacket is False else seen.jacket or copy.jacket,
        has_jacket=True if seen.jacket else (copy.has_jacket if seen.has_jacket is None else seen.has_jacket),
        wrapped=wrapped,
        condition=join_parts({**split_parts(copy.condition), **stated}),
        sewing=seen.sewing or copy.sewing,
        covering=seen.covering or copy.covering,
        finish=seen.finish or copy.finish,
        slipcase=copy.slipcase if seen.slipcase is None else seen.slipcase,
        signed=copy.signed if seen.signed is None else seen.signed,
        limitation=copy.limitation if seen.limitation is None else seen.limitation,
    )


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check the path") from error


def before_and_after(reports: tuple[ConditionReport, ...]) -> tuple[ConditionReport | None, ConditionReport | None]:
    """Return the last report before the move and the last after it."""
    before = [report for report in reports if report.occasion is Occasion.BEFORE]
    after = [report for report in reports if report.occasion is Occasion.AFTER]
    return (before[-1] if before else None), (after[-1] if after else None)
