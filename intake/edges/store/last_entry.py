"""A note, beside the database, of the last entry that was written: what is left where the database's log was deleted.

    .last-entry    124 5d3eb0e1… 1f0c…

Number and digest of the entry, and the beginning of the SHA-256 of both, so that a note that is half written is none.
It is written after the entry is on the disk, and is not waited for: after a power cut it may be an older one, never a
newer. It helps against a slip, not against who alters the folder on purpose: only a head that was printed does.
"""

import hashlib
import os
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

LAST_ENTRY = ".last-entry"
_LONGEST = 200


class NotedEntry(NamedTuple):
    """Number and digest of the last entry that was written."""

    seq: int
    digest: str


def note_entry(folder: Path, entry: NotedEntry) -> None:
    """Note the last entry of the library in a folder; where that cannot be written, the library works without it."""
    text = f"{entry.seq} {entry.digest}"
    with suppress(OSError):
        file = os.open(folder / LAST_ENTRY, os.O_WRONLY | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            length = os.pwrite(file, f"{text} {_mark(text)}\n".encode(), 0)
            os.ftruncate(file, length)
        finally:
            os.close(file)


def noted_entry(folder: Path) -> NotedEntry | None:
    """Return the entry that was noted last; None where there is no note, or it cannot be read."""
    try:
        text = (folder / LAST_ENTRY).read_bytes()[:_LONGEST].decode("ascii")
        number, digest, mark = text.split()
        return NotedEntry(int(number), digest) if mark == _mark(f"{number} {digest}") else None
    except (OSError, ValueError):
        return None


def is_garbled(folder: Path) -> bool:
    """Return whether there is a note that cannot be read, as a power cut may leave it, or a hand that altered it."""
    return os.path.lexists(folder / LAST_ENTRY) and noted_entry(folder) is None


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]
