"""A library in a folder: its snapshots, whose turn it is to write, what others did."""

import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, Engine

from intake.edges.store.engines.faults import busy_error, worded
from intake.edges.store.engines.incoming import INCOMING, locked_mark, marked_incoming, remove_mark
from intake.edges.store.engines.opening import identity_of, refuse_gone, refuse_replaced
from intake.edges.store.engines.turns import TurnTimeoutError, WriterNote, WritingTurns
from intake.edges.store.last_entry import NotedEntry, note_entry
from intake.edges.store.migrate import DATABASE
from intake.edges.store.picture_check import check_modes
from intake.edges.store.picture_files import PictureFiles
from intake.edges.store.writer import LedgerHead
from intake.errors import StoreError
from intake.model.findings import LibraryFinding

LOOK_S = 0.25
"""Between two looks at the ledger for what others entered."""


class SqliteEngine:
    """The database of one open library in a folder; see `StoreEngine`."""

    keeps_references = False
    """Whoever alters the file with SQL may break them."""

    def __init__(
        self,
        folder: Path,
        engine: Engine,
        now: Callable[[], datetime],
        *,
        read_only: bool = False,
        lost: StoreError | None = None,
    ) -> None:
        self.place = self.folder = folder
        self.read_only = read_only
        self.lost = lost
        self.pictures = PictureFiles(folder, self.refuse_gone)
        self._identity = identity_of(folder / DATABASE)
        self._engine = engine
        self._turns = WritingTurns(folder, now)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Open a snapshot."""
        self.refuse_gone()
        with worded(self.folder), self._engine.connect() as connection, connection.begin() as snapshot:
            try:
                yield connection
            finally:
                snapshot.rollback()  # a damaged database takes this, but no commit

    @contextmanager
    def writing(
        self,
        station: str,
        on_wait: Callable[[WriterNote | None], None] | None,
        entered: Callable[[], LedgerHead | None],  # noqa: ARG002 - what is not kept here is always heard of
    ) -> Iterator[Connection]:
        """Take the turn and open a transaction; see `StoreEngine.writing`, and `intake.edges.store.engines.turns`."""
        self.refuse_gone()
        try:
            with self._turns.taken(station, on_wait) as turn, worded(self.folder), self._engine.connect() as held:
                writer = held.execution_options(writes=True, on_wait=turn.wait)
                with writer.begin():
                    turn.begun()
                    refuse_replaced(self.folder / DATABASE, self._identity)
                    yield writer
        except TurnTimeoutError as error:
            raise busy_error(self.folder, self.writer()) from error

    def writer(self) -> WriterNote | None:
        """Return who writes just now."""
        return self._turns.holder()

    def waits(self) -> bool:
        """Return whether a step of this process has its turn, and waits for a program that takes no turns."""
        return self._turns.waits

    def refuse_gone(self) -> None:
        """Refuse to go on where the folder or the database is gone; see `opening.refuse_gone`."""
        refuse_gone(self.folder / DATABASE, self._identity)

    def note_entry(self, entry: LedgerHead) -> None:
        """Note the last entry that was written, beside the database; see `intake.edges.store.last_entry`."""
        note_entry(self.folder, NotedEntry(*entry))

    def applying(self, token: str) -> AbstractContextManager[None]:
        """Mark that a plan is being applied in parts, by a locked file that bears its token."""
        return marked_incoming(self.folder, token)

    @contextmanager
    def unfinished(self) -> Iterator[Iterable[str]]:
        """Return the tokens of plans whose process has ended in the middle; after the block they are forgotten."""
        folder = self.folder / INCOMING
        with ExitStack() as locks:
            left = sorted(folder.glob("*.sqlite3")) if folder.is_dir() else []
            ended = [path for path in left if locks.enter_context(locked_mark(path))]  # else its owner is at work
            yield [path.stem for path in ended]
        for path in ended:
            remove_mark(path)

    def listener(self) -> "LedgerPolling":
        """Return one that hears of every change from now on."""
        return LedgerPolling()

    def check_modes(self) -> Iterator[LibraryFinding]:
        """Yield whether other users of this machine may read the library."""
        return check_modes(self.folder)

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()
        if not self.read_only:
            self._turns.tidy()


class LedgerPolling:
    """Has no word from SQLite, so that whoever waits looks at the ledger several times a second."""

    def wait(self, seconds: float) -> bool:
        """Wait a moment; return whether there may have been a change."""
        time.sleep(min(LOOK_S, seconds))
        return True

    def close(self) -> None:
        """Hear no more."""
