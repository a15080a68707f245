"""How the cost of every command and page grows with the library: one table at several sizes.

    python -m tests.benchmarks.growth [--sizes 1000,10000,100000] [--program PATH_OR_COMMAND ...] [--only NAME ...]
                                      [--limit SECONDS] [--results FILE] [--fresh]

Programs run through their command line alone, so that an earlier one may stand beside this one: `--program` takes a
path ("/elsewhere/bin/intake") or a command ("PYTHONPATH=. python -m intake.cli.main"), and may be given several times;
without it this tree is measured. Seconds are the processor's, user and system, beyond the start-up: the least that
`status` costs on an empty library. A page's seconds are those of the desk's process. The power is the slope of the
logarithm of the seconds over that of the size, between the two largest sizes. A `!` marks what costs more than it may
(`table`). Libraries are made once and kept in the temporary folder; `--fresh` makes them anew. `--results` keeps every
run in a file, and leaves out those that the file holds.
"""

import argparse
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.growth.found import Found
from tests.benchmarks.growth.jobs import Job, Scope, jobs
from tests.benchmarks.growth.lists import RATE_DAY
from tests.benchmarks.growth.pages import Desk, DeskError, measure, running
from tests.benchmarks.growth.running import Program, Run, program, run
from tests.benchmarks.growth.stocked import Stock, stock
from tests.benchmarks.growth.table import lines

SIZES = (1_000, 10_000, 100_000)
LIMIT_S = 60.0
TWICE_BELOW_S = 3.0
"""What took less is run a second time, and the quicker run counts."""
START_UP_EVERY = 8
"""The start-up is measured again after so many jobs, as the machine is not equally busy all the time."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Which jobs are measured, and the processor seconds after which a run is ended."""

    only: Sequence[str]
    limit: float

    def wants(self, name: str) -> bool:
        """Tell whether a job was named, by any part of its name, or none was."""
        return not self.only or any(part.casefold() in name.casefold() for part in self.only)


@dataclass(frozen=True, slots=True)
class AtWork:
    """A program at a library of one size: the library as made, and the folder where a copy of it is worked on."""

    program: Program
    stock: Stock
    folder: Path

    @property
    def library(self) -> Path:
        """The copy."""
        return self.folder / "library"

    def lay_afresh(self) -> None:
        """Copy the library, as the job before may have written to it; papers stay, for `verify` reads one."""
        shutil.rmtree(self.library, ignore_errors=True)
        shutil.copytree(self.stock.library, self.library, ignore=shutil.ignore_patterns("backups"))
        (self.folder / "backup.sqlite3").unlink(missing_ok=True)


