"""The disk whose power is cut keeps what POSIX promises and nothing else, and notices what SQLite says may be lost."""

import random
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from tests.faults import recording
from tests.faults.disk import Disk, Image
from tests.faults.recording import Call, record

PLACE = "/invented"


def images(*calls: Call, before: Image | None = None) -> list[Image]:
    """Return what may be on the disk after these calls, all dropped first."""
    disk = Disk(Path(PLACE))
    for nth, (name, content) in enumerate((before or {}).items(), 1):
        disk.contents[nth], disk.names[name], disk.sizes[nth] = bytearray(content), nth, len(content)
    disk.seen = dict(disk.names)
    for call in calls:
        disk.apply(call)
    return list(disk.cuts(random.Random(3)))


def made(name: str) -> Call:
    return Call("openat", f"{PLACE}/{name}", makes=True)


def wrote(name: str, data: bytes, offset: int = 0) -> Call:
    return Call("pwrite64", f"{PLACE}/{name}", data=data, offset=offset)


def synced(name: str = "") -> Call:
    return Call("fsync", f"{PLACE}/{name}".rstrip("/"))


def test_what_was_not_synced_may_be_gone_there_or_torn() -> None:
    new = b"b" * 2048
    dropped, whole, torn = images(wrote("a", new), before={"a": b"a" * 2048})
    assert dropped == {"a": b"a" * 2048}
    assert whole == {"a": new}
    assert 0 < torn["a"].count(b"b") < 2048
    assert torn["a"].count(b"b") % 512 == 0


def test_what_was_synced_stays() -> None:
    (only,) = images(wrote("a", b"new"), synced("a"), before={"a": b"old"})
    assert only == {"a": b"new"}


def test_a_name_is_safe_when_its_folder_was_synced() -> None:
    content = (made("a"), wrote("a", b"new"), synced("a"))
    assert images(*content)[0] == {}
    assert images(*content, synced())[0] == {"a": b"new"}


def test_a_file_in_a_folder_whose_own_name_is_not_safe_is_gone() -> None:
    inside = (Call("mkdir", f"{PLACE}/f"), made("f/a"), wrote("f/a", b"x"), synced("f/a"), synced("f"))
    assert images(*inside)[0] == {}
    assert images(*inside, synced())[0] == {"f/": b"", "f/a": b"x"}


def test_a_renaming_happens_as_a_whole() -> None:
    steps = (made("part"), wrote("part", b"new"), synced("part"), Call("rename", f"{PLACE}/part", to=f"{PLACE}/a"))
    assert images(*steps, before={"a": b"old"})[0] == {"a": b"old"}
    assert images(*steps, synced(), before={"a": b"old"}) == [{"a": b"new"}]


SCRIPT = """
import os, sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute(f"PRAGMA synchronous={sys.argv[2]}")
for nth in range(1, 9):
    connection.execute("INSERT INTO book VALUES (?, ?)", (nth, "x" * 3000))
    os.writev(1, [f"ACK {nth}\\n".encode()])
connection.close()
"""


@pytest.mark.slow
@pytest.mark.skipif(bool(recording.why_not()), reason=recording.why_not())
@pytest.mark.parametrize(("synchronous", "loses"), [("FULL", False), ("NORMAL", True)])
def test_what_sqlite_says_of_its_log_is_seen(tmp_path: Path, synchronous: str, *, loses: bool) -> None:
    """https://www.sqlite.org/pragma.html#pragma_synchronous: in WAL mode FULL is durable, NORMAL only consistent."""
    folder = tmp_path / "files"
    folder.mkdir()
    with closing(sqlite3.connect(folder / "db")) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("CREATE TABLE book (nth INTEGER PRIMARY KEY, text TEXT)")
        connection.commit()
    disk, acknowledged, lost, states = Disk.of(folder), 0, 0, 0
    for call in record([sys.executable, "-c", SCRIPT, str(folder / "db"), synchronous], tmp_path / "calls"):
        acknowledged += call.name == "writev"
        for image in disk.cuts(random.Random(states)) if disk.apply(call) else ():
            states += 1
            state = tmp_path / f"state-{states}"
            state.mkdir()
            for name, content in image.items():
                (state / name).write_bytes(content)
            with closing(sqlite3.connect(state / "db")) as connection:
                assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
                lost += connection.execute("SELECT count(*) FROM book").fetchone()[0] < acknowledged
    assert acknowledged == 8
    assert (lost > 0) is loses
