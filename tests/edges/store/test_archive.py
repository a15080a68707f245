"""One archive: read with zipfile and `unzip -t`, restored exactly, and refused where it is not what it says."""

import hashlib
import itertools
import json
import os
import re
import shutil
import sqlite3
import stat
import subprocess
import threading
import zipfile
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from intake.edges.store.archive import MANIFEST
from intake.edges.store.archive_restore import restore_archive, restore_without_damaged
from intake.edges.store.archive_writing import write_archive
from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.chain_check import ledger_end
from intake.edges.store.rebuild import rebuild
from intake.errors import FileError, IntakeError, StoreError
from intake.flow.safekeeping.backups import restore
from intake.flow.safekeeping.restored_words import restored_lines
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet
from intake.model.sightings import Picture
from tests.edges.store.made import LIBRARY, NOON

pytestmark = pytest.mark.folder

DATABASE = "library.sqlite3"
DATA = b"not really a picture"


@pytest.fixture
def filled(library: Library) -> Library:
    sha256 = hashlib.sha256(DATA).hexdigest()
    picture = Picture(sha256=sha256, name="ä.jpg", media_type="image/jpeg", width_px=1, height_px=1)
    library.keep_picture(DATA, picture)
    library.apply(Action(ActionKind.UNKNOWN, "all", unknown_name="test"), made(*LIBRARY, picture))
    library.apply(Action(ActionKind.IMPORT_EDITIONS, "x"), made(BookSet(id=Provisional().id(), title="Żółw")))
    return library


@pytest.fixture
def archive(filled: Library, tmp_path: Path) -> Path:
    write_archive(filled, tmp_path / "books.zip", NOON)
    return tmp_path / "books.zip"


