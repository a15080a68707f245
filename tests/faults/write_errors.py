"""A disk that reports errors: at the n-th call that writes, for every n, once or from then on (strace's injection).

A station goes on and repeats what was refused. Whatever happens, each refusal is one sentence, nothing that was
acknowledged is lost or doubled, and once the disk works again the library is whole.
"""

import shutil
import subprocess
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from intake.errors import IntakeError
from tests.faults.libraries import Told, faults_of, lost_or_doubled, set_up
from tests.faults.recording import ROOT, environment, station_command

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
    report.calls = _count(folder, whole, copy)
    for nth in range(1, report.calls + 1, step):
        for error in ERRORS:
            for lasting in (False, True):
                report.runs += 1
                inject = f"{CALLS}:error={error}:when={nth}{'+' if lasting else ''}"
                wrong = _run(folder, whole, copy, inject, report)
                report.wrong += [f"{inject}: {each}" for each in wrong]
    return report


def _count(folder: Path, whole: Path, copy: str) -> int:
    """Return how many such calls a station makes; one that runs without errors must be told of everything."""
    work = _copied(folder, whole)
    log = folder / "calls"
    command = ["strace", "-f", "-e", f"trace={CALLS}", "-o", str(log), *_station(work, copy)]
    done = subprocess.run(command, cwd=ROOT, env=environment(), capture_output=True, text=True, check=True)
    told = _heard(done.stdout.splitlines())
    assert told.scans == list(range(1, SCANS + 1)), done.stdout
    return sum(f"{name}(" in line for line in log.read_text(errors="replace").splitlines() for name in CALLS.split(","))


def _run(folder: Path, whole: Path, copy: str, inject: str, report: ErrorReport) -> list[str]:
    work = _copied(folder, whole)
    command = [
        "strace",
        "-f",
        "-e",
        f"trace={CALLS}",
        "-e",
        f"inject={inject}",
        "-o",
        "/dev/null",
        *_station(work, copy),
    ]
    try:
        done = subprocess.run(
            command, cwd=ROOT, env=environment(), capture_output=True, text=True, check=False, timeout=SECONDS
        )
    except subprocess.TimeoutExpired:
        return ["the station hangs"]
    told = _heard(done.stdout.splitlines())
    report.refused += len(told.refusals)
    report.acknowledged += len(told.scans)
    wrong = [] if done.returncode == 0 else [f"the station ended with {done.returncode}: {done.stderr.strip()[-400:]}"]
    try:
        return [*wrong, *faults_of(work), *lost_or_doubled(work, told.scans, told.pictures)]
    except IntakeError as error:
        return [*wrong, f"cannot be opened afterwards: {error}"]


def _copied(folder: Path, whole: Path) -> Path:
    work = folder / "work"
    shutil.rmtree(work, ignore_errors=True)
    shutil.copytree(whole, work)
    return work


def _station(work: Path, copy: str) -> list[str]:
    return station_command(work, 1, SCANS, SESSIONS, copy)


def _heard(lines: Iterable[str]) -> Told:
    told = Told()
    for line in lines:
        told.hear(line)
    return told
