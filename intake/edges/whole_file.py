"""Write a file whole or not at all.

The bytes go to a file beside the target, reach the disk, and only then take its name, so that a full disk or a broken
power line leaves the old file as it was. Does not lock: of two writers the last wins.
"""

import errno
import os
import secrets
from pathlib import Path

from intake.errors import FileError

MENDS = {
    errno.ENOSPC: "free some space on the disk and try again",
    errno.EDQUOT: "free some space on the disk and try again",
    errno.ENOENT: "make its folder first or choose another",
    errno.ENOTDIR: "choose a place inside a folder",
    errno.EISDIR: "give the name of a file, not of a folder",
}


def write_whole(path: Path, data: bytes) -> None:
    """Write bytes to a file, replacing it in one step.

    Args:
        path: the file; its folder must exist.
        data: all of it.

    Raises:
        FileError: when it cannot be written; whatever was there before is untouched.
    """
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        try:
            with part.open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        mend = MENDS.get(error.errno or 0, "choose a place where you may write")
        raise FileError(str(path), f"cannot be written ({error.strerror or error})", mend) from error
