"""What pictures of many books show of the open box, in words."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace

from intake.flow.lookup.number_lists import written_alike
from intake.flow.lookup.reason_words import reasons_words, where_recorded
from intake.flow.lookup.wording import title_words, whole_words
from intake.flow.unpacking.box_scene import BoxScene, SeenOther
from intake.flow.unpacking.spine_hints import SpineHint
from intake.model.editions import Copy, Edition
from intake.model.reasons import Reason
from intake.units.counts import counted, some_of

MOST_NAMED = 3
"""Copies named for one spine; how many more there are is said."""

NO_TEXT = (
    "The text on spines was not read: that needs a part that is not installed; run: pip install 'book-intake[ocr]'."
)


def scene_lines(answer: BoxScene, box: str) -> Iterator[str]:
    """Write a comparison: found, not listed, what to look at, not seen, and what was not read; a line each.

    Args:
        answer: the comparison.
        box: the number of the box.
    """
    if not answer.was_seen:
        yield f"Box {box}: not compared with its list, as no picture could be read."
        yield from answer.failed
        return
    found = frozenset(each.copy.accession for each in answer.found)
    alike = _numbers_alike(answer)
    awaited = len(answer.found) + len(answer.not_seen)
    yield f"Box {box}: {len(answer.found)} of {counted(awaited, 'copy', 'copies')} still in it were found."
    for each in answer.found:
        yield f"  found: {each.copy.accession}  {whole_words(each.edition)} ({each.seen.shown.name})"
    for other in answer.not_listed:
        yield f"  not listed: {_other_words(other, alike, found)}"
    for other in answer.undecided:
        yield f"  to decide: {_other_words(other, alike)}"
    for other in answer.doubtful:
        yield f"  not certain: {_other_words(other, alike)}; look at its number"
    for hint in answer.hints:
        yield f"  {_hint_words(hint, box)}"
    for spine in answer.other_spines:
        yield f"  {_spine_words(spine, found)}"
    asked = answer.asked_about
    for copy, edition in sorted(answer.not_seen, key=lambda pair: pair[0].accession not in asked):
        what = "asked about above" if copy.accession in asked else "not seen"
        yield f"  {what}: {copy.accession}  {whole_words(edition)}"
    if answer.labels:
        yield f"  labels of boxes and places: {', '.join(answer.labels)}"
    yield from not_read_lines(answer.left_out, answer.other_lines, text_missing=answer.text_missing)
    yield from answer.further_pages
    yield from answer.failed


def not_read_lines(left_out: int, other_lines: int, *, text_missing: bool) -> Iterator[str]:
    """Write what was not read in pictures."""
    if left_out:
        places = counted(left_out, "place")
        yield f"Left out: {places} that may be bars, as there are so many. Take the picture from nearer, in parts."
    if other_lines:
        lines = counted(other_lines, "line")
        yield f"Left out: {lines} of text: hardly readable, digits alone, or longer than the text of a spine."
    if text_missing:
        yield NO_TEXT


def _numbers_alike(answer: BoxScene) -> Mapping[str, str]:
    """Return how to write the numbers of the list, those in reasons too."""
    others = [*answer.not_listed, *answer.undecided, *answer.doubtful]
    reasons = [reason for other in others for reason in other.identification.why]
    numbers = [other.seen.reading.number for other in others]
    return written_alike([*numbers, *(text for reason in reasons for text in (reason.number or "", *reason.texts))])


def _other_words(other: SeenOther, alike: Mapping[str, str], found: Collection[str] = ()) -> str:
    identification = other.identification
    number = other.seen.reading.number
    what = f"{whole_words(identification.candidates[0].edition)}: " if identification.candidates else ""
    reasons = "; ".join(_other_reasons(other, alike, found))
    return f"{alike.get(number, number)} ({other.seen.shown.name}): {what}{reasons}"


def _other_reasons(other: SeenOther, alike: Mapping[str, str], found: Collection[str]) -> Iterator[str]:
    """Write what a number may be; the copies that others of this number are by now are not meant again."""
    identification = other.identification
    left = [each for each in identification.candidates if each.copy is None or each.copy.accession not in found]
    if len(left) == len(identification.candidates):
        yield reasons_words([_written(reason, alike) for reason in identification.why])
        if other.seen.nth > 1:
            yield f"{other.seen.nth} of this number are in the picture"
        return
    yield "more copies were seen than this box has on its list"
    if left:
        yield f"perhaps: {reasons_words([_written(reason, alike) for reason in left[0].reasons])}"


def _written(reason: Reason, alike: Mapping[str, str]) -> Reason:
    texts = tuple(alike.get(text, text) for text in reason.texts)
    number = alike.get(reason.number, reason.number) if reason.number is not None else None
    return replace(reason, number=number, texts=texts)


def _hint_words(hint: SpineHint, box: str) -> str:
    meant = dict.fromkeys(_meant_words(copy, edition, box) for copy, edition in hint.copies)
    may = some_of([*meant], MOST_NAMED, " or ")
    return f"a spine reads '{hint.spine.text}' ({hint.name}): is it {may}? Scan its number; nothing was booked"


def _meant_words(copy: Copy | None, edition: Edition, box: str) -> str:
    if copy is not None and copy.box == box:
        return f"{copy.accession} '{title_words(edition)}'"
    return f"'{title_words(edition)}' ({_where(copy)})"


def _spine_words(hint: SpineHint, found: Collection[str]) -> str:
    """Write a spine that is no question: what it is like, and where that is by the record."""
    like = dict.fromkeys(f"'{title_words(edition)}', {_where(copy, found)}" for copy, edition in hint.copies)
    may = f"like {some_of([*like], MOST_NAMED, '; ')}" if like else "no title like it was found on any list"
    return f"on a spine, like no title still awaited here: '{hint.spine.text}' ({hint.name}): {may}"


def _where(copy: Copy | None, found: Collection[str] = ()) -> str:
    if copy is None:
        return "in the catalog, but no copy of it is recorded"
    return "found by its number" if copy.accession in found else where_recorded(copy.state, copy.box)
