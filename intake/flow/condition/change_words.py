"""What changed between two pictures, in words: where to look, never what it is."""

from collections.abc import Sequence
from decimal import Decimal
from math import floor

from intake.flow.condition.picture_changes import ComparedPictures, PicturePair
from intake.model.cover_changes import CompareVerdict, CoverChange, CoverChanges, CoverPart, Tone, Unjudged
from intake.units.counts import counted, noun
from intake.units.language import say, say_of, term
from intake.units.local_forms import day_text, exact_figures

PLACES = {
    CoverPart.FIELD: term("on the board"),
    CoverPart.TOP_LEFT_CORNER: term("at the top left corner"),
    CoverPart.TOP_RIGHT_CORNER: term("at the top right corner"),
    CoverPart.BOTTOM_RIGHT_CORNER: term("at the bottom right corner"),
    CoverPart.BOTTOM_LEFT_CORNER: term("at the bottom left corner"),
    CoverPart.TOP_EDGE: term("at the top edge"),
    CoverPart.RIGHT_EDGE: term("at the right edge"),
    CoverPart.BOTTOM_EDGE: term("at the bottom edge"),
    CoverPart.LEFT_EDGE: term("at the left edge"),
    CoverPart.HINGE: term("at the spine side"),
}
TONES = {
    Tone.DARKER: term("darker than before"),
    Tone.LIGHTER: term("lighter than before"),
    Tone.OTHER: term("of another colour"),
}
HIDDEN = {
    Unjudged.GLARE: term("Not judged: {share} of the cover, burnt out by glare."),
    Unjudged.CUT_OFF: term("Not judged: {share} of the cover, outside the picture."),
    Unjudged.SHINE: term("Not judged: {share} of the cover, under bright lines as a wrap or gloss has them."),
    Unjudged.SOFT: term(
        "Not judged: {share} of the cover, different but without a sharp rim, as light and shadow are."
    ),
}
REFUSALS = {
    CompareVerdict.STRANGE: term(
        "The two pictures do not agree in enough places to be of one side of one book; take the later one again, sharp "
        "and of the same side."
    ),
    CompareVerdict.UNFRAMED: term(
        "The edges of the cover are not seen in both pictures; take them with the whole cover on a ground of another "
        "colour."
    ),
    CompareVerdict.SMALL: term("The cover is too small in one of the pictures; take it from nearer."),
}
NOT_PROOF = term("It is for you to say what it is: pictures also differ by dirt, dust and reflections.")
NONE_SEEN = term("No place looks different. That is no proof that nothing changed: look at the book itself.")
NONE_SEEN_IN_PART = term(
    "Nothing was found in the {share} of the cover that could be compared. The rest may have changed: look at the book "
    "itself."
)
ENTIRE = 0.95
"""Of the cover that must have been compared before it is said that no place looks different."""


def place_words(change: CoverChange) -> str:
    """Return where a place is, how large, and how it differs."""
    return ", ".join((say(PLACES[change.part]), measure_words(change), say(TONES[change.tone])))


def measure_words(change: CoverChange) -> str:
    """Return the size of a place: in millimetres where that of the cover is known, else as a share of it."""
    if change.length_mm is not None and change.width_mm is not None:
        length, width = f"{change.length_mm:.0f}", f"{max(change.width_mm, 1.0):.0f}"
        return say("about {length} × {width} mm", length=length, width=width)
    return say("{share} of the cover", share=share_words(change.share))


def share_words(share: float) -> str:
    """Return a share as a percentage that is not 0.

    >>> share_words(0.0004), share_words(0.2), share_words(1.0)
    ('0.04 %', '20 %', '100 %')
    """
    number = Decimal(f"{100 * share:.2g}")
    return f"{exact_figures(number)} %"


def change_lines(found: CoverChanges) -> tuple[str, ...]:
    """Return what a comparison says, a sentence a line; the places are numbered as they are in the picture."""
    if found.verdict is not CompareVerdict.COMPARED:
        return (say(REFUSALS[found.verdict]),)
    if not found.changes:
        return (none_seen_words(found), *hidden_lines(found))
    look = say_of(len(found.changes), "Look here, {count} place:", "Look here, {count} places:")
    places = [f"{nth}  {place_words(change)}" for nth, change in enumerate(found.changes, 1)]
    return (look, *places, say(NOT_PROOF), *hidden_lines(found))


def none_seen_words(found: CoverChanges) -> str:
    """Return that no place looks different; where that is not sure of the entire cover, in how much of it."""
    if found.looks_alike and found.compared >= ENTIRE:
        return say(NONE_SEEN)
    return say(NONE_SEEN_IN_PART, share=f"{floor(100 * found.compared)} %")


def hidden_lines(found: CoverChanges) -> Sequence[str]:
    """Return what was not judged, and why."""
    return [say(HIDDEN[why], share=share_words(share)) for why, share in found.unjudged.items()]


def copy_change_lines(changes: ComparedPictures) -> tuple[str, ...]:
    """Return what the pictures of a copy show, a sentence a line."""
    if changes.pair is not None:
        return (pair_words(changes.pair), *change_lines(changes.pair.found))
    if changes.verdict is None:
        taken = f"there {noun(changes.pictures, 'is', 'are')} {counted(changes.pictures, 'picture')} of it"
        why = f"has no earlier and later picture to compare: {taken}, from one occasion at most"
        return (f"Copy {changes.copy.accession} {why}. Take one of the same side.",)
    return (f"No two pictures of copy {changes.copy.accession} can be compared. {REFUSALS[changes.verdict]}",)


def pair_words(pair: PicturePair) -> str:
    """Return which pictures were compared."""
    return say(
        "Copy {copy}, its pictures of {earlier} and {later} laid over each other.",
        copy=pair.copy,
        earlier=day_text(pair.earlier.at.date()),
        later=day_text(pair.later.at.date()),
    )
