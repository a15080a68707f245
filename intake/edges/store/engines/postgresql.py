"""A library on a PostgreSQL server: its snapshots, whose turn it is to write, what others did.

Writers take turns by an advisory lock of the transaction. They read in READ COMMITTED, for a snapshot would be of the
moment before the lock came, and with it the end of the ledger; readers have a snapshot (REPEATABLE READ), and wait for
nobody. Threads of one process queue before they ask the server, so that each program waits there once, and fairly.
"""

import logging
import os
import re
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psycopg
from sqlalchemy import Connection, select, text
from sqlalchemy.exc import DBAPIError

from intake.edges.server_address import ServerAddress
from intake.edges.store.engines.faults import busy_error, other_plan_error
from intake.edges.store.engines.server_connection import LOCK_WAIT_S, connect, parameters_of, server_engine
from intake.edges.store.engines.server_faults import is_lost, lost_error, server_worded
from intake.edges.store.engines.server_listener import ServerListener
from intake.edges.store.engines.server_pictures import ServerPictures
from intake.edges.store.engines.server_schema import LEDGER_LOCK, PLAN_LOCK, settle
from intake.edges.store.engines.turns import FairLock, Once, WriterNote
from intake.edges.store.migrate import Migration, migrate
from intake.edges.store.tables import ledger
from intake.edges.store.writer import LedgerHead
from intake.errors import IntakeError, LibraryBusyError, ServerLostError, StoreError
from intake.model.findings import LibraryFinding

logger = logging.getLogger(__name__)

WORD_AFTER_S = 1.0
"""After how long a waiting person is told who writes."""
LONGEST_NAME = 63
"""Bytes of the name under which the server lists a program."""
_WRITES = "intake writes"
# A desk whose network went away keeps the turn to write no longer than five minutes.
_NAME = (
    "SELECT set_config('application_name', %s, true), set_config('idle_in_transaction_session_timeout', '5min', true)"
)
_ASK = f"SELECT pg_try_advisory_xact_lock(%s, %s), {_NAME.removeprefix('SELECT ')}"
_WRITER = text("""
    SELECT a.application_name, a.xact_start FROM pg_locks l JOIN pg_stat_activity a ON a.pid = l.pid
    WHERE l.locktype = 'advisory' AND l.granted AND l.classid = :of AND l.objid = :nth AND l.objsubid = 2
      AND l.database = (SELECT oid FROM pg_database WHERE datname = current_database())""")


