"""Plant small faults in the program, one at a time, and count how many the tests notice.

    python -m tests.benchmarks.mutation [--count 100] [--seed N] [--only MODULE ...]

Mutants are drawn at random from the words, the pure steps and the flows: first a module, each as likely as any other,
then a mutant in it (`tests.benchmarks.mutants` says what is changed). `--only packing valuing/rates` draws from these
modules alone. For each mutant the tests that mirror its module run first, then others that reach it by imports, those
of the same folder before the rest and the nearest first, for `--budget` seconds of processor time. Everything happens
in copies of the tree in a temporary folder. A test that fails is run again without the mutant, and counts if it passes.

    caught     a test failed, or the module could no longer be imported
    time       the module's own tests came to no end and were stopped: counted as caught, and apart
    survived   all these tests passed, as far as there was time for them
    untested   no test reaches the module

What survives is not always a fault of the tests: some mutants are equivalent (`<` for `<=` where equality makes no
difference), and tests beyond the budget, or slow ones, might notice. No survivor is excused here; a person looks at the
list. The share is of all mutants drawn.
"""

import argparse
import ast
import contextlib
import functools
import itertools
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import Queue

from tests.benchmarks.mutants import Mutant, mutants

ROOT = Path(__file__).parent.parent.parent
SCOPE = ("units", "model", "identifiers", "reading", "matching", "packing", "weighing", "carriage", "shelving",
         "valuing", "documents", "flow")  # fmt: skip
OUTSIDE = (".git", ".venv", "__pycache__", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis")
TOO_SLOW = ("tests/desk/test_browser.py", "tests/desk/test_accessible.py", "tests/benchmarks/")
"""Tests that start a browser or only measure time."""
NEAREST = 10
"""Files with tests that are run for one mutant, at most."""
OWN_S = 120
"""Seconds of processor time for the tests of one module of its own."""
WAITING = 20
"""How much longer than its processor time a run may take by the clock, on a machine that does other things too."""
MEMORY = 6 << 30
STOPPED = (-signal.SIGXCPU, -signal.SIGKILL) if os.name == "posix" else ()


@dataclass(frozen=True, slots=True)
class Planted:
    """A mutant in its module, named by its path from the root."""

    path: str
    mutant: Mutant


@dataclass(frozen=True, slots=True)
class Ran:
    """A run of pytest: its status, None where it was stopped for its time, and the first test that failed."""

    status: int | None
    failed: str


def drawn(count: int, seed: int, only: Sequence[str]) -> list[Planted]:
    """Draw a module, then a mutant in it, again and again; each mutant at most once."""
    draw = random.Random(seed)
    left = {path: mutants((ROOT / path).read_bytes()) for path in modules(only)}
    found: list[Planted] = []
    while len(found) < count and any(left.values()):
        path = draw.choice([path for path in left if left[path]])
        found.append(Planted(path, left[path].pop(draw.randrange(len(left[path])))))
    return found


def modules(only: Sequence[str]) -> list[str]:
    """Return the modules to draw from."""
    paths = sorted(
        path.relative_to(ROOT).as_posix() for name in SCOPE for path in (ROOT / "intake" / name).rglob("*.py")
    )
    wanted = [f"intake/{name.removeprefix('intake/').removesuffix('.py')}" for name in only]
    return [
        path
        for path in paths
        if not wanted or any(f"{path.removesuffix('.py')}/".startswith(f"{one}/") for one in wanted)
    ]


def imported(path: Path) -> Iterator[str]:
    """Yield the files of this project that a file imports, also inside functions."""
    for node in ast.walk(ast.parse(path.read_bytes())):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        for name in names:
            file = name.replace(".", "/") + ".py"
            if name.startswith(("intake.", "tests.")) and (ROOT / file).exists():
                yield file


@functools.cache
def importers() -> dict[str, set[str]]:
    """Return, for each file, the files that import it; a test imports the conftest of its folder."""
    found: dict[str, set[str]] = {}
    for path in [*(ROOT / "intake").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]:
        name = path.relative_to(ROOT).as_posix()
        for file in imported(path):
            found.setdefault(file, set()).add(name)
        if path.name == "conftest.py":
            tests = {test.relative_to(ROOT).as_posix() for test in path.parent.rglob("test_*.py")}
            found.setdefault(name, set()).update(tests)
    return found


def own_tests(path: str) -> list[str]:
    """Return the files with the tests of one module: itself where it has doctests, and its mirror."""
    mirror = f"tests/{Path(path).relative_to('intake').parent.as_posix()}/test_{Path(path).name}"
    order = [path] if ">>>" in (ROOT / path).read_text(encoding="utf-8") else []
    return order + ([mirror] if (ROOT / mirror).exists() else [])


@functools.cache
def tests_of(path: str) -> list[str]:
    """Return files with tests that reach a module: its own, those of its folder, the others; each by imports away."""
    reached: list[str] = []
    seen, ring = {path}, {path}
    while ring:
        ring = {user for file in ring for user in importers().get(file, ())} - seen
        seen |= ring
        tests = {file for file in ring if Path(file).name.startswith("test_") and not file.startswith(TOO_SLOW)}
        reached += sorted(tests)
    folder = f"tests/{Path(path).relative_to('intake').parent.as_posix()}/"
    reached.sort(key=lambda file: not file.startswith(folder))
    return list(dict.fromkeys([*own_tests(path), *reached]))[:NEAREST]


class Runner:
    """Runs pytest in copies of the tree, one copy for each worker."""

    def __init__(self, folder: Path, jobs: int) -> None:
        self._trees: Queue[Path] = Queue()
        for nth in range(jobs):
            tree = folder / str(nth)
            shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(*OUTSIDE))
            self._trees.put(tree)
        self._passing: dict[str, bool] = {}
        self._stamps = itertools.count(1)

    @property
    def failing(self) -> list[str]:
        """Return the tests that fail without a mutant as well; the files they are in were not used."""
        return sorted(test for test, passes in self._passing.items() if not passes)

    def outcome(self, planted: Planted, budget_s: int) -> str:
        """Run the tests that reach a mutant and say what became of it."""
        own = own_tests(planted.path)
        others = [file for file in tests_of(planted.path) if file not in own]
        if not own and not others:
            return "untested"
        with self._tree() as tree:
            if own and (became := self._became(tree, planted, own, OWN_S)) != "survived":
                return became
            # Here the limit is what is spent on it: that it is reached says nothing of the mutant.
            became = self._became(tree, planted, others, budget_s) if others else "survived"
            return "survived" if became == "time" else became

    def _became(self, tree: Path, planted: Planted, files: Sequence[str], seconds: int) -> str:
        """Run tests with a mutant; one that fails counts only where it passes without."""
        target = tree / planted.path
        source = target.read_bytes()
        left = list(files)
        while left:
            self._write(target, planted.mutant.applied(source))
            try:
                ran = _pytest(tree, left, seconds)
            finally:
                self._write(target, source)
            if ran.status == 0:
                return "survived"
            if ran.status is None:
                return "time"
            if not ran.failed or self._passes(tree, ran.failed):
                return "caught"
            left = [file for file in left if not ran.failed.startswith(file)]
        return "survived"

    def _write(self, target: Path, source: bytes) -> None:
        """Write a module with a time of its own, for Python knows by time and size whether to compile it again."""
        target.write_bytes(source)
        stamp = next(self._stamps)
        os.utime(target, (stamp, stamp))

    def _passes(self, tree: Path, test: str) -> bool:
        if test not in self._passing:
            self._passing[test] = _pytest(tree, [test], OWN_S).status == 0
        return self._passing[test]

    @contextlib.contextmanager
    def _tree(self) -> Iterator[Path]:
        tree = self._trees.get()
        try:
            yield tree
        finally:
            self._trees.put(tree)


