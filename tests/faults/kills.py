"""Stations that are killed (SIGKILL) in the middle of a scan, and repeat what was not acknowledged, as a phone does."""

import random
import signal
import subprocess
from dataclasses import dataclass, field
from pathlib import Path
from threading import Timer

from tests.faults.libraries import Told, faults_of, lost_or_doubled, set_up
from tests.faults.recording import ROOT, environment, station_command

WITHOUT_END = 1_000_000


@dataclass
class KillReport:
    """What became of all the kills.

    Attributes:
        acknowledged: scans and pictures that the stations were told of.
        wrong: what was lost, doubled or damaged.
    """

    kills: int = 0
    acknowledged: int = 0
    wrong: list[str] = field(default_factory=list)


def rehearse(folder: Path, kills: int, *, seed: int = 1, check_every: int = 25) -> KillReport:
    """Kill a station so many times, each in its work, and check what is left."""
    copy = set_up(folder)
    chance, report, told = random.Random(seed), KillReport(), Told()
    for _ in range(kills):
        _run_and_kill(folder, copy, told, acknowledged=chance.randrange(1, 6), after_s=chance.uniform(0.0, 0.06))
        report.kills += 1
        if report.kills % check_every == 0:
            report.wrong += faults_of(folder)
    report.wrong += [*faults_of(folder), *lost_or_doubled(folder, told.scans, told.pictures)]
    report.acknowledged = len(told.scans) + len(told.pictures)
    return report


def _run_and_kill(folder: Path, copy: str, told: Told, *, acknowledged: int, after_s: float) -> None:
    """Let a station go on behind the last scan that was acknowledged; kill it so long after so many more."""
    first = max(told.scans, default=0) + 1
    command = station_command(folder, first, WITHOUT_END, 1, copy)
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT, env=environment()) as station:
        assert station.stdout is not None
        killer = Timer(after_s, station.send_signal, [signal.SIGKILL])
        for line in station.stdout:
            if not line.endswith("\n"):  # a line that was cut off was not told
                break
            told.hear(line.rstrip("\n"))
            if killer.ident is None and told.scans and told.scans[-1] >= first + acknowledged - 1:
                killer.start()
        killer.join()
