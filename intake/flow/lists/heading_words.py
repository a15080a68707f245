"""Which fields the words of a heading may mean: the program's own names, English ones, and those of other languages.

A heading is compared without its case, marks and signs; a unit or currency in it ("Höhe (cm)") is taken apart and must
be one that the field can have: 'Format (cm)' is no binding, and 'Date bought' no date of publication.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from intake.edges.exchange.heading_table import WHERE, foreign_headings, foreign_words, words_in_cells
from intake.flow.lists.columns import ListColumn
from intake.flow.lists.field_forms import UNITS, FieldForm, form_of
from intake.flow.lists.size_orders import split_order
from intake.units.full_width import narrow
from intake.units.quantities import LENGTHS
from intake.units.written_currencies import SHARED, currency_of

WITH_UNIT = re.compile(
    r"(?P<base>.*?)\s*(?:[(\[]\s*(?P<inside>[^()\[\]]+?)\s*[)\]]|(?:\bin\b|[\s/,_:])\s*(?P<after>[^\W\d_]+|[€£$¥]))\s*",
    re.DOTALL,
)
OWN, ENGLISH, FOREIGN = 0, 1, 1000
"""Ranks of a match; the place among the words of its language is added to the latter two."""
WITH_UNIT_ONLY = frozenset("hw")
"""Letters that are height and width beside a unit of length, and anything elsewhere."""


@dataclass(frozen=True, slots=True)
class HeadingMatch:
    """A field that a heading may mean: the lower the rank, the likelier."""

    rank: int
    field: str
    languages: frozenset[str] = frozenset()


def fold_heading(heading: str) -> str:
    """Return a heading without case, accents, spaces and signs; an ß stays, for Maße are no Masse.

    >>> fold_heading(" Book-Title "), fold_heading("Épaisseur"), fold_heading("MAẞE")
    ('booktitle', 'epaisseur', 'maße')
    """
    folded = "ß".join(part.casefold() for part in re.split("[ßẞ]", heading))
    return "".join(char for char in unicodedata.normalize("NFKD", folded) if char.isalnum())


def split_unit(heading: str) -> tuple[str, str]:
    """Split a heading into its words and what stands in brackets or at the end, '' for nothing.

    >>> split_unit("Höhe (cm)"), split_unit("height_mm"), split_unit("Titel")
    (('Höhe', 'cm'), ('height', 'mm'), ('Titel', ''))
    """
    match = WITH_UNIT.fullmatch(narrow(heading).strip())
    if match is None or not match["base"]:
        return heading, ""
    return match["base"], match["inside"] or match["after"]


def is_one_of(heading: str, kind: str) -> bool:
    """Return whether a heading, without its currency, is one of a kind of words (`words_in_cells`)."""
    words = folded_words(kind)
    return fold_heading(heading) in words or fold_heading(split_unit(heading)[0]) in words


def is_title(folded: str) -> bool:
    """Return whether a folded heading is a word for the title of a book."""
    return folded in _titles()


@cache
def _titles() -> frozenset[str]:
    return frozenset(map(fold_heading, ("title", "book title", *foreign_words("title"))))


@cache
def folded_words(kind: str) -> frozenset[str]:
    """Return the words of a kind (`words_in_cells`) as `fold_heading` folds them."""
    return frozenset(map(fold_heading, words_in_cells(kind)))


@cache
def known_headings(columns: tuple[ListColumn, ...]) -> Mapping[str, tuple[HeadingMatch, ...]]:
    """Return the fields that a folded heading may mean."""
    known: dict[str, list[HeadingMatch]] = {}
    exact = {fold_heading(word) for column in columns for word in foreign_words(column.words_of or column.field)}
    for column in columns:
        for nth, name in enumerate((column.field, *column.names)):
            rank = OWN if nth == 0 else ENGLISH + nth
            known.setdefault(fold_heading(name), []).append(HeadingMatch(rank, column.field))
        languages: dict[str, dict[str, int]] = {}
        for code, words in foreign_headings().get(column.words_of or column.field, {}).items():
            for nth, word in enumerate(words):
                folded = fold_heading(word)
                # Written without an ß a word may be another: Masse is a mass.
                plain = {folded.replace("ß", "ss")} - exact if "ß" in folded else set()
                for name in (folded, *plain):
                    languages.setdefault(name, {}).setdefault(code, nth)
        for folded, codes in languages.items():
            rank = FOREIGN + min(codes.values())
            known.setdefault(folded, []).append(HeadingMatch(rank, column.field, frozenset(codes)))
    if {"box", "room"} <= {column.field for column in columns}:
        for folded in folded_words(WHERE) - known.keys():
            known[folded] = [HeadingMatch(FOREIGN, field, frozenset({WHERE})) for field in ("box", "room")]
    return {name: tuple(matches) for name, matches in known.items()}


def matches_of(heading: str, known: Mapping[str, tuple[HeadingMatch, ...]]) -> tuple[HeadingMatch, ...]:
    """Return the fields that a heading may mean, whole or without the unit in it."""
    folded = fold_heading(heading)
    if folded not in WITH_UNIT_ONLY and (found := known.get(folded)):
        return found
    words, _ = split_order(heading)
    if words != heading:
        words = words if fold_heading(words) not in ("", *LENGTHS) else "dimensions"  # only the order is named
        found = known.get(fold_heading(words)) or known.get(fold_heading(split_unit(words)[0]), ())
        return tuple(match for match in found if form_of(match.field) is FieldForm.SIZES)
    base, unit = split_unit(heading)
    is_bracketed = narrow(heading).rstrip().endswith((")", "]"))
    return tuple(
        match for match in known.get(fold_heading(base), ()) if _has_unit(match.field, unit, is_bracketed=is_bracketed)
    )


def _has_unit(field: str, unit: str, *, is_bracketed: bool) -> bool:
    """Return whether a field can have the unit in its heading, or what stands in brackets is none and no matter."""
    form = form_of(field)
    if unit.casefold() in UNITS.get(form, {}):
        return True
    if form is FieldForm.AMOUNT and (currency_of(unit) or unit in SHARED):
        return True
    is_unit = any(unit.casefold() in units for units in UNITS.values())
    return is_bracketed and not is_unit and form is not FieldForm.YEAR
