"""How the cost of every command and page grows with the library: one table at several sizes.

    python -m tests.benchmarks.growth [--sizes 1000,10000,100000] [--program PATH_OR_COMMAND ...] [--only NAME ...]
                                      [--limit SECONDS] [--fresh]

Programs run through their command line alone, so that an earlier one may stand beside this one: `--program` takes a
path ("/elsewhere/bin/intake") or a command ("PYTHONPATH=. python -m intake.cli.main"), and may be given several times;
without it this tree is measured. Seconds are the processor's, user and system, beyond the start-up: what `status`
costs on an empty library. A page's seconds are those of the desk's process. The power is the slope of the logarithm of
the seconds over that of the size, between the two largest sizes. A `!` marks what costs more than it may (`table`).
Libraries are made once and kept in the temporary folder; `--fresh` makes them anew.
"""

import argparse
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.growth.jobs import Job, Scope, jobs
from tests.benchmarks.growth.lists import RATE_DAY
from tests.benchmarks.growth.pages import Desk, DeskError, measure, running
from tests.benchmarks.growth.running import Program, Run, program, run
from tests.benchmarks.growth.stocked import Stock, stock
from tests.benchmarks.growth.table import Row, lines

SIZES = (1_000, 10_000, 100_000)
LIMIT_S = 60.0
TWICE_BELOW_S = 3.0
"""What took less is run a second time, and the quicker run counts."""


