"""A library made anew from the ledger of a damaged one: pages of its database overwritten, records altered by hand."""

import hashlib
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.rebuild import rebuild
from intake.errors import StoreError
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet
from intake.model.sightings import Picture
from tests.edges.store.made import LIBRARY, PICTURE
from tests.edges.store.test_archive import DATABASE, dump, files

pytestmark = pytest.mark.folder

DATA = b"a picture"


@pytest.fixture
def damaged(library: Library) -> Path:
    """Return the folder of a closed library with a record of every kind, and one picture whose file was never there."""
    sha256 = hashlib.sha256(DATA).hexdigest()
    picture = Picture(sha256=sha256, name="x.jpg", media_type="image/jpeg", width_px=1, height_px=1)
    library.keep_picture(DATA, picture)
    library.apply(Action(ActionKind.UNKNOWN, "all", unknown_name="test"), made(*LIBRARY, picture))
    for _ in range(20):
        library.apply(Action(ActionKind.IMPORT_EDITIONS, "x"), made(BookSet(id=Provisional().id(), title="Żółw")))
    library.close()
    return library.folder


def records(folder: Path) -> list[str]:
    return [line for line in dump(folder) if not line.startswith('INSERT INTO "counter"')]


def overwrite(folder: Path, name: str) -> None:
    """Overwrite the first page of a table or an index."""
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (page,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (name,)).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    with (folder / DATABASE).open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)


@pytest.mark.parametrize("name", ["copy", "book_set", "ix_ledger_change_record", "edition_words_data", "counter"])
def test_a_damaged_page_outside_of_the_ledger_costs_nothing(damaged: Path, tmp_path: Path, name: str) -> None:
    before = records(damaged)
    overwrite(damaged, name)
    kept = files(damaged)
    made_anew = rebuild(damaged, tmp_path / "new", accept_loss=True)
    assert records(tmp_path / "new") == before
    assert files(tmp_path / "new" / "pictures") == files(damaged / "pictures")
    assert files(damaged) == kept
    with closing(sqlite3.connect(tmp_path / "new" / DATABASE)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("SELECT max(seq), count(*) FROM ledger").fetchone() == (21, made_anew.entries)


def test_records_altered_by_hand_come_back_as_the_ledger_left_them(damaged: Path, tmp_path: Path) -> None:
    before = records(damaged)
    with closing(sqlite3.connect(damaged / DATABASE)) as connection:
        connection.execute("UPDATE valuation SET amount = '999999'")
        connection.execute("DELETE FROM sighting")
        connection.commit()
    rebuild(damaged, tmp_path / "new", accept_loss=True)
    assert records(tmp_path / "new") == before


@pytest.mark.parametrize("name", ["ledger", "ledger_change"])
def test_a_damaged_ledger_is_refused_with_the_way_to_an_archive(damaged: Path, tmp_path: Path, name: str) -> None:
    overwrite(damaged, name)
    with pytest.raises(StoreError, match=r"is damaged too.*intake restore"):
        rebuild(damaged, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_picture_that_lost_its_name_is_found_by_its_content(damaged: Path, tmp_path: Path) -> None:
    (path,) = (damaged / "pictures").rglob("*.jpg")
    path.rename(path.with_name(f"{path.stem} (1).jpg"))
    (damaged / "pictures" / "again.jpg").write_bytes(DATA)
    (damaged / "pictures" / "other.jpg").write_bytes(b"other")
    made_anew = rebuild(damaged, tmp_path / "new", accept_loss=True)
    assert (tmp_path / "new" / path.relative_to(damaged)).read_bytes() == DATA
    assert (len(made_anew.renamed), len(made_anew.doubled)) == (1, 1)
    assert (made_anew.left_out, made_anew.missing) == (("pictures/other.jpg",), (PICTURE.sha256,))


def test_pictures_are_not_lost_unless_that_is_accepted(damaged: Path, tmp_path: Path) -> None:
    (path,) = (damaged / "pictures").rglob("*.jpg")
    path.unlink()
    with pytest.raises(
        StoreError, match=rf"has lost 2 pictures .*{path.stem[:12]}… \(The picture x.jpg\).*--accept-loss"
    ):
        rebuild(damaged, tmp_path / "new")
    assert not (tmp_path / "new").exists()
    assert rebuild(damaged, tmp_path / "new", accept_loss=True).missing == (path.stem, PICTURE.sha256)


def test_a_library_of_a_newer_version_is_refused(damaged: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(damaged / DATABASE)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '0099'")
        connection.commit()
    with pytest.raises(StoreError, match="made by a newer version of this program"):
        rebuild(damaged, tmp_path / "new")


def test_an_altered_ledger_and_a_taken_place_are_refused(damaged: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(damaged / DATABASE)) as connection:
        connection.execute("UPDATE ledger SET note = 'x' WHERE seq = 3")
        connection.commit()
    with pytest.raises(StoreError, match="from entry 3 on"):
        rebuild(damaged, tmp_path / "new")
    with pytest.raises(StoreError, match="is not empty"):
        rebuild(damaged, damaged)
    assert not (tmp_path / "new").exists()
