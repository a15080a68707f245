"""Which copies are kept for a reason with these words in it."""

from intake.edges.store.fetching import fetch
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy
from intake.model.folding import as_typed, search_words, word_forms


def copies_kept_because(reader: LibraryReader, words: str, limit: int) -> tuple[Copy, ...]:
    """Return the first copies in whose reason each of these words begins one; one statement.

    Reasons are folded (`intake.model.folding`), which no database does; few copies have one.
    """
    typed = word_forms(words.encode(errors="ignore").decode())
    if not typed:
        return ()
    with_reason = fetch(reader.connection, Copy, TABLES[Copy].c.why > "")
    return tuple(copy for copy in with_reason if _has(copy.why, typed))[:limit]


def _has(reason: str, typed: tuple[tuple[str, ...], ...]) -> bool:
    words = f" {search_words([reason])}"
    return all(any(f" {form}" in words for form in as_typed(forms)) for forms in typed)
