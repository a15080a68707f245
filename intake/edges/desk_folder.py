"""The desk's own files, outside the library that a person copies: who was let in, its certificates.

Only the owner may read the files.
"""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from platformdirs import user_data_path

from intake.errors import FileError


def default_folder() -> Path:
    """Return the folder of this user on this machine."""
    return user_data_path("intake") / "desk"


def write_private(path: Path, data: bytes) -> None:
    """Write a file that only its owner may read.

    Raises:
        FileError: it cannot be written.
    """
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        part.replace(path)
    except OSError as error:
        remedy = "make the folder writable, or name another with --keys"
        raise FileError(str(path), f"cannot be written ({error.strerror})", remedy) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def read_private(path: Path) -> bytes | None:
    """Return what a file of the desk holds; None where there is none.

    Raises:
        FileError: it is there and cannot be read.
    """
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        remedy = "make it readable for you, or name another folder with --keys"
        raise FileError(str(path), f"cannot be read ({error.strerror})", remedy) from error
