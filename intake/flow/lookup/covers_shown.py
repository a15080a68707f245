"""The picture that stands beside an edition or a copy in a list."""

from collections.abc import Iterable

from intake.edges.store.queries.covers import covers_of_copies, covers_of_editions
from intake.edges.store.reader import LibraryReader


def covers_of(reader: LibraryReader, editions: Iterable[int]) -> dict[int, str]:
    """Return the SHA-256 of a photograph of each of these editions of which there is one."""
    return covers_of_editions(reader, set(editions))


def copy_covers(reader: LibraryReader, copies: Iterable[str]) -> dict[str, str]:
    """Return the SHA-256 of a photograph of each of these copies of which there is one."""
    return covers_of_copies(reader, set(copies))
