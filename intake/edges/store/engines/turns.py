"""Whose turn it is to write: one writer at a time, in the order of coming, and with word of who has the turn.

SQLite lets one connection write at a time and makes the others try again at intervals ("Database File Locking And
Concurrency", 3 and 5; `sqlite3_busy_timeout`): whoever tries at the right moment is next, be it the one that wrote
last. So the threads of a process take turns by a lock of our own, first come first served. Between processes two
files beside the database are locked (`flock`): who is next waits with the second file locked, so that the one that
wrote last comes after it. SQLite's own lock stays what keeps the library whole: where there is no `flock`, or the
files cannot be made, its waiting is what is left, and only the order is lost.

The system unlocks the files of a process that ends, however it ends.
"""

import json
import os
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path
from threading import Lock

try:
    import fcntl
except ImportError:  # Windows: SQLite's own waiting is what is left
    CAN_LOCK_FILES = False
else:
    CAN_LOCK_FILES = True

PATIENCE_S = 30.0
"""How long a writer waits for its turn."""
WORD_AFTER_S = 1.0
"""After how long a waiting person is told who writes."""
TURN_FILE = "library.turn"
NEXT_FILE = "library.next"
_LOOK_S = 0.002
_LONGEST_NOTE = 1000
_CANNOT = -1


@dataclass(frozen=True, slots=True)
class WriterNote:
    """Who has the turn: the process, the station that it works for, and since when (UTC)."""

    process: int
    station: str
    since: datetime


class TurnTimeoutError(Exception):
    """The turn did not come in time."""


@dataclass(frozen=True, slots=True)
class WritingTurn:
    """A turn that came; whoever has it may still have to wait for a program that takes no turns.

    Attributes:
        begun: is to be called once the database is ours: from then on we are named as the one that writes.
        wait: is to be called where it is not yet, though the turn is ours.
    """

    begun: Callable[[], None]
    wait: Callable[[], None]


class FairLock:
    """A lock that is given to threads in the order in which they asked for it."""

    def __init__(self) -> None:
        self._guard = Lock()
        self._waiting: deque[Lock] = deque()
        self._is_held = False

    def acquire(self, end: float, word: Callable[[], None]) -> bool:
        """Wait for the lock until `end` by `time.monotonic`; give word after `WORD_AFTER_S`, once."""
        with self._guard:
            if not self._is_held:
                self._is_held = True
                return True
            mine = Lock()
            mine.acquire()
            self._waiting.append(mine)
        if mine.acquire(timeout=max(0.0, min(WORD_AFTER_S, end - time.monotonic()))):
            return True
        word()
        if mine.acquire(timeout=max(0.0, end - time.monotonic())):
            return True
        with self._guard:
            if mine not in self._waiting:
                return True  # it was handed over at the last moment
            self._waiting.remove(mine)
            return False

    def release(self) -> None:
        """Hand the lock to the thread that has waited longest."""
        with self._guard:
            if self._waiting:
                self._waiting.popleft().release()
            else:
                self._is_held = False


class WritingTurns:
    """The turns of one open library; its threads share it."""

    def __init__(self, folder: Path, now: Callable[[], datetime]) -> None:
        self._turn, self._next = folder / TURN_FILE, folder / NEXT_FILE
        self._now = now
        self._threads = FairLock()
        self.waits = False
        """Whether a thread has the turn, and its database is not ours yet."""

    @contextmanager
    def taken(self, station: str, on_wait: Callable[[WriterNote | None], None] | None = None) -> Iterator[WritingTurn]:
        """Wait for the turn, and have it for the length of the block.

        Args:
            station: for whom, as those who wait will read.
            on_wait: is called once where it takes long, with who writes; None where that is not known.

        Raises:
            TurnTimeoutError: it did not come within `PATIENCE_S`.
        """
        end = time.monotonic() + PATIENCE_S
        word = Once(lambda: on_wait(self.holder()) if on_wait else None)
        if not self._threads.acquire(end, word):
            raise TurnTimeoutError
        try:
            with _locked(self._next, end, word) as queued, _locked(self._turn, end, word) as turn:
                self.waits = True
                if turn is None:
                    yield WritingTurn(self._begun, word)
                    return
                _clear_note(turn)  # of one that ended in the middle
                if queued is not None:
                    fcntl.flock(queued, fcntl.LOCK_UN)  # now the next one may wait there
                try:
                    yield WritingTurn(partial(self._note, turn, station), word)
                finally:
                    _clear_note(turn)
        finally:
            self.waits = False
            self._threads.release()

    def _begun(self) -> None:
        self.waits = False

    def _note(self, turn: int, station: str) -> None:
        self._begun()
        _write_note(turn, WriterNote(os.getpid(), station, self._now()))

    def tidy(self) -> None:
        """Remove the two files, where nobody uses them: a closed library has no need of them."""
        for path in (self._next, self._turn):
            if not path.exists():
                continue
            file = _try_lock(path)
            if file is not None and file != _CANNOT:
                with suppress(OSError):
                    path.unlink()
                _unlock(file)

    def holder(self) -> WriterNote | None:
        """Return who writes in its turn; None where nobody does, or it cannot be known."""
        try:
            given = json.loads(self._turn.read_bytes()[:_LONGEST_NOTE])
            return WriterNote(int(given["process"]), str(given["station"]), datetime.fromisoformat(given["since"]))
        except (OSError, ValueError, TypeError, KeyError):
            return None


class Once:
    """Calls something at most once."""

    def __init__(self, call: Callable[[], None]) -> None:
        self._call = call
        self._is_done = False

    def __call__(self) -> None:
        """Call it, unless it was called before."""
        if not self._is_done:
            self._is_done = True
            self._call()


@contextmanager
def _locked(path: Path, end: float, word: Callable[[], None]) -> Iterator[int | None]:
    """Lock a file for the length of the block; None where files cannot be locked."""
    began = time.monotonic()
    file = None
    while file is None and (locking := _try_lock(path)) != _CANNOT:
        file = locking
        if file is None:
            now = time.monotonic()
            if now >= end:
                raise TurnTimeoutError
            if now - began >= WORD_AFTER_S:
                word()
            time.sleep(_LOOK_S)
    try:
        yield file
    finally:
        if file is not None:
            _unlock(file)


def _try_lock(path: Path) -> int | None:
    """Return the locked file; None where another has it now, `_CANNOT` where files cannot be locked."""
    if not CAN_LOCK_FILES:
        return _CANNOT
    try:
        file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError:
        return _CANNOT
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if os.path.samestat(os.fstat(file), path.stat()):
            return file
    except (BlockingIOError, FileNotFoundError):
        pass
    except OSError:  # a file system without locks
        os.close(file)
        return _CANNOT
    os.close(file)  # locked by another, or removed by the one that closed the library
    return None


def _unlock(file: int) -> None:
    with suppress(OSError):
        fcntl.flock(file, fcntl.LOCK_UN)  # closing alone would not do where a child process shares the file
    os.close(file)


def _write_note(file: int, note: WriterNote) -> None:
    text = {"process": note.process, "station": note.station, "since": note.since.isoformat()}
    with suppress(OSError):  # on a full disk only the word of who writes is missing
        os.ftruncate(file, 0)
        os.pwrite(file, json.dumps(text).encode()[:_LONGEST_NOTE], 0)


def _clear_note(file: int) -> None:
    with suppress(OSError):
        os.ftruncate(file, 0)
