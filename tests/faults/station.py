"""The station that the rehearsals start as a process of its own: it books scan after scan, and acknowledges each.

It repeats what was refused, under the same request, as a phone does. One in three scans is of a number that is in no
catalog, one in five is a photograph of a copy. `python -m tests.faults.station FOLDER FIRST COUNT SESSIONS
COPY`; without arguments, see `fork_stations`.

A line of its output is `ACK n`, `PICTURE n SHA-256`, `REFUSED sentence` or `GAVE UP n`. It is written by writev(2),
which nothing else here uses, so that faults of write(2) never meet it.
"""

import hashlib
import json
import os
import struct
import sys
import time
import traceback
import zlib
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from intake.edges.store.library import Library, open_library
from intake.errors import IntakeError
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.unpacking.station import book_line

BOOKS = 60
TRIES = 3
PHOTOGRAPHED = 5


def isbn(serial: int) -> str:
    """Return an ISBN-13 of a serial (EAN-13's check digit, GS1 General Specifications 7.9.1)."""
    digits = f"9795{serial:08d}"
    total = sum(int(digit) * (3 if nth % 2 else 1) for nth, digit in enumerate(digits))
    return f"{digits}{-total % 10}"


def number_of(nth: int, books: int = BOOKS) -> str:
    """Return what the nth scan reads: a listed book, or one in three that is in no catalog."""
    return isbn(90_000_000 + nth) if nth % 3 == 0 else isbn(10_000_000 + nth % books)


def picture_of(nth: int) -> bytes:
    """Return a grey PNG of 8 by 8 pixels, another for each n (ISO/IEC 15948)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = b"".join(b"\0" + bytes((nth * 31 + 8 * row + x) % 256 for x in range(8)) for row in range(8))
    header = struct.pack(">IIBBBBB", 8, 8, 8, 0, 0, 0, 0)
    text = chunk(b"tEXt", f"Comment\0{nth}".encode())
    body = chunk(b"IHDR", header) + text + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def say(line: str) -> None:
    """Acknowledge: nothing of it waits in a buffer."""
    os.writev(1, [f"{line}\n".encode()])


def repeated(nth: int, step: Callable[[], str]) -> None:
    """Do a step until it is not refused; give it up after a few times, as a person does."""
    for _ in range(TRIES):
        try:
            done = step()
        except IntakeError as error:
            say(f"REFUSED {error}")
        else:
            say(done)
            return
    say(f"GAVE UP {nth}")


def book(library: Library, nth: int) -> str:
    """Book the nth scan."""
    now = datetime.now(UTC)
    book_line(library, "1", number_of(nth), request=f"scan-{nth}", station="phone", now=now)
    return f"ACK {nth}"


def photograph(library: Library, nth: int, copy: str) -> str:
    """Keep a photograph of a copy."""
    data = picture_of(nth)
    photograph_copy(library, copy, data, request=f"picture-{nth}", station="phone", now=datetime.now(UTC))
    return f"PICTURE {nth} {hashlib.sha256(data).hexdigest()}"


def work(folder: Path, scans: range, copy: str) -> None:
    """Open the library, book the scans and close it."""
    with open_library(folder) as library:
        for nth in scans:
            repeated(nth, lambda nth=nth: book(library, nth))  # type: ignore[misc] # mypy cannot tell its type
            if nth % PHOTOGRAPHED == 0:
                repeated(nth, lambda nth=nth: photograph(library, nth, copy))  # type: ignore[misc] # as above


def run(folder: Path, first: int, count: int, sessions: int, copy: str) -> None:
    """Book so many scans in several sessions, each of which opens the library and closes it."""
    each = -(-count // sessions)
    for begin in range(first, first + count, each):
        try:
            work(folder, range(begin, min(begin + each, first + count)), copy)
        except IntakeError as error:  # it cannot be opened, or closed
            say(f"REFUSED {error}")


def wait_until_traced() -> None:
    """Wait until another process traces this one (proc(5), TracerPid)."""
    while "TracerPid:\t0\n" in Path("/proc/self/status").read_text(encoding="ascii"):
        time.sleep(0.005)


def fork_stations() -> None:
    """Fork a station for each line of standard input, and say how it ended; see `tests.faults.nursery`."""
    for line in sys.stdin:
        folder, first, count, sessions, copy, waits = json.loads(line)
        child = os.fork()
        if child:
            say(f"DEAD {os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])}")
            continue
        say(f"PID {os.getpid()}")
        try:
            if waits:
                wait_until_traced()
            run(Path(folder), first, count, sessions, copy)
        except BaseException:  # noqa: BLE001 - a forked process must end here, whatever happened
            traceback.print_exc()
            os._exit(1)
        os._exit(0)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        begin_at, scans_wanted, in_sessions = map(int, sys.argv[2:5])
        run(Path(sys.argv[1]), begin_at, scans_wanted, in_sessions, sys.argv[5])
    else:
        fork_stations()
