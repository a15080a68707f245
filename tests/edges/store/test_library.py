"""The folder of a library: opening, moving on to a newer form, pictures, backups, and what goes wrong."""

import hashlib
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import event

from intake.edges.store.archive_restore import restore_archive
from intake.edges.store.archive_writing import write_archive
from intake.edges.store.engines.choosing import is_library
from intake.edges.store.engines.sqlite import WORD_TABLE, engine_for
from intake.edges.store.engines.sqlite_open import migrate_folder
from intake.edges.store.last_entry import LAST_ENTRY
from intake.edges.store.library import Library, open_library
from intake.edges.store.migrate import MIGRATIONS
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.edges.store.tables import metadata
from intake.errors import IntakeError, LibraryBusyError, RefusedError, StoreError
from intake.model.changes import Action, ActionKind, made
from intake.model.editions import BookSet
from intake.model.sightings import Picture, Query
from tests.counting import engine_of
from tests.edges.store.made import NOON, SET

IMPORT = ActionKind.IMPORT_EDITIONS

DATABASE = "library.sqlite3"


def fill(library: Library, number: int = 1) -> None:
    with library.writing() as work:
        work.apply(Action(IMPORT, str(number)), made(BookSet(id=number, title="Invented")))


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_new_library_and_the_same_again(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "library"
    with open_library(folder, create=True) as library:
        fill(library)
    for create in (False, True):
        with open_library(folder, create=create) as library, library.reading() as records:
            assert records.get(BookSet, 1) is not None
    assert set(contents(folder)) == {DATABASE, LAST_ENTRY}, "closed, it is one file, and the note of its last entry"


@pytest.mark.folder
def test_settings_of_a_connection(library: Library) -> None:
    with library.reading() as records:
        ask = records.connection.exec_driver_sql
        found = [
            ask(f"PRAGMA {name}").scalar() for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        ]
    assert found == ["wal", 2, 1, 30_000], "2 is FULL (SQLite's documentation of PRAGMA synchronous)"


@pytest.mark.folder
def test_the_steps_make_what_the_tables_say(library: Library) -> None:
    """Alembic's own comparison of the migrated database with the tables finds no difference."""
    with library.reading() as records:
        options = {
            "compare_type": True,
            "compare_server_default": True,
            "include_name": lambda name, kind, _parents: kind != "table" or not (name or "").startswith(WORD_TABLE),
        }
        context = MigrationContext.configure(records.connection, opts=options)
        assert compare_metadata(context, metadata) == []


@pytest.mark.folder
def test_a_library_of_the_first_form_is_brought_up_to_date(library: Library) -> None:
    """What was written before a column was added is kept, and the database is copied first."""
    query = Query(id=1, at=NOON, station="test", reason="an old one", number="9780306406157")
    library.apply(Action(ActionKind.QUEUE_QUERY, "1", "test"), made(query))
    library.close()
    connection = sqlite3.connect(library.folder / DATABASE)
    for name in ("copy", "same_as"):
        connection.execute(f"DROP INDEX ix_query_{name}")
        connection.execute(f"ALTER TABLE query DROP COLUMN {name}")
    connection.execute("ALTER TABLE query DROP COLUMN others")
    for name in ("made", "gone", "altered"):
        connection.execute(f"DROP TRIGGER edition_words_{name}")
    for name in ("edition", "book_set"):
        connection.execute(f"ALTER TABLE {name} DROP COLUMN words")
    connection.execute("DROP TABLE edition_words_list")
    connection.execute("DROP TABLE edition_words")
    connection.execute("DROP TABLE withdrawal")
    for table in ("serial", "earliermerge", "earlierlisting"):
        connection.execute(f"DROP TABLE {table}")
    connection.execute("DROP INDEX ix_edition_collects")
    connection.execute("DROP INDEX ix_copy_why")
    later = {
        "edition": ("collects", "currency", "why", "price"),
        "copy": ("why", "kept"),
        "consignment": ("policy", "contract", "bill_of_lading"),
    }
    for table, names in later.items():
        for name in names:
            connection.execute(f"ALTER TABLE {table} DROP COLUMN {name}")
    connection.execute("UPDATE alembic_version SET version_num = '0001'")
    connection.commit()
    connection.close()
    again = open_library(library.folder)
    with again.reading() as records:
        assert records.get(Query, query.id) == query
    assert list((library.folder / "backups").glob("*-before-0008.sqlite3"))
    again.close()


@pytest.mark.parametrize("create", [True, False])
def test_what_is_no_library_is_left_alone(tmp_path: Path, create: bool) -> None:
    folder = tmp_path / "other"
    folder.mkdir()
    (folder / DATABASE).write_bytes(b"no database at all, but long enough to have a header " * 40)
    before = contents(tmp_path)
    with pytest.raises(StoreError, match="is not a library"):
        open_library(folder, create=create)
    assert contents(tmp_path) == before


@pytest.mark.parametrize("create", [True, False])
def test_another_programs_database_is_left_alone(tmp_path: Path, create: bool) -> None:
    connection = sqlite3.connect(tmp_path / DATABASE)
    connection.execute("CREATE TABLE tunes (name TEXT)")
    connection.close()
    before = contents(tmp_path)
    with pytest.raises(StoreError, match="another program"):
        open_library(tmp_path, create=create)
    assert contents(tmp_path) == before


def test_no_folder_and_an_empty_folder(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="does not exist"):
        open_library(tmp_path / "none")
    with pytest.raises(StoreError, match=r"has no library\.sqlite3"):
        open_library(tmp_path)
    assert not list(tmp_path.iterdir())
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match="cannot be made"):
        open_library(tmp_path / "file", create=True)


