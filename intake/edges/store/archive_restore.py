"""Making a library from an archive: the same rows, pictures and head, in a folder that was not there or was empty.

An archive comes from outside: its names, sizes and contents are believed only as far as the manifest, the limits here
and the digests allow.
"""

import errno
import hashlib
import json
import os
import secrets
import shutil
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Text, bindparam, cast, column, event, insert, inspect
from sqlalchemy import LargeBinary as Blob
from sqlalchemy import table as bare_table

from intake.edges.atomic_write import flush
from intake.edges.store.archive import (
    AT_ONCE,
    MANIFEST,
    REMEDY,
    Manifest,
    Member,
    StrayText,
    cell_of,
    table_lines,
    table_path,
)
from intake.edges.store.archive_writing import CHUNK, PICTURE_PATH
from intake.edges.store.faults import worded
from intake.edges.store.migrate import DATABASE, migrate, newest_revision, revision_of
from intake.edges.store.sqlite import engine_for, use_wal
from intake.errors import FileError, StoreError

LARGEST_MANIFEST = 500_000_000
LARGEST_RATIO = 500
"""Most bytes that one stored byte may become; rows of a ledger become about 20."""
LONGEST_LINE = 200_000_000

BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)
"""What reading a damaged, encrypted or foreign archive raises."""


@dataclass(frozen=True, slots=True)
class _Archive:
    """An open archive whose names and sizes were checked."""

    file: Path
    zip: zipfile.ZipFile
    manifest: Manifest

    def chunks(self, name: str) -> Iterator[bytes]:
        """Yield the content of a member, and refuse it where it is not the manifest's."""
        member, digest, size = self.manifest.files[name], hashlib.sha256(), 0
        with self.zip.open(name) as content:
            while chunk := content.read(CHUNK):
                size += len(chunk)
                if size > member.size:
                    break
                digest.update(chunk)
                yield chunk
        if Member(digest.hexdigest(), size) != member:
            raise FileError(str(self.file), f"is damaged: {name} is not what the manifest says", "take another archive")

    def lines(self, name: str) -> Iterator[bytes]:
        """Yield the lines of a member."""
        rest = b""
        for chunk in self.chunks(name):
            *whole, rest = (rest + chunk).split(b"\n")
            if len(rest) > LONGEST_LINE:
                raise FileError(str(self.file), f"has a line in {name} that no library has", REMEDY)
            yield from whole
        if rest:
            yield rest


def restore_archive(file: Path, folder: Path, now: datetime) -> Manifest:
    """Make a library from an archive.

    Args:
        file: the archive.
        folder: where to; nothing may be there but an empty folder.
        now: names copies, where the archive is of an earlier version.

    Raises:
        FileError: the archive cannot be read, is damaged, or is none.
        StoreError: the place is not empty, or cannot be written; there is no library.
    """
    refuse_if_taken(folder)
    part = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        with zipfile.ZipFile(file) as opened:
            archive = _Archive(file, opened, _checked_manifest(file, opened, folder))
            part.mkdir(mode=0o700, parents=True)
            _restore_database(archive, part, now)
            _restore_pictures(archive, part)
        put_in_place(part, folder)
        return archive.manifest
    except BROKEN as error:
        raise FileError(str(file), f"is not an archive, or is damaged or cut short ({error})", REMEDY) from error
    except FileNotFoundError as error:
        raise FileError(str(file), "does not exist", "check the name") from error
    except OSError as error:
        if error.errno == errno.EINVAL:  # a table of contents that points outside of the file
            raise FileError(str(file), "is damaged or cut short", REMEDY) from error
        why = f"cannot be restored from {file} ({error.strerror or error})"
        raise StoreError(f"The library {folder}", why, "make room, or name another place") from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def refuse_if_taken(folder: Path) -> None:
    """Refuse a place where something is.

    Raises:
        StoreError: something is.
    """
    if os.path.lexists(folder) and not (folder.is_dir() and not any(folder.iterdir())):
        raise StoreError(f"The place {folder}", "is not empty", "name a folder that does not exist yet")


def put_in_place(part: Path, folder: Path) -> None:
    """Give a finished library its name, in one step; all of it is on the disk before, and its name afterwards."""
    refuse_if_taken(folder)
    for path in (*part.rglob("*"), part):
        flush(path)
    if folder.is_dir():
        folder.rmdir()
    part.rename(folder)
    flush(folder.parent)


