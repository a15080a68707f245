"""Power cuts at every moment of a station's work: what is left of the library, checked in full.

A station is recorded (`recording`), and after each call that altered the disk the power is cut in up to four ways
(`disk`). Each state is recovered by SQLite and brought into one file; states that are then the same, byte for byte,
are checked once: the whole of `intake check`, and everything that was acknowledged until then. Of all states some are
opened by the program itself first, with the log as it was left.
"""

import hashlib
import random
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import text

from intake.edges.store.library import open_library
from intake.errors import IntakeError
from tests.faults.disk import Disk, Image
from tests.faults.libraries import DATABASE, Told, faults_of, lost_or_doubled, set_up
from tests.faults.recording import record, station_command

OPENED_BY_PROGRAM = 0.03
MOST_KEPT = 20


@dataclass
class CutReport:
    """What became of all the states.

    Attributes:
        states: how many were checked.
        different: how many differed after recovery.
        opened: how many the program itself opened as they were left.
        acknowledged: scans and pictures that the station was told of.
        wrong: what was lost, doubled or damaged, the first of them; `wrong_states` counts all.
    """

    calls: int = 0
    states: int = 0
    different: int = 0
    opened: int = 0
    acknowledged: int = 0
    wrong: list[str] = field(default_factory=list)
    wrong_states: int = 0

    def count_wrong(self, what: str) -> None:
        """Count a state with something wrong; the first of them are kept."""
        self.wrong_states += 1
        if len(self.wrong) < MOST_KEPT:
            self.wrong.append(what)


@dataclass(frozen=True, slots=True)
class _Verdict:
    """What a library that has these bytes holds."""

    faults: tuple[str, ...]
    requests: frozenset[str | None]
    files: frozenset[str]


def rehearse(folder: Path, scans: int, *, sessions: int = 3, share: float = 1.0, seed: int = 1) -> CutReport:
    """Record a station and cut its power.

    Args:
        folder: an empty one, best in memory.
        scans: how many the station books.
        sessions: in how many openings of the library.
        share: of all states, the part that is checked, drawn at random.
        seed: of what chance decides.
    """
    library, chance, report, told = folder / "library", random.Random(seed), CutReport(), Told()
    copy = set_up(library)
    disk = Disk.of(library)
    verdicts: dict[bytes, _Verdict] = {}
    for call in record(station_command(library, 1, scans, sessions, copy), folder / "calls"):
        if call.name == "writev":
            told.hear(call.data.decode().rstrip("\n"))
        if not disk.apply(call):
            continue
        report.calls += 1
        for nth, image in enumerate(disk.cuts(chance)):
            if chance.random() < share:
                wrong = _examine(folder / "state", image, told, verdicts, chance, report)
                if wrong:
                    report.count_wrong(f"call {report.calls} ({call.name} {call.path}), way {nth}: {wrong}")
    report.different, report.acknowledged = len(verdicts), len(told.scans) + len(told.pictures)
    assert not told.refusals, told.refusals
    return report


def _examine(
    state: Path, image: Image, told: Told, verdicts: dict[bytes, _Verdict], chance: random.Random, report: CutReport
) -> str:
    """Check one state; return what is wrong with it, "" for nothing."""
    report.states += 1
    _lay_out(state, image)
    try:
        if chance.random() < OPENED_BY_PROGRAM:
            report.opened += 1
            with open_library(state):
                pass
        with closing(sqlite3.connect(state / DATABASE)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    except (sqlite3.Error, IntakeError) as error:
        return f"cannot be opened: {error}"
    digest = _digest(state)
    if digest not in verdicts:
        verdicts[digest] = _verdict(state)
    verdict = verdicts[digest]
    asked = [f"scan-{nth}" for nth in told.scans] + [f"picture-{nth}" for nth in told.pictures]
    lost = [request for request in asked if request not in verdict.requests]
    lost += [f"file {sha256[:8]}" for sha256 in told.pictures.values() if sha256 not in verdict.files]
    return "; ".join([*verdict.faults, *(f"{request} is lost" for request in lost)])


def _lay_out(state: Path, image: Image) -> None:
    shutil.rmtree(state, ignore_errors=True)
    state.mkdir(mode=0o700)
    for name, content in sorted(image.items()):
        if name.endswith("/"):
            (state / name).mkdir(mode=0o700)
        else:
            (state / name).write_bytes(content)
            (state / name).chmod(0o600)


def _files(state: Path) -> dict[str, str]:
    return {
        path.relative_to(state).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(state.rglob("*"))
        if path.is_file()
    }


def _digest(state: Path) -> bytes:
    return hashlib.sha256(repr(_files(state)).encode()).digest()


def _verdict(state: Path) -> _Verdict:
    """Check a library in full."""
    pictures = frozenset(digest for name, digest in _files(state).items() if Path(name).stem == digest)
    try:
        faults = [*faults_of(state), *lost_or_doubled(state, (), {})]
        with open_library(state) as library, library.reading() as records:
            requests = frozenset(records.connection.scalars(text("SELECT request FROM ledger")))
    except IntakeError as error:
        return _Verdict((str(error),), frozenset(), pictures)
    return _Verdict(tuple(faults), requests, pictures)
