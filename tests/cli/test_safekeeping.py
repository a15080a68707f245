"""`intake check`, `backup`, `restore`, `status`: a new user follows the README's page on safekeeping."""

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from intake.cli.main import run

DATABASE = "library.sqlite3"
pytestmark = pytest.mark.folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    lists = tmp_path / "books.csv"
    lists.write_text("title\nInvented herbal\nInvented atlas\n", encoding="utf-8")
    assert run(["--library", str(tmp_path / "library"), "import", "editions", str(lists)]) == 0
    return tmp_path / "library"


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    capsys.readouterr()
    status = run(list(arguments))
    captured = capsys.readouterr()
    return status, " ".join((captured.out + captured.err).split())


def head_in(text: str) -> str:
    return text.partition("its head is ")[2][:64]


def test_the_page_on_safekeeping_gives_the_books_back(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    archive, new = tmp_path / "books.zip", tmp_path / "new"
    assert "There is no backup yet." in told(capsys, "--library", str(folder), "status")[1]
    status, words = told(capsys, "--library", str(folder), "check")
    head = head_in(words)
    assert (status, len(head)) == (0, 64)
    assert told(capsys, "--library", str(folder), "backup", str(archive))[0] == 0
    assert "Last backup today" in told(capsys, "--library", str(folder), "status")[1]
    assert told(capsys, "--library", str(folder), "backup", str(archive))[0] == 1
    shutil.rmtree(folder)
    assert told(capsys, "restore", str(archive), "--to", str(new))[0] == 0
    status, words = told(capsys, "--library", str(new), "check", "--against", head)
    assert (status, head_in(words)) == (0, head)
    assert f"Last backup today: {archive}, nothing changed since." in told(capsys, "--library", str(new), "status")[1]


def test_the_advice_of_check_is_followed_word_for_word(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute("UPDATE edition SET title = 'Stolen' WHERE id = 1")
        connection.commit()
    status, words = told(capsys, "--library", str(folder), "check")
    assert status == 1
    assert "edition 1 ('Invented herbal'): is not as the ledger left it" in words
    advised = words.rpartition("intake restore ")[2].rstrip(".").split()
    assert told(capsys, "restore", *advised)[0] == 0
    assert told(capsys, "--library", advised[-1], "check")[0] == 0


def test_a_damaged_database_with_its_log_beside_it_comes_back_by_the_advice(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = sqlite3.connect(folder / DATABASE)  # somebody has it open, so that the log stays
    other.execute("SELECT count(*) FROM edition").fetchone()
    (page,) = other.execute("SELECT rootpage FROM sqlite_master WHERE name = 'edition'").fetchone()
    (size,) = other.execute("PRAGMA page_size").fetchone()
    other.execute("PRAGMA wal_checkpoint(PASSIVE)")
    with (folder / DATABASE).open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)
    assert (folder / f"{DATABASE}-wal").exists()
    status, words = told(capsys, "--library", str(folder), "find", "herbal")
    other.close()
    assert status == 1
    advised = words.rpartition("intake restore ")[2].rstrip(".").split()
    assert told(capsys, "restore", *advised)[0] == 0
    assert "Invented herbal" in told(capsys, "--library", advised[-1], "find", "herbal")[1]


@pytest.mark.parametrize("command", [["status"], ["check"], ["find", "x"], ["history"], ["backup", "x.zip"]])
def test_a_reading_command_makes_nothing(
    tmp_path: Path, command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    os.chdir(tmp_path)
    status, words = told(capsys, "--library", str(tmp_path / "mistyped"), *command)
    assert status == 1
    assert "make a new library there: intake --library" in words
    assert list(tmp_path.iterdir()) == []


def test_a_daily_archive_is_written_after_the_first_change_and_old_ones_go(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    library = ("--library", str(folder))
    assert told(capsys, *library, "backup", "--daily", "2")[0] == 0
    for day in ("2020-01-01", "2020-01-02"):
        (folder / "backups" / f"{day}.zip").write_bytes(b"old")
    (folder / "backups" / "kept.zip").write_bytes(b"a person's own")
    assert "daily backup" not in told(capsys, *library, "status")[1]
    assert "Wrote the daily backup" in told(capsys, *library, "box", "open", "1")[1]
    assert "daily backup" not in told(capsys, *library, "box", "open", "2")[1]
    names = sorted(path.name for path in (folder / "backups").glob("*.zip"))
    assert len(names) == 3
    assert names[0] == "2020-01-02.zip"
    assert names[-1] == "kept.zip"
    assert told(capsys, "restore", str(folder / "backups" / names[1]), "--to", str(tmp_path / "new"))[0] == 0
    assert told(capsys, *library, "backup", "--no-daily")[0] == 0


@pytest.mark.parametrize(
    ("statement", "named"),
    [
        ("UPDATE edition SET title = x'ff00' WHERE id = 1", "Edition 1 cannot be read: its title"),
        ("UPDATE edition SET height_mm = 'tall' WHERE id = 1", "Edition 1 cannot be read: its height mm"),
        ("UPDATE edition SET contributors = '{not json' WHERE id = 1", "one of its lists is '{not json'"),
        ("UPDATE edition SET year = 'MCM' WHERE id = 1", "Edition 1 cannot be read: its year"),
    ],
)
def test_a_cell_that_is_not_of_its_field_names_the_record_and_the_check(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], statement: str, named: str
) -> None:
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute(statement)
        connection.commit()
    library = ("--library", str(folder))
    for command in (("find", "herbal"), ("export", "everything", str(tmp_path / "out"))):
        status, words = told(capsys, *library, *command)
        assert status == 1
        assert named in words
        assert "run 'intake check'" in words
    status, words = told(capsys, *library, "check")
    advised = words.rpartition("intake restore ")[2].rstrip(".").split()
    assert (status, told(capsys, "restore", *advised)[0]) == (1, 0)
    assert "Invented herbal" in told(capsys, "--library", advised[-1], "find", "herbal")[1]


@pytest.mark.parametrize("command", [("status",), ("box", "list")])
def test_a_state_that_is_none_names_what_has_it(
    folder: Path, capsys: pytest.CaptureFixture[str], command: tuple[str, ...]
) -> None:
    library = ("--library", str(folder))
    assert told(capsys, *library, "box", "open", "1")[0] == 0
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute("UPDATE box SET state = 'flying'")
        connection.commit()
    status, words = told(capsys, *library, *command)
    assert status == 1
    assert "'flying'; run 'intake check'" in words


def test_a_backup_of_a_damaged_library_is_written_and_leaves_with_status_1(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    library = ("--library", str(folder))
    assert told(capsys, *library, "backup", str(tmp_path / "good.zip"))[0] == 0
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute("DELETE FROM ledger_change")
        connection.execute("DELETE FROM ledger")
        connection.commit()
    status, words = told(capsys, *library, "backup", str(tmp_path / "bad.zip"))
    assert (status, (tmp_path / "bad.zip").is_file()) == (1, True)
    assert "of a library that is not whole" in words
    status, words = told(capsys, "restore", str(tmp_path / "bad.zip"), "--to", str(tmp_path / "as-it-was"))
    assert status == 1
    assert "Not whole: ledger: was cut" in words
    assert "of a library that was not whole; see what to do" in words
    status, words = told(capsys, *library, "check")
    assert (status, "The library is whole" in words) == (1, False)
    first = words.rpartition("restore its latest archive: intake restore ")[2].partition(";")[0].split()
    assert first[0] == str(tmp_path / "good.zip")
    assert told(capsys, "restore", *first)[0] == 0
    assert told(capsys, "--library", first[-1], "check")[0] == 0
    assert told(capsys, "restore", str(folder), "--to", str(tmp_path / "new"))[0] == 1
    status, words = told(capsys, "restore", str(folder), "--to", str(tmp_path / "new"), "--accept-loss")
    assert status == 0
    assert "Lost, for the ledger does not have them: 2 records" in words
    archive = str(tmp_path / "good.zip")
    ignored = ("--pictures-from", archive)
    assert told(capsys, "restore", archive, "--to", str(tmp_path / "other"), *ignored)[0] == 2


def add_a_copy(folder: Path, tmp_path: Path) -> None:
    for kind, text in (("editions", "key,title\nF1,Invented flora\n"), ("copies", "box,key\n1,F1\n")):
        lists = tmp_path / f"more-{kind}.csv"
        lists.write_text(text, encoding="utf-8")
        assert run(["--library", str(folder), "import", kind, str(lists)]) == 0


CUT_OFF = ("DELETE FROM ledger_change WHERE seq = 3", "DELETE FROM ledger WHERE seq = 3")
ENDS = {
    "emptied, without a note": ("DELETE FROM ledger_change", "DELETE FROM ledger"),
    "cut off": CUT_OFF,
    "altered": ("UPDATE ledger SET station = 'another' WHERE seq = 3",),
    "an entry cut off, its change left": CUT_OFF[1:],
}


@pytest.mark.parametrize("end", ENDS)
def test_what_is_made_of_a_ledger_that_was_cut_says_so_or_is_not_made(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], end: str
) -> None:
    add_a_copy(folder, tmp_path)
    assert told(capsys, "--library", str(folder), "status")[0] == 0
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        for statement in ENDS[end]:
            connection.execute(statement)
        connection.commit()
    if end.endswith("without a note"):
        (folder / ".last-entry").unlink()
    inventory, labels = tmp_path / "inventory.csv", tmp_path / "labels.pdf"
    status, words = told(capsys, "--library", str(folder), "print", "inventory", "-o", str(inventory))
    assert (status, inventory.exists()) == (1, False)
    assert "is not whole" in words
    assert "run 'intake check'" in words
    status, words = told(capsys, "--library", str(folder), "print", "box-labels", "1", "-o", str(labels))
    assert (status, labels.exists()) == (0, True)
    assert "Caution: the library is not whole" in words
    for what, name in (("editions", "e.csv"), ("copies", "c.csv"), ("everything", "all")):
        status, words = told(capsys, "--library", str(folder), "export", what, str(tmp_path / name))
        assert status == 0
        assert "Caution: the library is not whole" in words
    status, words = told(capsys, "--library", str(folder), "status")
    assert (status, "is not whole" in words) == (1, True)


def test_no_paper_that_others_act_on_is_made_of_a_record_that_is_not_as_the_ledger_left_it(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    add_a_copy(folder, tmp_path)
    out = tmp_path / "inventory.csv"
    assert told(capsys, "--library", str(folder), "print", "inventory", "-o", str(out))[0] == 0
    out.unlink()
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute("UPDATE edition SET year = -5 WHERE title = 'Invented flora'")
        connection.commit()
    status, words = told(capsys, "--library", str(folder), "print", "inventory", "-o", str(out))
    assert (status, out.exists()) == (1, False)
    assert "is not whole (edition " in words
    assert "year is -5" in words


def test_overwritten_pages_name_both_ways_back_and_the_archive_is_the_one_that_works(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    archive = tmp_path / "books.zip"
    assert told(capsys, "--library", str(folder), "backup", str(archive))[0] == 0
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (size,) = connection.execute("PRAGMA page_size").fetchone()
        roots = "SELECT rootpage FROM sqlite_master WHERE name IN ('edition', 'ledger', 'ledger_change')"
        pages = [page for (page,) in connection.execute(roots)]
    with (folder / DATABASE).open("r+b") as file:
        for page in pages:
            file.seek((page - 1) * size)
            file.write(b"\xff" * size)
    status, words = told(capsys, "--library", str(folder), "find", "herbal")
    assert (status, "malformed" in words) == (1, False)
    by_ledger, by_archive = (way.partition(";")[0].rstrip(".").split() for way in words.split("intake restore ")[1:])
    assert (by_ledger[0], by_archive[0]) == (str(folder), str(archive))
    status, words = told(capsys, "restore", *by_ledger)
    assert (status, "is damaged too" in words, "malformed" in words) == (1, True, False)
    assert told(capsys, "restore", *by_archive)[0] == 0
    assert told(capsys, "--library", by_archive[-1], "check")[0] == 0