def _checked_manifest(file: Path, opened: zipfile.ZipFile, folder: Path) -> Manifest:
    """Return the manifest, if the archive has just its members, and there is room for them."""
    infos = {info.filename: info for info in opened.infolist()}
    if MANIFEST not in infos or infos[MANIFEST].file_size > LARGEST_MANIFEST or _is_bomb(infos[MANIFEST]):
        raise FileError(str(file), "has no manifest that can be read", REMEDY)
    manifest = Manifest.read(opened.read(MANIFEST), str(file))
    expected = {table_path(name) for name in manifest.tables} | {name for name in manifest.files if _is_picture(name)}
    if not expected == set(manifest.files) == infos.keys() - {MANIFEST} or len(infos) != len(opened.infolist()):
        raise FileError(str(file), "has other members than its manifest says", REMEDY)
    for name, member in manifest.files.items():
        if infos[name].file_size != member.size or _is_bomb(infos[name]):
            raise FileError(str(file), f"has a member of another size than its manifest says ({name})", REMEDY)
    if manifest.revision not in _known_revisions():
        why = f"was written by a newer version of this program (its revision is {manifest.revision[:40]})"
        raise FileError(str(file), why, "update the program; nothing was made")
    room = shutil.disk_usage(next(path for path in folder.absolute().parents if path.is_dir())).free
    needed = sum(member.size for member in manifest.files.values())
    if needed > room:
        why = f"needs {needed // 1_000_000 + 1} MB, and there are {room // 1_000_000} MB free"
        raise FileError(str(file), why, "make room, or name a place on another disk")
    return manifest


def _is_picture(name: str) -> bool:
    return PICTURE_PATH.fullmatch(name) is not None


def _is_bomb(info: zipfile.ZipInfo) -> bool:
    return info.file_size > 1_000_000 and info.file_size > LARGEST_RATIO * max(info.compress_size, 1)


def _known_revisions() -> set[str]:
    return {f"{number:04}" for number in range(1, int(newest_revision()) + 1)}


def unchecked_engine(file: Path) -> Engine:
    """Return an engine whose rows may be written in any order; what they refer to is not asked for."""
    engine = engine_for(file)

    @event.listens_for(engine, "connect")
    def do_not_check(connection: Any, _record: object) -> None:
        connection.execute("PRAGMA foreign_keys=OFF")

    return engine


def _restore_database(archive: _Archive, part: Path, now: datetime) -> None:
    """Make the tables of the archive's revision, fill them, and compare what they hold with the archive."""
    file = part / DATABASE
    os.close(os.open(file, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    engine = unchecked_engine(file)
    with ExitStack() as stack, worded(part):
        stack.callback(engine.dispose)
        migrate(engine, part, now, to=archive.manifest.revision)
        with engine.connect() as connection, connection.execution_options(writes=True).begin():
            for name in archive.manifest.tables:
                _fill(archive, connection, name)
        with engine.connect() as connection, connection.begin():
            if revision_of(connection) != archive.manifest.revision:
                raise FileError(str(archive.file), "has tables of another revision", REMEDY)
            for name in archive.manifest.tables:
                _compare(archive, connection, name)
        use_wal(file)


def _fill(archive: _Archive, connection: Connection, name: str) -> None:
    member = archive.manifest.tables[name]
    there = (
        {each["name"] for each in inspect(connection).get_columns(name)}
        if inspect(connection).has_table(name)
        else set()
    )
    if there != set(member.columns) or len(set(member.columns)) != len(member.columns):
        raise FileError(str(archive.file), f"has a table '{name}' that a library of its revision has not", REMEDY)
    rows = bare_table(name, *(column(each) for each in member.columns))
    count, lot = 0, []
    try:
        for line in archive.lines(table_path(name)):
            plain = json.loads(line)
            cells = {each: cell_of(plain[each]) for each in member.columns}
            count += 1
            if any(isinstance(cell, StrayText) for cell in cells.values()):
                connection.execute(insert(rows).values({each: _bound(cell) for each, cell in cells.items()}))
                continue
            lot.append(cells)
            if len(lot) == AT_ONCE:
                connection.execute(insert(rows), lot)
                lot = []
        if lot:
            connection.execute(insert(rows), lot)
    except (ValueError, TypeError, LookupError, AttributeError, OverflowError) as error:
        raise FileError(str(archive.file), f"has a row in '{name}' that cannot be read ({error})", REMEDY) from error
    if count != member.rows:
        raise FileError(str(archive.file), f"has {count} rows in '{name}', not {member.rows}", REMEDY)


def _bound(cell: object) -> object:
    return cast(bindparam(None, cell.data, type_=Blob), Text) if isinstance(cell, StrayText) else cell


def _compare(archive: _Archive, connection: Connection, name: str) -> None:
    """Write the table's lines anew and compare their digest with the archive's."""
    key = inspect(connection).get_pk_constraint(name)["constrained_columns"]
    lines = table_lines(connection, name, archive.manifest.tables[name].columns, key)
    if _digest(lines) != archive.manifest.files[table_path(name)].sha256:
        raise FileError(str(archive.file), f"cannot be restored exactly: '{name}' came out otherwise", REMEDY)


def _digest(lines: Iterable[bytes]) -> str:
    digest = hashlib.sha256()
    for line in lines:
        digest.update(line)
    return digest.hexdigest()


def _restore_pictures(archive: _Archive, part: Path) -> None:
    for name in filter(_is_picture, archive.manifest.files):
        path = part / name
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as target:
            for chunk in archive.chunks(name):
                target.write(chunk)
            target.flush()
            os.fsync(target.fileno())