def _pytest(tree: Path, tests: Sequence[str], seconds: int) -> Ran:
    """Run pytest in a tree until a test fails, for so many seconds of processor time at most."""
    shutil.rmtree(tree / ".hypothesis", ignore_errors=True)
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "--hypothesis-seed=0", *tests]
    settings = {"PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "", "OPENBLAS_NUM_THREADS": "1"}
    # A mutant may loop for ever: the process and what it starts form a group of their own that can be ended as one.
    with subprocess.Popen(
        command, cwd=tree, env=os.environ | settings, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        start_new_session=True,
        preexec_fn=functools.partial(_bound, seconds) if os.name == "posix" else None,  # noqa: PLW1509 # sets limits only
    ) as process:  # fmt: skip
        try:
            said, _ = process.communicate(timeout=WAITING * seconds)
        except subprocess.TimeoutExpired:
            _end(process)
            return Ran(None, "")
    if process.returncode in STOPPED:
        return Ran(None, "")
    failed = re.findall(r"^(?:FAILED|ERROR) (\S.*?)(?: - .*)?$", said, re.MULTILINE)
    return Ran(process.returncode, failed[0] if failed else "")


def _bound(seconds: int) -> None:
    """Bound the processor time, and the memory of a mutant that grows without end."""
    import resource  # noqa: PLC0415 # POSIX only

    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 5))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


def _end(process: subprocess.Popen[str]) -> None:
    if os.name == "posix":
        os.killpg(process.pid, signal.SIGKILL)
    else:
        process.kill()
    process.wait()


def main() -> None:
    """Draw, plant, run, and print what became of each mutant."""
    parser = argparse.ArgumentParser(description="Plant faults in the program and count how many the tests notice.")
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    parser.add_argument("--only", nargs="+", default=[], metavar="MODULE", help="packing, valuing/rates, ...")
    parser.add_argument("--budget", type=int, default=60, help="seconds of other tests for each mutant")
    parser.add_argument("--jobs", type=int, choices=(1, 2), default=2)
    options = parser.parse_args()
    sample = drawn(options.count, options.seed, options.only)
    if not sample:
        parser.error(f"no module is named {' '.join(options.only)}")
    print(f"{len(sample)} mutants, seed {options.seed}", flush=True)
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(options.jobs) as workers:
        runner = Runner(Path(folder), options.jobs)
        outcomes = workers.map(lambda one: runner.outcome(one, options.budget), sample)
        for nth, (planted, outcome) in enumerate(zip(sample, outcomes, strict=True), 1):
            counts[outcome] += 1
            print(f"{nth:4d} {outcome:9s} {planted.path}:{planted.mutant.line}")
            print(planted.mutant.difference((ROOT / planted.path).read_bytes()), flush=True)
        for test in runner.failing:
            print(f"fails without a mutant, so it counted for nothing: {test}")
    caught = counts["caught"] + counts["time"]
    print(
        f"caught {caught} of {len(sample)} ({caught / len(sample):.0%}); "
        + ", ".join(f"{counts[key]} {key}" for key in counts)
    )


if __name__ == "__main__":
    main()
