"""The index of words on a PostgreSQL server: the answers are those of SQLite's, for both have one folded column."""

from collections.abc import Sequence

from sqlalchemy import Select, cast, column, func, literal, or_, select, table
from sqlalchemy import Text as TextType
from sqlalchemy.dialects.postgresql import TSQUERY

from intake.edges.store.engines.server_schema import LONGEST_WORD
from intake.edges.store.tables import TABLES
from intake.model.editions import Edition
from intake.model.folding import UNSPACED, pairs


def _lexeme(word: str, mark: str = "") -> str:
    quoted = word[:LONGEST_WORD].replace("\\", "\\\\").replace("'", "''")
    return f"'{quoted}'{mark}"


def _form_query(form: str, *, beginning: bool) -> str:
    """Return the query for one form of a word: all its parts, or all its pairs of letters."""
    parts = [part for word in form.split() for part in (pairs(word) or (word,))]
    is_open = beginning and len(form) >= 2 - bool(UNSPACED.search(form)) and not pairs(form) and not form.isdecimal()
    marks = [""] * (len(parts) - 1) + [":*" if is_open else ""]
    return f"({' & '.join(map(_lexeme, parts, marks))})"


def tsquery_of(words: Sequence[Sequence[str]], *, beginning: bool = True) -> str:
    """Return the query of the index for words, each in any of its forms; empty where there is none.

    Args:
        words: folded.
        beginning: whether the last one may be the beginning of a word.

    >>> tsquery_of([["o"], ["garten", "gaerten"]])
    "(('o')) & (('garten':*) | ('gaerten':*))"
    """
    queries = [
        " | ".join(_form_query(form, beginning=beginning and nth == len(words)) for form in forms)
        for nth, forms in enumerate(words, 1)
    ]
    return " & ".join(f"({query})" for query in queries)


def editions_with_words(
    words: Sequence[Sequence[str]], limit: int, *, beginning: bool = True
) -> Select[tuple[int]] | None:
    """Select the ids of editions that have all these words; see `sqlite.editions_with_words`."""
    query = tsquery_of(words, beginning=beginning)
    if not query:
        return None
    edition = TABLES[Edition].alias("with_words")
    has_words = func.intake_words(edition.c.words).bool_op("@@")(cast(literal(query, TextType), TSQUERY))
    return select(edition.c.id).where(has_words).limit(limit)


def words_between(shapes: Sequence[tuple[str, str, int]]) -> Select[str]:
    """Select words of the library by their shape; see `sqlite.words_between`."""
    term = column("word", TextType)
    length = func.length(term)
    fits = [
        length.between(size - 1, size + 1)
        & (term.startswith(first, autoescape=True) | term.endswith(last, autoescape=True))
        for first, last, size in shapes
    ]
    return select(term).select_from(table("edition_word", term)).where(or_(*fits))