def main() -> None:
    """Measure, and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.growth")
    parser.add_argument("--sizes", default=",".join(map(str, SIZES)))
    parser.add_argument("--program", action="append", help="path or command; several stand side by side")
    parser.add_argument("--only", action="extend", nargs="+", default=[], help="parts of the names of jobs")
    parser.add_argument("--limit", type=float, default=LIMIT_S, help="processor seconds of one run")
    parser.add_argument("--results", type=Path, help="file that keeps the runs")
    parser.add_argument("--fresh", action="store_true", help="make the libraries anew")
    chosen = parser.parse_args()
    sizes = sorted(int(size) for size in chosen.sizes.split(","))
    programs = [program(text) for text in chosen.program or [None]]
    found = Found(chosen.results)
    found.load([chosen.results] if chosen.results and chosen.results.exists() else [])
    asked = Asked(chosen.only, chosen.limit)
    with tempfile.TemporaryDirectory(prefix="intake-growth-") as scratch:
        start_up = _start_up(found, programs, Path(scratch))
        for size in sizes:
            with _at_work(programs, size, Path(scratch), fresh=chosen.fresh) as working:
                _imports(found, asked, working)
                _commands(found, asked, working, start_up)
                _pages(found, asked, working)
    for of in programs:
        print(f"Start-up {found.start_ups[of.name]:.2f} s, subtracted from every command: {of.name}")
    print("\n".join([*lines(found.finished(), sizes, asked.limit), *found.faults]))


def _start_up(found: Found, programs: Sequence[Program], scratch: Path) -> Callable[[], None]:
    """Make each program an empty library, and return what measures how long `status` takes on it."""
    enter = ("rates", "enter", "EUR", "USD", "1.1", "--on", RATE_DAY.isoformat())
    libraries = {of.name: scratch / f"empty-{nth}" for nth, of in enumerate(programs)}

    def start(of: Program, *words: str) -> Run:
        cost = run([*of.words, "--library", str(libraries[of.name]), *words], of.environ(), limit=LIMIT_S)
        if cost.status != 0:
            raise SystemExit(f"{of.name} does not run: {cost.output}")
        return cost

    def measured() -> None:
        for of in programs:
            found.add_start_up(of.name, start(of, "status").seconds)

    for of in programs:
        start(of, *enter)
    for _ in range(3):
        measured()
    return measured


@contextmanager
def _at_work(programs: Sequence[Program], size: int, scratch: Path, *, fresh: bool) -> Iterator[list[AtWork]]:
    with tempfile.TemporaryDirectory(dir=scratch) as folder:
        working = [AtWork(of, stock(of, size, fresh=fresh), Path(folder) / str(n)) for n, of in enumerate(programs)]
        for each in working:
            each.folder.mkdir()
        yield working


def _imports(found: Found, asked: Asked, working: Sequence[AtWork]) -> None:
    """Take over what the imports cost when the library was made."""
    for each in working:
        for kind, cost in each.stock.imports.items():
            if asked.wants(f"import {kind}"):
                found.add(each.program.name, f"import {kind}", Scope.WHOLE, each.stock.size, cost)


def _commands(found: Found, asked: Asked, working: Sequence[AtWork], start_up: Callable[[], None]) -> None:
    """Measure the commands, each with one program after the other, so that both meet the machine alike."""
    of_each = [[job for job in jobs(each.stock, each.folder) if job.scope is not Scope.PAGE] for each in working]
    for nth, same in enumerate(zip(*of_each, strict=True)):
        for each, job in zip(working, same, strict=True):
            name, size = each.program.name, each.stock.size
            if asked.wants(job.name) and not found.holds(name, job.name, size):
                over = found.over_before(name, job.name, size)
                cost = Run(asked.limit, 0, None, "") if over else _command(each, job, asked.limit)
                found.add(name, job.name, job.scope, size, cost)
        if nth % START_UP_EVERY == 0:
            start_up()


def _command(each: AtWork, job: Job, limit: float) -> Run:
    own = [*each.program.words, "--library", str(each.library)]

    def once() -> Run:
        each.lay_afresh()
        if job.after and not Path(job.after[-1]).exists():
            run([*own, *job.after], each.program.environ(), limit=limit)
        return run([*own, *job.words], each.program.environ(), limit=limit, typed=job.typed)

    cost = once()
    if cost.status == 0 and cost.seconds < TWICE_BELOW_S:
        return min(cost, once(), key=lambda of_two: (of_two.status != 0, of_two.seconds))
    return cost


def _pages(found: Found, asked: Asked, working: Sequence[AtWork]) -> None:
    """Measure the pages of one desk after the other; a page that runs to the limit takes its desk with it."""
    for each in working:
        name, size = each.program.name, each.stock.size
        left = [job for job in jobs(each.stock, each.folder) if job.scope is Scope.PAGE and asked.wants(job.name)]
        left = [job for job in left if not found.holds(name, job.name, size)]
        for job in [job for job in left if found.over_before(name, job.name, size)]:
            found.add(name, job.name, job.scope, size, Run(asked.limit, 0, None, ""))
            left.remove(job)
        while left:
            each.lay_afresh()
            try:
                with running(each.program, each.library) as desk:
                    left = _pages_of(found, each, desk, left, asked.limit)
            except DeskError as error:
                found.faults.append(f"{name} at {size:,}: {error}")
                break


def _pages_of(found: Found, each: AtWork, desk: Desk, left: list[Job], limit: float) -> list[Job]:
    """Ask for pages until one takes the desk to the limit; return those not asked for yet."""
    for nth, page in enumerate(left, 1):
        cost = measure(desk, page, limit=limit)
        found.add(each.program.name, page.name, page.scope, each.stock.size, cost)
        if cost.status is None:
            return left[nth:]
    return []


if __name__ == "__main__":
    main()
