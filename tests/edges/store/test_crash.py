"""Several processes at one library, and one of them killed at any moment: nothing acknowledged is lost."""

import random
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.ledger_entries import count_records, latest_entries, ledger_entry
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet, Edition

pytestmark = pytest.mark.folder

WRITER = """
import sys
from pathlib import Path
from intake.edges.store.library import open_library
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import Edition
with open_library(Path(sys.argv[1])) as library:
    while True:
        new = Provisional()
        books = [Edition(id=new.id(), title="Invented " * 40) for _ in range(5)]
        applied = library.apply(Action(ActionKind.IMPORT_EDITIONS, str(books[0].id)), made(*books))
        entry = applied.entry
        print(entry.seq, entry.digest, *(applied.key(book.id) for book in books), flush=True)
"""

REPEATER = """
import sys
from pathlib import Path
from intake.edges.store.library import open_library
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet
with open_library(Path(sys.argv[1])) as library:
    for nth in range(40):
        action = Action(ActionKind.IMPORT_EDITIONS, str(nth), sys.argv[2], request=f"scan-{nth}")
        library.apply(action, made(BookSet(id=Provisional().id(), title=sys.argv[2])))
"""


def start(script: str, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", script, *arguments], stdout=subprocess.PIPE, text=True)


@pytest.mark.slow
def test_nothing_acknowledged_is_lost_when_the_writer_is_killed(library: Library) -> None:
    chance = random.Random(20260501)
    acknowledged: list[list[str]] = []
    for _ in range(8):
        writer = start(WRITER, str(library.folder))
        assert writer.stdout is not None
        acknowledged.append(writer.stdout.readline().split())  # it is at work
        time.sleep(chance.uniform(0, 0.15))
        writer.kill()
        rest = writer.stdout.read().splitlines()
        writer.wait()
        writer.stdout.close()
        # The last line may be cut off in the middle; what was not told whole was not acknowledged.
        acknowledged += [line.split() for line in rest if len(line.split()) == 7]
    assert len(acknowledged) > 8
    with open_library(library.folder) as opened, opened.reading() as records:
        assert verify_chain(records) is None
        for seq, digest, *ids in acknowledged:
            entry = ledger_entry(records, int(seq))
            assert entry is not None
            assert entry.digest == digest
            assert all(records.get(Edition, int(id)) is not None for id in ids)  # noqa: A001 - the field is called so
        assert count_records(records).editions == 5 * count_records(records).entries, (
            "an entry is there whole or not at all"
        )


@pytest.mark.slow
def test_stations_that_send_the_same_requests_make_one_entry_each(library: Library) -> None:
    stations = [start(REPEATER, str(library.folder), name) for name in ("desk", "phone")]
    for station in stations:
        assert station.wait(timeout=60) == 0
        assert station.stdout is not None
        station.stdout.close()
    with library.reading() as records:
        entries = latest_entries(records, limit=200)
        assert sorted(entry.action.request or "" for entry in entries) == sorted(f"scan-{nth}" for nth in range(40))
        assert len(records.all(BookSet)) == 40
        assert verify_chain(records) is None


def test_threads_share_a_library(library: Library) -> None:
    def make(nth: int) -> int:
        new = made(BookSet(id=Provisional().id(), title="x"))
        return library.apply(Action(ActionKind.IMPORT_EDITIONS, str(nth)), new).entry.seq

    with ThreadPoolExecutor(8) as pool:
        assert sorted(pool.map(make, range(40))) == list(range(1, 41))
    with library.reading() as records:
        assert verify_chain(records) is None
