"""The contents of the customs list and of the declaration for household effects: finished texts and masses.

As in `intake.model.schedules`, `flow` makes these from the records; what is unknown is None and printed as unknown.
"""

from dataclasses import dataclass
from datetime import date

from intake.model.valuations import CountedAmount


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomsLine:
    """One piece of goods.

    Attributes:
        box, copy: numbers of the box that it travels in, and of the piece itself.
        isbn: ISBN, ISSN or ISMN as written; empty for a book without one.
        title, more: what it is; contributors, edition and printing.
        goods: what its heading is called.
        questions: what the office has to decide about it, and what is not known.
        country: where it was printed; empty where that is not known.
        state: as new, used, or not inspected.
        value: with its currency, or where it is counted, or that none is recorded.
        recorded: the value as recorded, with its basis, source and day, where that is not how it is stated.
        net_g: mass of the piece itself; None where it is not known.
        gross_g: its share in the gross mass of its box; None where that cannot be computed.
        is_set: whether this is no piece, but a set whose value stands once in place of its volumes'.
        counted: its value as it enters a sum; None where it enters none.
        is_found: whether it is neither lost nor in a box that has not arrived, which have sums of their own.
    """

    box: str
    copy: str
    title: str
    goods: str
    heading: str
    isbn: str = ""
    more: str = ""
    questions: tuple[str, ...] = ()
    country: str = ""
    state: str = ""
    value: str = ""
    recorded: str = ""
    net_g: float | None = None
    gross_g: float | None = None
    is_set: bool = False
    counted: CountedAmount | None = None
    is_found: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomsSum:
    """What the pieces of one box, or of one heading, come to.

    Attributes:
        name: the number of the box, or the heading.
        what: the name of the heading, or how the box was weighed.
        value: in words, each currency by itself.
        net_g: of the pieces whose mass is known; `unknown` is the number of those whose is not.
        gross_g: of the box as weighed; None where it was not, or is not asked for.
        weighed: whether the box was weighed; None for a part of a box, which has no gross mass of its own.
    """

    name: str
    pieces: int
    value: str
    what: str = ""
    net_g: float = 0.0
    unknown: int = 0
    gross_g: float | None = None
    weighed: bool | None = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomsList:
    """Goods described as a customs office requires.

    Attributes:
        asks: what has to be answered before the list is signed.
        boxes, headings: sums by box and by heading.
        totals: the closing total, in sentences, each with what it leaves out.
        notes: how values and masses were obtained.
    """

    reference: str
    on: date
    facts: tuple[tuple[str, str], ...]
    lines: tuple[CustomsLine, ...]
    asks: tuple[str, ...] = ()
    boxes: tuple[CustomsSum, ...] = ()
    headings: tuple[CustomsSum, ...] = ()
    totals: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    proof: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Declaration:
    """A text to be signed, the conditions that it rests on, and what it does not cover.

    Attributes:
        text: paragraphs of the declaration, those with a letter before them as listed.
        checks: (article, condition, what the record says) of each condition.
        left_out: (number, title, why) of each copy that it does not cover.
        open: (number, title, what is not on record) of each copy that the signer has to answer for.
        notes: what the declaration is not.
    """

    title: str
    reference: str
    on: date
    facts: tuple[tuple[str, str], ...]
    text: tuple[str, ...]
    checks: tuple[tuple[str, str, str], ...]
    left_out: tuple[tuple[str, str, str], ...] = ()
    open: tuple[tuple[str, str, str], ...] = ()
    totals: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    signers: tuple[str, ...] = ()
    proof: str = ""
