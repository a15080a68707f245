"""The mark of a plan that is being applied in parts: a file whose lock ends with the process that has it."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from intake.edges.store.engines.faults import other_plan_error
from intake.errors import StoreError

INCOMING = "incoming"


@contextmanager
def marked_incoming(folder: Path, token: str) -> Iterator[None]:
    """Mark that a plan is being applied in parts, for as long as this process lives.

    Raises:
        RefusedError: another plan is being applied in parts.
        StoreError: the folder cannot be written.
    """
    own = folder / INCOMING / f"{token}.sqlite3"
    cannot = StoreError(f"The folder {own.parent}", "cannot be written", "make it writable, or make room on the disk")
    try:
        own.parent.mkdir(exist_ok=True)
    except OSError as error:
        raise cannot from error
    for other in own.parent.glob("*.sqlite3"):
        with locked_mark(other) as ended:
            if not ended:
                raise other_plan_error()
    try:
        with locked_mark(own) as locked:
            if not locked:
                raise cannot
            yield
    finally:
        remove_mark(own)


@contextmanager
def locked_mark(path: Path) -> Iterator[bool]:
    """Lock a file until the end of the block or of the process; False where another process has it."""
    with closing(sqlite3.connect(path, timeout=0, isolation_level=None)) as connection:
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError:
            yield False
        else:
            yield True


def remove_mark(path: Path) -> None:
    """Remove the mark of a plan, and the folder when it was the last."""
    with suppress(OSError):  # where it stays, the next process finds every part entered, or none, and removes it
        path.unlink(missing_ok=True)
        path.parent.rmdir()
