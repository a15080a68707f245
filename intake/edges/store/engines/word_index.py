"""The index of words of a connection's database; the answers are the same."""

from typing import Protocol

from sqlalchemy import Connection, Select

from intake.edges.store.engines import sqlite
from intake.edges.store.engines.word_queries import Shapes, Words


class WordIndex(Protocol):
    """Selects editions by their words, and words by their shape."""

    def editions_with_words(self, words: Words, limit: int, *, beginning: bool = True) -> Select[tuple[int]] | None:
        """Select the ids of editions that have all these words, each in any of its forms; None where there is none.

        Args:
            words: of the editions.
            limit: how many at most; which ones is left to the index.
            beginning: whether the last word may be the beginning of one.
        """

    def words_between(self, shapes: Shapes) -> Select[str]:
        """Select words by their shape."""


def word_index(connection: Connection) -> WordIndex:
    """Return the index of a database."""
    if connection.dialect.name == "sqlite":
        return sqlite
    from intake.edges.store.engines import server_words  # noqa: PLC0415 - a library in a folder does without

    return server_words