def dump(folder: Path) -> list[str]:
    """Return the database as SQL text (Python's own iterdump), but for the index of words, which is made anew."""
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        return sorted(line for line in connection.iterdump() if "edition_words" not in line)


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_rows_pictures_and_head_come_back_identical(filled: Library, archive: Path, tmp_path: Path) -> None:
    new = tmp_path / "new" / "library"
    manifest = restore_archive(archive, new)
    assert dump(new) == dump(filled.folder)
    assert files(new / "pictures") == files(filled.folder / "pictures")
    with open_library(new) as again, again.reading() as there, filled.reading() as here:
        assert tuple(ledger_end(there)) == tuple(ledger_end(here)) == (manifest.entries, manifest.head)
    with closing(sqlite3.connect(new / DATABASE)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        found = connection.execute("SELECT rowid FROM edition_words WHERE edition_words MATCH 'ima'").fetchall()
    assert found == [(1,)], "the index of words was made anew"


def test_a_backup_of_the_restored_library_has_the_same_members(archive: Path, tmp_path: Path) -> None:
    restore_archive(archive, tmp_path / "new")
    with open_library(tmp_path / "new") as again:
        write_archive(again, tmp_path / "again.zip", NOON)
    with zipfile.ZipFile(archive) as one, zipfile.ZipFile(tmp_path / "again.zip") as two:
        assert {name: one.read(name) for name in one.namelist()} == {name: two.read(name) for name in two.namelist()}


def test_zipfile_and_unzip_find_it_whole_and_the_manifest_true(filled: Library, archive: Path) -> None:
    assert stat.S_IMODE(archive.stat().st_mode) == 0o600 or os.name != "posix"
    with zipfile.ZipFile(archive) as opened:
        assert opened.testzip() is None
        manifest = json.loads(opened.read(MANIFEST))
        for name, member in manifest["files"].items():
            data = opened.read(name)
            assert (hashlib.sha256(data).hexdigest(), len(data)) == (member["sha256"], member["size"])
        with closing(sqlite3.connect(filled.folder / DATABASE)) as connection:
            for name, table in manifest["tables"].items():
                lines = [json.loads(line) for line in opened.read(f"tables/{name}.jsonl").splitlines()]
                columns = ", ".join(f'"{column}"' for column in table["columns"])
                cursor = connection.execute(f"SELECT {columns} FROM {name}")  # noqa: S608
                assert sorted(map(repr, (tuple(line.values()) for line in lines))) == sorted(map(repr, cursor))
                assert len(lines) == table["rows"]
    if shutil.which("unzip"):
        assert subprocess.run(["unzip", "-tq", str(archive)], check=False).returncode == 0


def test_an_existing_file_is_left_as_it_was(filled: Library, tmp_path: Path) -> None:
    target = tmp_path / "books.zip"
    target.write_bytes(b"another")
    with pytest.raises(FileError, match="exists already"):
        write_archive(filled, target, NOON)
    assert target.read_bytes() == b"another"
    with pytest.raises(FileError, match="folder does not exist"):
        write_archive(filled, tmp_path / "none" / "books.zip", NOON)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["books.zip", "library"]


def test_an_archive_is_of_one_moment_while_others_write(filled: Library, tmp_path: Path) -> None:
    stop = threading.Event()

    def write_on() -> None:
        with open_library(filled.folder) as other:
            while not stop.is_set():
                other.apply(Action(ActionKind.IMPORT_EDITIONS, "x"), made(BookSet(id=Provisional().id(), title="more")))

    writer = threading.Thread(target=write_on)
    writer.start()
    try:
        for nth in range(5):
            write_archive(filled, tmp_path / f"{nth}.zip", NOON)
    finally:
        stop.set()
        writer.join()
    for nth in range(5):
        manifest = restore_archive(tmp_path / f"{nth}.zip", tmp_path / str(nth))
        with closing(sqlite3.connect(tmp_path / str(nth) / DATABASE)) as connection:
            ((entries, last),) = connection.execute("SELECT count(*), max(seq) FROM ledger").fetchall()
            ((sets,),) = connection.execute("SELECT count(*) FROM book_set").fetchall()
        assert entries == last == manifest.entries == sets, "each entry but the first made one set, and it one too"


@pytest.mark.parametrize("kind", ["file", "full folder", "library"])
def test_a_place_that_is_not_empty_is_left_alone(archive: Path, tmp_path: Path, kind: str) -> None:
    place = tmp_path / "library" if kind == "library" else tmp_path / "place"
    if kind == "file":
        place.write_bytes(b"x")
    elif kind == "full folder":
        place.mkdir()
        (place / "x").touch()
    before = files(tmp_path)
    with pytest.raises(StoreError, match="is a file" if kind == "file" else "is not empty"):
        restore_archive(archive, place)
    assert files(tmp_path) == before
    (tmp_path / "empty").mkdir()
    restore_archive(archive, tmp_path / "empty")


@dataclass
class Content:
    """The members of an archive, its manifest, and the name of its picture."""

    members: dict[str, bytes]
    manifest: dict[str, Any]
    picture: str

    def put(self, name: str, data: bytes) -> None:
        """Replace a member, and have the manifest say so."""
        self.members[name] = data
        self.manifest["files"][name] = {"sha256": hashlib.sha256(data).hexdigest(), "size": len(data)}


def alter_row(it: Content) -> None:
    it.members["tables/copy.jsonl"] = it.members["tables/copy.jsonl"].replace(b'"wrapped":1', b'"wrapped":0')


def add_table(it: Content) -> None:
    it.manifest["tables"]["tunes"] = {"columns": ["x"], "rows": 0}
    it.put("tables/tunes.jsonl", b"")


def alter_picture(it: Content) -> None:
    it.members[it.picture] = b"N" + it.members[it.picture][1:]


WRONG: dict[str, Callable[[Content], object]] = {
    "a path above in the manifest": lambda it: it.put("../above", b"x"),
    "a member lost": lambda it: it.members.pop(it.picture),
    "a picture altered": alter_picture,
    "a row altered": alter_row,
    "a row that is no JSON": lambda it: it.put("tables/copy.jsonl", b"[[[" + it.members["tables/copy.jsonl"][3:]),
    "a bomb": lambda it: it.put(it.picture, b"\0" * 50_000_000),
    "more than the disk holds": lambda it: it.manifest["files"][it.picture].update(size=1 << 60),
    "a newer revision": lambda it: it.manifest.update(revision="9998"),
    "another form": lambda it: it.manifest.update(format="an archive of something"),
    "no manifest": lambda it: it.manifest.clear(),
    "a table of another program": add_table,
}


def altered(archive: Path, target: Path, change: Callable[[Content], object]) -> Path:
    """Write an archive anew with one thing wrong."""
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        members = {name: old.read(name) for name in old.namelist()}
        manifest = json.loads(members.pop(MANIFEST))
        it = Content(members, manifest, next(name for name in members if name.startswith("pictures")))
        change(it)
        for name, data in {**it.members, MANIFEST: json.dumps(it.manifest).encode()}.items():
            new.writestr(name, data)
    return target


@pytest.mark.parametrize("change", WRONG.values(), ids=WRONG)
def test_an_archive_that_is_not_what_it_says_makes_nothing(
    archive: Path, tmp_path: Path, change: Callable[[Content], object]
) -> None:
    wrong = altered(archive, tmp_path / "wrong.zip", change)
    before = files(tmp_path)
    with pytest.raises(IntakeError):
        restore_archive(wrong, tmp_path / "new")
    assert files(tmp_path) == before
    assert not (tmp_path / "new").exists()


def test_a_place_that_cannot_be_written_says_why_and_what_to_do(filled: Library, archive: Path, tmp_path: Path) -> None:
    filled.close()
    (tmp_path / "a file").write_text("x")
    for make in (restore_archive, rebuild):
        source = archive if make is restore_archive else filled.folder
        with pytest.raises(StoreError, match=r"Not a directory.*; choose a place inside a folder"):
            make(source, tmp_path / "a file" / "new")


def test_a_cut_or_foreign_file_is_refused(archive: Path, tmp_path: Path) -> None:
    data = archive.read_bytes()
    for nth, bad in enumerate((b"", b"hello", data[: len(data) // 2], data[100:])):
        path = tmp_path / f"{nth}.zip"
        path.write_bytes(bad)
        with pytest.raises(FileError, match="cut short" if nth < 3 else None):
            restore_archive(path, tmp_path / "new")
    with pytest.raises(FileError, match="does not exist"):
        restore_archive(tmp_path / "none.zip", tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_the_member_that_is_lost_or_damaged_is_named(archive: Path, tmp_path: Path) -> None:
    """One bit of a member's own data is turned, at the place that zipfile tells."""
    lost = altered(archive, tmp_path / "lost.zip", lambda it: it.members.pop("tables/copy.jsonl"))
    with zipfile.ZipFile(archive) as opened:
        info = opened.getinfo("tables/edition.jsonl")
    data = bytearray(archive.read_bytes())
    data[info.header_offset + 30 + len(info.filename) + info.compress_size // 2] ^= 1
    (tmp_path / "turned.zip").write_bytes(data)
    named = {lost: "lacks tables/copy.jsonl,"}
    named[tmp_path / "turned.zip"] = "damaged: tables/edition.jsonl in it"
    for wrong, words in named.items():
        with pytest.raises(FileError, match=re.escape(words)):
            restore_archive(wrong, tmp_path / "new")
        assert not (tmp_path / "new").exists()


FOREIGN = ("__MACOSX/._manifest.json", "pictures/.DS_Store", "/etc/passwd-of-nobody", "../above")


@pytest.mark.parametrize("how", ["folders", "foreign", "one down", "backslashes", "unpacked", "unpacked one down"])
def test_an_archive_unpacked_and_packed_again_by_another_tool_comes_back_whole(
    archive: Path, tmp_path: Path, how: str
) -> None:
    """As Python's zipfile, or a file manager, does: members for folders, members of its own, all in one folder."""
    source, above = tmp_path / "packed.zip", "books" if "one down" in how else ""
    if "unpacked" in how:
        source = tmp_path / "unpacked"
        with zipfile.ZipFile(archive) as old:
            old.extractall(source / above)
        with pytest.raises(StoreError, match="an archive that was unpacked; make a library of it: intake restore"):
            open_library(source) if not above else open_library(source / above)
    else:
        with zipfile.ZipFile(archive) as old, zipfile.ZipFile(source, "w", zipfile.ZIP_DEFLATED) as new:
            for folder in ("pictures/", "tables/") if how == "folders" else ():
                new.writestr(folder, b"")
            for name in FOREIGN if how == "foreign" else ():
                new.writestr(name, b"x")
            for name in old.namelist():
                path = f"{above}/{name}" if above else name
                new.writestr(path.replace("/", "\\") if how == "backslashes" else path, old.read(name))
    made = restore(source, tmp_path / "new")
    restore_archive(archive, tmp_path / "whole")
    assert dump(tmp_path / "new") == dump(tmp_path / "whole")
    assert files(tmp_path / "new" / "pictures") == files(tmp_path / "whole" / "pictures")
    assert sorted(made.unnamed) == sorted(FOREIGN if how == "foreign" else ())
    rebuilt = rebuild(tmp_path / "new", tmp_path / "with", pictures_from=source, accept_loss=True)
    assert rebuilt.pictures == 1


def test_an_archive_whose_list_of_members_is_cut_off_is_read_member_by_member(archive: Path, tmp_path: Path) -> None:
    """Where the list begins, zipfile tells."""
    with zipfile.ZipFile(archive) as opened:
        begin, last = opened.start_dir, opened.getinfo(MANIFEST).header_offset
    cut = tmp_path / "cut.zip"
    for size in (archive.stat().st_size - 1, begin + 10, begin):
        cut.write_bytes(archive.read_bytes()[:size])
        made = restore(cut, tmp_path / str(size))
        assert made.is_cut
        assert any("found one after the other" in line for line in restored_lines(made))
        assert dump(tmp_path / str(size)) == dump(tmp_path / "library")
    cut.write_bytes(archive.read_bytes()[:last])
    with pytest.raises(FileError, match="with it the manifest, without which nothing in it can be proved"):
        restore(cut, tmp_path / "new")


def test_a_place_in_a_library_and_an_archive_among_pictures_are_refused(
    filled: Library, archive: Path, tmp_path: Path
) -> None:
    with pytest.raises(StoreError, match="is inside the library"):
        restore_archive(archive, filled.folder / "pictures" / "new")
    with pytest.raises(FileError, match="among the pictures of the library"):
        write_archive(filled, filled.folder / "pictures" / "x.zip", NOON)
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    with pytest.raises(StoreError, match=r"is a link to .*nowhere, which is not there"):
        restore_archive(archive, tmp_path / "link")


def test_damaged_pictures_are_left_out_and_named_where_that_is_accepted(archive: Path, tmp_path: Path) -> None:
    damaged = altered(archive, tmp_path / "damaged.zip", alter_picture)
    with pytest.raises(FileError, match=r"pictures/.* in it is not what its manifest says; .*--accept-loss"):
        restore_archive(damaged, tmp_path / "new")
    manifest, left_out = restore_without_damaged(damaged, tmp_path / "new")
    restore_archive(archive, tmp_path / "whole")
    whole, made = files(tmp_path / "whole"), files(tmp_path / "new")
    assert list(left_out) == [name for name in manifest.files if name.startswith("pictures")]
    assert whole.keys() - made.keys() == set(left_out)
    assert dump(tmp_path / "new") == dump(tmp_path / "whole")
    row = altered(archive, tmp_path / "row.zip", alter_row)
    with pytest.raises(FileError, match=r"tables/copy\.jsonl in it"):
        restore_without_damaged(row, tmp_path / "other")
    assert not (tmp_path / "other").exists()


def test_cells_that_no_program_writes_come_back_too(filled: Library, tmp_path: Path) -> None:
    filled.close()
    with closing(sqlite3.connect(filled.folder / DATABASE)) as connection:
        connection.execute("UPDATE copy SET note = X'00FF' WHERE accession = 'A1'")
        connection.execute("UPDATE copy SET note = CAST(X'C328' AS TEXT) WHERE accession = 'A2'")
        connection.execute("UPDATE edition SET height_mm = 9e999 WHERE id = 1")
        connection.execute("UPDATE box SET consignment = 'not there'")
        connection.commit()
    write_archive(filled, tmp_path / "odd.zip", NOON)
    restore_archive(tmp_path / "odd.zip", tmp_path / "new")
    cells = (
        "SELECT accession, quote(note), typeof(note) FROM copy UNION ALL SELECT id, quote(height_mm), '' FROM edition"
    )
    found = []
    for folder in (filled.folder, tmp_path / "new"):
        with closing(sqlite3.connect(folder / DATABASE)) as connection:
            connection.text_factory = bytes
            found.append(connection.execute(cells).fetchall())
    assert sorted(map(repr, found[0])) == sorted(map(repr, found[1]))


def test_an_archive_of_an_earlier_revision_is_brought_up_to_date(archive: Path, tmp_path: Path) -> None:
    """An archive without what revisions 0004 to 0008 brought: columns of words, four tables, more columns."""
    later_columns = {
        "tables/edition.jsonl": ("words", "collects", "price", "currency", "why"),
        "tables/book_set.jsonl": ("words",),
        "tables/copy.jsonl": ("kept", "why"),
        "tables/consignment.jsonl": ("policy", "contract", "bill_of_lading"),
    }
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(tmp_path / "old.zip", "w", zipfile.ZIP_DEFLATED) as new:
        manifest = json.loads(old.read(MANIFEST))
        manifest["revision"] = "0003"
        tables = ("withdrawal", "serial", "earliermerge", "earlierlisting")
        later = [f"tables/{table}.jsonl" for table in tables]
        for table, name in zip(tables, later, strict=True):
            del manifest["tables"][table], manifest["files"][name]
        for name in old.namelist():
            if name in later:
                continue
            data = old.read(name)
            if name in later_columns:
                rows = [json.loads(line) for line in data.splitlines()]
                for row, column in itertools.product(rows, later_columns[name]):
                    del row[column]
                made_anew = (json.dumps(row, separators=(",", ":"), ensure_ascii=False) for row in rows)
                data = "".join(f"{line}\n" for line in made_anew).encode()
                manifest["files"][name] = {"sha256": hashlib.sha256(data).hexdigest(), "size": len(data)}
                for column in later_columns[name]:
                    manifest["tables"][name[7:-6]]["columns"].remove(column)
            if name != MANIFEST:
                new.writestr(name, data)
        new.writestr(MANIFEST, json.dumps(manifest))
    restore_archive(tmp_path / "old.zip", tmp_path / "new")
    with open_library(tmp_path / "new") as library, library.reading() as records:
        assert ledger_end(records).digest == manifest["head"]
        assert len(records.all(BookSet)) == 2
