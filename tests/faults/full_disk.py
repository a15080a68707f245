"""A disk that fills up: a small one of its own (tmpfs), a station on it, and room made again afterwards."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from tests.faults.libraries import Told, faults_of, lost_or_doubled, set_up
from tests.faults.recording import ROOT, environment, station_command

ROOM_BYTES = 200_000
DISK_BYTES = 16 << 20


@dataclass
class FullDiskReport:
    """What became of the scans before, while and after the disk was full.

    Attributes:
        refused: sentences that the station was told while it was full.
        acknowledged: scans and pictures.
        wrong: what was lost, doubled, damaged, or ended a station.
    """

    rounds: int = 0
    refused: int = 0
    acknowledged: int = 0
    sentences: set[str] = field(default_factory=set)
    wrong: list[str] = field(default_factory=list)


@lru_cache(maxsize=1)
def why_not() -> str:
    """Return why no small disk can be made here, "" where one can."""
    if os.geteuid() != 0 or shutil.which("mount") is None:
        return "only root can mount a small disk"
    tried = subprocess.run(["unshare", "-m", "mount", "-t", "tmpfs", "t", "/mnt"], capture_output=True, check=False)
    return "" if tried.returncode == 0 else "mounting is not permitted here"


@contextmanager
def small_disk(at: Path) -> Iterator[Path]:
    """Mount a small disk."""
    at.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={DISK_BYTES}", "tmpfs", str(at)], check=True)
    try:
        yield at
    finally:
        subprocess.run(["umount", str(at)], check=True)


def rehearse(folder: Path, rounds: int) -> FullDiskReport:
    """Let a station work on a disk with ever less room, then make room and let it repeat what it was refused.

    Args:
        folder: an empty one.
        rounds: how often; each time there is another amount of room left.
    """
    whole, report = folder / "whole", FullDiskReport()
    copy = set_up(whole)
    with small_disk(folder / "disk") as disk:
        for nth in range(rounds):
            report.rounds += 1
            library = disk / "library"
            shutil.rmtree(library, ignore_errors=True)
            shutil.copytree(whole, library)
            ballast = disk / "ballast"
            room = shutil.disk_usage(disk).free
            ballast.write_bytes(bytes(max(0, room - ROOM_BYTES * nth // rounds - 4096 * (nth % 8))))
            told = Told()
            _work(library, copy, 1, told, report)
            report.refused += len(told.refusals)
            report.sentences.update(told.refusals)
            ballast.unlink()
            _work(library, copy, 1, told, report)
            if missing := set(range(1, 41)) - set(told.scans):
                report.wrong.append(f"not booked although there is room: {sorted(missing)}")
            report.wrong += [*faults_of(library), *lost_or_doubled(library, told.scans, told.pictures)]
            report.acknowledged += len(told.scans) + len(told.pictures)
    return report


def _work(library: Path, copy: str, first: int, told: Told, report: FullDiskReport) -> None:
    command = station_command(library, first, 40, 2, copy)
    done = subprocess.run(command, cwd=ROOT, env=environment(), capture_output=True, text=True, check=False)
    if done.returncode:
        report.wrong.append(f"the station ended with {done.returncode}: {done.stderr.strip()[-400:]}")
    for line in done.stdout.splitlines():
        told.hear(line)
