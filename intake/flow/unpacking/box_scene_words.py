"""What pictures of many books show of the open box, in words."""

from collections.abc import Iterator

from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.wording import whole_words
from intake.flow.unpacking.box_scene import BoxScene, SeenOther, SpineHint
from intake.units.counts import counted

NO_TEXT = (
    "The text on spines was not read: that needs a part that is not installed; run: pip install 'book-intake[ocr]'."
)


def scene_lines(answer: BoxScene, box: str) -> Iterator[str]:
    """Write a comparison: found, not listed, what to look at, not seen, and what was not read; a line each.

    Args:
        answer: the comparison.
        box: the number of the box.
    """
    awaited = len(answer.found) + len(answer.not_seen)
    yield f"Box {box}: {len(answer.found)} of {counted(awaited, 'copy', 'copies')} still in it were found."
    for each in answer.found:
        yield f"  found: {each.copy.accession}  {whole_words(each.edition)} ({each.seen.shown.name})"
    for other in answer.not_listed:
        yield f"  not listed: {_other_words(other)}"
    for other in answer.undecided:
        yield f"  to decide: {_other_words(other)}"
    for other in answer.doubtful:
        yield f"  not certain: {_other_words(other)}; look at its number"
    for hint in answer.hints:
        yield f"  {_hint_words(hint)}"
    for copy, edition in answer.not_seen:
        yield f"  not seen: {copy.accession}  {whole_words(edition)}"
    if answer.labels:
        yield f"  labels of boxes and places: {', '.join(answer.labels)}"
    yield from not_read_lines(left_out=answer.left_out, text_missing=answer.text_missing)
    yield from answer.further_pages
    yield from answer.failed


def not_read_lines(*, left_out: int, text_missing: bool) -> Iterator[str]:
    """Write what was not read in pictures."""
    if left_out:
        places = counted(left_out, "place")
        yield f"Left out: {places} that may be bars, as there are so many. Take the picture from nearer, in parts."
    if text_missing:
        yield NO_TEXT


def _other_words(other: SeenOther) -> str:
    identification = other.identification
    number = other.seen.reading.number
    written = identification.identifier.written if identification.identifier is not None else number
    what = f"{whole_words(identification.candidates[0].edition)}: " if identification.candidates else ""
    return f"{written} ({other.seen.shown.name}): {what}{reasons_words(identification.why)}"


def _hint_words(hint: SpineHint) -> str:
    may = " or ".join(f"{copy.accession} '{edition.title}'" for copy, edition in hint.copies)
    return f"a spine reads '{hint.spine.text}' ({hint.name}): is it {may}? Scan its number; nothing was booked"
