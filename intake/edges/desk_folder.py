"""The desk's own files, outside the library that a person copies: the key of its sessions, its certificates.

Only the owner may read the files.
"""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from platformdirs import user_data_path

from intake.errors import FileError

KEY_FILE = "session.key"
KEY_BYTES = 32


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


def session_key(folder: Path, *, new: bool = False) -> bytes:
    """Return the key that sessions are signed with.

    Args:
        folder: where it is stored.
        new: whether to create a new one, which ends every session.

    Raises:
        FileError: it cannot be read or written.
    """
    path = folder / KEY_FILE
    if not new and path.exists():
        try:
            key = path.read_bytes()
        except OSError as error:
            raise FileError(str(path), f"cannot be read ({error.strerror})", "make it readable for you") from error
        if len(key) == KEY_BYTES:
            return key
    key = secrets.token_bytes(KEY_BYTES)
    write_private(path, key)
    return key
