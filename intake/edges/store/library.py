"""The library: one folder that a person can copy, with the database, the pictures under their SHA-256, the backups.

    library.sqlite3
    .last-entry
    pictures/ab/abcdef….jpg
    backups/

What `writing` has ended without an exception is on the disk. Its latest entries may still be in the log
beside the database: to copy a library that is in use, write an archive (`intake.edges.store.archive_writing`).
"""

import hashlib
import logging
import math
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Engine

from intake.edges.clock import now as clock_now
from intake.edges.clock import steady_s
from intake.edges.store.faults import busy_error, worded
from intake.edges.store.folder_notes import NO_NOTES, read_notes
from intake.edges.store.incoming import INCOMING
from intake.edges.store.last_entry import NotedEntry, note_entry
from intake.edges.store.migrate import DATABASE, migrate
from intake.edges.store.numbering import makes_keys
from intake.edges.store.opening import (
    identity_of,
    is_read_only,
    lost_entries,
    prepare_folder,
    read_only_error,
    refuse_dangling,
    refuse_foreign,
    refuse_gone,
    refuse_outdated,
    refuse_replaced,
)
from intake.edges.store.parts import take_back_unfinished
from intake.edges.store.pending import prepare
from intake.edges.store.picture_files import picture_folder, save_picture
from intake.edges.store.reader import LibraryReader
from intake.edges.store.sqlite import engine_for, has_log, use_wal
from intake.edges.store.turns import TurnTimeoutError, WriterNote, WritingTurns
from intake.edges.store.writer import LibraryWriter
from intake.errors import StoreError
from intake.model.changes import Action, Applied, Change
from intake.model.sightings import Picture

__all__ = ["Library", "open_library"]

logger = logging.getLogger(__name__)

LOOK_AGAIN_S = 60
"""After so long a library is looked through for broken references again: 20 ms where there are 20,000 copies."""


