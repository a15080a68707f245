"""Writing a file, or a new folder of files, completely or not at all.

The bytes are written to a file beside the target and flushed to the disk before it is renamed, so that a full disk or a
power failure leaves the old file as it was. There is no lock: of two writers the last one wins.
"""

import errno
import os
import secrets
import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from intake.errors import FileError

_REMEDIES = {
    errno.ENOSPC: "free some space on the disk and try again",
    errno.EDQUOT: "free some space on the disk and try again",
    errno.ENOENT: "make its folder first or choose another",
    errno.ENOTDIR: "choose a place inside a folder",
    errno.EISDIR: "give the name of a file, not of a folder",
}


def remedy_of(error: OSError) -> str:
    """Return what to do about a file or a folder that cannot be written.

    >>> remedy_of(PermissionError(errno.EACCES, "Permission denied"))
    'choose a place where you may write'
    """
    other = "check the disk, or choose another place"
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS, None):
        other = "choose a place where you may write"
    return _REMEDIES.get(error.errno or 0, other)


def save_whole(path: Path, write: Callable[[Path], object]) -> None:
    """Write a temporary file with `write`, then replace `path` by it in one step.

    Args:
        path: the file; its folder is created if it is missing.
        write: called with the path to write to; if it fails, nothing is left behind.

    Raises:
        OSError: the folder or the file cannot be written.
    """
    make_folder(path.parent)
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        write(part)
        with part.open("r+b") as file:
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    flush(path.parent)


def save_own(path: Path, data: bytes) -> None:
    """Write a file that only its owner may read, replacing `path` in one step; see `save_whole`."""

    def write(part: Path) -> None:
        part.touch(0o600)
        part.write_bytes(data)

    save_whole(path, write)


def make_folder(folder: Path, mode: int = 0o777) -> None:
    """Make a folder, and those above it that are missing; each is flushed to the disk with its name.

    A file that is flushed in a folder whose own name is not on the disk is gone after a power failure.

    Raises:
        OSError: it cannot be made.
    """
    if folder.is_dir():
        return
    make_folder(folder.parent, mode)
    folder.mkdir(mode, exist_ok=True)
    flush(folder.parent)


def flush(path: Path) -> None:
    """Flush the content of a file, or the names in a folder, to the disk."""
    if os.name != "posix":  # elsewhere a folder cannot be flushed to the disk, and need not be
        return
    opened = os.open(path, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def write_whole(path: Path, data: bytes) -> None:
    """Write bytes to a file that a person named, replacing it in one step; see `write_parts`."""
    write_parts(path, (data,))


def write_parts(path: Path, parts: Iterable[bytes]) -> None:
    """Write a file that a person named as its contents are made, replacing it in one step.

    Args:
        path: the file; its folder must exist, so that a mistyped one is not created.
        parts: the contents, one after the other; if making one fails, nothing is left behind.

    Raises:
        FileError: it cannot be written; what was there before is unchanged.
    """
    try:
        if not path.parent.is_dir():
            raise OSError(errno.ENOENT, os.strerror(errno.ENOENT))
        save_whole(path, lambda part: _write_all(part, parts))
    except OSError as error:
        raise FileError(str(path), f"cannot be written ({error.strerror or error})", remedy_of(error)) from error


@contextmanager
def new_folder(folder: Path, *, otherwise: str = "name a new folder", parents: bool = False) -> Iterator[Path]:
    """Yield a folder to fill, which gets its name at the end, in one step; if filling it fails, nothing is left behind.

    Args:
        folder: is not there yet, or is empty.
        otherwise: what to do where something is in it.
        parents: whether the folders above it are made where they are missing.

    Raises:
        FileError: something is in it, or it cannot be written.
    """
    part = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise FileError(str(folder), "exists already and is not an empty folder", otherwise)
        part.mkdir(parents=parents)
        yield part
        if folder.exists():
            folder.rmdir()
        part.rename(folder)
    except OSError as error:
        raise FileError(str(folder), f"cannot be written ({error.strerror or error})", remedy_of(error)) from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _write_all(path: Path, parts: Iterable[bytes]) -> None:
    with path.open("wb") as file:
        file.writelines(parts)
