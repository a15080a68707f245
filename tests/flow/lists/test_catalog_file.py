"""A catalog beside pictures: what it says, and what is kept of a large one."""

import os
from datetime import date
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import xlsxwriter

from intake.edges import prepared_files
from intake.edges.exchange.marc_files import marc_bytes
from intake.errors import FileError
from intake.flow.lists import catalog_file
from intake.flow.lists.catalog_file import Catalog
from intake.flow.lists.list_guess import ListReading
from tests.edges.exchange.marc_data import field, record

TODAY = date(2026, 3, 31)
TEXT = "isbn,title\n9780306406157,Ferns\n978-3-16-148410-0,Grüne Möwen\n9780306406158,Wrong\n,None\n"


@pytest.fixture(autouse=True)
def _kept_in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(prepared_files, "user_cache_path", lambda _name: tmp_path / "cache")
    monkeypatch.setattr(catalog_file, "SMALLEST_BYTES", 1)


def read_catalog(path: Path, **said: str) -> Catalog:
    return catalog_file.read_catalog(path, reading=ListReading(**said), today=TODAY)  # type: ignore[arg-type] # by name


def write(folder: Path, text: str = TEXT) -> Path:
    file = folder / "catalog.csv"
    file.write_text(text, encoding="utf-8")
    return file


def kept(folder: Path) -> list[Path]:
    return sorted(folder.glob(".catalog.csv.*"))


def refuse_parsing(monkeypatch: pytest.MonkeyPatch) -> None:
    def parse(*_arguments: object, **_options: object) -> None:
        raise AssertionError("the rows were parsed again")

    monkeypatch.setattr(catalog_file, "parse_titles", parse)


def test_numbers_and_titles(tmp_path: Path) -> None:
    catalog = read_catalog(write(tmp_path))
    assert dict(catalog.titles) == {"9780306406157": "Ferns", "9783161484100": "Grüne Möwen"}
    assert (catalog.titles.left_out, "9780306406158" in catalog.titles) == (2, False)
    assert catalog.book is not None
    assert catalog.book.numbers == ("9780306406157", "9783161484100")


def test_the_second_time_no_row_is_parsed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = read_catalog(write(tmp_path))
    assert len(kept(tmp_path)) == 1
    refuse_parsing(monkeypatch)
    again = read_catalog(tmp_path / "catalog.csv")
    assert dict(again.titles) == dict(first.titles)
    assert again.titles.left_out == 2
    assert again.book is not None
    assert first.book is not None
    assert again.book.numbers == first.book.numbers


def test_a_changed_catalog_is_read_anew_and_what_was_kept_of_the_old_is_removed(tmp_path: Path) -> None:
    read_catalog(write(tmp_path))
    (old,) = kept(tmp_path)
    catalog = read_catalog(write(tmp_path, TEXT.replace("Ferns", "Mosses")))
    assert catalog.titles["9780306406157"] == "Mosses"
    (new,) = kept(tmp_path)
    assert new != old


def test_what_is_kept_goes_to_the_cache_where_the_folder_may_not_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = write(tmp_path)
    monkeypatch.setattr(os, "access", lambda _path, _mode: False)
    read_catalog(file)
    assert kept(tmp_path) == []
    assert len(list((tmp_path / "cache").iterdir())) == 1
    refuse_parsing(monkeypatch)
    assert read_catalog(file).titles["9780306406157"] == "Ferns"


@pytest.mark.parametrize("damage", ["cut", "flipped", "foreign", "of another file", "pickled", "one array"])
def test_what_is_damaged_is_made_anew(tmp_path: Path, damage: str) -> None:
    file = write(tmp_path)
    read_catalog(file)
    (path,) = kept(tmp_path)
    whole = path.read_bytes()
    if damage == "of another file":
        (tmp_path / "other").mkdir()
        read_catalog(write(tmp_path / "other", "isbn,title\n9783161484100,Another\n"))
        path.write_bytes(kept(tmp_path / "other")[0].read_bytes())
    else:
        middle = whole.index(b"Ferns")
        flipped = whole[:middle] + b"G" + whole[middle + 1 :]
        array = BytesIO()
        np.save(array, np.zeros(3))
        broken = {
            "cut": whole[:-200],
            "flipped": flipped,
            "foreign": b"not an archive",
            "pickled": b"\x80\x04K\x01.",
            "one array": array.getvalue(),
        }
        path.write_bytes(broken[damage])
    assert dict(read_catalog(file).titles) == {"9780306406157": "Ferns", "9783161484100": "Grüne Möwen"}
    assert kept(tmp_path) == [path]
    assert path.read_bytes() == whole


def test_nothing_is_kept_of_a_small_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    read_catalog(write(tmp_path))
    assert kept(tmp_path) == []


def test_a_catalog_without_the_columns_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="title"):
        read_catalog(write(tmp_path, "isbn,name of it\n9780306406157,Ferns\n"))


FERNS = {"9780306406157": "Ferns", "9783161484100": "Grüne Möwen"}


def test_a_catalog_may_have_any_form_that_an_import_takes(tmp_path: Path) -> None:
    """Semicolons, German headings and an older encoding; a workbook; records of a library."""
    text = "Buchtitel;Verlag;ISBN-Nr.\nFerns;Gull;9780306406157\nGrüne Möwen;Gull;978-3-16-148410-0\n"
    (tmp_path / "list.csv").write_bytes(text.encode("cp1252"))
    assert dict(read_catalog(tmp_path / "list.csv", encoding="cp1252").titles) == FERNS
    with xlsxwriter.Workbook(tmp_path / "list.xlsx") as book:
        sheet = book.add_worksheet()
        for nth, row in enumerate(("My books", "", "Titel;EAN", "Ferns;9780306406157", "Grüne Möwen;9783161484100")):
            sheet.write_row(nth, 0, row.split(";"))
    assert dict(read_catalog(tmp_path / "list.xlsx").titles) == FERNS
    records = (record(field("020", "  ", f"a{n}"), field("245", "00", f"a{t}")) for n, t in FERNS.items())
    (tmp_path / "list.mrc").write_bytes(b"".join(map(marc_bytes, records)))
    assert dict(read_catalog(tmp_path / "list.mrc").titles) == FERNS


def test_what_is_kept_is_never_of_another_reading(tmp_path: Path) -> None:
    """A column that a person names counts, though the titles of the same file were kept before."""
    text = "isbn,title,name\n9780306406157,Ferns,Bracken\n"
    assert dict(read_catalog(write(tmp_path, text)).titles) == {"9780306406157": "Ferns"}
    named = catalog_file.read_catalog(
        tmp_path / "catalog.csv", reading=ListReading(mapping={"title": "name"}), today=TODAY
    )
    assert dict(named.titles) == {"9780306406157": "Bracken"}
