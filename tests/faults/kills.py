"""Stations that are killed (SIGKILL) in the middle of a scan, and repeat what was not acknowledged, as a phone does."""

import os
import random
import signal
from dataclasses import dataclass, field
from pathlib import Path
from threading import Timer

from tests.faults.libraries import Told, faults_of, lost_or_doubled, set_up
from tests.faults.nursery import Nursery

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
    with Nursery(folder.with_name("errors")) as nursery:
        for _ in range(kills):
            _run_and_kill(nursery, folder, copy, told, chance)
            report.kills += 1
            if nursery.status != -signal.SIGKILL:
                report.wrong.append(f"a station ended with {nursery.status}: {nursery.errors.read_text()[-500:]}")
            if report.kills % check_every == 0:
                report.wrong += faults_of(folder)
    report.wrong += [*faults_of(folder), *lost_or_doubled(folder, told.scans, told.pictures)]
    report.acknowledged = len(told.scans) + len(told.pictures)
    return report


def _run_and_kill(nursery: Nursery, folder: Path, copy: str, told: Told, chance: random.Random) -> None:
    """Let a station go on behind the last scan that was acknowledged; kill it a moment after a few more."""
    first, acknowledged, after_s = max(told.scans, default=0) + 1, chance.randrange(1, 6), chance.uniform(0.0, 0.06)
    station = nursery.begin(folder, first, WITHOUT_END, 1, copy)
    killer = Timer(after_s, os.kill, [station, signal.SIGKILL])
    for line in nursery.lines():
        told.hear(line)
        if killer.ident is None and told.scans and told.scans[-1] >= first + acknowledged - 1:
            killer.start()
    killer.join()
