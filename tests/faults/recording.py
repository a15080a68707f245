"""What a process did to the files of a folder, in order, recorded with strace: what the disk was asked, and when.

Needs strace, and the right to trace (`CAP_SYS_PTRACE` or an equal user). The shared memory of SQLite's log (`-shm`) is
a mapping and is not seen; SQLite makes it anew.
"""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
CALLS = "openat,write,writev,pwrite64,fdatasync,fsync,ftruncate,unlink,unlinkat,rename,renameat,renameat2,mkdir,mkdirat"
ENVIRONMENT = {"OPENBLAS_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(ROOT)}
_LINE = re.compile(r"^(?:\d+\s+)?(\w+)\((.*)\)\s+=\s+(-?\d+)")
_STRING = re.compile(r'"((?:[^"\\]|\\.)*)"')
_FD = re.compile(r"^\d+<((?:[^>\\]|\\.)*)>")


@dataclass(frozen=True, slots=True)
class Call:
    """A call of the system that succeeded.

    Attributes:
        name: such as "pwrite64".
        path: the file or folder that it was about; for a new name, see `to`.
        to: the new name.
        data: what was written.
        offset: where, None for the present end of the file.
        size: what a file was cut to.
        makes, cuts: whether an open file may be made, and is emptied.
    """

    name: str
    path: str
    to: str = ""
    data: bytes = b""
    offset: int | None = None
    size: int = 0
    makes: bool = False
    cuts: bool = False


@lru_cache(maxsize=1)
def why_not() -> str:
    """Return why nothing can be traced here, "" where it can."""
    if shutil.which("strace") is None:
        return "strace is not installed"
    tried = subprocess.run(["strace", "-e", "trace=none", "true"], capture_output=True, text=True, check=False)
    return "" if tried.returncode == 0 else f"strace may not trace here ({tried.stderr.strip()[:200]})"


def station_command(*arguments: object) -> list[str]:
    """Return the command that starts a station; see `tests.faults.station`."""
    return [sys.executable, "-m", "tests.faults.station", *map(str, arguments)]


def environment() -> dict[str, str]:
    """Return the environment of a traced process: one thread, and no files but the library's."""
    return {**os.environ, **ENVIRONMENT}


def record(command: Sequence[str], log: Path) -> Iterator[Call]:
    """Run a command under strace and yield what it did.

    Raises:
        subprocess.CalledProcessError: it did not end well.
    """
    tracing = ["strace", "-f", "-y", "-xx", "-s", "8000000", "-e", f"trace={CALLS}", "-o", str(log)]
    subprocess.run([*tracing, *command], cwd=ROOT, env=environment(), check=True, stdout=subprocess.DEVNULL)
    with log.open(encoding="ascii", errors="replace") as lines:
        for line in lines:
            call = _call(line)
            if call is not None:
                yield call


def _call(line: str) -> Call | None:
    found = _LINE.match(line)
    if found is None or int(found[3]) < 0:
        assert "unfinished" not in line, "several threads: the order of what they did is not told"
        return None
    name, arguments = found[1], found[2]
    strings = [_bytes(text) for text in _STRING.findall(arguments)]
    of_fd = _FD.match(arguments)
    path = _bytes(of_fd[1]).decode("utf-8", "replace") if of_fd else ""
    numbers = arguments.rsplit(", ", 2)
    match name:
        case "openat":
            opened = strings[-1].decode("utf-8", "replace")
            return Call(name, opened, makes="O_CREAT" in arguments, cuts="O_TRUNC" in arguments)
        case "pwrite64":
            return Call(name, path, data=strings[-1][: int(found[3])], offset=int(numbers[2]))
        case "write" | "writev":
            return Call(name, path, data=b"".join(strings)[: int(found[3])])
        case "ftruncate":
            return Call(name, path, size=int(numbers[-1]))
        case "fsync" | "fdatasync":
            return Call(name, path)
        case "rename" | "renameat" | "renameat2":
            return Call("rename", strings[0].decode(), to=strings[1].decode())
        case "unlink" | "unlinkat":
            return Call("rmdir" if "AT_REMOVEDIR" in arguments else "unlink", strings[-1].decode())
        case _:
            return Call("mkdir", strings[-1].decode())


def _bytes(text: str) -> bytes:
    return text.encode("ascii", "replace").decode("unicode_escape").encode("latin-1")
