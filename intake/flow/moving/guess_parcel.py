"""What a wrapped parcel may contain: the copies not seen yet, ranked by mass, thickness and height."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from intake.edges.store.queries.copies import CopyPair, copies_in_state, copies_per_state, unseen_in_box
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import whole_words
from intake.flow.moving.masses import Masses, of_collection
from intake.model.editions import UNSEEN, Copy, Edition
from intake.units.advice import advice
from intake.units.counts import counted
from intake.weighing.estimates import Estimate
from intake.weighing.guess_contents import (
    ELSEWHERE,
    ON_NO_LIST,
    SIZES,
    ContentsCandidate,
    ContentsGuess,
    guess_contents,
)
from intake.weighing.plausible import contradicts

LOOKED_AT = 3000
"""Copies of each state that are read, besides those of the box itself; further ones are only counted."""
SURE = 0.5
"""A guess less probable than this is reported as one of several."""
FITS_NOTHING = 0.95
"""So probably on no list that what is on the lists is said not to fit."""

SUPPOSED = (
    f"{100 * SIZES[1]:.0f} % one book, {100 * SIZES[2]:.0f} % two; {100 * ELSEWHERE:.0f} % from another box's list; "
    f"{100 * ON_NO_LIST:.0f} % on no list (common practice, no source)."
)
"""What the probabilities rest on, in words."""

LEAST = 0.001
"""A guess less probable than this is not shown."""
NONE_LIKELY = f"No copy on the lists has a chance of {100 * LEAST:.1f} % or more."

RULE_MM = 2.0
"""Standard uncertainty of measuring a wrapped parcel with a ruler (from memory)."""


@dataclass(frozen=True, slots=True)
class Looked:
    """The answer, and the words for each copy: title, and the box that lists it.

    Attributes:
        doubted: copies whose stated mass and size contradict each other; see `intake.weighing.plausible`.
    """

    answer: ContentsGuess
    titles: Mapping[str, str]
    boxes: Mapping[str, str]
    words: str
    doubted: tuple[str, ...] = ()


def look_into(
    records: LibraryReader,
    box_text: str | None,
    *,
    mass_g: float,
    scale_g: float,
    thickness_mm: float | None = None,
    height_mm: float | None = None,
    wrapped: bool = True,
) -> Looked:
    """Rank the books that a wrapped parcel may contain.

    Args:
        records: the library.
        box_text: the box it came out of, whose list comes first; None where that is not known.
        mass_g: of the parcel.
        scale_g: the standard uncertainty of the scale.
        thickness_mm: of the parcel, where measured.
        height_mm: of its longest side, where measured.
        wrapped: whether wrapping is to be taken off.

    Raises:
        RefusedError: the box does not exist.
        UsageError: a measure that is not more than nothing.
    """
    box = find_box(records, box_text).number if box_text else None
    unseen = list(_unseen(records, box))
    masses = of_collection(records)
    candidates = [_candidate(copy, edition, masses, box) for copy, edition in unseen]
    counts = copies_per_state(records)
    beyond = sum(counts.get(state, 0) for state in UNSEEN) - len(unseen)
    answer = guess_contents(
        candidates,
        mass_g=Estimate(mass_g, scale_g),
        thickness_mm=Estimate(thickness_mm, RULE_MM) if thickness_mm else None,
        height_mm=Estimate(height_mm, RULE_MM) if height_mm else None,
        wrapped=wrapped,
        further=(beyond, 0) if box is None else (0, beyond),
    )
    titles = {copy.accession: whole_words(edition) for copy, edition in unseen}
    boxes = {copy.accession: copy.box or "" for copy, _ in unseen}
    doubted = tuple(copy.accession for copy, edition in unseen if contradicts(edition))
    return Looked(answer, titles, boxes, verdict_words(answer), doubted)


def verdict_words(answer: ContentsGuess) -> str:
    """Write in one sentence how certain the answer is."""
    if not answer.guesses or answer.on_no_list > max(SURE, answer.guesses[0].probability):
        why = "" if answer.on_no_list < FITS_NOTHING else ": nothing on the lists fits these measures"
        return f"Most probably something that is on no list ({100 * answer.on_no_list:.0f} %){why}."
    best, together = answer.guesses[0].probability, answer.alike_probability
    if best >= SURE and answer.alike <= 1:
        return f"Most probably the first of these ({100 * best:.0f} %)."
    if together >= SURE:
        count = f"{answer.alike}" if answer.sampled < SURE else f"about {answer.alike}"
        remedy = " Measure its thickness and height too, or unwrap it." if answer.alike > 3 else ""
        named = f"the first {count}" if answer.alike <= len(answer.guesses) else f"{count}"
        listed = "" if answer.alike <= len(answer.guesses) else f" Only the first {len(answer.guesses)} can be listed."
        return (
            f"Most probably one of {named} ({100 * together:.0f} % together): they fit about equally well, "
            f"and no scale can distinguish them.{listed}{remedy}"
        )
    return f"Not sure: the best guess has {100 * best:.0f} %, and {100 * (1 - best):.0f} % is for all the others."


def left_out_words(answer: ContentsGuess) -> str:
    """Write how probable the copies are together that were not tried; empty where all were."""
    if not answer.left_out:
        return ""
    copies = counted(answer.left_out, "copy", "copies")
    how = advice("Name the box with --box.", "Name the box that it came out of.")
    return (
        f"{100 * answer.left_out_probability:.1f} %  at least one of {copies} not tried, because there are too many: "
        f"supposing that they are like the others. {how}"
    )


def sampled_words(answer: ContentsGuess) -> str:
    """Write how much of an answer is an estimate; empty where next to nothing is."""
    if answer.sampled <= 0.01:
        return ""
    return f"{100 * answer.sampled:.0f} % of this was estimated from a sample of the many combinations that fit."


def _unseen(records: LibraryReader, box: str | None) -> Iterator[CopyPair]:
    """Yield what may be in a parcel: the list of its box first, then what is missing, then what else is packed."""
    if box is not None:
        yield from unseen_in_box(records, box)
    for state in UNSEEN:
        yield from copies_in_state(records, state, LOOKED_AT, besides_box=box)


def _candidate(copy: Copy, edition: Edition, masses: Masses, box: str | None) -> ContentsCandidate:
    body = masses.of(edition)
    return ContentsCandidate(
        key=copy.accession,
        mass_g=body.mass_g,
        thickness_mm=body.thickness_mm,
        height_mm=body.height_mm,
        listed=box is None or copy.box == box,
    )
