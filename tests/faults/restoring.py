"""An archive written while a station goes on, restored, and compared with the library by SQLite's own dump."""

import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from tests.faults.libraries import DATABASE, Told, command, faults_of, lost_or_doubled, set_up
from tests.faults.recording import ROOT, environment, station_command

SCANS = 40


@dataclass
class RestoreReport:
    """What became of the archives.

    Attributes:
        archives: written beside a station at work, and restored.
        wrong: what was lost or differs.
    """

    archives: int = 0
    wrong: list[str] = field(default_factory=list)


def rehearse(folder: Path, archives: int) -> RestoreReport:
    """Write archives while a station works; restore each. The last one, written when it has ended, must be the same."""
    library, report, told = folder / "library", RestoreReport(), Told()
    copy = set_up(library)
    for nth in range(archives):
        started = station_command(library, 1 + nth * SCANS, SCANS, 2, copy)
        with subprocess.Popen(started, cwd=ROOT, env=environment(), stdout=subprocess.PIPE, text=True) as station:
            assert station.stdout is not None
            before = Told()
            for line in station.stdout:
                told.hear(line.rstrip("\n"))
                before.hear(line.rstrip("\n"))
                if len(before.scans) == SCANS // 2 and not (folder / f"{nth}.zip").exists():
                    report.wrong += _restored(library, folder, f"{nth}", before)
                    report.archives += 1
    report.wrong += _restored(library, folder, "last", told)
    report.archives += 1
    if sorted(_dump(library)) != sorted(_dump(folder / "last")):
        report.wrong.append("the restored library is another")
    return report


def _restored(library: Path, folder: Path, name: str, told: Told) -> Iterator[str]:
    """Write an archive and restore it; yield what was acknowledged before and is not in it."""
    archive, to = folder / f"{name}.zip", folder / name
    if command("--library", library, "backup", archive) != 0:
        yield f"{name}: no archive was written"
        return
    if command("restore", archive, "--to", to) != 0:
        yield f"{name}: the archive cannot be restored"
        return
    yield from (f"{name}: {each}" for each in (*faults_of(to), *lost_or_doubled(to, told.scans, told.pictures)))


def _dump(library: Path) -> Iterator[str]:
    """Yield the database as SQL text (Python's iterdump), but for the index of words, which is made anew."""
    with closing(sqlite3.connect(library / DATABASE)) as connection:
        yield from (line for line in connection.iterdump() if "edition_words" not in line)
