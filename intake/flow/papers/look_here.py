"""Where to look on a copy: its earlier and its latest picture compared, for the condition report."""

from collections.abc import Mapping
from dataclasses import dataclass

from intake.covers.change_picture import outlined
from intake.documents.photographs import LARGE_MM
from intake.edges.colour_pictures import jpeg_of
from intake.errors import IntakeError
from intake.flow.condition.change_words import change_lines, pair_words
from intake.flow.condition.picture_changes import (
    PicturePair,
    compare_dated,
    cover_size,
    covers_of,
    dated_pictures,
)
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.model.editions import Copy, Edition
from intake.model.schedules import Photograph, PicturePlaces, Section
from intake.units.convert import mm_to_px
from intake.units.language import say, term
from intake.units.local_forms import day_text

HEADING = term("Look here: pictures compared")
MOST_COPIES = 20
"""Copies of one paper whose pictures are compared, as each takes a second or two."""
TOO_MANY = term("More than {count} copies: their pictures were not compared. Print the report of one copy for that.")
PRINT_DPI = 200.0
CAPTIONS = (
    term("earlier picture of {day}, its cover cut out, the places outlined"),
    term("later picture of {day}, its cover cut out, the places outlined"),
)


@dataclass(frozen=True, slots=True)
class LookHere:
    """What is printed of the comparison: nothing where a copy has no two pictures to compare."""

    sections: tuple[Section, ...] = ()
    compared: tuple[PicturePlaces, ...] = ()


def look_here(source: PaperSource, pairs: Mapping[str, tuple[Copy, Edition]]) -> dict[str, LookHere]:
    """Compare the pictures of copies, by accession number."""
    shown = {number: dated_pictures(source.reader, number) for number in pairs}
    several = [number for number, pictures in shown.items() if len(pictures) > 1]
    if len(several) > MOST_COPIES:
        too_many = (say(TOO_MANY, count=MOST_COPIES),)
        return {number: LookHere((Section(heading=say(HEADING), sentences=too_many),)) for number in several}
    found = {}
    for number in several:
        copy, edition = pairs[number]
        try:
            pair = compare_dated(source.library, copy, shown[number], cover_size(edition)).pair
            if pair is not None:
                found[number] = _told(source, pair)
        except IntakeError as error:
            found[number] = LookHere(
                (Section(heading=say(HEADING), sentences=(say("Not compared: {error}", error=error),)),)
            )
    return found


def _told(source: PaperSource, pair: PicturePair) -> LookHere:
    section = Section(heading=say(HEADING), sentences=(pair_words(pair), *change_lines(pair.found)))
    if source.form is not PaperFormat.PDF or not pair.found.changes:
        return LookHere((section,))
    earlier, later = _photographs(source, pair)
    return LookHere((section,), (PicturePlaces(earlier=earlier, later=later),))


def _photographs(source: PaperSource, pair: PicturePair) -> tuple[Photograph, ...]:
    covers = covers_of(source.library, pair)
    longest = round(mm_to_px(LARGE_MM[1], PRINT_DPI))
    return tuple(
        Photograph(
            copy=pair.copy,
            caption=say(caption, day=day_text(dated.at.date())),
            sha256=dated.sha256,
            width_px=cover.shape[1],
            height_px=cover.shape[0],
            data=jpeg_of(outlined(cover, pair.found.changes), longest),
        )
        for caption, dated, cover in zip(CAPTIONS, (pair.earlier, pair.later), covers, strict=True)
    )
