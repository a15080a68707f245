"""A file that is gone when its work is done: for what a library will only read from or write to a file."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from intake.errors import FileError


@contextmanager
def scratch_file(name: str, data: bytes | None = None) -> Iterator[Path]:
    """Give a path in a folder of its own, under the system's folder for such files.

    Args:
        name: the file's name; it must come from the program, never from a request.
        data: what the file holds; None leaves it to be written.

    Raises:
        FileError: the disk is full or the folder cannot be written.
    """
    try:
        with tempfile.TemporaryDirectory(prefix="intake-", ignore_cleanup_errors=True) as folder:
            path = Path(folder) / name
            if data is not None:
                path.write_bytes(data)
            yield path
    except OSError as error:
        raise FileError(
            "The system's folder for temporary files", f"cannot be written ({error.strerror})", "make room"
        ) from error