@pytest.mark.folder
def test_a_library_of_a_newer_version_is_left_alone(library: Library) -> None:
    library.close()
    connection = sqlite3.connect(library.folder / DATABASE)
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()
    before = contents(library.folder)
    with pytest.raises(StoreError, match="newer version"):
        open_library(library.folder)
    assert contents(library.folder) == before


@pytest.mark.folder
def test_a_damaged_library_is_told(library: Library) -> None:
    for number in range(1, 200):
        fill(library, number)
    library.close()
    file = library.folder / DATABASE
    data = bytearray(file.read_bytes())
    data[4096:] = b"\xff" * (len(data) - 4096)
    file.write_bytes(data)
    with pytest.raises(StoreError, match="is damaged"), open_library(library.folder) as opened:
        fill(opened, 500)


@pytest.mark.folder
def test_a_library_that_another_station_writes_to(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("intake.edges.store.engines.turns.PATIENCE_S", 0.05)
    with open_library(library.folder) as second, library.writing() as work:
        work.apply(Action(IMPORT, "set"), made(SET))
        with pytest.raises(LibraryBusyError):
            fill(second, 2)
        with second.reading() as records:
            assert records.all(BookSet) == ()
    with library.reading() as records:
        assert records.all(BookSet) == (SET,)


@pytest.mark.folder
def test_a_full_disk_changes_nothing(library: Library) -> None:
    fill(library)

    @event.listens_for(engine_of(library), "begin")
    def fill_disk(connection: Any) -> None:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages + 2}")

    with pytest.raises(StoreError, match="disk is full"), library.writing() as work:
        work.apply(
            Action(IMPORT, "many"),
            made(*(BookSet(id=nth, title="x" * 100) for nth in range(2, 2000))),
        )
    with library.reading() as records:
        assert len(records.all(BookSet)) == len(latest_entries(records)) == 1
        assert verify_chain(records) is None


@contextmanager
def read_only(folder: Path, folder_mode: int = 0o555) -> Iterator[None]:
    """Make a folder read-only; root may write anything, and so becomes nobody meanwhile."""
    modes = {path: path.stat().st_mode for path in (folder, *folder.rglob("*"))}
    was_root = os.geteuid() == 0
    for path in modes:
        path.chmod(folder_mode if path.is_dir() else 0o444)
    if was_root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if was_root:
            os.seteuid(0)
        for path, mode in modes.items():
            path.chmod(mode)


@pytest.mark.skipif(os.name != "posix", reason="file modes are those of POSIX")
def test_a_library_that_may_only_be_read() -> None:
    with tempfile.TemporaryDirectory() as name:  # the folders of pytest may be closed to other users
        folder = Path(name)
        folder.chmod(0o755)
        with open_library(folder, create=True) as library:
            fill(library)
        before = contents(folder)
        refused = pytest.raises(StoreError, match=r"may only be read|cannot be opened for writing")
        with read_only(folder), refused, open_library(folder) as library:
            fill(library, 2)
        assert contents(folder) == before


@pytest.mark.skipif(os.name != "posix", reason="file modes are those of POSIX")
def test_a_library_or_an_archive_of_another_user_is_refused_as_such() -> None:
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        place.chmod(0o755)
        (place / "archives").mkdir()
        with open_library(place / "library", create=True) as library:
            fill(library)
            write_archive(library, place / "archives" / "books.zip", NOON)
        refused = partial(pytest.raises, IntakeError, match=r"may not be read by this user; ask for the right")
        with read_only(place / "library", 0o000):
            for asked in (is_library, open_library):
                with refused():
                    asked(place / "library")
        with read_only(place / "archives", 0o000), refused():
            restore_archive(place / "archives" / "books.zip", place / "new")


