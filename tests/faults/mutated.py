"""Mutated inputs at every place where something comes in from outside: what becomes of each is an answer or a sentence.

A process of its own works through them, so that one that crashes, hangs or is killed is seen; it writes down first
what it is about to take, and the next process goes on behind it. `python -m tests.faults.mutated` KIND SEED FIRST END
FOLDER.
"""

import json
import logging
import random
import resource
import shutil
import subprocess
import sys
import traceback
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from intake.edges.decoder_faults import hush_libraries
from intake.edges.store.library import Library, open_library
from intake.edges.thumbnails import shrink
from intake.errors import IntakeError
from intake.flow.pictures.read_files import read_file
from intake.flow.unpacking.station import book_line, book_picture
from intake.reading.decoders import available
from tests.faults.libraries import command, faults_of, set_up
from tests.faults.mutations import lists, mutate, mutate_container, mutate_text, pictures
from tests.faults.recording import ROOT, environment
from tests.faults.station import number_of

KINDS = ("pictures", "lists", "archives", "lines")
SHARES = {"pictures": 0.4, "lists": 0.25, "archives": 0.1, "lines": 0.25}
BATCH = 250
"""Inputs that one process takes."""
HANGS_S = 900
"""A process that needs longer for them hangs."""
MEMORY_BYTES = 6 << 30
STATION_TAKES = 10
"""Of so many pictures one goes to the desk's library, with the reading of text where it is installed."""
MOST_KEPT = 20


@dataclass
class MutationReport:
    """What became of the inputs.

    Attributes:
        taken: inputs of each kind.
        refused: of those, how many were answered by a sentence.
        crashes: inputs at which the process ended or hung.
        unforeseen: inputs at which something else than a refusal was thrown.
        wrong: what `intake check` finds in the libraries that took them, and pictures that no record names.
    """

    taken: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    crashes: list[str] = field(default_factory=list)
    unforeseen: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def rehearse(folder: Path, inputs: int, *, seed: int = 1, keep: Path | None = None) -> MutationReport:
    """Take so many inputs in all.

    Args:
        folder: an empty one.
        inputs: how many.
        seed: of what chance decides.
        keep: where inputs go at which something happened.
    """
    report = MutationReport()
    for kind in KINDS:
        own = folder / kind
        own.mkdir()
        set_up(own / "library")
        first, end = 0, round(inputs * SHARES[kind])
        while first < end:
            first = _batch(kind, seed, first, min(end, first + BATCH), own, report)
        if keep is not None:
            shutil.copytree(own / "kept", keep / kind, dirs_exist_ok=True) if (own / "kept").exists() else None
        report.wrong += faults_of(own / "library")
        report.wrong += _strays(own / "library")
    return report


def _batch(kind: str, seed: int, first: int, end: int, folder: Path, report: MutationReport) -> int:
    """Let a process work until it ends; return the input that comes next."""
    worker = [sys.executable, "-m", "tests.faults.mutated", kind, str(seed), str(first), str(end), str(folder)]
    with subprocess.Popen(worker, cwd=ROOT, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE) as work:
        try:
            _, errors = work.communicate(timeout=HANGS_S)
            ended = f"ended with {work.returncode}"
        except subprocess.TimeoutExpired:
            work.kill()
            _, errors = work.communicate()
            ended = f"did not end in {HANGS_S} s"
    at = first
    for line in (folder / "answers").read_text(encoding="utf-8").splitlines():
        answer = json.loads(line)
        at = answer["nth"]
        report.taken[kind] += 1
        report.refused[kind] += answer["refused"]
        if answer["unforeseen"] and len(report.unforeseen) < MOST_KEPT:
            report.unforeseen.append(f"{kind} {at}: {answer['unforeseen']}")
    (folder / "answers").unlink()
    if work.returncode == 0:
        return end
    nth = int((folder / "current").read_text() or first)
    report.crashes.append(f"{kind} {nth}: {ended}: {errors.decode(errors='replace').strip()[-300:]}")
    return nth + 1


def _strays(library: Path) -> list[str]:
    """Return pictures of refused inputs that were left behind."""
    with open_library(library) as opened, opened.reading() as records:
        known = set(records.connection.exec_driver_sql("SELECT sha256 FROM picture").scalars())
    files = [path for path in (library / "pictures").rglob("*") if path.is_file()]
    return [f"left behind: {path.name}" for path in files if path.stem not in known]


