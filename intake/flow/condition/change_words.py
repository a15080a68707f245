"""What changed between two pictures, in words: where to look, never what it is."""

from collections.abc import Sequence

from intake.flow.condition.picture_changes import ComparedPictures, PicturePair
from intake.model.cover_changes import CompareVerdict, CoverChange, CoverChanges, CoverPart, Tone, Unjudged
from intake.units.counts import counted, noun

TONES = {Tone.DARKER: "darker than before", Tone.LIGHTER: "lighter than before", Tone.OTHER: "of another colour"}
HIDDEN = {
    Unjudged.GLARE: "burnt out by glare",
    Unjudged.CUT_OFF: "outside the picture",
    Unjudged.SHINE: "under bright lines as a wrap or gloss has them",
}
REFUSALS = {
    CompareVerdict.STRANGE: (
        "The two pictures do not agree in enough places to be of one side of one book; take the later one again, sharp "
        "and of the same side."
    ),
    CompareVerdict.UNFRAMED: (
        "The edges of the cover are not seen in both pictures; take them with the whole cover on a ground of another "
        "colour."
    ),
    CompareVerdict.SMALL: "The cover is too small in one of the pictures; take it from nearer.",
}
NOT_PROOF = "It is for you to say what it is: pictures also differ by dirt, dust and reflections."
NONE_SEEN = "No place looks different. That is no proof that nothing changed: look at the book itself."


def place_words(change: CoverChange) -> str:
    """Return where a place is, how large, and how it differs."""
    part = "on the board" if change.part is CoverPart.FIELD else f"at the {change.part}"
    return f"{part}, {measure_words(change)}, {TONES[change.tone]}"


def measure_words(change: CoverChange) -> str:
    """Return the size of a place: in millimetres where that of the cover is known, else as a share of it."""
    if change.length_mm is not None and change.width_mm is not None:
        return f"about {change.length_mm:.0f} × {max(change.width_mm, 1.0):.0f} mm"
    return f"{share_words(change.share)} of the cover"


def share_words(share: float) -> str:
    """Return a share as a percentage that is not 0.

    >>> share_words(0.0004), share_words(0.031), share_words(0.2)
    ('0.04 %', '3.1 %', '20 %')
    """
    return f"{100 * share:.2g} %"


def change_lines(found: CoverChanges) -> tuple[str, ...]:
    """Return what a comparison says, a sentence a line; the places are numbered as they are in the picture."""
    if found.verdict is not CompareVerdict.COMPARED:
        return (REFUSALS[found.verdict],)
    if not found.changes:
        return (NONE_SEEN, *hidden_lines(found))
    places = [f"{nth}  {place_words(change)}" for nth, change in enumerate(found.changes, 1)]
    return (f"Look here, {counted(len(places), 'place')}:", *places, NOT_PROOF, *hidden_lines(found))


def hidden_lines(found: CoverChanges) -> Sequence[str]:
    """Return what was not judged, and why."""
    return [f"Not judged: {share_words(share)} of the cover, {HIDDEN[why]}." for why, share in found.unjudged.items()]


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
    days = f"{pair.earlier.at:%Y-%m-%d} and {pair.later.at:%Y-%m-%d}"
    return f"Copy {pair.copy}, its pictures of {days} laid over each other."
