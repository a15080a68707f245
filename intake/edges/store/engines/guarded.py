"""A check of a library that goes on, whichever database it has, as far as that can be read."""

import sqlite3
from collections.abc import Callable, Iterator

from sqlalchemy.exc import DBAPIError

from intake.edges.store.engines.faults import fault_words
from intake.model.findings import FindingKind, LibraryFinding


def guarded(check: Callable[[], Iterator[LibraryFinding]]) -> Iterator[LibraryFinding]:
    """Yield the findings of a check; where the database cannot be read further, that is the last of them."""
    try:
        yield from check()
    except (DBAPIError, sqlite3.Error) as error:
        reason = getattr(error, "orig", None) or error
        yield LibraryFinding(FindingKind.DATABASE_DAMAGED, detail=f"it cannot be read further: {fault_words(reason)}")
