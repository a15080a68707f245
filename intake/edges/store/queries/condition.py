"""Condition reports and the photographs of copies."""

from sqlalchemy import func, select

from intake.edges.store.fetching import fetch
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import TABLES
from intake.model.condition import ConditionReport, CopyPicture


def condition_reports(reader: LibraryReader, accession: str | None = None) -> tuple[ConditionReport, ...]:
    """Return the condition reports of a copy, or all."""
    where = [] if accession is None else [TABLES[ConditionReport].c.copy == accession]
    return fetch(reader.connection, ConditionReport, *where)


def copy_pictures(reader: LibraryReader, accession: str | None = None) -> tuple[CopyPicture, ...]:
    """Return the photographs of a copy, or of all copies."""
    where = [] if accession is None else [TABLES[CopyPicture].c.copy == accession]
    return fetch(reader.connection, CopyPicture, *where)


def photographs_mark(reader: LibraryReader) -> tuple[int, int]:
    """Return what changes with the photographs of copies: how many there are, and the latest one's key."""
    shown = TABLES[CopyPicture].c
    row = reader.connection.execute(
        select(func.count(), func.coalesce(func.max(shown.id), 0)).select_from(shown.id.table)
    )
    count, latest = row.one()
    return int(count), int(latest)
