"""What is asked of an index of words; each database gives the signs of its own language of queries."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from sqlalchemy import ColumnElement, func, or_

from intake.model.folding import UNSPACED, pairs

Words = Sequence[Sequence[str]]
"""Folded words (`intake.model.folding`), each in all its forms."""
Shapes = Sequence[tuple[str, str, int]]
"""The first letters of a word, its last letters, of which one must agree, and its length, give or take one."""


class QuerySigns(NamedTuple):
    """How an index writes a query.

    Attributes:
        quoted: writes a word, so that no character in it means anything.
        all_of: stands between what must all be there.
        any_of: stands between what one of must be there.
        beginning: follows what may be the beginning of a word.
    """

    quoted: Callable[[str], str]
    all_of: str
    any_of: str
    beginning: str


def word_query(words: Words, signs: QuerySigns, *, beginning: bool = True) -> str:
    """Return the query for editions that have all these words; empty where there is none.

    Args:
        words: of the editions.
        signs: of the index.
        beginning: whether the last one may be the beginning of a word.
    """
    queries = [
        signs.any_of.join(_form_query(form, signs, beginning=beginning and nth == len(words)) for form in forms)
        for nth, forms in enumerate(words, 1)
    ]
    return signs.all_of.join(f"({query})" for query in queries)


def _form_query(form: str, signs: QuerySigns, *, beginning: bool) -> str:
    """Return the query for one form of a word: all its parts, or all its pairs of letters."""
    parts = [signs.quoted(part) for word in form.split() for part in (pairs(word) or (word,))]
    if beginning and len(form) >= 2 - bool(UNSPACED.search(form)) and not pairs(form) and not form.isdecimal():
        parts[-1] += signs.beginning
    return f"({signs.all_of.join(parts)})"


def has_shape(word: ColumnElement[str], shapes: Shapes) -> ColumnElement[bool]:
    """Return the condition that a word has one of these shapes."""
    length = func.length(word)
    fits = [
        length.between(size - 1, size + 1)
        & (word.startswith(first, autoescape=True) | word.endswith(last, autoescape=True))
        for first, last, size in shapes
    ]
    return or_(*fits)
