"""Lists in a library made from the records of another: they do there what they would have done here. All invented."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.edges.csv_rows import CsvFile, SheetRow
from intake.edges.sheets import csv_bytes, read_csv
from intake.edges.store.library import Library, open_library
from intake.errors import FileError
from intake.flow.lists.everything_files import FILE_OF
from intake.flow.lists.export_everything import export_everything
from intake.flow.lists.import_everything import ImportedFolder, import_everything
from intake.flow.lists.import_list import ImportResult, ListKind, import_table
from intake.flow.lists.lot_plan import MergedName
from intake.flow.lists.reasons import RowReason
from intake.flow.lists.row_words import bad_row_sentence
from intake.flow.safekeeping.check_library import check_library
from intake.flow.undo import undo
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change
from intake.model.earlier import EarlierListing, EarlierMerge
from intake.model.editions import Copy, Edition, Grade
from tests.drawn_examples import examples
from tests.flow.conftest import CATALOG, import_text
from tests.flow.lists.test_merged_again import STOCK, copies, editions, merge, records
from tests.flow.lists.test_same_list import ROWS, Row, alter
from tests.made_library import new_library

Since = tuple[int, Grade]
"""Which copy is inspected, and what is found."""

MERGED, SAID = (FILE_OF[kind].name for kind in (EarlierMerge, EarlierListing))


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with new_library(tmp_path / "library") as opened:
        yield opened


@contextmanager
def carried(library: Library, folder: Path) -> Iterator[Library]:
    """Make the library again from its records, and look that it comes out once more as it went in."""
    export_everything(library, folder / "out")
    result = import_everything(folder / "again", folder / "out", station="test")
    assert (result.bad_rows, result.is_older) == ([], False)
    with open_library(folder / "again") as again:
        yield again
        assert check_library(again).findings == ()


def same_files(one: Path, other: Path) -> bool:
    return [file.read_bytes() for file in sorted(one.iterdir())] == [
        file.read_bytes() for file in sorted(other.iterdir())
    ]


def told(library: Library, folder: Path, kind: ListKind, text: str) -> ImportResult:
    """Return what a list would do, row by row."""
    file = folder / f"{kind}.csv"
    file.write_text(text, encoding="utf-8")
    today = date(2026, 3, 31)
    return import_table(
        library, kind, read_csv(file), file=file.name, dry_run=True, by_row=True, station="test", today=today
    )


def test_the_same_list_again_after_merges_changes_nothing(library: Library, tmp_path: Path) -> None:
    editions(library, tmp_path)
    copies(library, tmp_path)
    merge(library, "G2", "G1")
    merge(library, "G1", "G3", take=["key"])
    with carried(library, tmp_path) as again:
        before = records(again)
        assert before == records(library)
        listed = editions(again, tmp_path)
        assert (listed.made, listed.altered, listed.unlisted_editions) == (0, 0, ())
        assert listed.merged == (MergedName(3, "G2", "G1"), MergedName(4, "G3", "G1"))
        values = copies(again, tmp_path)
        assert (values.made, values.altered, values.unchanged, values.unlisted) == (0, 0, 4, ())
        assert records(again) == before
        export_everything(again, tmp_path / "second")
        assert same_files(tmp_path / "out", tmp_path / "second")
        # What is merged there from then on its own ledger tells, and the chain of both is followed.
        merge(again, "G1", "G4", despite=True)
        assert [row.into for row in editions(again, tmp_path).merged] == ["G4", "G4", "G4"]
        (tmp_path / "third").mkdir()
        with carried(again, tmp_path / "third") as third:
            listed = editions(third, tmp_path)
            assert (listed.made, [row.into for row in listed.merged]) == (0, ["G4", "G4", "G4"])


def test_a_merge_that_was_taken_back_is_not_carried_over(library: Library, tmp_path: Path) -> None:
    editions(library, tmp_path)
    merged = merge(library, "G2", "G1")
    assert merged is not None
    undo(library, merged.entry.seq, station="test")
    with carried(library, tmp_path) as again:
        assert (tmp_path / "out" / MERGED).read_bytes().count(b"\n") == 1
        listed = editions(again, tmp_path)
        assert (listed.made, listed.unchanged, listed.merged) == (0, 4, ())


def test_what_was_recorded_since_stays_and_what_left_the_list_is_told(library: Library, tmp_path: Path) -> None:
    """A copy was inspected and a box weighed: the old lists bring back neither, their corrections come in."""
    editions(library, tmp_path)
    copies(library, tmp_path)
    boxes = "box,tare_g,gross_g,note\n1,800,20000,\n"
    import_text(library, tmp_path, ListKind.BOXES, boxes)
    alter(library, "A1-59", grade=Grade.GOOD, note="first, and foxed")
    with library.reading() as reader:
        box = reader.get(Box, "B1-56")
    assert box is not None
    library.apply(Action(ActionKind.WEIGH_BOX, box.number), [Change(box, replace(box, gross_g=21000.0))])
    # Said in two imports, so that the folder has both as one.
    copies(library, tmp_path, STOCK.replace("2,,1150.00", "2,worn,1175.00"))
    with carried(library, tmp_path) as again:
        before = records(again)
        listed = import_text(again, tmp_path, ListKind.BOXES, boxes)
        assert (listed.made, listed.altered, listed.left) == (0, 0, 1)
        stock = STOCK.replace("2,,1150.00", "2,worn,1175.00")
        listed = copies(again, tmp_path, stock)
        assert (listed.made, listed.altered, listed.unchanged) == (0, 0, 4)
        assert records(again) == before
        gone = copies(again, tmp_path, stock.replace("G4,,Old Charts,1911,2,,22.00,EUR\n", ""))
        assert [one.accession for one in gone.unlisted] == ["A4-32"]
        gone = editions(again, tmp_path, stock.replace("G4,,Old Charts,1911,2,,22.00,EUR\n", ""))
        assert [one.name for one in gone.unlisted_editions] == ["G4"]
        corrected = copies(again, tmp_path, stock.replace("first", "first of all"))
        assert corrected.altered == 1


@settings(max_examples=examples(8), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(*[st.lists(ROWS, max_size=8)] * 3, st.lists(st.tuples(st.integers(1, 5), st.sampled_from(Grade)), max_size=3))
def test_any_list_does_what_it_does_here(
    tmp_path_factory: pytest.TempPathFactory, first: list[Row], second: list[Row], third: list[Row], since: list[Since]
) -> None:
    """Two lists, steps of people, any third list: what it would do there is, cell by cell, what it would do here."""
    folder = tmp_path_factory.mktemp("carried")
    with new_library(folder / "library", now=lambda: datetime(2026, 3, 31, tzinfo=UTC)) as library:
        import_text(library, folder, ListKind.EDITIONS, CATALOG)
        for rows in (first, second):
            import_text(library, folder, ListKind.COPIES, _text(rows))
        with library.reading() as reader:
            known = [copy.accession for copy in reader.all(Copy)]
        for nth, grade in since:
            if nth < len(known):
                alter(library, known[nth], grade=grade)
        with carried(library, folder) as again:
            for rows in (first, second, third):
                lists = [told(of, folder, ListKind.COPIES, _text(rows)) for of in (library, again)]
                assert lists[0] == lists[1]
            export_everything(again, folder / "second")
            assert same_files(folder / "out", folder / "second")


def _text(rows: list[Row]) -> str:
    lines = "".join(f"{box},{key},{grade},{value},EUR\n" for box, key, grade, value in rows)
    return f"box,key,grade,value,currency\n{lines}"


def test_it_is_taken_back_with_the_import_of_everything(library: Library, tmp_path: Path) -> None:
    editions(library, tmp_path)
    merge(library, "G2", "G1")
    with carried(library, tmp_path) as again:
        undo(again, station="test")
        with again.reading() as reader:
            assert (reader.all(EarlierMerge), reader.all(EarlierListing)) == ((), ())
        assert editions(again, tmp_path).made == 4


def altered(library: Library, folder: Path, name: str, column: str, text: str) -> ImportedFolder:
    """Import an export in the first row of one file of which a cell was altered by hand."""
    export_everything(library, folder / "out")
    path = folder / "out" / name
    table = CsvFile(path)
    rows = [row.cells for row in table if isinstance(row, SheetRow)]
    rows[0] = {**rows[0], column: text}
    path.write_bytes(csv_bytes(table.header, [[row[name] for name in table.header] for row in rows]))
    return import_everything(folder / "again", folder / "out", station="test")


@pytest.mark.parametrize(
    ("name", "column", "text", "reason"),
    [
        (MERGED, "into", "99", RowReason.REFERENCE_MISSING),
        (MERGED, "edition", "3", RowReason.CELL_UNREADABLE),
        (SAID, "step", "pack copy", RowReason.CELL_UNREADABLE),
        (SAID, "record_table", "pamphlet", RowReason.CELL_UNREADABLE),
        (SAID, "record_key", "99", RowReason.CELL_UNREADABLE),
        (SAID, "after", '{"id":1', RowReason.CELL_UNREADABLE),
        (SAID, "after", '{"id":1}', RowReason.CELL_UNREADABLE),
        (SAID, "after", '{"id":1,"title":7}', RowReason.CELL_UNREADABLE),
        (SAID, "after", '{"id":1,"title":"T","wings":2}', RowReason.CELL_UNREADABLE),
        (SAID, "before", '{"id": 1,"title":"T"}', RowReason.CELL_UNREADABLE),
    ],
)
def test_a_row_that_no_export_wrote(
    library: Library, tmp_path: Path, name: str, column: str, text: str, reason: RowReason
) -> None:
    editions(library, tmp_path)
    merge(library, "G2", "G1")
    result = altered(library, tmp_path, name, column, text)
    assert [(file, bad.line, bad.reason) for file, bad in result.bad_rows] == [(name, 2, reason)]
    assert all(bad_row_sentence(bad) for _, bad in result.bad_rows)
    assert not (tmp_path / "again").exists()


def test_a_folder_of_an_older_program_tells_nothing_of_lists(library: Library, tmp_path: Path) -> None:
    editions(library, tmp_path)
    merge(library, "G2", "G1")
    export_everything(library, tmp_path / "out")
    (tmp_path / "out" / SAID).unlink()
    with pytest.raises(FileError):
        import_everything(tmp_path / "again", tmp_path / "out", station="test")
    (tmp_path / "out" / MERGED).unlink()
    result = import_everything(tmp_path / "again", tmp_path / "out", station="test")
    assert (result.bad_rows, result.is_older) == ([], True)
    with open_library(tmp_path / "again") as again:
        assert editions(again, tmp_path).made_of == {Edition: 1}, "what was merged is made anew"
