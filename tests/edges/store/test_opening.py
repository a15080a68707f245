"""What a folder is when it is opened: nothing is made by reading, a lost file is told, modes are those of one owner."""

import os
import shutil
import sqlite3
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from intake.edges.store.cut_ledger import check_against_notes
from intake.edges.store.last_entry import LAST_ENTRY, noted_entry
from intake.edges.store.library import Library, open_library
from intake.edges.store.migrate import DATABASE
from intake.edges.store.queries.chain_check import ledger_end
from intake.edges.store.rebuild import rebuild
from intake.edges.store.untouched import untouched
from intake.errors import StoreError
from intake.model.editions import BookSet
from intake.model.findings import LibraryFinding
from tests.edges.store.test_library import contents, fill, picture_of, read_only

pytestmark = pytest.mark.folder

MODES = pytest.mark.skipif(os.name != "posix", reason="file modes are those of POSIX")


def entries(folder: Path) -> int:
    with open_library(folder) as library, library.reading() as records:
        return ledger_end(records).seq


@pytest.mark.parametrize("kind", ["no folder", "an empty folder", "an empty file", "another database", "another file"])
def test_what_is_no_library_is_refused_and_left_as_it_was(tmp_path: Path, kind: str) -> None:
    folder = tmp_path / "a b"
    if kind != "no folder":
        folder.mkdir()
    if kind == "an empty file":
        (folder / DATABASE).touch()
    elif kind == "another database":
        with closing(sqlite3.connect(folder / DATABASE)) as connection:
            connection.execute("CREATE TABLE tunes (name TEXT)")
    elif kind == "another file":
        (folder / DATABASE).write_text("invented " * 1000)
    before = contents(tmp_path)
    with pytest.raises(StoreError) as refused:
        open_library(folder)
    assert contents(tmp_path) == before
    assert folder.exists() == (kind != "no folder")
    if not kind.startswith("another"):
        assert f"intake --library '{folder}' import editions" in str(refused.value)


def test_a_database_deleted_from_under_its_log_is_told(library: Library) -> None:
    fill(library)
    (library.folder / DATABASE).unlink()
    before = contents(library.folder)
    assert f"{DATABASE}-wal" in before
    for create in (False, True):
        with pytest.raises(StoreError, match="has lost its database"):
            open_library(library.folder, create=create)
    with pytest.raises(StoreError, match="has lost its database"), untouched(library.folder):
        pass
    assert contents(library.folder) == before


@pytest.mark.parametrize("left", ["", None])
def test_a_database_lost_beside_its_pictures_is_told(library: Library, left: str | None) -> None:
    library.keep_picture(b"one", picture_of(b"one"))
    library.close()
    (library.folder / DATABASE).unlink()
    if left is not None:
        (library.folder / DATABASE).touch()
    for create in (False, True):
        with pytest.raises(StoreError, match="has lost its database"):
            open_library(library.folder, create=create)


KILLED = """
import os, signal, sys
from pathlib import Path
from tests.edges.store.test_library import fill
from intake.edges.store.library import open_library
library = open_library(Path(sys.argv[1]))
fill(library, 2)
os.kill(os.getpid(), signal.SIGKILL)
"""


def test_a_log_deleted_after_a_power_cut_is_told_and_the_advice_works(library: Library) -> None:
    fill(library)
    library.close()
    root = Path(__file__).parents[3]
    subprocess.run(
        [sys.executable, "-c", KILLED, str(library.folder)],
        check=False,
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root)},
    )
    saved = shutil.copytree(library.folder, library.folder.with_name("saved"))
    assert entries(saved) == 2
    (library.folder / f"{DATABASE}-wal").unlink()
    with pytest.raises(StoreError, match=f"has lost its log.*delete .*{DATABASE}-shm"):
        open_library(library.folder)
    (library.folder / f"{DATABASE}-shm").unlink()
    with open_library(library.folder) as opened:  # the note of the last entry still tells
        assert len(list(check_ends(opened))) == 1
        with pytest.raises(StoreError, match=r"ends at entry 1, and entry 2 was written.*--accept-loss") as refused:
            fill(opened, 3)
    assert LAST_ENTRY not in str(refused.value), "without it, nothing would tell the loss any more"
    rebuild(library.folder, library.folder.with_name("made"), accept_loss=True)
    with open_library(library.folder.with_name("made")) as opened:
        fill(opened, 3)
        assert not list(check_ends(opened))
    assert entries(library.folder.with_name("made")) == 2


def test_nothing_is_written_into_a_library_whose_database_was_replaced_by_a_longer_one(
    library: Library, tmp_path: Path
) -> None:
    fill(library)
    library.close()
    noted = (library.folder / LAST_ENTRY).read_bytes()
    with open_library(tmp_path / "other", create=True) as other:
        for key in (2, 3):
            fill(other, key)
    shutil.copy(tmp_path / "other" / DATABASE, library.folder / DATABASE)
    before = contents(library.folder)
    for _ in range(2):
        with (
            open_library(library.folder) as opened,
            pytest.raises(StoreError, match="entry 1 is another than the one that was written"),
        ):
            fill(opened, 4)
    assert contents(library.folder) == before
    assert (library.folder / LAST_ENTRY).read_bytes() == noted, "what tells it is kept"
    made = rebuild(library.folder, tmp_path / "made", accept_loss=True)
    assert made.cut == ("entry 1 is another than the one that was written",)


