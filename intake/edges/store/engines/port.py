"""What a database has to offer to be a library's: everything that SQLite and PostgreSQL do each in their own way."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Protocol

from sqlalchemy import Connection

from intake.edges.server_address import LibraryPlace
from intake.edges.store.engines.turns import WriterNote
from intake.edges.store.picture_check import PictureCount
from intake.edges.store.reader import LibraryReader
from intake.edges.store.writer import LedgerHead
from intake.errors import StoreError
from intake.model.findings import LibraryFinding
from intake.model.sightings import Picture


class PictureStore(Protocol):
    """Where the pictures of a library are, each under its SHA-256."""

    def keep(self, picture: Picture, data: bytes) -> bool:
        """Save the bytes of a picture, if they are not there yet; return whether they were not.

        Raises:
            StoreError: they cannot be written.
        """

    def drop(self, picture: Picture) -> None:
        """Remove a picture, if it is there."""

    def path(self, sha256: str) -> Path | None:
        """Return a file with a picture, None where it is not kept; one that was read from a server goes in time."""

    def names(self) -> Iterable[str]:
        """Return the names that all files have in an archive, those that are no pictures too."""

    def chunks(self, name: str) -> Iterator[bytes]:
        """Yield the content of what has a name."""

    def refuse_unreadable(self) -> None:
        """Refuse a library of whose pictures this user may not read some: they would be taken for lost.

        Raises:
            StoreError: one may not be read.
        """

    def check(self, reader: LibraryReader, count: PictureCount) -> Iterator[LibraryFinding]:
        """Yield pictures that are missing, unreadable or altered, and what no record names."""


class ChangeListener(Protocol):
    """Hears that the library was changed, by whomever."""

    def wait(self, seconds: float) -> bool:
        """Wait for a change; return whether there was one, or may have been."""

    def close(self) -> None:
        """Hear no more."""


class StoreEngine(Protocol):
    """The database of one open library; threads may share it."""

    @property
    def place(self) -> LibraryPlace:
        """Return what the library was named by; as text, it has no password."""

    @property
    def folder(self) -> Path:
        """Return the folder with what is kept beside the records on this machine: settings, backups, logs."""

    @property
    def read_only(self) -> bool:
        """Return whether this user may only read it."""

    @property
    def keeps_references(self) -> bool:
        """Return whether a record never refers to one that is not there, whoever altered it."""

    @property
    def lost(self) -> StoreError | None:
        """Return why nothing is written, where entries were lost when it was opened; None where none were."""

    def note_entry(self, entry: LedgerHead) -> None:
        """Note the last entry that was written, where it could be lost without a word."""

    @property
    def pictures(self) -> PictureStore:
        """Return where the pictures are."""

    def reading(self) -> AbstractContextManager[Connection]:
        """Open a snapshot: everything read in it is of one moment.

        Raises:
            StoreError: the library cannot be read, or is not there any more.
        """

    def writing(
        self,
        station: str,
        on_wait: Callable[[WriterNote | None], None] | None,
        entered: Callable[[], LedgerHead | None],
    ) -> AbstractContextManager[Connection]:
        """Take the turn to write and open a transaction, which is kept at the end of the block.

        Args:
            station: for whom.
            on_wait: is called once where the turn does not come at once.
            entered: returns the last entry that the block has made, which proves whether a transaction whose end was
                not heard of was kept.

        Raises:
            LibraryBusyError: the turn did not come, or the server was lost and nothing was kept.
            StoreError: the library cannot be written.
            RefusedError: a record points to one that is not there, or a value cannot be stored.
        """

    def writer(self) -> WriterNote | None:
        """Return who writes just now; None where nobody does, or it cannot be known."""

    def waits(self) -> bool:
        """Return whether a step of this process has its turn here, and waits for another program."""

    def applying(self, token: str) -> AbstractContextManager[None]:
        """Mark that a plan is being applied in parts, for as long as this process lives.

        Raises:
            RefusedError: another plan is being applied in parts.
            StoreError: it cannot be marked.
        """

    def unfinished(self) -> AbstractContextManager[Iterable[str]]:
        """Return the tokens of plans whose process has ended in the middle; after the block they are forgotten."""

    def listener(self) -> ChangeListener:
        """Return one that hears of every change from now on."""

    def check_modes(self) -> Iterator[LibraryFinding]:
        """Yield whether other users of this machine may read the library."""

    def close(self) -> None:
        """Close all connections."""
