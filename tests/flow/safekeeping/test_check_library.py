"""Everything a library holds, altered by hand with SQL, is found: each table and column that the database lists."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from intake.edges.store.last_entry import LAST_ENTRY
from intake.edges.store.library import open_library
from intake.edges.store.row_forms import RowForm
from intake.edges.store.tables import TABLES, counter, ledger, ledger_change, metadata
from intake.errors import UsageError
from intake.flow.safekeeping.check_library import check_library, head_of
from intake.flow.safekeeping.finding_words import finding_words, report_lines
from intake.model.findings import CellDifference, CheckReport, FindingKind, LibraryFinding
from tests.faults.tampering import DATABASE

pytestmark = pytest.mark.folder


def report_of(folder: Path, against: str = "") -> CheckReport:
    with open_library(folder) as library:
        return check_library(library, against=against)


def kinds(report: CheckReport) -> set[FindingKind]:
    return {finding.kind for finding in report.findings}


def sql(folder: Path, *statements: str) -> None:
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


@pytest.fixture
def sound(folder: Path) -> CheckReport:
    """Return the report of the library before it is altered; its counters are below the keys that the tests gave."""
    return report_of(folder)


EXPECTED_AT_FIRST = {FindingKind.COUNTER_WRONG}


def test_an_unaltered_library_is_whole(folder: Path, sound: CheckReport) -> None:
    assert kinds(sound) <= EXPECTED_AT_FIRST
    assert (sound.entries, sound.pictures) == (5, 1)
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        names = [table.name for table in TABLES.values()]
        counts = [connection.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in names]  # noqa: S608
    assert sound.rows == sum(counts)
    assert all(counts), "or a table is not tampered with below"


def test_every_column_is_compared_or_hashed() -> None:
    compared = {f"{table.name}.{name}" for kind, table in TABLES.items() for name in RowForm.of(kind).columns}
    hashed = {f"{table.name}.{column.name}" for table in (ledger, ledger_change, counter) for column in table.columns}
    assert compared | hashed == {
        f"{table.name}.{column.name}" for table in metadata.sorted_tables for column in table.columns
    }


def the_new(folder: Path, sound: CheckReport) -> list[LibraryFinding]:
    return [finding for finding in report_of(folder).findings if finding not in sound.findings]


def test_a_finding_names_the_record_the_cells_and_the_last_good_entry(folder: Path, sound: CheckReport) -> None:
    sql(folder, "UPDATE copy SET note = 'signed by the author' WHERE accession = 'A1'")
    (finding,) = the_new(folder, sound)
    assert (finding.kind, finding.table, finding.key, finding.last_good) == (FindingKind.ROW_ALTERED, "copy", "A1", 4)
    (cell,) = finding.cells
    assert (cell.column, cell.expected, cell.stored) == ("note", "", "signed by the author")
    words = finding_words(finding)
    assert words == (
        "copy A1 ('Die Gräser der Küste: ein erfundener Führer'): is not as the ledger left it "
        "(note is 'signed by the author', by the ledger ''); last good entry: 4"
    )


def test_rows_made_and_lost_by_hand(folder: Path, sound: CheckReport) -> None:
    sql(folder, "DELETE FROM valuation", "INSERT INTO printed (label, words) VALUES ('x', 'y')")
    found = {(finding.kind, finding.table, finding.key) for finding in the_new(folder, sound)}
    assert found == {(FindingKind.ROW_MISSING, "valuation", "1"), (FindingKind.ROW_UNKNOWN, "printed", "x")}


def test_a_break_of_the_chain_names_the_last_good_entry(folder: Path, sound: CheckReport) -> None:
    sql(folder, "UPDATE ledger SET note = 'x' WHERE seq = 4")
    (finding,) = the_new(folder, sound)
    assert (finding.kind, finding.key, finding.last_good) == (FindingKind.ENTRY_BROKEN, "4", 3)


def test_a_renumbered_change_is_found(folder: Path, sound: CheckReport) -> None:
    sql(folder, "UPDATE ledger_change SET nth = nth + 7 WHERE seq = 5")
    assert [finding.kind for finding in the_new(folder, sound)] == [FindingKind.ENTRY_BROKEN]


def test_a_cut_tail_without_the_note_of_the_last_entry_is_found_only_against_a_head_printed_before(
    folder: Path, sound: CheckReport
) -> None:
    sql(
        folder,
        "DELETE FROM ledger_change WHERE seq = 5",
        "DELETE FROM ledger WHERE seq = 5",
        "DELETE FROM book_set WHERE title = 'Another'",
        "UPDATE counter SET last = 1 WHERE name = 'book_set'",
    )
    (noted,) = the_new(folder, sound)
    assert (noted.kind, noted.last_good) == (FindingKind.LEDGER_CUT, 4), (
        "whoever cut it left the note of the last entry"
    )
    (folder / LAST_ENTRY).unlink()
    assert the_new(folder, sound) == []
    (finding,) = [f for f in report_of(folder, sound.head).findings if f not in sound.findings]
    assert (finding.kind, finding.key) == (FindingKind.HEAD_UNKNOWN, sound.head)


def test_a_head_printed_before_is_found_in_the_ledger(folder: Path, sound: CheckReport) -> None:
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        ((earlier,),) = connection.execute("SELECT digest FROM ledger WHERE seq = 2").fetchall()
    report = report_of(folder, earlier.upper()[:32] + " " + earlier[32:])
    assert (report.printed_at, report.entries) == (2, 5)
    assert any("entry 2; 3 entries were added since" in line for line in report_lines(report))
    for text in ("abc", sound.head + "0", "x" * 64):
        with pytest.raises(UsageError, match="64 digits"):
            head_of(text)


def test_pictures(folder: Path, sound: CheckReport) -> None:
    (path,) = (folder / "pictures").rglob("*.jpg")
    data = path.read_bytes()
    path.write_bytes(data + b" ")
    assert [f.kind for f in the_new(folder, sound)] == [FindingKind.PICTURE_ALTERED]
    path.unlink()
    path.with_name("other.jpg").write_bytes(data)
    (renamed,) = the_new(folder, sound)
    assert (renamed.kind, renamed.key) == (FindingKind.PICTURE_RENAMED, path.stem)
    assert renamed.detail == f"pictures/{path.parent.name}/other.jpg"
    path.write_bytes(data)
    path.with_name("strange.jpg").write_bytes(b"strange")
    second, stray = the_new(folder, sound)
    assert (second.kind, second.key) == (FindingKind.SECOND_FILE, f"pictures/{path.parent.name}/other.jpg")
    assert (stray.kind, stray.key) == (FindingKind.STRAY_FILE, f"pictures/{path.parent.name}/strange.jpg")
    assert second.kind.is_note
    assert stray.kind.is_note
    path.with_name("strange.jpg").unlink()
    path.with_name("strange.jpg").symlink_to(folder / "gone.jpg")
    unread = the_new(folder, sound)[-1]
    assert (unread.kind, unread.key) == (stray.kind, stray.key)
    assert unread.detail == "it cannot be read, so it may be a missing picture: No such file or directory"


def test_a_damaged_page_is_a_finding_and_the_rest_is_still_checked(folder: Path, sound: CheckReport) -> None:
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (page,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'rate'").fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    with (folder / DATABASE).open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)
    (folder / "pictures").rename(folder / "gone")
    found = kinds(report_of(folder))
    assert {FindingKind.DATABASE_DAMAGED, FindingKind.PICTURE_MISSING} <= found


def test_findings_name_records_and_counts_in_words_of_a_person() -> None:
    skipped = LibraryFinding(FindingKind.NUMBERS_SKIPPED, key="serial copy", detail="the last there is 46")
    assert finding_words(skipped).startswith("count of copy numbers: some numbers are those of no record in the ledger")
    cells = (CellDifference("words", "herbal", ""),)
    altered = LibraryFinding(FindingKind.ROW_ALTERED, "setvalue", "3", cells=cells)
    assert finding_words(altered) == (
        "set value 3: is not as the ledger left it (text for searches is '', by the ledger 'herbal')"
    )


def test_damage_that_every_check_meets_is_told_once(folder: Path) -> None:
    with closing(sqlite3.connect(folder / DATABASE)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (size,) = connection.execute("PRAGMA page_size").fetchone()
        (page,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'ledger_change'").fetchone()
    with (folder / DATABASE).open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)
    lines = report_lines(report_of(folder))
    assert any("cannot be read further" in line for line in lines)
    assert len(set(lines)) == len(lines)


def test_other_users_may_read(folder: Path, sound: CheckReport) -> None:
    folder.chmod(0o755)
    (folder / DATABASE).chmod(0o644)
    (finding,) = the_new(folder, sound)
    assert finding.kind is FindingKind.OPEN_TO_OTHERS
    assert f"chmod -R go= {folder}" in finding_words(finding)