@dataclass
class Measurement:
    """What is measured, and what was found so far: rows by job and program, and what failed."""

    programs: Sequence[Program]
    only: Sequence[str]
    limit: float
    start_ups: dict[str, float] = field(default_factory=dict)
    rows: dict[str, dict[str, Row]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def asked_for(self, name: str) -> bool:
        """Tell whether a job was named, by any part of its name, or none was."""
        return not self.only or any(part.casefold() in name.casefold() for part in self.only)

    def add(self, of: Program, name: str, scope: Scope, size: int, cost: Run) -> None:
        """Keep a run, and tell of it on standard error."""
        start_up = 0.0 if scope is Scope.PAGE else self.start_ups[of.name]
        row = self.rows.setdefault(name, {}).setdefault(of.name, Row(scope, start_up))
        row.runs[size] = cost
        if cost.status:
            self.faults.append(f"{name} at {size:,}, {of.name}: {cost.output.strip()[-300:]}")
        print(f"{size:>9,}  {name:<30} {cost.seconds:8.2f} s  {of.name}", file=sys.stderr, flush=True)

    def over_before(self, of: Program, name: str) -> bool:
        """Tell whether a smaller library took a job to the limit; a larger one would, too."""
        row = self.rows.get(name, {}).get(of.name)
        return row is not None and any(cost.status is None for cost in row.runs.values())


def main() -> None:
    """Measure, and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.growth")
    parser.add_argument("--sizes", default=",".join(map(str, SIZES)))
    parser.add_argument("--program", action="append", help="path or command; several stand side by side")
    parser.add_argument("--only", action="extend", nargs="+", default=[], help="parts of the names of jobs")
    parser.add_argument("--limit", type=float, default=LIMIT_S, help="processor seconds of one run")
    parser.add_argument("--fresh", action="store_true", help="make the libraries anew")
    chosen = parser.parse_args()
    sizes = sorted(int(size) for size in chosen.sizes.split(","))
    found = Measurement([program(text) for text in chosen.program or [None]], chosen.only, chosen.limit)
    with tempfile.TemporaryDirectory(prefix="intake-growth-") as scratch:
        for of in found.programs:
            found.start_ups[of.name] = _start_up(of, Path(scratch) / "empty")
        for size in sizes:
            stocks = [(of, stock(of, size, fresh=chosen.fresh)) for of in found.programs]
            _measure_imports(found, stocks)
            _measure_commands(found, stocks, Path(scratch))
            _measure_pages(found, stocks, Path(scratch))
    for of in found.programs:
        print(f"Start-up {found.start_ups[of.name]:.2f} s, subtracted from every command: {of.name}")
    print("\n".join(lines(found.rows, sizes, found.limit)))
    print("\n".join(found.faults))


def _start_up(of: Program, empty: Path) -> float:
    """Return what `status` costs on an empty library, the least of three runs."""
    own = [*of.words, "--library", str(empty)]
    enter = ("rates", "enter", "EUR", "USD", "1.1", "--on", RATE_DAY.isoformat())
    made = run([*own, *enter], of.environ(), limit=LIMIT_S)
    if made.status != 0:
        raise SystemExit(f"{of.name} does not run: {made.output}")
    least = min(run([*own, "status"], of.environ(), limit=LIMIT_S).seconds for _ in range(3))
    shutil.rmtree(empty)
    return least


def _measure_imports(found: Measurement, stocks: Sequence[tuple[Program, Stock]]) -> None:
    """Take over what the imports cost when the library was made."""
    for of, held in stocks:
        for kind, cost in held.imports.items():
            if found.asked_for(f"import {kind}"):
                found.add(of, f"import {kind}", Scope.WHOLE, held.size, cost)


@contextmanager
def _at_work(stocks: Sequence[tuple[Program, Stock]], scratch: Path) -> Iterator[list[tuple[Program, Stock, Path]]]:
    """Copy each program's library, as jobs write to it, and give each a folder for its papers."""
    with ExitStack() as stack:
        folders = [Path(stack.enter_context(tempfile.TemporaryDirectory(dir=scratch))) for _ in stocks]
        yield [(of, held, folder) for (of, held), folder in zip(stocks, folders, strict=True)]


def _measure_commands(found: Measurement, stocks: Sequence[tuple[Program, Stock]], scratch: Path) -> None:
    with _at_work(stocks, scratch) as working:
        by_job: dict[str, list[Callable[[], None]]] = {}
        for of, held, folder in working:
            for job in jobs(held, folder):
                if job.scope is not Scope.PAGE and found.asked_for(job.name):
                    once = _command(found, of, held, folder, job)
                    by_job.setdefault(job.name, []).append(once)
        for runs in by_job.values():
            for once in runs:
                once()


def _command(found: Measurement, of: Program, held: Stock, folder: Path, job: Job) -> Callable[[], None]:
    words = [*of.words, "--library", str(folder / "library"), *job.words]

    def once() -> Run:
        _copied(held, folder)
        return run(words, of.environ(), limit=found.limit, typed=job.typed)

    def measured() -> None:
        if found.over_before(of, job.name):
            cost = Run(found.limit, 0, None, "")
        else:
            cost = once()
            if cost.status == 0 and cost.seconds < TWICE_BELOW_S:
                cost = min(cost, once(), key=lambda each: (each.status != 0, each.seconds))
        found.add(of, job.name, job.scope, held.size, cost)

    return measured


def _copied(held: Stock, folder: Path) -> None:
    """Lay the library afresh, as the job before may have written to it; papers stay, for `verify` reads one."""
    shutil.rmtree(folder / "library", ignore_errors=True)
    shutil.copytree(held.library, folder / "library", ignore=shutil.ignore_patterns("backups"))
    (folder / "backup.sqlite3").unlink(missing_ok=True)


def _measure_pages(found: Measurement, stocks: Sequence[tuple[Program, Stock]], scratch: Path) -> None:
    with _at_work(stocks, scratch) as working:
        for of, held, folder in working:
            left = [job for job in jobs(held, folder) if job.scope is Scope.PAGE and found.asked_for(job.name)]
            while left:
                _copied(held, folder)
                try:
                    with running(of, folder / "library") as desk:
                        left = _pages_of(found, of, held, desk, left)
                except DeskError as error:
                    found.faults.append(f"{of.name} at {held.size:,}: {error}")
                    break


def _pages_of(found: Measurement, of: Program, held: Stock, desk: Desk, left: list[Job]) -> list[Job]:
    """Ask for pages until one takes the desk to the limit; return those not asked for yet."""
    for nth, page in enumerate(left, 1):
        cost = Run(found.limit, 0, None, "") if found.over_before(of, page.name) else None
        cost = cost or measure(desk, page, limit=found.limit)
        found.add(of, page.name, page.scope, held.size, cost)
        if cost.status is None and cost.peak_bytes:
            return left[nth:]
    return []


if __name__ == "__main__":
    main()
