"""Stations that are killed (SIGKILL) in the middle of a scan, and repeat what was not acknowledged, as a phone does."""

import random
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from threading import Timer

from sqlalchemy import text

from intake.cli.main import run
from intake.edges.store.library import open_library
from intake.flow.safekeeping.check_library import check_library
from intake.model.findings import LibraryFinding

ROOT = Path(__file__).parents[2]
BOOKS = 400
STATION = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from intake.edges.store.library import open_library
from intake.flow.unpacking.station import book_line
from tests.faults.kills import number_of
folder, first = Path(sys.argv[1]), int(sys.argv[2])
with open_library(folder) as library:
    print("ready", flush=True)
    nth = first
    while True:
        book_line(library, "1", number_of(nth), request=f"scan-{nth}", station="phone", now=datetime.now(UTC))
        print(nth, flush=True)
        nth += 1
"""


@dataclass
class KillReport:
    """What became of all the kills.

    Attributes:
        acknowledged: the last scan that a station was told of.
        lost: acknowledged scans that the ledger does not have.
        doubled: scans that it has more than once.
        findings: of checks of the whole library, notes left out.
    """

    kills: int = 0
    acknowledged: int = 0
    lost: list[int] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)
    findings: list[LibraryFinding] = field(default_factory=list)


def isbn(serial: int) -> str:
    """Return an ISBN-13 of a serial (EAN-13's check digit, GS1 General Specifications 7.9.1)."""
    digits = f"9795{serial:08d}"
    total = sum(int(digit) * (3 if nth % 2 else 1) for nth, digit in enumerate(digits))
    return f"{digits}{-total % 10}"


def number_of(nth: int) -> str:
    """Return what the nth scan reads: a listed book, or one in three that is in no catalog."""
    return isbn(90_000_000 + nth) if nth % 3 == 0 else isbn(10_000_000 + nth % BOOKS)


def set_up(folder: Path) -> None:
    """Make a library with one box that has arrived."""
    numbers = [isbn(10_000_000 + nth) for nth in range(BOOKS)]
    lists = {
        "editions": "isbn,title\n" + "".join(f"{number},Invented book {number}\n" for number in numbers),
        "copies": "isbn,box\n" + "".join(f"{number},1\n" for number in numbers),
    }
    for kind, content in lists.items():
        path = folder.with_name(f"{kind}.csv")
        path.write_text(content, encoding="utf-8")
        assert run(["--library", str(folder), "import", kind, str(path)]) == 0
    assert run(["--library", str(folder), "box", "arrive", "1"]) == 0


def rehearse(folder: Path, kills: int, *, seed: int = 1, check_every: int = 25) -> KillReport:
    """Kill a station so many times, each in its work, and check what is left."""
    set_up(folder)
    chance, report = random.Random(seed), KillReport()
    for _ in range(kills):
        acknowledged, after_s = chance.randrange(1, 6), chance.uniform(0.0, 0.06)
        for nth in _run_and_kill(folder, report.acknowledged + 1, acknowledged, after_s):
            report.acknowledged = nth
        report.kills += 1
        if report.kills % check_every == 0:
            report.findings += _findings(folder)
    report.findings += _findings(folder)
    _compare(folder, report)
    return report


def _run_and_kill(folder: Path, first: int, acknowledged: int, after_s: float) -> Iterator[int]:
    """Yield the scans that a station acknowledged; it is killed so long after the first so many of them."""
    command = [sys.executable, "-c", STATION, str(folder), str(first)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as station:
        assert station.stdout is not None
        assert station.stdout.readline() == "ready\n"
        killer = Timer(after_s, station.send_signal, [signal.SIGKILL])
        for count, line in enumerate(station.stdout, 1):
            if line.endswith("\n"):  # a line that was cut off was not told
                yield int(line)
            if count == acknowledged:
                killer.start()
        killer.join()


def _findings(folder: Path) -> list[LibraryFinding]:
    with open_library(folder) as library:
        return [finding for finding in check_library(library).findings if not finding.kind.is_note]


def _compare(folder: Path, report: KillReport) -> None:

    with open_library(folder) as library, library.reading() as records:
        found = records.connection.scalars(text("SELECT request FROM ledger WHERE request LIKE 'scan-%'")).all()
        sightings = records.connection.execute(
            text("SELECT record_key, count(*) FROM ledger_change WHERE record_table IN ('sighting', 'query') "
                 "AND before IS NULL GROUP BY record_table, record_key HAVING count(*) > 1")
        ).all()  # fmt: skip
    counts = Counter(found)
    report.lost = [nth for nth in range(1, report.acknowledged + 1) if f"scan-{nth}" not in counts]
    report.doubled = [request for request, count in counts.items() if count > 1] + [str(row) for row in sightings]