def check_ends(library: Library) -> Iterator[LibraryFinding]:
    with library.reading(damaged=True) as records:
        yield from check_against_notes(records)


def test_what_is_written_while_a_library_is_checked_is_no_loss(library: Library) -> None:
    fill(library)
    with library.reading(damaged=True) as records:
        assert ledger_end(records).seq == 1
        fill(library, 2)
        assert list(check_against_notes(records)) == []


@pytest.mark.parametrize("text", ["", "2", "2 ab 00", "nonsense\n", "99999 ab 0123456789abcdef", "\xff"])
def test_a_note_of_the_last_entry_that_is_half_written_is_none(library: Library, text: str) -> None:
    fill(library)
    (library.folder / LAST_ENTRY).write_text(text, encoding="latin-1")
    assert noted_entry(library.folder) is None
    with open_library(library.folder) as opened:
        fill(opened, 2)
        noted = noted_entry(library.folder)
    assert noted is not None
    assert noted.seq == 2


def test_a_note_of_the_last_entry_that_cannot_be_written_stops_nothing(library: Library) -> None:
    (library.folder / LAST_ENTRY).mkdir()
    fill(library)
    assert noted_entry(library.folder) is None


@pytest.mark.parametrize("lost", [DATABASE, f"{DATABASE}-wal"])
def test_nothing_is_written_into_a_library_whose_file_was_deleted_under_it(library: Library, lost: str) -> None:
    fill(library)
    (library.folder / lost).unlink()
    with pytest.raises(StoreError, match="was deleted or replaced"):
        fill(library, 2)
    if lost == DATABASE:  # what is still open would be read as if all were well
        with pytest.raises(StoreError, match="was deleted or replaced"), library.reading():
            pass


@pytest.mark.skipif(os.name != "posix", reason="an open file keeps its folder there")
def test_a_folder_that_is_gone_is_told_until_it_is_back(library: Library) -> None:
    fill(library)
    away = library.folder.rename(library.folder.with_name("away"))
    with pytest.raises(StoreError, match="is not there any more"), library.reading():
        pass
    with pytest.raises(StoreError, match="is not there any more"):
        fill(library, 2)
    with pytest.raises(StoreError, match="is not there any more"):
        library.keep_picture(b"one", picture_of(b"one"))
    assert not library.folder.exists(), "nothing was made in its place"
    away.rename(library.folder)
    fill(library, 2)
    with library.reading() as records:
        assert records.get(BookSet, 2) is not None


@MODES
def test_only_the_owner_may_read_a_new_library(tmp_path: Path) -> None:
    usual = os.umask(0o022)
    try:
        with open_library(tmp_path / "library", create=True) as library:
            fill(library)
            library.keep_picture(b"one", picture_of(b"one"))
            for path in (library.folder, *library.folder.rglob("*")):
                mode = stat.S_IMODE(path.stat().st_mode)
                if path.name != "pictures":  # the folder around it is closed
                    assert mode == (0o700 if path.is_dir() else 0o600), path
    finally:
        os.umask(usual)


@MODES
@pytest.mark.parametrize("folder_mode", [0o555, 0o777], ids=["its folder too", "its database alone"])
def test_a_library_that_may_only_be_read_opens_for_reading_and_is_left_as_it_was(folder_mode: int) -> None:
    with tempfile.TemporaryDirectory() as name:  # the folders of pytest may be closed to other users
        folder = Path(name) / "library"
        Path(name).chmod(0o755)
        with open_library(folder, create=True) as library:
            fill(library)
        before = contents(folder)
        with read_only(folder, folder_mode), open_library(folder) as library:
            with library.reading() as records:
                assert records.get(BookSet, 1) is not None
            with pytest.raises(StoreError, match="may only be read"):
                fill(library, 2)
        assert contents(folder) == before


@pytest.mark.parametrize("revision", ["NULL", "'tampered'", "X'00FF'", "CAST(X'C328' AS TEXT)", "'0001'", "'-1'"])
def test_a_revision_that_the_tables_are_not_of_is_told(library: Library, revision: str) -> None:
    library.close()
    with closing(sqlite3.connect(library.folder / DATABASE)) as connection:
        connection.execute("DELETE FROM alembic_version")
        if revision != "NULL":
            connection.execute(f"INSERT INTO alembic_version VALUES ({revision})")  # noqa: S608
        connection.commit()
    before = (library.folder / DATABASE).read_bytes()
    with pytest.raises(StoreError, match="is damaged: its tables are not those of its revision"):
        open_library(library.folder)
    assert (library.folder / DATABASE).read_bytes() == before


def test_an_index_of_a_log_that_was_merged_is_no_loss(library: Library) -> None:
    """As SQLite leaves it where the deletion of the index fails when the last user closes the database."""
    fill(library)
    notes = library.folder / f"{DATABASE}-shm"
    with closing(sqlite3.connect(library.folder / DATABASE)) as connection:
        unmerged = notes.read_bytes()
        assert connection.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()[0] == 0
        merged = notes.read_bytes()
    library.close()
    assert not notes.exists()
    notes.write_bytes(unmerged)
    with pytest.raises(StoreError, match="has lost its log"):
        open_library(library.folder)
    notes.write_bytes(merged)
    assert entries(library.folder) == 1
    notes.write_bytes(bytes(32_768))
    with pytest.raises(StoreError, match="has lost its log"):
        open_library(library.folder)
