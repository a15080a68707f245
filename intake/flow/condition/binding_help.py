"""The binding of a copy in the trade's terms, how to tell each by looking, and what it says about the printing in hand.

How to tell them is common practice, no source. What a binding says about the printing rests only on the other copies of
the edition in this library whose printing is recorded: it is a hint, never proof.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from intake.edges.store.queries.copies import copies_ever_of_editions
from intake.edges.store.queries.editions import printings_of
from intake.edges.store.reader import LibraryReader
from intake.model.editions import Copy, Covering, Edition, Finish, Printing, Sewing
from intake.units.counts import counted

HOW_TO_TELL: Mapping[StrEnum, str] = {
    Sewing.SEWN: "From above the block is a row of folded bundles; in the middle of one a thread shows.",
    Sewing.ADHESIVE: "From above the back of the block is one straight line of single leaves in glue.",
    Sewing.STITCHED: "Two or more wire staples through the fold, or through the side near the spine.",
    Sewing.SPIRAL: "A wire or plastic coil runs through a row of holes.",
    Covering.CLOTH: "Threads cross each other under a lens, or feel like fine canvas.",
    Covering.QUARTER_CLOTH: "Cloth on the spine and a strip of the boards, paper on the rest.",
    Covering.LEATHER: "Grain with pores, never quite regular, all over; warm to the hand.",
    Covering.HALF_LEATHER: "Leather on spine and corners, cloth or paper between.",
    Covering.QUARTER_LEATHER: "Leather on the spine only, cloth or paper on the boards.",
    Covering.VELLUM: "Hard, smooth and translucent, cream to white, often warped by damp air.",
    Covering.PAPER: "Plain or patterned paper glued over stiff boards, mostly under a jacket.",
    Covering.PRINTED_PAPER: "The picture is printed on the boards themselves.",
    Covering.WRAPPERS: "No boards: the cover bends like card.",
    Finish.PLAIN: "No film: the surface feels like the material itself.",
    Finish.GLOSS: "A clear film that mirrors a window sharply.",
    Finish.MATT: "A clear film without mirror image; fingers leave shiny marks.",
    Finish.SOFT_TOUCH: "A film that feels like suede or peach skin; scratches show at once.",
    Finish.VARNISHED: "Shine without a film: no edge of a film at the turned-in border; may be on parts only.",
    Finish.BLOCKED: "Gold, silver or colour pressed in: a fingernail feels the edge of the letters.",
}
SLIPCASE = "A stiff box, open on one side, from which the spine looks out."


@dataclass(frozen=True, slots=True)
class BindingQuestion:
    """One question about the binding of a copy.

    Attributes:
        name: of the field.
        chosen: what is recorded; empty where nothing is.
        answers: each with one line on how to tell it by looking.
    """

    name: str
    legend: str
    chosen: str
    answers: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PrintingClue:
    """What the recorded copies of one printing have alike.

    Attributes:
        copies: how many copies of it have a recorded binding.
        binding: what they all have, as far as it is recorded; empty where they differ.
        agrees: whether the copy in hand, as recorded, may be of it; None where nothing of both can be compared.
    """

    printing: Printing
    copies: int
    binding: tuple[str, ...]
    agrees: bool | None


def binding_questions(copy: Copy) -> tuple[BindingQuestion, ...]:
    """Return the questions about the binding of a copy."""
    kinds: tuple[tuple[str, str, type[StrEnum], str], ...] = (
        ("sewing", "How the leaves are held", Sewing, copy.sewing or ""),
        ("covering", "Covering", Covering, copy.covering or ""),
        ("finish", "Surface", Finish, copy.finish or ""),
    )
    return tuple(
        BindingQuestion(name, legend, chosen, tuple((word.value, HOW_TO_TELL[word]) for word in kind))
        for name, legend, kind, chosen in kinds
    )


def printing_clues(reader: LibraryReader, copy: Copy, edition: Edition) -> tuple[PrintingClue, ...]:
    """Return what the recorded printings of an edition have alike, and whether the copy in hand agrees."""
    others = [other for other in copies_ever_of_editions(reader, [edition.id]) if other.accession != copy.accession]
    return tuple(
        _clue(printing, copy, [other for other in others if other.printing_id == printing.id])
        for printing in printings_of(reader, edition.id)
    )


def _clue(printing: Printing, copy: Copy, others: Iterable[Copy]) -> PrintingClue:
    described = [other for other in others if any(_bound(other))]
    alike = tuple(_alike(words) for words in zip(*map(_bound, described), strict=True))
    compared = [(mine, theirs) for mine, theirs in zip(_bound(copy), alike, strict=False) if mine and theirs]
    agrees = all(mine == theirs for mine, theirs in compared) if compared else None
    return PrintingClue(printing, len(described), tuple(filter(None, alike)), agrees)


def _bound(copy: Copy) -> tuple[str, str, str]:
    return copy.sewing or "", copy.covering or "", copy.finish or ""


def _alike(words: tuple[str, ...]) -> str:
    """Return the one word of several that are recorded; empty where they differ or nothing is recorded."""
    recorded = set(filter(None, words))
    return next(iter(recorded)) if len(recorded) == 1 else ""


def clue_line(clue: PrintingClue) -> str:
    """Write what is known of a printing, for the one who holds a copy.

    >>> clue_line(PrintingClue(Printing(id=1, edition_id=1, ordinal=2, year=1998), 1, ("adhesive",), False))
    'Printing 2, 1998. The binding of 1 copy of it: adhesive; this one is bound otherwise.'
    """
    printing = clue.printing
    number = f"Printing {printing.ordinal}" if printing.ordinal else "A printing without a number"
    name = ", ".join(filter(None, (number, str(printing.year or ""), printing.number_line, printing.points)))
    if not clue.copies:
        return f"{name}."
    if not clue.binding:
        return f"{name}. Its {counted(clue.copies, 'copy is', 'copies are')} bound in different ways."
    verdict = {True: "; this one agrees", False: "; this one is bound otherwise", None: ""}[clue.agrees]
    return f"{name}. The binding of {counted(clue.copies, 'copy', 'copies')} of it: {', '.join(clue.binding)}{verdict}."