class PostgresqlEngine:
    """The database of one open library on a server; see `StoreEngine`."""

    keeps_references = True
    lost: StoreError | None = None

    def __init__(self, address: ServerAddress, *, read_only: bool = False) -> None:
        self.place = address
        self.folder: Path = address.folder
        self.read_only = read_only
        self._engine = server_engine(address)
        self._snapshots = self._engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
        self.pictures = ServerPictures(address, self.reading, self._changing)
        self._threads = FairLock()
        self._waits = False

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Open a snapshot."""
        with server_worded(self.place), self._snapshots.connect() as connection:
            snapshot = connection.begin()
            try:
                yield connection
            finally:
                with suppress(DBAPIError):  # of a server that was lost meanwhile
                    snapshot.rollback()

    @contextmanager
    def _changing(self) -> Iterator[Connection]:
        """Open a transaction that takes no turn."""
        with server_worded(self.place), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def writing(
        self,
        station: str,
        on_wait: Callable[[WriterNote | None], None] | None,
        entered: Callable[[], LedgerHead | None],
    ) -> Iterator[Connection]:
        """Take the turn and open a transaction; see `StoreEngine.writing`."""
        end = time.monotonic() + LOCK_WAIT_S
        word = Once(lambda: on_wait(self.writer()) if on_wait else None)
        if not self._threads.acquire(end, word):
            raise busy_error(self.place, self.writer())
        try:
            with server_worded(self.place), self._engine.connect() as held:
                connection = held.execution_options(writes=True)
                transaction = self._begin(connection, station, end, word)
                try:
                    yield connection
                except BaseException:
                    with suppress(DBAPIError):
                        transaction.rollback()
                    raise
                try:
                    transaction.commit()
                except DBAPIError as error:
                    if not is_lost(error.orig):
                        raise
                    self._prove(entered(), error)
        finally:
            self._waits = False
            self._threads.release()

    def _begin(self, connection: Connection, station: str, end: float, word: Callable[[], None]) -> Any:
        """Begin a transaction that has the lock of the ledger."""
        name = f"{_WRITES} {os.getpid()} {station}".encode("ascii", "replace").decode()[:LONGEST_NAME]
        transaction = connection.begin()
        self._waits = True
        got = bool(connection.exec_driver_sql(_ASK, (*LEDGER_LOCK, name)).one()[0])
        for patience in (min(WORD_AFTER_S, LOCK_WAIT_S), None):
            if got:
                break
            left = max(end - time.monotonic(), 0.01)
            wait = left if patience is None else min(patience, left)
            try:
                connection.exec_driver_sql(f"SET LOCAL lock_timeout = {max(int(wait * 1000), 1)}")
                connection.exec_driver_sql("SELECT pg_advisory_xact_lock(%s, %s)", LEDGER_LOCK)
                connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{LOCK_WAIT_S}s'")
                got = True
            except DBAPIError as error:
                if not isinstance(error.orig, psycopg.errors.LockNotAvailable):
                    raise
                transaction.rollback()
                if patience is None:
                    raise busy_error(self.place, self.writer()) from error
                word()
                transaction = connection.begin()
                connection.exec_driver_sql(_NAME, (name,))
        self._waits = False
        return transaction

    def _prove(self, entered: LedgerHead | None, error: DBAPIError) -> None:
        """Find out whether a transaction was kept whose end was not heard of: its entry has a digest of its own.

        Raises:
            ServerLostError: it was not kept.
            StoreError: it cannot be found out.
        """
        if entered is None:
            raise lost_error(self.place, error.orig) from error
        for pause in (0.0, 0.5, 1.0, 2.0, 4.0):
            time.sleep(pause)
            try:
                with self.reading() as connection:
                    statement = select(ledger.c.digest).where(ledger.c.seq == entered.seq)
                    is_kept = connection.scalar(statement) == entered.digest
            except (ServerLostError, LibraryBusyError):
                continue
            if is_kept:
                logger.warning("the server was lost while entry %d was kept; it is there", entered.seq)
                return
            raise lost_error(self.place, error.orig) from error
        why = "was lost while a step was being kept, and does not answer: the step may have been kept or not"
        raise StoreError(
            f"The library {self.place}", why, "look, when it answers again, before repeating it"
        ) from error

    def writer(self) -> WriterNote | None:
        """Return who writes just now."""
        try:
            with self.reading() as connection:
                found = connection.execute(_WRITER, {"of": LEDGER_LOCK[0], "nth": LEDGER_LOCK[1]}).first()
        except IntakeError:
            return None
        match = None if found is None else re.fullmatch(rf"{_WRITES} (\d+) (.*)", str(found[0]))
        if found is None or match is None:
            return None
        since: datetime = found[1]
        return WriterNote(int(match[1]), match[2], since.astimezone(UTC))

    def waits(self) -> bool:
        """Return whether a step of this process has its turn here, and waits for another program."""
        return self._waits

    def note_entry(self, entry: LedgerHead) -> None:
        """Note nothing: what the server has kept is not lost beside it."""

    @contextmanager
    def applying(self, token: str) -> Iterator[None]:
        """Mark that a plan is being applied in parts, by the lock of a session of its own and a row with its token."""
        with server_worded(self.place), connect(parameters_of(self.place), autocommit=True) as session:
            if not _try_lock(session):
                raise other_plan_error()
            session.execute("INSERT INTO incoming (token) VALUES (%s)", (token,))
            yield
            with suppress(psycopg.Error):  # where the row stays, the next process finds nothing unfinished
                session.execute("DELETE FROM incoming WHERE token = %s", (token,))

    @contextmanager
    def unfinished(self) -> Iterator[Iterable[str]]:
        """Return the tokens of plans whose process has ended in the middle; after the block they are forgotten."""
        with self.reading() as connection:
            if connection.exec_driver_sql("SELECT 1 FROM incoming LIMIT 1").first() is None:
                yield ()
                return
        with server_worded(self.place), connect(parameters_of(self.place), autocommit=True) as session:
            if not _try_lock(session):
                yield ()  # their owner is at work
                return
            tokens = [str(row[0]) for row in session.execute("SELECT token FROM incoming")]
            yield tokens
            session.execute("DELETE FROM incoming WHERE token = ANY(%s)", (tokens,))

    def listener(self) -> ServerListener:
        """Return one that hears of every change from now on."""
        return ServerListener(parameters_of(self.place))

    def migrate(self) -> None:
        """Bring the database up to date, in one transaction, which leaves it as it was where it fails."""
        migrate(self._engine, Migration(self.place, after=settle))

    def check_modes(self) -> Iterator[LibraryFinding]:
        """Yield nothing: who may read a database is the server's affair."""
        return iter(())

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()


def _try_lock(session: "psycopg.Connection[Any]") -> bool:
    row = session.execute("SELECT pg_try_advisory_lock(%s, %s)", PLAN_LOCK).fetchone()
    return bool(row and row[0])
