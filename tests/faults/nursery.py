"""A process that has loaded the program and forks stations, so that each begins at once: a second saved every time."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.faults.recording import ROOT, environment


class Nursery:
    """Use it in a `with` statement; one station at a time.

    Attributes:
        status: how the last station ended, as `os.waitstatus_to_exitcode` gives it.
    """

    def __init__(self, errors: Path) -> None:
        self.errors = errors
        self.status = 0
        command = [sys.executable, "-m", "tests.faults.station"]
        with errors.open("w") as file:
            self._process = subprocess.Popen(
                command,
                cwd=ROOT,
                env=environment(),
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=file,
                text=True,
            )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, _kind: type[BaseException] | None, _error: BaseException | None, _at: TracebackType | None
    ) -> None:
        self._process.communicate()

    def begin(self, library: Path, first: int, count: int, sessions: int, copy: str, *, waits: bool = False) -> int:
        """Begin a station and return its process id; `waits` lets it begin its work when it is traced."""
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps([str(library), first, count, sessions, copy, waits]) + "\n")
        self._process.stdin.flush()
        return int(self._line().split()[-1])

    def lines(self) -> Iterator[str]:
        """Yield what the station says, until it has ended."""
        while not (line := self._line()).startswith("DEAD"):
            yield line
        self.status = int(line.split()[-1])

    def _line(self) -> str:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, f"the nursery ended: {self.errors.read_text()[-500:]}"
        return line.rstrip("\n")
