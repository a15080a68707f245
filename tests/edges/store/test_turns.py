"""Writers take turns: in the order of coming, for a limited time, and with word of who writes.

Outside: SQLite's own lock (`BEGIN IMMEDIATE` by its module), which a writer of ours must still wait for.
"""

import sqlite3
import subprocess
import sys
import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest

from intake.edges.store.engines.turns import NEXT_FILE, TURN_FILE, FairLock, WriterNote
from intake.edges.store.library import Library, open_library
from intake.edges.store.migrate import DATABASE
from intake.errors import LibraryBusyError
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet

pytestmark = pytest.mark.folder

WRITER = """
import sys, time
from pathlib import Path
from intake.edges.store.library import open_library
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet

with open_library(Path(sys.argv[1])) as library:
    print("ready", flush=True)
    sys.stdin.readline()
    end = time.monotonic() + float(sys.argv[3])
    count = 0
    while time.monotonic() < end:
        new = made(BookSet(id=Provisional().id(), title="x"))
        library.apply(Action(ActionKind.IMPORT_EDITIONS, "", sys.argv[2]), new)
        count += 1
    print(count, flush=True)
"""


def one_more(library: Library, station: str) -> None:
    new = made(BookSet(id=Provisional().id(), title="Invented"))
    library.apply(Action(ActionKind.IMPORT_EDITIONS, "", station), new)


def test_threads_get_the_lock_in_the_order_in_which_they_asked() -> None:
    lock, order = FairLock(), list[int]()
    end = time.monotonic() + 30
    assert lock.acquire(end, lambda: None)

    def take(nth: int) -> None:
        assert lock.acquire(end, lambda: None)
        order.append(nth)
        lock.release()

    threads = [threading.Thread(target=take, args=(nth,)) for nth in range(20)]
    for nth, thread in enumerate(threads, 1):
        thread.start()
        while len(lock._waiting) < nth:
            time.sleep(0.001)
    lock.release()
    for thread in threads:
        thread.join()
    assert order == list(range(20))


def test_a_thread_that_waited_in_vain_leaves_the_row() -> None:
    lock = FairLock()
    assert lock.acquire(time.monotonic(), lambda: None)
    words: list[str] = []
    assert not lock.acquire(time.monotonic(), lambda: words.append("waits"))
    assert words == ["waits"]
    lock.release()
    assert lock.acquire(time.monotonic(), lambda: None), "nobody waits any more"


def test_threads_of_one_library_write_equally_often(library: Library) -> None:
    """With SQLite's own waiting, one of eight made 11,699 commits and three made 1."""
    counts: Counter[int] = Counter()
    enough = threading.Event()

    def write(nth: int) -> None:
        while not enough.is_set():
            one_more(library, f"station {nth}")
            counts[nth] += 1
            if counts[nth] == 25:
                enough.set()

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(write, range(8)))
    assert min(counts[nth] for nth in range(8)) >= 20, "when one has written 25 times, the others nearly as often"


def test_the_turn_names_its_writer(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    assert library.writer() is None
    monkeypatch.setattr("intake.edges.store.engines.turns.PATIENCE_S", 0.05)
    words: list[WriterNote | None] = []
    with open_library(library.folder) as second, library.writing("the laptop"):
        note = second.writer()
        assert note is not None
        assert note.station == "the laptop"
        second.on_wait = words.append
        monkeypatch.setattr("intake.edges.store.engines.turns.WORD_AFTER_S", 0.0)
        with pytest.raises(LibraryBusyError, match="is being written by station the laptop"):
            one_more(second, "phone")
    assert words == [note]
    assert library.writer() is None
    one_more(library, "phone")


def test_a_program_that_takes_no_turns_is_waited_for(library: Library) -> None:
    other = sqlite3.connect(library.folder / DATABASE, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    words: list[WriterNote | None] = []
    library.on_wait = words.append
    timer = threading.Timer(0.3, other.rollback)
    timer.start()
    one_more(library, "phone")
    timer.join()
    other.close()
    assert words == [], "it was not long"


def test_a_program_that_takes_no_turns_is_told_and_nobody_who_waits_is_named(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("intake.edges.store.engines.sqlite.WORD_AFTER_MS", 20)
    monkeypatch.setattr("intake.edges.store.engines.turns.WORD_AFTER_S", 0.02)
    other = sqlite3.connect(library.folder / DATABASE, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    told, words = threading.Barrier(3, timeout=20), list[WriterNote | None]()

    def tell(note: WriterNote | None) -> None:
        words.append(note)
        told.wait()

    with open_library(library.folder) as second, ThreadPoolExecutor(2) as pool:
        library.on_wait = second.on_wait = tell
        steps = [pool.submit(one_more, each, f"waits {nth}") for nth, each in enumerate((library, second))]
        told.wait()
        assert library.waits_for_program() != second.waits_for_program(), "one has the turn, the other waits for it"
        other.rollback()
        for step in steps:
            step.result()
    other.close()
    assert words == [None, None]
    assert not library.waits_for_program()


def test_a_step_that_was_refused_is_not_named_as_the_writer(library: Library) -> None:
    def fail() -> None:
        with library.writing("phone"):
            note = library.writer()
            assert note is not None
            assert note.station == "phone"
            raise ValueError("refused")

    with pytest.raises(ValueError, match="refused"):
        fail()
    assert library.writer() is None


def test_without_locks_of_files_sqlites_own_is_left(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("intake.edges.store.engines.turns.CAN_LOCK_FILES", False)
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda nth: one_more(library, str(nth)), range(12)))
    with library.reading() as records:
        assert len(records.all(BookSet)) == 12
    assert not (library.folder / TURN_FILE).exists()


def test_a_closed_library_leaves_no_file_of_its_turns(library: Library) -> None:
    one_more(library, "laptop")
    with open_library(library.folder) as second:
        one_more(second, "phone")
        library.close()
        one_more(second, "phone")
    assert not [name for name in (TURN_FILE, NEXT_FILE) if (library.folder / name).exists()]


@pytest.mark.slow
def test_processes_write_about_equally_often(library: Library) -> None:
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(library.folder), f"station {nth}", "4"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for nth in range(4)
    ]
    for writer in writers:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("\n")
        writer.stdin.flush()
    outputs = [int(writer.communicate()[0]) for writer in writers]
    print("commits of four processes in 4 s:", outputs)
    assert min(outputs) * 4 >= max(outputs), "no writer has the library to itself"
    assert sum(outputs) > 0
