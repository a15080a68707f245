"""A disk that reports errors: at the n-th call that writes, for every n, once or from then on (strace's injection).

A station goes on and repeats what was refused. Whatever happens, each refusal is one sentence, nothing that was
acknowledged is lost or doubled, and once the disk works again the library is whole.
"""

import os
import shutil
import signal
import subprocess
from dataclasses import dataclass, field
from pathlib import Path
from threading import Timer

from intake.errors import IntakeError
from tests.faults.libraries import Told, faults_of, lost_or_doubled, set_up
from tests.faults.nursery import Nursery

CALLS = "pwrite64,fdatasync,fsync,ftruncate,write,unlink,rename,mkdir"
ERRORS = ("EIO", "ENOSPC")
SCANS = 6
SESSIONS = 2
SECONDS = 120


@dataclass
class ErrorReport:
    """What became of all the runs.

    Attributes:
        calls: that one run without errors makes.
        runs: with an error each.
        refused: sentences that the stations were told.
        acknowledged: scans that they were told of.
        wrong: what was lost, doubled, damaged, or ended a station.
    """

    calls: int = 0
    runs: int = 0
    refused: int = 0
    acknowledged: int = 0
    wrong: list[str] = field(default_factory=list)


def rehearse(folder: Path, step: int = 1) -> ErrorReport:
    """Run a station again and again, each time with an error elsewhere.

    Args:
        folder: an empty one.
        step: at every how manieth call there is an error.
    """
    whole, report = folder / "whole", ErrorReport()
    copy = set_up(whole)
    with Nursery(folder / "errors") as nursery:
        report.calls = _count(nursery, folder, copy)
        for nth in range(1, report.calls + 1, step):
            for error in ERRORS:
                for when in (f"{nth}", f"{nth}+"):
                    report.runs += 1
                    inject = f"{CALLS}:error={error}:when={when}"
                    report.wrong += [f"{inject}: {each}" for each in _run(nursery, folder, copy, inject, report)]
    return report


def _count(nursery: Nursery, folder: Path, copy: str) -> int:
    """Return how many such calls a station makes; one that runs without errors must be told of everything."""
    log = folder / "calls"
    told = _traced(nursery, _copied(folder), copy, ["-o", str(log)])
    assert told.scans == list(range(1, SCANS + 1)), told
    return sum(f"{name}(" in line for line in log.read_text(errors="replace").splitlines() for name in CALLS.split(","))


def _run(nursery: Nursery, folder: Path, copy: str, inject: str, report: ErrorReport) -> list[str]:
    work = _copied(folder)
    told = _traced(nursery, work, copy, ["-e", f"inject={inject}", "-o", "/dev/null"])
    report.refused += len(told.refusals)
    report.acknowledged += len(told.scans)
    wrong = []
    if nursery.status:
        wrong.append(f"the station ended with {nursery.status}: {nursery.errors.read_text().strip()[-400:]}")
    try:
        return [*wrong, *faults_of(work), *lost_or_doubled(work, told.scans, told.pictures)]
    except IntakeError as error:
        return [*wrong, f"cannot be opened afterwards: {error}"]


def _traced(nursery: Nursery, work: Path, copy: str, options: list[str]) -> Told:
    """Let a station work under strace; one that hangs is killed."""
    told = Told()
    station = nursery.begin(work, 1, SCANS, SESSIONS, copy, waits=True)
    watch = Timer(SECONDS, os.kill, [station, signal.SIGKILL])
    watch.start()
    tracing = ["strace", "-f", "-p", str(station), "-e", f"trace={CALLS}", *options]
    with subprocess.Popen(tracing, stderr=subprocess.DEVNULL):
        for line in nursery.lines():
            told.hear(line)
    watch.cancel()
    return told


def _copied(folder: Path) -> Path:
    work = folder / "work"
    shutil.rmtree(work, ignore_errors=True)
    shutil.copytree(folder / "whole", work)
    return work
