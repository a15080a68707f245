"""Making a library from an archive: the same rows, pictures and head, in a folder that was not there or was empty.

A database on a server is filled by `intake.edges.store.engines.server_restore`, with the tables' part of this.
"""

import hashlib
import json
import os
import secrets
import shutil
from collections.abc import Iterable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Text, bindparam, cast, column, event, insert, inspect
from sqlalchemy import LargeBinary as Blob
from sqlalchemy import table as bare_table

from intake.edges.atomic_write import flush
from intake.edges.server_address import LibraryPlace, ServerAddress
from intake.edges.store.archive import (
    AT_ONCE,
    REMEDY,
    Manifest,
    StrayText,
    cell_of,
    table_lines,
    table_path,
)
from intake.edges.store.archive_reading import OpenArchive, is_picture, opened_archive
from intake.edges.store.engines.bulk import insert_rows
from intake.edges.store.engines.faults import worded
from intake.edges.store.engines.server_connection import require_client
from intake.edges.store.engines.sqlite import engine_for, use_wal
from intake.edges.store.migrate import DATABASE, Migration, migrate, revision_of
from intake.errors import FileError, StoreError

WITHOUT_PICTURES = (
    "restore another archive; or leave its damaged pictures out, each of which is then named, with --accept-loss"
)


def restore_archive(file: Path, place: LibraryPlace) -> Manifest:
    """Make a library from an archive.

    Args:
        file: the archive.
        place: where to: a folder, in which nothing may be, or the address of an empty database.

    Raises:
        FileError: the archive cannot be read, is damaged, or is none.
        StoreError: the place is not empty, or cannot be written; there is no library.
    """
    if isinstance(place, ServerAddress):
        require_client(place)
        from intake.edges.store.engines.server_restore import restore_to_server  # noqa: PLC0415 - an optional part

        return restore_to_server(file, place)
    return _restore_to_folder(file, place)


def restore_without_damaged(file: Path, folder: Path) -> tuple[Manifest, tuple[str, ...]]:
    """Make a library in a folder from an archive in which pictures are damaged; these are left out.

    The records, the ledger and its head must be whole all the same.

    Returns:
        What the archive says that it has, and the names of the pictures that were left out.

    Raises:
        FileError, StoreError: as `restore_archive` does.
    """
    left_out: list[str] = []
    return _restore_to_folder(file, folder, left_out), tuple(left_out)


def _restore_to_folder(file: Path, folder: Path, left_out: list[str] | None = None) -> Manifest:
    """Restore an archive; names of damaged pictures are added to `left_out`, or refused where that is None."""
    refuse_if_taken(folder)
    part = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        with opened_archive(file, folder) as archive:
            _refuse_without_room(archive, folder)
            part.mkdir(mode=0o700, parents=True)
            _restore_database(archive, part)
            _restore_pictures(archive, part, left_out)
            put_in_place(part, folder)
            return archive.manifest
    finally:
        shutil.rmtree(part, ignore_errors=True)


def refuse_if_taken(folder: Path) -> None:
    """Refuse a place where something is, or which is inside a library.

    Raises:
        StoreError: it is one.
    """
    if around := library_around(folder):
        raise StoreError(f"The place {folder}", f"is inside the library {around}", "name a folder outside of it")
    if not os.path.lexists(folder) or (folder.is_dir() and not any(folder.iterdir())):
        return
    if folder.is_symlink() and not folder.exists():
        why = f"is a link to {folder.readlink()}, which is not there"
    else:
        why = "is not empty" if folder.is_dir() else "is a file, and a library is a folder"
    raise StoreError(f"The place {folder}", why, "name a folder that does not exist yet")


def library_around(place: Path) -> Path | None:
    """Return the library in whose folder a place is, at whatever depth; None where it is in none."""
    return next((above for above in place.resolve().parents if (above / DATABASE).is_file()), None)


def put_in_place(part: Path, folder: Path) -> None:
    """Give a finished library its name, in one step; all of it is on the disk before, and its name afterwards."""
    refuse_if_taken(folder)
    for path in (*part.rglob("*"), part):
        flush(path)
    if folder.is_dir():
        folder.rmdir()
    part.rename(folder)
    flush(folder.parent)


def _refuse_without_room(archive: OpenArchive, folder: Path) -> None:
    room = shutil.disk_usage(next(path for path in folder.absolute().parents if path.is_dir())).free
    needed = sum(member.size for member in archive.manifest.files.values())
    if needed > room:
        why = f"needs {needed // 1_000_000 + 1} MB, and there are {room // 1_000_000} MB free"
        raise FileError(str(archive.file), why, "make room, or name a place on another disk")


def unchecked_engine(file: Path) -> Engine:
    """Return an engine whose rows may be written in any order; what they refer to is not asked for."""
    engine = engine_for(file)

    @event.listens_for(engine, "connect")
    def do_not_check(connection: Any, _record: object) -> None:
        connection.execute("PRAGMA foreign_keys=OFF")

    return engine


def _restore_database(archive: OpenArchive, part: Path) -> None:
    """Make the tables of the archive's revision, fill them, and compare what they hold with the archive."""
    file = part / DATABASE
    os.close(os.open(file, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    engine = unchecked_engine(file)
    with ExitStack() as stack, worded(part):
        stack.callback(engine.dispose)
        migrate(engine, Migration(part, to=archive.manifest.revision))
        with engine.connect() as connection, connection.execution_options(writes=True).begin():
            fill_tables(archive, connection)
        with engine.connect() as connection, connection.begin():
            compare_tables(archive, connection)
        use_wal(file)


def fill_tables(archive: OpenArchive, connection: Connection) -> None:
    """Fill empty tables with the rows of an archive.

    Raises:
        FileError: it has others, or rows that cannot be read.
    """
    for name in archive.manifest.tables:
        _fill(archive, connection, name)


def compare_tables(archive: OpenArchive, connection: Connection) -> None:
    """Compare what the tables hold with the archive.

    Raises:
        FileError: they are not the same.
    """
    if revision_of(connection) != archive.manifest.revision:
        raise FileError(str(archive.file), "has tables of another revision", REMEDY)
    for name in archive.manifest.tables:
        _compare(archive, connection, name)


def _fill(archive: OpenArchive, connection: Connection, name: str) -> None:
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
                insert_rows(connection, rows, lot)
                lot = []
        insert_rows(connection, rows, lot)
    except (ValueError, TypeError, LookupError, AttributeError, OverflowError) as error:
        raise FileError(str(archive.file), f"has a row in '{name}' that cannot be read", REMEDY) from error
    if count != member.rows:
        raise FileError(str(archive.file), f"has {count} rows in '{name}', not {member.rows}", REMEDY)


def _bound(cell: object) -> object:
    return cast(bindparam(None, cell.data, type_=Blob), Text) if isinstance(cell, StrayText) else cell


def _compare(archive: OpenArchive, connection: Connection, name: str) -> None:
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


def _restore_pictures(archive: OpenArchive, part: Path, left_out: list[str] | None) -> None:
    for name in filter(is_picture, archive.manifest.files):
        path = part / name
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        try:
            _restore_picture(archive, name, path)
        except FileError as error:
            if left_out is None:
                raise FileError(str(archive.file), error.why, WITHOUT_PICTURES) from error
            path.unlink()
            left_out.append(name)


def _restore_picture(archive: OpenArchive, name: str, path: Path) -> None:
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as target:
        for chunk in archive.chunks(name):
            target.write(chunk)
        target.flush()
        os.fsync(target.fileno())
