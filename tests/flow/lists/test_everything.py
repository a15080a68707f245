"""A library out to files and in again: the same numbers, the same records, the same bytes. All invented."""

from csv import reader as csv_reader
from dataclasses import fields, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.edges.store.library import Library, open_library
from intake.edges.store.numbering import OWN_KINDS
from intake.edges.store.queries.copies import copies_in_box
from intake.edges.store.queries.everything import has_records, highest_numbers
from intake.edges.store.record_cells import cells, columns, read_record
from intake.edges.store.rows import RECORD_TYPES, key_name, table_name
from intake.edges.store.tables import REFERENCES
from intake.errors import FileError, RefusedError
from intake.flow.lists import import_everything as importing
from intake.flow.lists.everything_files import EARLIER, FILES, NUMBERS_FILE, PICTURES
from intake.flow.lists.export_everything import export_everything
from intake.flow.lists.import_everything import ImportedFolder, import_everything
from intake.flow.lists.reasons import RowReason
from intake.flow.lists.row_words import bad_row_sentence
from intake.flow.moving import box_lifecycle
from intake.flow.undo import undo
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.identifiers.own import make
from intake.model.boxes import Box, BoxPicture
from intake.model.changes import Action, ActionKind, Record, made
from intake.model.condition import CopyPicture
from intake.model.editions import Copy
from intake.model.sightings import Picture
from tests.drawn_examples import examples
from tests.edges.store.made import records
from tests.made_library import new_library

NOW = datetime(2026, 3, 31, 9, 30, tzinfo=UTC)


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def copied(library: Library, folder: Path) -> tuple[Library, dict[str, bytes]]:
    """Return the library made again from an export, and the bytes of the export."""
    export_everything(library, folder / "out")
    result = import_everything(folder / "again", folder / "out", station="test")
    assert result.bad_rows == [], [(name, bad.line, bad_row_sentence(bad)) for name, bad in result.bad_rows]
    return open_library(folder / "again"), content(folder / "out")


def every(library: Library) -> dict[str, tuple[Record, ...]]:
    with library.reading() as reader:
        return {table_name(file.kind): reader.all(file.kind) for file in FILES if file.kind not in EARLIER}


def test_every_kind_of_record_has_a_file_or_is_of_pictures() -> None:
    assert {file.kind for file in FILES} | set(PICTURES) == set(RECORD_TYPES)
    assert set(PICTURES) == {Picture, BoxPicture, CopyPicture}


def test_a_library_comes_out_again_as_it_went_in(arrived: Library, tmp_path: Path) -> None:
    again, out = copied(arrived, tmp_path)
    with again:
        assert every(again) == every(arrived)
        export_everything(again, tmp_path / "second")
    assert content(tmp_path / "second") == out
    # The columns of another program's reader, and the copies in the order of their numbers.
    rows = list(csv_reader((tmp_path / "out" / "copies.csv").read_bytes().decode().splitlines()))
    assert rows[0][0] == "accession"
    assert [row[0] for row in rows[1:]] == [make(OWN_KINDS[Copy], serial) for serial in range(1, 6)]


def test_what_was_found_on_no_list_stays_on_no_list(arrived: Library, tmp_path: Path) -> None:
    with arrived.reading() as reader:
        listed = copies_in_box(reader, "B1-56")
    scan = Scan("9781857982183", "one", trusted=True)
    book_scan(arrived, "1", scan, choose=lambda question: question.options[0], station="test", now=NOW)
    with arrived.reading() as reader:
        (found,) = [copy for copy in reader.all(Copy) if copy.box == "B1-56" and copy not in listed]
    again, _ = copied(arrived, tmp_path)
    with again, again.reading() as reader:
        assert reader.get(Copy, found.accession) == found
        assert {copy.accession for copy in copies_in_box(reader, "B1-56")} == {copy.accession for copy in listed}


def test_numbers_that_were_given_once_are_not_given_again(library: Library, tmp_path: Path) -> None:
    """The label of a box that is gone may still be on a carton."""
    box_lifecycle.open_box(library, Box(number="B9-81"), station="test")
    undo(library, station="test")
    with library.reading() as reader:
        given_out = highest_numbers(reader)
    again, _ = copied(library, tmp_path)
    with again, again.reading() as reader:
        assert {name: last for name, last in highest_numbers(reader).items() if name in given_out} == given_out


