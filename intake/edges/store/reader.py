"""The library at one moment: records by their key. Other questions are functions in `queries/`."""

from collections.abc import Iterable

from sqlalchemy import Connection

from intake.edges.store.fetching import fetch, fetch_any, fetch_one, key_column
from intake.edges.store.folder_notes import NO_NOTES, FolderNotes
from intake.edges.store.rows import RecordType, key_of


class LibraryReader:
    """The library as it was when the transaction began.

    Attributes:
        connection: for the queries of this package alone.
        notes: what its folder noted of the ledger before that moment, for who checks it.
    """

    def __init__(self, connection: Connection, notes: FolderNotes = NO_NOTES) -> None:
        self.connection = connection
        self.notes = notes

    def get(self, kind: type[RecordType], key: int | str) -> RecordType | None:
        """Return the record that has the key, None if none has."""
        return fetch_one(self.connection, kind, key)

    def get_many(self, kind: type[RecordType], keys: Iterable[int | str]) -> dict[int | str, RecordType]:
        """Return the records that have these keys, by key; a key that no record has is left out."""
        return {key_of(record): record for record in fetch_any(self.connection, kind, key_column(kind), keys)}

    def all(self, kind: type[RecordType]) -> tuple[RecordType, ...]:
        """Return every record of a kind, by key."""
        return fetch(self.connection, kind)
