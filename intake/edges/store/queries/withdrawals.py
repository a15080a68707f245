"""Copies that left the collection.

What the collection holds is defined once, by `is_held`: every copy that was not withdrawn. Whatever lists or counts
copies asks for these; a copy that was withdrawn is found by its number, by its edition and in the history.
"""

from collections.abc import Iterable

from sqlalchemy import ColumnElement, select

from intake.edges.store.fetching import fetch_any
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy, CopyState
from intake.model.withdrawals import Withdrawal


def is_held() -> ColumnElement[bool]:
    """Return the condition that a copy was not withdrawn."""
    return TABLES[Copy].c.state != CopyState.WITHDRAWN.value


def was_withdrawn_from_box() -> ColumnElement[bool]:
    """Return the condition that a copy was withdrawn while it was recorded as packed, so that it travelled nowhere."""
    withdrawn = TABLES[Withdrawal].c
    return TABLES[Copy].c.accession.in_(select(withdrawn.copy).where(withdrawn.was == CopyState.PACKED.value))


def withdrawals_of(reader: LibraryReader, accessions: Iterable[str]) -> dict[str, Withdrawal]:
    """Return the withdrawal of each of these copies that was withdrawn, by accession number."""
    found = fetch_any(reader.connection, Withdrawal, TABLES[Withdrawal].c.copy, accessions)
    return {withdrawal.copy: withdrawal for withdrawal in found}
