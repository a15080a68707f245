"""The pictures of a library on a server: in its database, read through a bounded folder of this machine.

Whoever has the URL has the pictures too. Where the URL names a folder that all desks share, they are there instead;
what was kept in the database before is still read from it.
"""

import hashlib
import os
import re
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, suppress
from pathlib import Path

import psycopg
from sqlalchemy import Connection

from intake.edges.atomic_write import save_whole
from intake.edges.server_address import ServerAddress
from intake.edges.store.picture_check import PictureCount
from intake.edges.store.picture_files import CHUNK, SUFFIXES, PictureFiles
from intake.edges.store.reader import LibraryReader
from intake.errors import StoreError
from intake.model.findings import FindingKind, LibraryFinding
from intake.model.sightings import Picture

CACHE_BYTES = 1_000_000_000
KEPT_S = 900.0
"""A picture that was read within this time stays: whoever prints a paper of many reads them one by one."""
_NAME = re.compile(r"pictures/[0-9a-f]{2}/([0-9a-f]{64})(\.[a-z]{1,5})")

Connecting = Callable[[], AbstractContextManager[Connection]]


def driver_of(connection: Connection) -> "psycopg.Connection[tuple[object, ...]]":
    """Return the connection of psycopg below one of SQLAlchemy."""
    driver = connection.connection.driver_connection
    if not isinstance(driver, psycopg.Connection):
        raise TypeError(type(driver))
    return driver


class ServerPictures:
    """The pictures of one library.

    Args:
        address: of the library.
        reading: opens a snapshot.
        changing: opens a transaction of its own, which takes no turn: a picture is made once, and never changed.
    """

    def __init__(self, address: ServerAddress, reading: Connecting, changing: Connecting) -> None:
        shared = address.shared_pictures
        self._shared = PictureFiles(shared) if shared is not None else None
        self._cache = PictureFiles(address.cache)
        self._reading, self._changing = reading, changing
        self._since_tidied = CACHE_BYTES  # what earlier runs left is looked at once

    def keep(self, picture: Picture, data: bytes) -> bool:
        """Save the bytes of a picture, if they are not there yet; return whether they were not."""
        if self._shared is not None:
            return not self._is_stored(picture.sha256) and self._shared.keep(picture, data)
        with self._changing() as connection:
            row = (picture.sha256, SUFFIXES.get(picture.media_type, ".bin"), len(data), data)
            return _insert(connection, row)

    def drop(self, picture: Picture) -> None:
        """Remove a picture, if it is there."""
        if self._shared is not None:
            self._shared.drop(picture)
        with self._changing() as connection:
            driver_of(connection).execute("DELETE FROM picture_data WHERE sha256 = %s", (picture.sha256,))
        self._cache.drop(picture)

    def path(self, sha256: str) -> Path | None:
        """Return a file with a picture, None where it is not kept; it may go after a quarter of an hour."""
        if self._shared is not None and (shared := self._shared.path(sha256)):
            return shared
        if cached := self._cache.path(sha256):
            with suppress(OSError):
                os.utime(cached)
            return cached
        if not re.fullmatch("[0-9a-f]{64}", sha256):
            return None
        with self._reading() as connection:
            statement = "SELECT suffix, data FROM picture_data WHERE sha256 = %s"
            row = driver_of(connection).execute(statement, (sha256,), binary=True).fetchone()
        return None if row is None else self._cached(sha256, str(row[0]), bytes(row[1]))  # type: ignore[call-overload] # bytea

    def names(self) -> Iterable[str]:
        """Return the names that the pictures have in an archive."""
        with self._reading() as connection:
            rows = driver_of(connection).execute("SELECT sha256, suffix FROM picture_data").fetchall()
        stored = {f"pictures/{str(sha256)[:2]}/{sha256}{suffix}" for sha256, suffix in rows}
        return sorted(stored | set(self._shared.names() if self._shared is not None else ()))

    def chunks(self, name: str) -> Iterator[bytes]:
        """Yield the content of what has a name."""
        match = _NAME.fullmatch(name)
        with self._reading() as connection:
            yielded = False
            for chunk in _read(connection, match[1]) if match else ():
                yielded = True
                yield chunk
        if not yielded and self._shared is not None:
            yield from self._shared.chunks(name)

    def refuse_unreadable(self) -> None:
        """Refuse a shared folder of which this user may not read something."""
        if self._shared is not None:
            self._shared.refuse_unreadable()

    def check(self, reader: LibraryReader, count: PictureCount) -> Iterator[LibraryFinding]:
        """Yield pictures that are missing or altered, and those that no record names."""
        driver = driver_of(reader.connection)
        recorded = {str(row[0]) for row in driver.execute("SELECT sha256 FROM picture")}
        stored = {str(row[0]): str(row[1]) for row in driver.execute("SELECT sha256, suffix FROM picture_data")}
        for sha256 in sorted(stored):
            if sha256 not in recorded:
                name = f"picture_data {sha256}"
                yield LibraryFinding(FindingKind.STRAY_FILE, key=name)
                continue
            count.files += 1
            digest = hashlib.sha256()
            for chunk in _read(reader.connection, sha256):
                digest.update(chunk)
            if digest.hexdigest() != sha256:
                detail = f"its SHA-256 is {digest.hexdigest()}"
                yield LibraryFinding(FindingKind.PICTURE_ALTERED, "picture", sha256, detail=detail)
        if self._shared is not None:
            yield from self._shared.check_named(recorded - stored.keys(), count, beside=stored.keys())
            return
        for sha256 in sorted(recorded - stored.keys()):
            yield LibraryFinding(FindingKind.PICTURE_MISSING, "picture", sha256)

    def _is_stored(self, sha256: str) -> bool:
        with self._reading() as connection:
            found = driver_of(connection).execute("SELECT 1 FROM picture_data WHERE sha256 = %s", (sha256,))
            return found.fetchone() is not None

    def _cached(self, sha256: str, suffix: str, data: bytes) -> Path:
        path = self._cache.folder / "pictures" / sha256[:2] / f"{sha256}{suffix}"
        try:
            save_whole(path, lambda part: part.write_bytes(data))
        except OSError as error:
            why = f"cannot be written ({error.strerror})"
            raise StoreError(f"The folder {self._cache.folder}", why, "make room or repair the folder") from error
        self._since_tidied += len(data)
        if self._since_tidied > CACHE_BYTES // 10:
            self._since_tidied = 0
            tidy(self._cache.folder / "pictures", CACHE_BYTES)
        return path


