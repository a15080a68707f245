"""Writing a library into an archive: from one moment, while others go on; checked by reading it again."""

import hashlib
import os
import re
import secrets
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from sqlalchemy import column, select
from sqlalchemy import table as bare_table

from intake.edges.atomic_write import flush, remedy_of
from intake.edges.store.archive import FORMAT, MANIFEST, Manifest, Member, TableMember, table_lines, table_path
from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.library import Library
from intake.edges.store.migrate import DATABASE, revision_of
from intake.edges.store.queries.chain_check import ledger_end
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import utc_text
from intake.edges.store.tables import metadata
from intake.errors import FileError
from intake.model.findings import LibraryFinding

PICTURE_PATH = re.compile(r"pictures/([0-9a-f]{2})/(\1[0-9a-f]{62})(\.[a-z]{1,5})")


@dataclass(frozen=True, slots=True)
class ArchiveResult:
    """What was written.

    Attributes:
        left_out: names of files among the pictures that were left out.
        altered: names of the pictures in it that are not what their names say.
        findings: what the check found that was asked for, notes left out.
    """

    manifest: Manifest
    left_out: tuple[str, ...]
    altered: tuple[str, ...]
    findings: tuple[LibraryFinding, ...]

    @property
    def is_whole(self) -> bool:
        """Tell whether nothing was found to be wrong with the library, as far as it was checked."""
        return not (self.altered or self.findings or self.manifest.missing)


Check = Callable[[LibraryReader], Iterable[LibraryFinding]]
"""What looks, in the transaction that is written, whether the library is whole but for its pictures."""


def write_archive(library: Library, file: Path, now: datetime, check: Check = lambda _: ()) -> ArchiveResult:
    """Write a library into a new archive that only its owner may read.

    Args:
        library: to write; one that is not whole is written too.
        file: where to.
        now: the moment.
        check: tells whether the library is whole; its pictures are compared with their SHA-256 in any case.

    Raises:
        FileError: the file exists already or cannot be written, or reading it again gave something else; there is none.
        StoreError: the library cannot be read.
    """
    library.pictures.refuse_unreadable()
    if os.path.lexists(file):
        raise _exists(file)
    _refuse_among_pictures(file)
    part = file.with_name(f".{file.name}.{secrets.token_hex(4)}.part")
    try:
        if not file.parent.is_dir():
            raise FileError(str(file), "cannot be written: its folder does not exist", "make the folder first")
        handle = os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
        with os.fdopen(handle, "w+b") as stream:
            result = _write(library, stream, now, check)
            stream.flush()
            os.fsync(stream.fileno())
            _check(stream, file, result.manifest)
        _name(part, file)
    except OSError as error:
        why = f"cannot be written ({error.strerror or error})"
        raise FileError(str(file), why, remedy_of(error)) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
    return result


def _refuse_among_pictures(file: Path) -> None:
    """Refuse to write where every file would be taken for a picture of a library."""
    for folder in file.resolve().parents:
        if folder.name == "pictures" and (folder.parent / DATABASE).is_file():
            why = f"would lie among the pictures of the library {folder.parent}"
            raise FileError(f"The archive {file}", why, "name a file in another folder, best on another disk")


def _exists(file: Path) -> FileError:
    return FileError(f"The archive {file}", "exists already", "name a new file")


def _name(part: Path, file: Path) -> None:
    """Give the file its name, unless another has it meanwhile."""
    try:
        os.link(part, file)
    except FileExistsError as error:
        raise _exists(file) from error
    except OSError:  # a file system without links
        if os.path.lexists(file):
            raise _exists(file) from None
        part.rename(file)
    flush(file.parent)


def _write(library: Library, stream: BinaryIO, now: datetime, check: Check) -> ArchiveResult:
    files: dict[str, Member] = {}
    tables: dict[str, TableMember] = {}
    with (
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive,
        library.reading(damaged=True) as records,
    ):
        end = ledger_end(records)
        for table in metadata.sorted_tables:
            columns = tuple(table.columns.keys())
            lines = _Counted(table_lines(records.connection, table.name, columns, table.primary_key.columns.keys()))
            files[table_path(table.name)] = _add(archive, table_path(table.name), lines, now)
            tables[table.name] = TableMember(columns, lines.count)
        left_out = []
        for name in library.pictures.names():
            if PICTURE_PATH.fullmatch(name):
                files[name] = _add(archive, name, library.pictures.chunks(name), now, zipfile.ZIP_STORED)
            else:
                left_out.append(name)
        manifest = Manifest(
            format=FORMAT,
            revision=revision_of(records.connection) or "",
            made=utc_text(now),
            entries=end.seq,
            head=end.digest,
            tables=tables,
            files=files,
            missing=_missing(records, files),
        )
        _add(archive, MANIFEST, [manifest.to_json()], now)
        findings = tuple(finding for finding in check(records) if not finding.kind.is_note)
    return ArchiveResult(manifest, tuple(left_out), altered_pictures(files), findings)


def altered_pictures(files: Mapping[str, Member]) -> tuple[str, ...]:
    """Return the names of the pictures of an archive that are not what their names say."""
    return tuple(
        name
        for name, member in files.items()
        if (match := PICTURE_PATH.fullmatch(name)) is not None and member.sha256 != match[2]
    )


def _missing(records: LibraryReader, files: Iterable[str]) -> tuple[str, ...]:
    there = {match[2] for match in map(PICTURE_PATH.fullmatch, files) if match}
    with undecoded(records.connection):
        recorded = records.connection.scalars(select(bare_table("picture", column("sha256")).c.sha256)).all()
    return tuple(sorted(str(sha256) for sha256 in recorded if sha256 not in there))


class _Counted:
    """Lines, counted as they pass."""

    def __init__(self, lines: Iterable[bytes]) -> None:
        self._lines = lines
        self.count = 0

    def __iter__(self) -> Iterator[bytes]:
        for line in self._lines:
            self.count += 1
            yield line


def _add(
    archive: zipfile.ZipFile, name: str, parts: Iterable[bytes], now: datetime, method: int = zipfile.ZIP_DEFLATED
) -> Member:
    info = zipfile.ZipInfo(name, (max(now.year, 1980), *now.timetuple()[1:6]))
    info.compress_type = method
    info.external_attr = 0o600 << 16
    digest, size = hashlib.sha256(), 0
    with archive.open(info, "w", force_zip64=True) as member:
        for part in parts:
            member.write(part)
            digest.update(part)
            size += len(part)
    return Member(digest.hexdigest(), size)


def _check(stream: BinaryIO, file: Path, manifest: Manifest) -> None:
    """Read the archive again from the disk and compare every member with the manifest."""
    stream.seek(0)
    with zipfile.ZipFile(stream) as archive:
        same = set(archive.namelist()) == {*manifest.files, MANIFEST}
        same = same and archive.read(MANIFEST) == manifest.to_json()
        for name, member in manifest.files.items():
            with archive.open(name) as content:
                same = same and hashlib.file_digest(content, "sha256").hexdigest() == member.sha256  # type: ignore[arg-type] # it has what is asked for
    if not same:
        raise FileError(str(file), "was read again and was not what had been written", "check the disk, use another")
