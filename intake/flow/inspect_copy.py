"""The few facts about a copy that need a person: printing, binding, jacket, wrap, condition by part.

All are optional: a copy of which nothing was said stays 'not yet inspected'. Each saving is one ledger entry, and can
be taken back as one.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from intake.edges.store.library import Library
from intake.edges.store.work import Work
from intake.flow.finding import find_copy
from intake.model.changes import Action, Change, LedgerEntry, made
from intake.model.editions import Copy, Edition, Grade, Printing

PARTS: Mapping[str, tuple[str, ...]] = {
    "jacket": ("torn", "chipped", "faded", "price clipped"),
    "boards": ("bumped corners", "rubbed", "stained", "warped"),
    "spine": ("faded", "cocked", "torn at the head", "cracked"),
    "block": ("shaken", "foxed edges", "damp mark"),
    "leaves": ("foxing", "creased", "written in", "loose plate"),
}
"""The parts of a book, and the trade's words for what befalls each."""

HIGHEST_PRINTING = 60
"""A greater number in a printer's key is a year of two digits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What a person saw. A field that is None was not looked at and leaves the record as it is.

    Attributes:
        number_line: the printer's key as printed.
        binding: of the edition.
        parts: defects by part of the book, in words; an empty text takes earlier words away.
    """

    grade: Grade | None = None
    jacket: Grade | None = None
    has_jacket: bool | None = None
    wrapped: bool | None = None
    number_line: str | None = None
    binding: str | None = None
    parts: Mapping[str, str] = field(default_factory=dict)
    note: str | None = None


def record_facts(
    library: Library, copy_text: str, facts: Facts, *, station: str, request: str | None = None
) -> tuple[Copy, LedgerEntry | None]:
    """Record what a person saw of a copy.

    Returns:
        The copy as it now is, and the ledger entry; no entry where the facts say nothing new.

    Raises:
        RefusedError: there is no such copy.
    """
    with library.writing() as work:
        copy = find_copy(work, copy_text)
        if request is not None and (earlier := work.entry_of_request(request)) is not None:
            return copy, earlier
        edition = work.edition(copy.edition_id)
        printing, changes = _printing(work, copy, facts.number_line or "")
        after = replace(_with_facts(copy, facts), printing_id=printing)
        if edition is not None and facts.binding is not None and facts.binding != edition.binding:
            changes = (*changes, Change(edition, replace(edition, binding=facts.binding)))
        if after != copy:
            changes = (*changes, Change(copy, after))
        if not changes:
            return copy, None
        return after, work.apply(Action("inspect copy", copy.accession, station, request), changes)


def _with_facts(copy: Copy, facts: Facts) -> Copy:
    parts = {**split_parts(copy.condition), **facts.parts}
    return replace(
        copy,
        grade=facts.grade or copy.grade,
        jacket=None if facts.has_jacket is False else facts.jacket or copy.jacket,
        has_jacket=copy.has_jacket if facts.has_jacket is None else facts.has_jacket,
        wrapped=copy.wrapped if facts.wrapped is None else facts.wrapped,
        condition=join_parts(parts),
        note=copy.note if facts.note is None else facts.note,
    )


def _printing(work: Work, copy: Copy, number_line: str) -> tuple[int | None, tuple[Change, ...]]:
    """Return the printing that the line means, made anew where the library has none, and what that changes."""
    if not number_line:
        return copy.printing_id, ()
    known = work.printings_of(copy.edition_id)
    ordinal = printing_of_line(number_line)
    for printing in known:
        if _folded(printing.number_line) == _folded(number_line):
            return printing.id, ()
    for printing in known:
        if ordinal is not None and printing.ordinal == ordinal:
            return printing.id, ()
    new = Printing(id=work.new_id(Printing), edition_id=copy.edition_id, ordinal=ordinal, number_line=number_line)
    return new.id, made(new)


def printing_of_line(number_line: str) -> int | None:
    """Return the printing that a printer's key names: the lowest number in it that is no year.

    >>> printing_of_line("3 4 5 6 7 8 9 10 APC 00 99 98 97 96"), printing_of_line("APC")
    (3, None)
    """
    numbers = [int(text) for text in re.findall(r"(?<!\d)[1-9]\d?(?!\d)", number_line)]
    return min((number for number in numbers if number <= HIGHEST_PRINTING), default=None)


def split_parts(condition: str) -> dict[str, str]:
    """Split a condition into the words about each part; those about none stand under an empty name.

    >>> split_parts("boards: rubbed; ex-library")
    {'boards': 'rubbed', '': 'ex-library'}
    """
    found: dict[str, list[str]] = {}
    for piece in filter(None, (piece.strip() for piece in condition.split(";"))):
        name, colon, words = piece.partition(":")
        part = name.strip().lower() if colon and name.strip().lower() in PARTS else ""
        found.setdefault(part, []).append(words.strip() if part else piece)
    return {part: "; ".join(words) if not part else ", ".join(words) for part, words in found.items()}


def join_parts(parts: Mapping[str, str]) -> str:
    """Write a condition from the words about each part, in the order of the parts.

    >>> join_parts({"spine": "faded", "boards": "rubbed", "": "ex-library"})
    'boards: rubbed; spine: faded; ex-library'
    """
    named = [f"{part}: {parts[part]}" for part in PARTS if parts.get(part)]
    return "; ".join([*named, *([parts[""]] if parts.get("") else [])])


def _folded(number_line: str) -> str:
    return " ".join(number_line.split()).casefold()


def edit_edition(
    library: Library, edition: Edition, *, station: str, note: str = ""
) -> tuple[Edition, LedgerEntry | None]:
    """Replace what is recorded of an edition, told by its id.

    Raises:
        RefusedError: it is not in the library any more.
    """
    with library.writing() as work:
        held = work.edition(edition.id)
        if held == edition:
            return edition, None
        action = Action("edit edition", edition.key or edition.number or str(edition.id), station, note=note)
        return edition, work.apply(action, (Change(held, edition),))
