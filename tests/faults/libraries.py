"""What the rehearsals have in common: a library with one box on the trolley, and what must hold for it afterwards."""

import hashlib
import os
from collections import Counter
from collections.abc import Iterable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import text

from intake.cli.main import run
from intake.edges.store.library import open_library
from intake.flow.safekeeping.check_library import check_library
from intake.flow.safekeeping.finding_words import report_lines
from tests.faults.station import BOOKS, isbn

DATABASE = "library.sqlite3"
LOG = "library.sqlite3-wal"


@dataclass
class Told:
    """What a station was told: the scans and the pictures that were acknowledged, and the sentences of refusals."""

    scans: list[int] = field(default_factory=list)
    pictures: dict[int, str] = field(default_factory=dict)
    refusals: list[str] = field(default_factory=list)
    given_up: list[int] = field(default_factory=list)

    def hear(self, line: str) -> None:
        """Take in one line of a station's output."""
        what, _, rest = line.partition(" ")
        if what == "ACK":
            self.scans.append(int(rest))
        elif what == "PICTURE":
            nth, sha256 = rest.split()
            self.pictures[int(nth)] = sha256
        elif what == "REFUSED":
            self.refusals.append(rest)
        elif what == "GAVE":
            self.given_up.append(int(rest.split()[-1]))


def command(*arguments: object) -> int:
    """Run a command with nobody to read what it says; return its exit status."""
    with Path(os.devnull).open("w") as nowhere, redirect_stdout(nowhere), redirect_stderr(nowhere):
        return run([str(argument) for argument in arguments])


def set_up(folder: Path, books: int = BOOKS) -> str:
    """Make a library with one box that has arrived; return a copy that is in it."""
    numbers = [isbn(10_000_000 + nth) for nth in range(books)]
    lists = {
        "editions": "isbn,title\n" + "".join(f"{number},Invented book {number}\n" for number in numbers),
        "copies": "isbn,box\n" + "".join(f"{number},1\n" for number in numbers),
    }
    for kind, content in lists.items():
        path = folder.with_name(f"{kind}.csv")
        path.write_text(content, encoding="utf-8")
        assert command("--library", folder, "import", kind, path) == 0
    assert command("--library", folder, "box", "arrive", "1") == 0
    with open_library(folder) as library, library.reading() as records:
        return str(records.connection.scalar(text("SELECT min(accession) FROM copy")))


def faults_of(folder: Path) -> list[str]:
    """Check a library in full, as `intake check` does; return what it finds, notes left out, in the command's words."""
    with open_library(folder) as library:
        report = check_library(library)
    if all(finding.kind.is_note for finding in report.findings):
        return []
    return [str(line) for line in report_lines(report)]


def lost_or_doubled(folder: Path, scans: Iterable[int], pictures: dict[int, str]) -> list[str]:
    """Return what a station was told of and the library does not have, or has more than once."""
    with open_library(folder) as library, library.reading() as records:
        requests = Counter(records.connection.scalars(text("SELECT request FROM ledger WHERE request IS NOT NULL")))
        twice = records.connection.execute(
            text("SELECT record_table, record_key FROM ledger_change WHERE record_table IN ('sighting', 'query') "
                 "AND before IS NULL GROUP BY record_table, record_key HAVING count(*) > 1")
        ).all()  # fmt: skip
    wrong = [f"{request} is there {count} times" for request, count in requests.items() if count > 1]
    wrong += [f"made twice: {row}" for row in twice]
    wrong += [f"scan-{nth} is lost" for nth in scans if f"scan-{nth}" not in requests]
    for nth, sha256 in pictures.items():
        files = list((folder / "pictures" / sha256[:2]).glob(f"{sha256}.*"))
        if f"picture-{nth}" not in requests:
            wrong.append(f"picture-{nth} is lost")
        elif not files or hashlib.sha256(files[0].read_bytes()).hexdigest() != sha256:
            wrong.append(f"the file of picture-{nth} is lost")
    return wrong
