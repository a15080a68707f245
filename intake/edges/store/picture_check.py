"""Every picture of a library compared with its SHA-256, files without a record, and who may read the folder."""

import hashlib
import os
import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import column, select
from sqlalchemy import table as bare_table

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.migrate import DATABASE
from intake.edges.store.reader import LibraryReader
from intake.errors import StoreError
from intake.model.findings import FindingKind, LibraryFinding

_PICTURE = bare_table("picture", column("sha256"))
_SHA256 = re.compile("[0-9a-f]{64}")


@dataclass(slots=True)
class PictureCount:
    """How many files were read so far."""

    files: int = 0


def check_pictures(folder: Path, reader: LibraryReader, count: PictureCount) -> Iterator[LibraryFinding]:
    """Yield pictures that are missing, unreadable or altered, and files that no record names."""
    with undecoded(reader.connection):
        recorded = reader.connection.scalars(select(_PICTURE.c.sha256).order_by(_PICTURE.c.sha256))
        names = [name for name in recorded if isinstance(name, str) and _SHA256.fullmatch(name)]
    yield from check_files(folder, names, count)


def check_files(
    folder: Path, names: Iterable[str], count: PictureCount, *, beside: Collection[str] = ()
) -> Iterator[LibraryFinding]:
    """Yield pictures that are missing, unreadable or altered, and files that are none of them.

    Args:
        folder: with the folder `pictures`.
        names: SHA-256 of the pictures.
        count: gets the number of files.
        beside: SHA-256 of others that may be there too, and are not looked at.
    """
    pictures = folder / "pictures"
    unnamed = {path for path in pictures.rglob("*") if not path.is_dir() and path.stem not in beside}
    names = tuple(names)
    strays, unread = _by_content(sorted(unnamed), frozenset(names))
    by_sha256 = {sha256: path for path, sha256 in reversed(strays.items())}  # the first of several
    for sha256 in names:
        files = sorted(path for path in (pictures / sha256[:2]).glob(f"{sha256}.*") if path in unnamed)
        if not files and not _may_read(pictures, pictures / sha256[:2]):
            detail = "this user may not read its folder"
            yield LibraryFinding(FindingKind.PICTURE_UNREADABLE, "picture", sha256, detail=detail)
            continue
        if not files and (path := by_sha256.get(sha256)):
            unnamed.discard(path)
            detail = path.relative_to(folder).as_posix()
            yield LibraryFinding(FindingKind.PICTURE_RENAMED, "picture", sha256, detail=detail)
            continue
        if not files:
            yield LibraryFinding(FindingKind.PICTURE_MISSING, "picture", sha256)
            continue
        unnamed.discard(files[0])
        count.files += 1
        yield from _check_file(files[0], sha256)
    for path in sorted(unnamed):
        kind = FindingKind.SECOND_FILE if path in strays else FindingKind.STRAY_FILE
        detail = f"it cannot be read, so it may be a missing picture: {unread[path]}" if path in unread else ""
        yield LibraryFinding(kind, key=path.relative_to(folder).as_posix(), detail=detail)


def _by_content(files: Iterable[Path], names: Collection[str]) -> tuple[dict[Path, str], dict[Path, str]]:
    """Look into the files that have not the name of a picture.

    Returns:
        Those that have the content of one, with its SHA-256; and those that cannot be read, with the reason.
    """
    found, unread = {}, {}
    for path in files:
        if path.stem in names:
            continue
        try:
            with path.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            unread[path] = error.strerror or str(error)
            continue
        if digest in names:
            found[path] = digest
    return found, unread


def _may_read(*folders: Path) -> bool:
    return all(not path.is_dir() or os.access(path, os.R_OK | os.X_OK) for path in folders)


def refuse_unreadable(folder: Path) -> None:
    """Refuse a library of whose pictures this user may not read some: they would be taken for lost.

    Raises:
        StoreError: one may not be read.
    """
    for path in (folder / "pictures", *(folder / "pictures").rglob("*")):
        wanted = os.R_OK | os.X_OK if path.is_dir() else os.R_OK
        if path.exists() and not os.access(path, wanted):
            raise StoreError(str(path), "may not be read by this user", "ask for the right to read it, and repeat")


def _check_file(path: Path, sha256: str) -> Iterator[LibraryFinding]:
    try:
        with path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        detail = error.strerror or str(error)
        yield LibraryFinding(FindingKind.PICTURE_UNREADABLE, "picture", sha256, detail=detail)
        return
    if found != sha256:
        yield LibraryFinding(FindingKind.PICTURE_ALTERED, "picture", sha256, detail=f"its SHA-256 is {found}")


def check_modes(folder: Path) -> Iterator[LibraryFinding]:
    """Yield whether other users of this machine may read the library, where file modes tell."""
    if os.name != "posix":
        return
    try:
        open_folder, open_file = ((path.stat().st_mode & 0o077) for path in (folder, folder / DATABASE))
    except OSError:
        return
    if open_folder and open_file:
        yield LibraryFinding(FindingKind.OPEN_TO_OTHERS, key=str(folder))
