"""The library: one folder that a person can copy, with the database, the pictures under their SHA-256, the backups.

It may be a database on a server instead, named by its URL (`intake.edges.store.engines`), with the pictures in it.

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
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from intake.edges.clock import now as clock_now
from intake.edges.clock import steady_s
from intake.edges.server_address import LibraryPlace
from intake.edges.store.engines.choosing import is_library, open_engine
from intake.edges.store.engines.opening import read_only_error, refuse_dangling
from intake.edges.store.engines.port import ChangeListener, PictureStore, StoreEngine
from intake.edges.store.engines.turns import WriterNote
from intake.edges.store.folder_notes import NO_NOTES, read_notes
from intake.edges.store.numbering import makes_keys
from intake.edges.store.parts import take_back_unfinished
from intake.edges.store.pending import prepare
from intake.edges.store.reader import LibraryReader
from intake.edges.store.writer import LibraryWriter
from intake.errors import ServerLostError, StoreError
from intake.model.changes import Action, Applied, Change
from intake.model.sightings import Picture

__all__ = ["Library", "is_library", "open_library"]

logger = logging.getLogger(__name__)

LOOK_AGAIN_S = 60
"""After so long a library is looked through for broken references again: 20 ms where there are 20,000 copies."""

RETRY_AFTER_S = (0.2, 0.5, 1.0, 2.0, 4.0)
"""How long a step waits for a server that was lost, before it is tried once more."""


class Library:
    """An open library; close it, or use it in a `with` statement. Threads may share it.

    Attributes:
        folder: where it is.
        read_only: whether this user may only read it.
        now: the clock of its ledger, in UTC.
        is_new: whether it was made when it was opened.
        was_written: whether this process has changed it since its last daily archive.
        on_first_write: is called before the first step that writes.
        on_wait: is called once where a step waits for its turn to write, with who writes; None where that is unknown.
    """

    def __init__(self, store: StoreEngine, now: Callable[[], datetime]) -> None:
        self._store = store
        self.now = now
        self._look_again_s = -math.inf
        self.is_new = self.was_written = False
        self.on_wait: Callable[[WriterNote | None], None] | None = None
        self.on_first_write: Callable[[], None] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, _kind: type[BaseException] | None, _error: BaseException | None, _at: TracebackType | None
    ) -> None:
        self.close()

    @property
    def place(self) -> LibraryPlace:
        """Return what it is named by."""
        return self._store.place

    @property
    def folder(self) -> Path:
        """Return the folder with what is kept beside the records on this machine: settings, backups, logs."""
        return self._store.folder

    @property
    def read_only(self) -> bool:
        """Return whether this user may only read it."""
        return self._store.read_only

    @property
    def lost(self) -> StoreError | None:
        """Return why nothing is written, where entries were lost when it was opened; None where none were."""
        return self._store.lost

    @property
    def store(self) -> StoreEngine:
        """Return its database, for what checks and archives it."""
        return self._store

    @property
    def pictures(self) -> PictureStore:
        """Return where its pictures are."""
        return self._store.pictures

    def close(self) -> None:
        """Close all connections."""
        self._store.close()

    def listener(self) -> ChangeListener:
        """Return one that hears of every change from now on, by whomever."""
        return self._store.listener()

    @contextmanager
    def reading(self, *, damaged: bool = False, noted: bool = False) -> Iterator[LibraryReader]:
        """Open the library as it is at one moment; writing by others goes on unseen.

        Args:
            damaged: read it also where a record refers to one that is not there, as who checks or copies it does.
            noted: read what its folder notes of the ledger too, as for `damaged`, to compare its end with that.

        Raises:
            StoreError: it cannot be read, is not there any more, or a record refers to one that is not there.
        """
        notes = read_notes(self.folder) if damaged or noted else NO_NOTES
        with self._store.reading() as connection:
            reader = LibraryReader(connection, notes)
            if not damaged and not self._store.keeps_references:
                self._refuse_dangling(reader)
            yield reader

    def _refuse_dangling(self, reader: LibraryReader) -> None:
        """Refuse broken references; looked for when the library is first read, then now and then."""
        now = steady_s()
        if now >= self._look_again_s:
            refuse_dangling(reader)
            self._look_again_s = now + LOOK_AGAIN_S

    @contextmanager
    def writing(self, station: str = "") -> Iterator[LibraryWriter]:
        """Open a transaction that writes; an exception inside leaves everything as it was.

        Writers take turns (`intake.edges.store.engines.turns`).

        Args:
            station: for whom, as those who wait will read.

        Raises:
            LibraryBusyError: others write for longer than a writer waits; or its server was lost, and nothing was kept.
            StoreError: the disk is full, read-only or damaged.
            RefusedError: a record points to one that is not there.
        """
        if self.read_only:
            raise read_only_error(self.place)
        if self.lost is not None:
            raise self.lost
        if self.on_first_write is not None:
            told, self.on_first_write = self.on_first_write, None
            told()
        made: list[LibraryWriter] = []
        with self._store.writing(station, self.on_wait, lambda: made[0].last if made else None) as connection:
            made.append(LibraryWriter(connection, self.now))
            yield made[0]
        self.was_written = True
        if made[0].last is not None:
            self._store.note_entry(made[0].last)

    def writer(self) -> WriterNote | None:
        """Return who writes just now; None where nobody does, or it cannot be known."""
        return self._store.writer()

    def waits_for_program(self) -> bool:
        """Return whether a step of this process has its turn, and waits for a program that takes no turns."""
        return self._store.waits()

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

        def step() -> Applied:
            with self.writing(action.station) as writer:
                if check is not None:
                    check(writer)
                return writer.apply(action, changes) if pending is None else writer.apply_prepared(action, pending)

        return _until_answered(step)

    def apply_all(self, steps: Iterable[tuple[Action, Iterable[Change]]]) -> tuple[Applied, ...]:
        """Apply several plans, each an entry of its own, all of them or none; see `apply`."""
        steps = tuple(steps)
        with self.writing(steps[0][0].station if steps else "") as writer:
            return tuple(writer.apply(action, changes) for action, changes in steps)

    def keep_picture(self, source: bytes | Path, picture: Picture) -> bool:
        """Save a picture under its SHA-256, if it is not there yet, and return whether it was not.

        Its record is for `apply`.

        Args:
            source: the bytes, or the file with them.
            picture: what they were said to be.

        Raises:
            StoreError: the bytes are not those of this picture, or cannot be read or written.
        """
        try:
            data = source if isinstance(source, bytes) else source.read_bytes()
        except OSError as error:
            why = f"cannot be read ({error.strerror})"
            raise StoreError(picture.title, why, "look where it is") from error
        if hashlib.sha256(data).hexdigest() != picture.sha256:
            raise StoreError(picture.title, "arrived incomplete or altered", "send it again")
        return self.pictures.keep(picture, data)

    @contextmanager
    def keeping_picture(self, source: bytes | Path, picture: Picture) -> Iterator[None]:
        """Save a picture while the block records it; what the block leaves without a record is removed again.

        Another station may have sent the same picture: a file that it saved is left alone, and one that is recorded
        here is saved anew where the other, refused, has just removed it.

        Raises:
            StoreError: see `keep_picture`.
        """
        is_new = self.keep_picture(source, picture)
        try:
            yield
        finally:
            if self._has_record(picture):
                self.keep_picture(source, picture)
            elif is_new:
                self.pictures.drop(picture)

    def _has_record(self, picture: Picture) -> bool:
        with self.reading() as records:
            return records.get(Picture, picture.sha256) is not None

    def picture_path(self, sha256: str) -> Path | None:
        """Return a file with a picture, None if it is not kept."""
        return self.pictures.path(sha256)


def _until_answered(step: Callable[[], Applied]) -> Applied:
    """Do a step that is kept whole or not at all, once more where its server was lost and nothing was kept."""
    for pause in RETRY_AFTER_S:
        try:
            return step()
        except ServerLostError:
            time.sleep(pause)
    return step()


def open_library(place: LibraryPlace, *, create: bool = False, now: Callable[[], datetime] = clock_now) -> Library:
    """Open a library and bring it up to date.

    Args:
        place: the folder where the library is, or will be; or the URL of its database.
        create: make a new library where there is none.
        now: the clock of the ledger, in UTC.

    Raises:
        StoreError: it is not a library, was made by a newer version, or cannot be used; nothing was changed.
    """
    is_new = create and not is_library(place)
    library = Library(open_engine(place, now, create=create), now)
    logger.info("opened the library %s", place)
    library.is_new = is_new
    if not library.read_only and library.lost is None:
        take_back_unfinished(library, "recovery")
    return library
