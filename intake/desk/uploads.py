"""What was sent or planned, and waits until a person has looked at what would become of it.

It is kept for a session, in the system's folder for temporary files, until the desk stops; of many the oldest go first.
"""

import tempfile
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from intake.desk import desk_startup
from intake.desk.multipart import SentFile
from intake.errors import FileError, RefusedError

MOST_OF_A_SESSION = 16
"""Things of one session that are kept."""
LONGEST_NAME = 120


@dataclass(frozen=True, slots=True)
class KeptThing:
    """Files, or a plan, that wait under a key."""

    session: str
    files: tuple[Path, ...] = ()
    plan: object = None


class Uploads:
    """All that waits."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: dict[str, KeptThing] = {}
        self._folder: tempfile.TemporaryDirectory[str] | None = None

    def close(self) -> None:
        """Forget everything; the desk stops."""
        with self._lock:
            self._kept.clear()
            if self._folder is not None:
                self._folder.cleanup()
                self._folder = None

    def keep_files(self, session: str, files: Sequence[SentFile]) -> str:
        """Keep files, each under its own name, and return their key.

        Raises:
            FileError: the disk is full, or the folder cannot be written.
        """
        try:
            folder = self.new_folder()
            paths = []
            for nth, file in enumerate(files):
                path = folder / str(nth) / _file_name(file.name)
                path.parent.mkdir(parents=True)
                path.write_bytes(file.data)
                paths.append(path)
        except OSError as error:
            why = f"cannot be written ({error.strerror})"
            raise FileError("The system's folder for temporary files", why, "free some disk space") from error
        return self.keep_paths(session, paths)

    def new_folder(self) -> Path:
        """Return a new, empty folder for files that are made here."""
        with self._lock:
            if self._folder is None:
                self._folder = tempfile.TemporaryDirectory(prefix="intake-desk-", ignore_cleanup_errors=True)
        folder = Path(self._folder.name) / desk_startup.random_token()
        folder.mkdir()
        return folder

    def keep_paths(self, session: str, paths: Sequence[Path]) -> str:
        """Keep files that were made in a folder of `new_folder`, and return their key."""
        key = desk_startup.random_token()
        self._enter(key, KeptThing(session, files=tuple(paths)))
        return key

    def keep_plan(self, session: str, plan: object) -> str:
        """Keep a plan that took a while, and return its key."""
        key = desk_startup.random_token()
        self._enter(key, KeptThing(session, plan=plan))
        return key

    def find(self, session: str, key: str) -> KeptThing:
        """Return what a session has kept.

        Raises:
            RefusedError: it was not this session's, or is not kept any more.
        """
        kept = self._kept.get(key)
        if kept is None or kept.session != session:
            raise RefusedError("What was looked at", "is not kept any more", "choose it again and look at it again")
        return kept

    def use_up(self, session: str, key: str) -> None:
        """Forget something that is good for one time.

        Raises:
            RefusedError: it was used before, or is not kept any more.
        """
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None and kept.session == session:
                del self._kept[key]
                return
        why = "was taken already, or was looked at so long ago that it is not kept"
        raise RefusedError("This step", why, "see in the ledger whether it was, and look at it again")

    def names(self, key: str) -> tuple[str, ...]:
        """Return how the files under a key are called; none where they are not kept any more."""
        kept = self._kept.get(key)
        return tuple(path.name for path in kept.files) if kept else ()

    def _enter(self, key: str, thing: KeptThing) -> None:
        with self._lock:
            own = [old for old, kept in self._kept.items() if kept.session == thing.session]
            for old in own[: max(0, len(own) - MOST_OF_A_SESSION + 1)]:
                for path in self._kept.pop(old).files:
                    path.unlink(missing_ok=True)
            self._kept[key] = thing


def _file_name(name: str) -> str:
    """Return a name that every system takes for a file, with the ending that the person's file has."""
    plain = "".join(c if c.isprintable() and c not in '/\\:*?"<>|' else "_" for c in name).strip(" .")
    stem, dot, suffix = plain.rpartition(".")
    short = f"{stem[: LONGEST_NAME - len(suffix)]}{dot}{suffix}" if dot and len(suffix) < 10 else plain[:LONGEST_NAME]
    return short or "file"
