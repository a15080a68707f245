"""The index of words on a PostgreSQL server: the answers are those of SQLite's, for both have one folded column."""

from sqlalchemy import Select, cast, column, func, literal, select, table
from sqlalchemy import Text as TextType
from sqlalchemy.dialects.postgresql import TSQUERY

from intake.edges.store.engines.server_schema import LONGEST_WORD
from intake.edges.store.engines.word_queries import QuerySigns, Shapes, Words, has_shape, word_query
from intake.edges.store.tables import TABLES
from intake.model.editions import Edition


def _lexeme(word: str) -> str:
    quoted = word[:LONGEST_WORD].replace("\\", "\\\\").replace("'", "''")
    return f"'{quoted}'"


SIGNS = QuerySigns(quoted=_lexeme, all_of=" & ", any_of=" | ", beginning=":*")
"""Of a tsquery (PostgreSQL's documentation, 8.11.2)."""


def editions_with_words(words: Words, limit: int, *, beginning: bool = True) -> Select[tuple[int]] | None:
    """Select the ids of editions that have all these words; see `sqlite.editions_with_words`.

    >>> word_query([["o"], ["garten", "gaerten"]], SIGNS)
    "(('o')) & (('garten':*) | ('gaerten':*))"
    """
    query = word_query(words, SIGNS, beginning=beginning)
    if not query:
        return None
    edition = TABLES[Edition].alias("with_words")
    has_words = func.intake_words(edition.c.words).bool_op("@@")(cast(literal(query, TextType), TSQUERY))
    return select(edition.c.id).where(has_words).limit(limit)


def words_between(shapes: Shapes) -> Select[str]:
    """Select words of the library by their shape."""
    word = column("word", TextType)
    return select(word).select_from(table("edition_word", word)).where(has_shape(word, shapes))