class Library:
    """An open library; close it, or use it in a `with` statement. Threads may share it.

    Attributes:
        folder: where it is.
        read_only: whether this user may only read it.
        is_new: whether it was made when it was opened.
        was_written: whether this process has changed it since its last daily archive.
        lost: why nothing is written, where entries were lost when it was opened; None where none were.
        on_wait: is called once where a step waits for its turn to write, with who writes; None where that is unknown.
    """

    def __init__(self, folder: Path, engine: Engine, now: Callable[[], datetime], *, read_only: bool = False) -> None:
        self.folder = folder
        self.read_only = read_only
        self._identity = identity_of(folder / DATABASE)
        self._engine = engine
        self._now = now
        self.is_new = self.was_written = False
        self.lost: StoreError | None = None
        self.on_wait: Callable[[WriterNote | None], None] | None = None
        self._turns = WritingTurns(folder, now)
        self._look_again_s = -math.inf

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, _kind: type[BaseException] | None, _error: BaseException | None, _at: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()
        if not self.read_only:
            self._turns.tidy()

    @contextmanager
    def reading(self, *, damaged: bool = False, noted: bool = False) -> Iterator[LibraryReader]:
        """Open the library as it is at one moment; writing by others goes on unseen.

        Args:
            damaged: read it also where a record refers to one that is not there, as who checks or copies it does.
            noted: read what its folder notes of the ledger too, as for `damaged`, to compare its end with that.

        Raises:
            StoreError: it cannot be read, is not there any more, or a record refers to one that is not there.
        """
        refuse_gone(self.folder / DATABASE, self._identity)
        notes = read_notes(self.folder) if damaged or noted else NO_NOTES
        with worded(self.folder), self._engine.connect() as connection, connection.begin() as snapshot:
            try:
                reader = LibraryReader(connection, notes)
                if not damaged:
                    self._refuse_dangling(reader)
                yield reader
            finally:
                snapshot.rollback()  # a damaged database takes this, but no commit

    def _refuse_dangling(self, reader: LibraryReader) -> None:
        """Refuse broken references; looked for when the library is first read, then now and then."""
        now = steady_s()
        if now >= self._look_again_s:
            refuse_dangling(reader)
            self._look_again_s = now + LOOK_AGAIN_S

    @contextmanager
    def writing(self, station: str = "") -> Iterator[LibraryWriter]:
        """Open a transaction that writes; an exception inside leaves everything as it was.

        Writers take turns (`intake.edges.store.turns`).

        Args:
            station: for whom, as those who wait will read.

        Raises:
            LibraryBusyError: others write for longer than a writer waits.
            StoreError: the disk is full, read-only or damaged.
            RefusedError: a record points to one that is not there.
        """
        if self.read_only:
            raise read_only_error(self.folder)
        if self.lost is not None:
            raise self.lost
        refuse_gone(self.folder / DATABASE, self._identity)
        try:
            with self._turns.taken(station, self.on_wait) as turn, worded(self.folder), self._engine.connect() as held:
                writer = held.execution_options(writes=True, on_wait=turn.wait)
                with writer.begin():
                    turn.begun()
                    refuse_replaced(self.folder / DATABASE, self._identity)
                    made = LibraryWriter(writer, self._now)
                    yield made
                self.was_written = True
                if made.last is not None:
                    note_entry(self.folder, NotedEntry(*made.last))
        except TurnTimeoutError as error:
            raise busy_error(self.folder, self.writer()) from error

    def writer(self) -> WriterNote | None:
        """Return who writes just now; None where nobody does, or it cannot be known."""
        return self._turns.holder()

    def waits_for_program(self) -> bool:
        """Return whether a step of this process has its turn, and waits for a program that takes no turns."""
        return self._turns.waits

    def apply(
        self, action: Action, changes: Iterable[Change], check: Callable[[LibraryReader], None] | None = None
    ) -> Applied:
        """Apply a plan in a transaction of its own; what needs no writing lock is done before it is taken.

        Args:
            action: what is done.
            changes: the plan.
            check: looks, under the lock, whether what else the plan supposes still holds, and raises where it does not.

        Raises:
            StoreError: see `writing`.
            RefusedError: see `LibraryWriter.apply`.
        """
        changes = list(changes)
        pending = None if makes_keys(changes) else prepare(changes)
        with self.writing(action.station) as writer:
            if check is not None:
                check(writer)
            return writer.apply(action, changes) if pending is None else writer.apply_prepared(action, pending)

    def apply_all(self, steps: Iterable[tuple[Action, Iterable[Change]]]) -> tuple[Applied, ...]:
        """Apply several plans, each an entry of its own, all of them or none; see `apply`."""
        steps = tuple(steps)
        with self.writing(steps[0][0].station if steps else "") as writer:
            return tuple(writer.apply(action, changes) for action, changes in steps)

    def keep_picture(self, source: bytes | Path, picture: Picture) -> Path:
        """Save a picture under its SHA-256, if it is not there yet; its record is for `apply`.

        Args:
            source: the bytes, or the file with them.
            picture: what they were said to be.

        Raises:
            StoreError: the bytes are not those of this picture, or cannot be read or written.
        """
        return self._keep(source, picture)[0]

    @contextmanager
    def keeping_picture(self, source: bytes | Path, picture: Picture) -> Iterator[None]:
        """Save a picture while the block records it; what the block leaves without a record is removed again.

        Another station may have sent the same picture: a file that it saved is left alone, and one that is recorded
        here is saved anew where the other, refused, has just removed it.

        Raises:
            StoreError: see `keep_picture`.
        """
        file, is_new = self._keep(source, picture)
        try:
            yield
        finally:
            if self._has_record(picture):
                self._keep(source, picture)
            elif is_new:
                file.unlink(missing_ok=True)

    def _has_record(self, picture: Picture) -> bool:
        with self.reading() as records:
            return records.get(Picture, picture.sha256) is not None

    def _keep(self, source: bytes | Path, picture: Picture) -> tuple[Path, bool]:
        """Save a picture; return its file, and whether it was not there before."""
        refuse_gone(self.folder / DATABASE, self._identity)  # else its folder would be made anew
        try:
            data = source if isinstance(source, bytes) else source.read_bytes()
        except OSError as error:
            why = f"cannot be read ({error.strerror})"
            raise StoreError(picture.title, why, "look where it is") from error
        sha256 = hashlib.sha256(data).hexdigest()
        if sha256 != picture.sha256:
            raise StoreError(picture.title, "arrived incomplete or altered", "send it again")
        return save_picture(self.folder, data, picture)

    def picture_path(self, sha256: str) -> Path | None:
        """Return where a picture is kept, None if it is not."""
        if not re.fullmatch("[0-9a-f]{64}", sha256):
            return None
        return next(iter(picture_folder(self.folder, sha256).glob(f"{sha256}.*")), None)


def is_library(folder: Path) -> bool:
    """Return whether a folder is a library."""
    file = folder / DATABASE
    return file.is_file() and (file.stat().st_size > 0 or has_log(file))


def open_library(folder: Path, *, create: bool = False, now: Callable[[], datetime] = clock_now) -> Library:
    """Open the library in a folder and bring it up to date.

    Args:
        folder: where the library is, or will be.
        create: make a new library where there is none.
        now: the clock of the ledger, in UTC.

    Raises:
        StoreError: it is not a library, was made by a newer version, or cannot be used; nothing was changed.
    """
    is_new = create and not is_library(folder)
    prepare_folder(folder, create=create)
    file = folder / DATABASE
    read_only = is_read_only(folder)
    engine = engine_for(file, read_only=read_only)
    try:
        with worded(folder):
            refuse_foreign(engine, folder)
            if read_only:
                refuse_outdated(engine, folder)
            else:
                migrate(engine, folder, now())
                use_wal(file)
                engine.dispose()  # connections opened before do not know of the log yet
            lost = lost_entries(engine, folder)
    except BaseException:
        engine.dispose()
        raise
    logger.info("opened the library %s", folder)
    library = Library(folder, engine, now, read_only=read_only)
    library.is_new, library.lost = is_new, lost
    if (folder / INCOMING).is_dir() and not read_only and lost is None:
        take_back_unfinished(library, "recovery")
    return library