def test_it_goes_into_an_empty_library_only_and_is_one_step_to_undo(library: Library, tmp_path: Path) -> None:
    export_everything(library, tmp_path / "out")
    before = every(library)
    for dry_run in (True, False):
        with pytest.raises(RefusedError):
            import_everything(library.place, tmp_path / "out", dry_run=dry_run, station="test")
    assert every(library) == before
    import_everything(tmp_path / "again", tmp_path / "out", station="test")
    with open_library(tmp_path / "again") as again:
        undo(again, station="test")
        with again.reading() as reader:
            assert not has_records(reader)
    result = import_everything(tmp_path / "again", tmp_path / "out", station="test")
    assert result.entries, "a library that everything was taken back from is empty"


def test_a_dry_run_makes_nothing(library: Library, tmp_path: Path) -> None:
    written = export_everything(library, tmp_path / "out")
    result = import_everything(tmp_path / "again", tmp_path / "out", dry_run=True, station="test")
    assert (result.rows, result.entries) == (written.rows, ())
    assert not (tmp_path / "again").exists()


def test_an_export_replaces_nothing(library: Library, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("keep", encoding="utf-8")
    with pytest.raises(FileError):
        export_everything(library, tmp_path / "out")
    assert content(tmp_path / "out") == {"mine.txt": b"keep"}
    (tmp_path / "out" / "mine.txt").unlink()
    export_everything(library, tmp_path / "out")
    assert {path.name for path in tmp_path.iterdir() if path.name.endswith(".part")} == set()


def edited(library: Library, folder: Path, file: str, old: str, new: str) -> ImportedFolder:
    """Import an export in one file of which something was altered by hand."""
    export_everything(library, folder / "out")
    path = folder / "out" / file
    text = path.read_bytes().decode()
    assert old in text
    path.write_bytes(text.replace(old, new, 1).encode())
    result = import_everything(folder / "again", folder / "out", station="test")
    assert result.entries == () or not result.bad_rows
    return result


@pytest.mark.parametrize(
    ("file", "old", "new", "reason"),
    [
        ("copies.csv", "A2-50", "A2-51", RowReason.NOT_AN_OWN_NUMBER),
        ("copies.csv", "A2-50", "2", RowReason.NOT_AN_OWN_NUMBER),
        ("copies.csv", "A2-50", "A1-59", RowReason.SAME_RECORD),
        ("copies.csv", "A1-59,1,", "A1-59,99,", RowReason.REFERENCE_MISSING),
        ("copies.csv", "packed", "packt", RowReason.CELL_UNREADABLE),
        ("copies.csv", "A1-59,1,", "A1-59,,", RowReason.CELL_UNREADABLE),
        ("editions.csv", "1990", "19.90", RowReason.CELL_UNREADABLE),
        ("values.csv", "120.00", "12O", RowReason.CELL_UNREADABLE),
        ("places.csv", "shelf,1,S2-93", "shelf,1,S9-60", RowReason.REFERENCE_MISSING),
        ("places.csv", "bookcase,A,S1-05", "bookcase,A,S2-93", RowReason.REFERENCE_IN_A_CIRCLE),
        ("boxes.csv", "Study", "Study,,,,,,,,,,,,,,,,,,,,,,,,x", RowReason.TOO_MANY_CELLS),
        (NUMBERS_FILE, "serial A", "serial Q", RowReason.CELL_UNREADABLE),
    ],
)
def test_a_row_that_no_export_wrote(
    library: Library, tmp_path: Path, file: str, old: str, new: str, reason: RowReason
) -> None:
    result = edited(library, tmp_path, file, old, new)
    assert reason in [bad.reason for name, bad in result.bad_rows if name == file]
    assert all(bad_row_sentence(bad) for _, bad in result.bad_rows)
    assert not (tmp_path / "again").exists()


def test_a_folder_that_is_not_an_export(library: Library, tmp_path: Path) -> None:
    for source in (tmp_path, tmp_path / "nowhere"):
        with pytest.raises(FileError):
            import_everything(tmp_path / "again", source, station="test")
    for old, new in (("title", "titel"), (",volume", "")):
        with pytest.raises(FileError):
            edited(library, tmp_path / new, "editions.csv", old, new)


def test_another_file_in_the_folder_is_named(library: Library, tmp_path: Path) -> None:
    export_everything(library, tmp_path / "out")
    (tmp_path / "out" / "notes.txt").write_text("mine", encoding="utf-8")
    result = import_everything(tmp_path / "again", tmp_path / "out", dry_run=True, station="test")
    assert result.ignored == ("notes.txt",)


def _plain_text(value: Any) -> Any:
    """Take out what no table can hold: a NUL."""
    if isinstance(value, str) and type(value) is str:
        return value.replace("\0", "")
    return tuple(map(_plain_text, value)) if isinstance(value, tuple) else value


@st.composite
def libraries(draw: st.DrawFn) -> list[Record]:
    """Draw a library whose records refer to each other: any values, keys with gaps, own numbers in no order."""
    drawn: list[Record] = []
    keys: dict[str, list[int | str]] = {}
    for file in (file for file in FILES if file.kind not in EARLIER):
        table = table_name(file.kind)
        serials = draw(st.lists(st.integers(1, 3000), max_size=4, unique=True))
        keys[table] = []
        for serial in serials:
            record = draw(records(file.kind))
            own = OWN_KINDS.get(file.kind)
            key_type = type(getattr(record, key_name(file.kind)))
            key: int | str = make(own, serial) if own else serial if key_type is int else f"key {serial}"
            values = {one.name: _plain_text(getattr(record, one.name)) for one in fields(record)}
            values[key_name(file.kind)] = key
            for name in values:
                taken = keys[table] if name == key_name(file.kind) else []
                other = REFERENCES.get(f"{table}.{name}", "").partition(".")[0]
                if name == "picture":
                    values[name] = None
                elif other:
                    optional = "None" in str(file.kind.__annotations__[name])
                    free = [one for one in keys[other] if one not in taken]
                    choices: list[Any] = [*free, *([None] if optional else [])]
                    values[name] = draw(st.sampled_from(choices)) if choices else ""
            if "" in [values[name] for name in values if f"{table}.{name}" in REFERENCES]:
                continue
            keys[table].append(values[key_name(file.kind)])
            drawn.append(type(record)(**values))
    return drawn


def as_kept(record: Record) -> Record:
    """Return a record as an export keeps it: an empty text where there may be none is none."""
    kept: dict[str, Any] = {}
    for one in fields(record):
        value = getattr(record, one.name)
        optional = "None" in str(type(record).__annotations__[one.name])
        if value == "" and optional:
            kept[one.name] = None
        elif value == ("",):
            kept[one.name] = ()
    return replace(record, **kept)


@settings(max_examples=examples(15), deadline=None, suppress_health_check=list(HealthCheck))
@given(libraries())
def test_any_library_comes_out_again_as_it_went_in(
    tmp_path_factory: pytest.TempPathFactory, drawn: list[Record]
) -> None:
    folder = tmp_path_factory.mktemp("everything")
    with new_library(folder / "library", now=lambda: NOW) as library:
        if drawn:
            library.apply(Action(ActionKind.IMPORT_EVERYTHING, "made"), made(*drawn))
        again, out = copied(library, folder) if drawn else (library, {})
        with again:
            for table, kept in every(library).items():
                assert tuple(map(as_kept, kept)) == every(again)[table]
            if drawn:
                export_everything(again, folder / "second")
                assert content(folder / "second") == out


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
@given(data=st.data())
def test_the_cells_of_any_record_are_that_record(file: Any, data: st.DataObject) -> None:
    record = data.draw(records(file.kind))
    names = columns(file.kind)
    back = read_record(file.kind, dict(zip(names, cells(record, names), strict=True)))
    assert back == as_kept(record)


@pytest.fixture
def in_small_lots(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importing, "ROWS_AT_ONCE", 2)
    monkeypatch.setattr("intake.edges.store.staging.LOT", 2)


@pytest.mark.usefixtures("in_small_lots")
def test_in_parts_it_is_the_same(arrived: Library, tmp_path: Path) -> None:
    again, out = copied(arrived, tmp_path)
    with again:
        assert every(again) == every(arrived)
        export_everything(again, tmp_path / "second")
    assert content(tmp_path / "second") == out
