"""What servers answered within the last day, so that nobody is asked the same twice: to look, and then to take.

One file for each address under its SHA-256, in a folder that may be deleted at any time. A folder that cannot be used
costs a request, never an answer.
"""

import hashlib
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from intake.edges.atomic_write import save_whole

KEPT_FOR = timedelta(days=1)


class AnswerCache:
    """The answers of servers by address."""

    def __init__(self, folder: Path, now: Callable[[], datetime]) -> None:
        """Work in a folder, which is made when the first answer is kept."""
        self._folder = folder
        self._now = now

    def get(self, url: str) -> bytes | None:
        """Return what an address answered within the last day; None if that is not known."""
        path = self._path(url)
        try:
            return path.read_bytes() if self._is_fresh(path) else None
        except OSError:
            return None

    def put(self, url: str, body: bytes) -> None:
        """Keep an answer, and remove those that are too old."""
        with suppress(OSError):
            for path in self._folder.glob("*.xml"):
                if not self._is_fresh(path):
                    path.unlink(missing_ok=True)
            save_whole(self._path(url), lambda part: part.write_bytes(body))

    def _path(self, url: str) -> Path:
        return self._folder / f"{hashlib.sha256(url.encode()).hexdigest()}.xml"

    def _is_fresh(self, path: Path) -> bool:
        age = self._now().timestamp() - path.stat().st_mtime
        return abs(age) < KEPT_FOR.total_seconds()
