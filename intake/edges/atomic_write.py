"""Write a file whole or not at all.

The bytes go to a file beside the target, reach the disk, and only then take its name, so that a full disk or a broken
power line leaves the old file as it was. Does not lock: of two writers the last wins.
"""

import errno
import os
import secrets
from collections.abc import Callable
from pathlib import Path

from intake.errors import FileError

MENDS = {
    errno.ENOSPC: "free some space on the disk and try again",
    errno.EDQUOT: "free some space on the disk and try again",
    errno.ENOENT: "make its folder first or choose another",
    errno.ENOTDIR: "choose a place inside a folder",
    errno.EISDIR: "give the name of a file, not of a folder",
}


def save_whole(path: Path, write: Callable[[Path], object]) -> None:
    """Let `write` fill a file, which then takes the place of `path` in one step.

    Args:
        path: the file; its folder is made if it is missing.
        write: is given the path to write to; if it fails, nothing remains.

    Raises:
        OSError: the folder or the file cannot be written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        write(part)
        with part.open("r+b") as file:
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    if os.name == "posix":  # elsewhere a folder cannot be forced to the disk, and need not be
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def write_whole(path: Path, data: bytes) -> None:
    """Write bytes to a file that a person named, replacing it in one step.

    Args:
        path: the file; its folder must exist, for a mistyped one is not to be made.
        data: all of it.

    Raises:
        FileError: when it cannot be written; whatever was there before is untouched.
    """
    try:
        if not path.parent.is_dir():
            raise OSError(errno.ENOENT, os.strerror(errno.ENOENT))
        save_whole(path, lambda part: part.write_bytes(data))
    except OSError as error:
        remedy = MENDS.get(error.errno or 0, "choose a place where you may write")
        raise FileError(str(path), f"cannot be written ({error.strerror or error})", remedy) from error
