"""Programs to be measured, and one run of a command: processor seconds, peak memory, how it ended."""

import math
import os
import shlex
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
WALL_TO_PROCESSOR = 4
"""A run is also ended after this many times the limit on the clock: it may wait for something for ever."""
NEARLY = 0.9
"""A child that was killed this near to the limit was killed by it: the system looks at the limit now and then only."""
BYTES_PER_RSS = 1 if sys.platform == "darwin" else 1024
"""Unit of `ru_maxrss`: bytes on macOS, kilobytes on Linux (getrusage(2))."""


@dataclass(frozen=True)
class Program:
    """One program to be measured: the words that start it, and its own environment."""

    name: str
    words: tuple[str, ...]
    environment: Mapping[str, str] = field(default_factory=dict)

    @property
    def interpreter(self) -> str:
        """The Python that runs it: its first word, or what the first line of that script names."""
        if "python" in Path(self.words[0]).name:
            return self.words[0]
        first = Path(self.words[0]).read_bytes().splitlines()[0].decode()
        return first.removeprefix("#!").strip().strip("\"'")

    def environ(self) -> dict[str, str]:
        """Return the environment of a run; paths of modules are taken over from nowhere but the program's own."""
        inherited = {name: value for name, value in os.environ.items() if name not in _NOT_INHERITED}
        return {**inherited, "OPENBLAS_NUM_THREADS": "1", "PYTHONUNBUFFERED": "1", **self.environment}


_NOT_INHERITED = {"PYTHONPATH", "INTAKE_LIBRARY", "INTAKE_STATION"}


def program(text: str | None) -> Program:
    """Return the program that a person names, "NAME=VALUE python -m …" or a path; without a name, this tree's own."""
    if text is None:
        return Program("this", (sys.executable, "-m", "intake.cli.main"), {"PYTHONPATH": str(ROOT)})
    words = shlex.split(text)
    own: dict[str, str] = {}
    while "=" in words[0] and "/" not in words[0].partition("=")[0]:
        name, _, value = words.pop(0).partition("=")
        own[name] = value
    return Program(text, tuple(words), own)


@dataclass(frozen=True, slots=True)
class Run:
    """What one run cost.

    Attributes:
        seconds: processor seconds, user and system, of the child and of what it waited for.
        peak_bytes: the largest resident set of the child.
        status: its exit status; negative for a signal, None where it was ended at the limit.
        output: what it wrote to both outputs, at most the last part of it.
    """

    seconds: float
    peak_bytes: int
    status: int | None
    output: str


def run(words: Sequence[str], environment: Mapping[str, str], *, limit: float, typed: str = "") -> Run:
    """Run a command to its end or to a limit of processor seconds.

    The limit is the shell's `ulimit -t` (POSIX.1-2017), which counts as this table does.

    Raises:
        OSError: there is no shell to start it.
    """
    with tempfile.TemporaryFile() as output, tempfile.TemporaryFile() as typing:
        typing.write(typed.encode())
        typing.seek(0)
        child = subprocess.Popen(
            ["/bin/sh", "-c", 'ulimit -t "$0" && exec "$@"', str(math.ceil(limit)), *words],
            stdin=typing,
            stdout=output,
            stderr=subprocess.STDOUT,
            env=dict(environment),
        )
        clock = threading.Timer(limit * WALL_TO_PROCESSOR, child.kill)
        clock.start()
        started = time.monotonic()
        _, status, usage = os.wait4(child.pid, 0)
        clock.cancel()
        waited = time.monotonic() - started
        child.returncode = os.waitstatus_to_exitcode(status)
        output.seek(max(0, output.seek(0, os.SEEK_END) - 4000))
        text = output.read().decode("utf-8", "replace")
    seconds = usage.ru_utime + usage.ru_stime
    killed = child.returncode in (-signal.SIGXCPU, -signal.SIGKILL)
    over = killed and (seconds >= limit * NEARLY or waited >= limit * WALL_TO_PROCESSOR)
    return Run(seconds, usage.ru_maxrss * BYTES_PER_RSS, None if over else child.returncode, text)
