"""What was measured so far: runs by job, program and size; kept in a file, so that no run need be repeated."""

import json
import math
import sys
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.growth.jobs import Scope
from tests.benchmarks.growth.running import Run
from tests.benchmarks.growth.table import Row


@dataclass
class Found:
    """Runs and start-ups, both by program's name; what failed is told in `faults`."""

    kept: Path | None = None
    start_ups: dict[str, float] = field(default_factory=dict)
    rows: dict[str, dict[str, Row]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def add_start_up(self, program: str, seconds: float) -> None:
        """Keep the least start-up: load on the machine only adds to it."""
        self.start_ups[program] = min(seconds, self.start_ups.get(program, math.inf))
        self._keep()

    def add(self, program: str, name: str, scope: Scope, size: int, cost: Run) -> None:
        """Keep a run, and tell of it on standard error."""
        self.rows.setdefault(name, {}).setdefault(program, Row(scope)).runs[size] = cost
        if cost.status:
            self.faults.append(f"{name} at {size:,}, {program}: {cost.output.strip()[-300:]}")
        print(f"{size:>9,}  {name:<30} {cost.seconds:8.2f} s  {program}", file=sys.stderr, flush=True)
        self._keep()

    def holds(self, program: str, name: str, size: int) -> bool:
        """Tell whether this run was made already."""
        row = self.rows.get(name, {}).get(program)
        return row is not None and size in row.runs

    def over_before(self, program: str, name: str, size: int) -> bool:
        """Tell whether a smaller library took a job to the limit; a larger one would, too."""
        row = self.rows.get(name, {}).get(program)
        return row is not None and any(cost.status is None for held, cost in row.runs.items() if held < size)

    def finished(self) -> dict[str, dict[str, Row]]:
        """Return the rows, each with the start-up to be subtracted; a page has none."""
        for row in self.rows.values():
            for program, own in row.items():
                own.start_up = 0.0 if own.scope is Scope.PAGE else self.start_ups.get(program, 0.0)
        return self.rows

    def load(self, files: Iterable[Path]) -> None:
        """Take over what earlier runs kept; one that failed is made anew."""
        for file in files:
            told = json.loads(file.read_text())
            for program, seconds in told["start_ups"].items():
                self.start_ups[program] = min(seconds, self.start_ups.get(program, math.inf))
            for name, scope, program, size, seconds, peak, status in told["runs"]:
                if not status:
                    row = self.rows.setdefault(name, {}).setdefault(program, Row(Scope(scope)))
                    row.runs[size] = Run(seconds, peak, status, "")

    def _keep(self) -> None:
        if self.kept is None:
            return
        runs = [
            (name, row.scope, program, size, cost.seconds, cost.peak_bytes, cost.status)
            for name, by_program in self.rows.items()
            for program, row in by_program.items()
            for size, cost in row.runs.items()
        ]
        self.kept.write_text(json.dumps({"start_ups": self.start_ups, "runs": runs}, indent=0))
