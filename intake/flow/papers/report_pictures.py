"""The photographs of condition reports: what was seen after the move, beside pictures of the same parts from before.

Which part a photograph shows is what its note names, a word of `intake.model.condition.PARTS`; where no earlier one
names the same part, that is said in its place.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from intake.documents.photographs import LARGE_MM
from intake.edges.store.queries.papers import pictures_of_copies
from intake.flow.papers.paper import PaperSource
from intake.flow.papers.print_photographs import photographs_of
from intake.model.condition import PARTS, ConditionReport, CopyPicture, Occasion, split_parts
from intake.model.schedules import Photograph, PicturePlaces
from intake.units.language import say, term
from intake.units.local_forms import day_text
from intake.valuing.condition import defect_words

NO_PART = term("There is no earlier picture to set beside this one, whose note names no part of the book.")
WORD = re.compile(r"\w+")


@dataclass(frozen=True, slots=True)
class ReportPictures:
    """Photographs of a copy's reports: those of after the move beside earlier ones, and all others."""

    compared: tuple[PicturePlaces, ...] = ()
    others: tuple[Photograph, ...] = ()


def pictures_of_reports(
    source: PaperSource, numbers: Sequence[str], reports: Mapping[str, Sequence[ConditionReport]]
) -> dict[str, ReportPictures]:
    """Return the photographs of the reports of each copy, scaled together."""
    pictures = pictures_of_copies(source.reader, list(numbers))
    shown = [
        replace(picture, note=_caption(report, picture.note))
        for number in numbers
        for report in reports[number]
        for picture in pictures.get(number, ())
        if picture.report == report.id
    ]
    ready = dict(zip((one.id for one in shown), photographs_of(source, shown, {}, LARGE_MM), strict=True))
    return {number: _of_copy(pictures.get(number, ()), reports[number], ready) for number in numbers}


def with_pairs(
    compared: Sequence[PicturePlaces], others: Sequence[Photograph], pairs: Sequence[PicturePlaces]
) -> tuple[tuple[PicturePlaces, ...], tuple[Photograph, ...]]:
    """Set beside a photograph without an earlier one that which was found, by comparing, to show the same side.

    Args:
        compared: photographs of after the move.
        others: among which the earlier ones are.
        pairs: those that were compared.

    Returns:
        The photographs of after the move, and what is left of the others.
    """
    earlier_of = {pair.later.sha256: pair.earlier.sha256 for pair in pairs if pair.earlier is not None}
    by_digest = {one.sha256: one for one in others}
    found = [
        one if one.earlier else replace(one, earlier=by_digest.get(earlier_of.get(one.later.sha256, "")))
        for one in compared
    ]
    used = {one.earlier.sha256 for one in found if one.earlier is not None}
    return tuple(found), tuple(one for one in others if one.sha256 not in used)


def seen_by(report: ConditionReport | None) -> str:
    """Write who saw what a report says, and when; one that was entered later says the day alone."""
    if report is None:
        return ""
    day = day_text(report.at.date())
    return f"{report.station}, {day}" + (f" {report.at:%H:%M} UTC" if report.at.time() else "")


def part_shown(note: str) -> str:
    """Return the part that a note names first; empty where it names none.

    >>> part_shown("Corner of the boards, crushed"), part_shown("crushed")
    ('boards', '')
    """
    return next((word for word in WORD.findall(note.casefold()) if word in PARTS), "")


def _of_copy(
    pictures: Iterable[CopyPicture], reports: Sequence[ConditionReport], ready: Mapping[int, Photograph]
) -> ReportPictures:
    occasions = {report.id: report.occasion for report in reports}
    own = [picture for picture in sorted(pictures, key=lambda one: (one.report or 0, one.id)) if picture.id in ready]
    before = [picture for picture in own if occasions.get(picture.report or 0) is Occasion.BEFORE]
    after = [picture for picture in own if occasions.get(picture.report or 0) is Occasion.AFTER]
    earlier = {picture.id: _earlier(picture, before) for picture in after}
    compared = tuple(_places(picture, earlier[picture.id], ready) for picture in after)
    beside = {picture.id for picture in (*after, *filter(None, earlier.values()))}
    return ReportPictures(compared, tuple(ready[one.id] for one in own if one.id not in beside))


def _earlier(picture: CopyPicture, before: Sequence[CopyPicture]) -> CopyPicture | None:
    """Return the latest picture of before that names the same part."""
    part = part_shown(picture.note)
    return next((one for one in reversed(before) if part and part_shown(one.note) == part), None)


def _places(picture: CopyPicture, earlier: CopyPicture | None, ready: Mapping[int, Photograph]) -> PicturePlaces:
    part = part_shown(picture.note)
    return PicturePlaces(
        later=ready[picture.id],
        earlier=None if earlier is None else ready[earlier.id],
        why=say("There is no picture of the {part} from before the move.", part=say(part)) if part else say(NO_PART),
    )


def _caption(report: ConditionReport, note: str) -> str:
    """Write what a photograph shows: what its report says of the part, who saw it, when."""
    part = part_shown(note)
    words = split_parts(report.condition).get(part, "") if part else ""
    said = defect_words(f"{part}: {words}") if words else ""
    return "; ".join(
        filter(None, (say(report.occasion.value), said, note, say("seen by {seen}", seen=seen_by(report))))
    )