class _Unforeseen(logging.Handler):
    """Keeps what the command line logs when it had no sentence for what happened."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.seen: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        if record.exc_info and record.exc_info[1] is not None:
            self.seen.append("".join(traceback.format_exception(record.exc_info[1]))[-1500:])


Taker = Callable[[int, random.Random], bool]
"""Takes the nth input and returns whether it was refused."""


def take_pictures(folder: Path, library: Library) -> Taker:
    """Read mutated pictures, show them small, and send some to the desk's library."""
    whole, decoders = pictures(), available()

    def take(nth: int, chance: random.Random) -> bool:
        suffix, data = chance.choice(whole)
        data = mutate(data, chance)
        path = folder / f"input.{suffix}"
        path.write_bytes(data)
        read = read_file(path, decoders)
        with suppress(IntakeError):
            shrink(path, 64)
        if nth % STATION_TAKES == 0:
            with suppress(IntakeError):
                book_picture(library, "1", data, decoders=decoders, request=f"p{nth}", station="s", now=_now())
        return read.result.error is not None

    return take


def take_lists(folder: Path, library: Library) -> Taker:
    """Import mutated lists of every form; every other one not only as a dry run."""
    whole = lists(folder)

    def take(nth: int, chance: random.Random) -> bool:
        suffix, data = chance.choice(whole)
        changed = mutate_container(data, chance) if suffix in ("xlsx", "ods") else mutate(data, chance)
        path = folder / f"input.{suffix}"
        path.write_bytes(changed)
        how = () if nth % 2 else ("--dry-run",)
        return command("--library", library.folder, "import", "editions", path, *how) != 0

    return take


def take_archives(folder: Path, library: Library) -> Taker:
    """Restore mutated archives."""
    archive, path, to = folder / "whole.zip", folder / "input.zip", folder / "restored"
    archive.unlink(missing_ok=True)
    assert command("--library", library.folder, "backup", archive) == 0
    whole = archive.read_bytes()

    def take(_nth: int, chance: random.Random) -> bool:
        path.write_bytes(mutate_container(whole, chance))
        refused = command("restore", path, "--to", to) != 0
        assert refused != to.exists(), "something is there although it was refused, or nothing although it was not"
        shutil.rmtree(to, ignore_errors=True)
        return refused

    return take


def take_lines(_folder: Path, library: Library) -> Taker:
    """Book what a scanner may send."""

    def take(nth: int, chance: random.Random) -> bool:
        text = mutate_text(chance.choice((number_of(nth), "Invented book", "B1-56", "978-0-306-40615-7")), chance)
        box = "1" if nth % 10 else mutate_text("1", chance)
        try:
            book_line(library, box, text, request=f"line-{nth}", station="s", now=_now())
        except IntakeError:
            return True
        return False

    return take


TAKERS: dict[str, Callable[[Path, Library], Taker]] = {
    "pictures": take_pictures,
    "lists": take_lists,
    "archives": take_archives,
    "lines": take_lines,
}


def _now() -> datetime:
    return datetime.now(UTC)


def work(kind: str, seed: int, first: int, end: int, folder: Path) -> None:
    """Take the inputs from `first` to before `end`, and write down what became of each."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    unforeseen = _Unforeseen()
    logging.getLogger("intake").addHandler(unforeseen)
    kept = folder / "kept"
    with open_library(folder / "library") as library, (folder / "answers").open("w", encoding="utf-8") as answers:
        take = TAKERS[kind](folder, library)
        for nth in range(first, end):
            (folder / "current").write_text(str(nth))
            refused, seen = False, ""
            try:
                refused = take(nth, random.Random(f"{kind} {seed} {nth}"))
            except Exception:  # noqa: BLE001 - whatever is thrown is what is looked for
                seen = traceback.format_exc()[-1500:]
            seen = seen or "".join(unforeseen.seen)
            unforeseen.seen.clear()
            if seen:
                kept.mkdir(exist_ok=True)
                for path in folder.glob("input.*"):
                    shutil.copy(path, kept / f"{nth}{path.suffix}")
            print(json.dumps({"nth": nth, "refused": refused, "unforeseen": seen}), file=answers, flush=True)


if __name__ == "__main__":
    hush_libraries()
    chosen_seed, first_input, end_input = map(int, sys.argv[2:5])
    work(sys.argv[1], chosen_seed, first_input, end_input, Path(sys.argv[5]))
