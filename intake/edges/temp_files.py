"""A temporary file, for libraries that can only read from or write to files."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from intake.errors import FileError


@contextmanager
def temporary_file(name: str, data: bytes | None = None) -> Iterator[Path]:
    """Yield a path in a new temporary folder, which is removed afterwards.

    Args:
        name: the file's name; it must come from the program, never from a request.
        data: contents of the file; None creates no file.

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
            "The system's folder for temporary files", f"cannot be written ({error.strerror})", "free some disk space"
        ) from error