def tidy(folder: Path, most_bytes: int) -> None:
    """Remove the files that were not read for the longest time, until the others have no more than so many bytes."""
    files: list[tuple[float, int, Path]] = []
    for path in folder.rglob("*.*"):
        with suppress(OSError):
            found = path.stat()
            files.append((found.st_mtime, found.st_size, path))
    total = sum(size for _, size, _ in files)
    for read_at, size, path in sorted(files):
        if total <= most_bytes or time.time() - read_at < KEPT_S:
            return
        with suppress(OSError):
            path.unlink()
            total -= size


def insert_picture(connection: Connection, name: str, data: bytes) -> None:
    """Insert a picture under the name that it has in an archive, in a transaction that is open."""
    match = _NAME.fullmatch(name)
    if match is not None:
        _insert(connection, (match[1], match[2], len(data), data))


def _insert(connection: Connection, row: tuple[str, str, int, bytes]) -> bool:
    statement = "INSERT INTO picture_data (sha256, suffix, size, data) VALUES (%s, %s, %s, %b) ON CONFLICT DO NOTHING"
    return driver_of(connection).execute(statement, row).rowcount == 1


def _read(connection: Connection, sha256: str) -> Iterator[bytes]:
    """Yield a picture piece by piece: kept as it is, any part of it can be read without the rest."""
    driver, at = driver_of(connection), 1
    statement = "SELECT substring(data FROM %s FOR %s) FROM picture_data WHERE sha256 = %s"
    while row := driver.execute(statement, (at, CHUNK, sha256), binary=True).fetchone():
        chunk = bytes(row[0])  # type: ignore[call-overload] # bytea
        if not chunk:
            return
        yield chunk
        at += CHUNK
