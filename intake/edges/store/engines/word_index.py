"""The index of words of a connection's database; the answers are the same."""

from collections.abc import Sequence
from typing import Protocol

from sqlalchemy import Connection, Select

from intake.edges.store.engines import server_words, sqlite

Words = Sequence[Sequence[str]]


class WordIndex(Protocol):
    """Selects editions by their words, and words by their shape."""

    def editions_with_words(self, words: Words, limit: int, *, beginning: bool = True) -> Select[tuple[int]] | None:
        """Select the ids of editions that have all these words, each in any of its forms; None where there is none.

        Args:
            words: folded (`intake.model.folding`).
            limit: how many at most; which ones is left to the index.
            beginning: whether the last word may be the beginning of one.
        """

    def words_between(self, shapes: Sequence[tuple[str, str, int]]) -> Select[str]:
        """Select words by their shape: first letters, last letters, of which one must agree, length give or take 1."""


def word_index(connection: Connection) -> WordIndex:
    """Return the index of a database."""
    return sqlite if connection.dialect.name == "sqlite" else server_words