def next_step(folder: Path, body: str) -> Path:
    """Copy the steps and add one."""
    steps = folder / "steps"
    shutil.copytree(MIGRATIONS, steps, ignore=shutil.ignore_patterns("__pycache__"))
    text = f'from alembic import op\nrevision = "9999"\ndown_revision = "0008"\n\n\ndef upgrade():\n    {body}\n'
    (steps / "versions" / "r9999_made_up.py").write_text(text)
    return steps


@pytest.mark.folder
def test_a_copy_is_made_before_a_later_step(library: Library, tmp_path: Path) -> None:
    fill(library)
    library.close()
    steps = next_step(tmp_path, "op.execute('CREATE TABLE added (x INTEGER)')")
    engine = engine_for(library.folder / DATABASE)
    migrate_folder(engine, library.folder, datetime(2026, 5, 1, 9, 30, tzinfo=UTC), migrations=steps)
    migrate_folder(engine, library.folder, NOON, migrations=steps)
    engine.dispose()
    (copy,) = (library.folder / "backups").iterdir()
    assert copy.name == "20260501T093000-before-9999.sqlite3"
    restored = tmp_path / "restored"
    restored.mkdir()
    shutil.copy(copy, restored / DATABASE)
    with open_library(restored) as old, old.reading() as records:
        assert len(records.all(BookSet)) == 1
    with pytest.raises(StoreError, match="newer version"):
        open_library(library.folder)


@pytest.mark.folder
def test_a_step_that_fails_changes_nothing(library: Library, tmp_path: Path) -> None:
    fill(library)
    library.close()
    before = (library.folder / DATABASE).read_bytes()
    body = "op.execute('CREATE TABLE added (x INTEGER)'); raise ZeroDivisionError"
    steps = next_step(tmp_path, body)
    engine = engine_for(library.folder / DATABASE)
    with pytest.raises(ZeroDivisionError):
        migrate_folder(engine, library.folder, NOON, migrations=steps)
    engine.dispose()
    assert (library.folder / DATABASE).read_bytes() == before


def picture_of(data: bytes) -> Picture:
    sha256 = hashlib.sha256(data).hexdigest()
    return Picture(sha256=sha256, name="one.jpg", media_type="image/jpeg", width_px=1, height_px=1)


@pytest.mark.folder
def test_pictures_are_kept_once_under_their_sha256(library: Library) -> None:
    data = b"not really a picture"
    picture = picture_of(data)
    assert library.picture_path(picture.sha256) is None
    library.keep_picture(data, picture)
    path = library.picture_path(picture.sha256)
    assert path == library.folder / "pictures" / picture.sha256[:2] / f"{picture.sha256}.jpg"
    assert path.read_bytes() == data
    first = path.stat()
    library.keep_picture(data, picture)
    assert library.picture_path(picture.sha256) == path
    assert path.stat() == first
    assert list(path.parent.iterdir()) == [path], "no part of a file remains"


def test_a_picture_that_is_another_is_refused(library: Library) -> None:
    with pytest.raises(StoreError, match="incomplete or altered"):
        library.keep_picture(b"one", picture_of(b"two"))
    assert library.picture_path("../library") is None
    assert library.picture_path("*" * 64) is None


@pytest.mark.folder
def test_a_picture_that_cannot_be_written_leaves_nothing(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_space(_self: Path, _data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", no_space)
    with pytest.raises(StoreError, match="No space left"):
        library.keep_picture(b"one", picture_of(b"one"))
    assert [path for path in (library.folder / "pictures").rglob("*") if path.is_file()] == []


def test_a_picture_stays_only_with_a_record(library: Library) -> None:
    first, second, third = (picture_of(data) for data in (b"one", b"two", b"three"))
    with pytest.raises(RefusedError), library.keeping_picture(b"one", first):
        raise RefusedError("Box 7", "is finished", "take another")
    with library.keeping_picture(b"two", second):
        library.apply(Action(ActionKind.UNKNOWN, "two", unknown_name="test"), made(second))
        other = library.picture_path(second.sha256)
        assert other is not None
        other.unlink()  # as another station does that was refused
    library.keep_picture(b"three", third)
    with pytest.raises(RefusedError), library.keeping_picture(b"three", third):
        raise RefusedError("Box 7", "is finished", "take another")
    assert [library.picture_path(each.sha256) is not None for each in (first, second, third)] == [False, True, True]
