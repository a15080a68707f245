"""The items of MARC records imported again, the same and corrected: each row means its own copy. All invented."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from intake.edges.exchange import marcxml
from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.marc_files import marc_bytes
from intake.edges.store.library import open_library
from intake.flow.lists.export_records import ExportKind, export_records
from intake.flow.lists.import_file import import_file
from intake.flow.lists.import_list import ImportResult, ListKind
from intake.flow.lists.reasons import RowReason
from intake.model.editions import Copy
from tests.edges.exchange.marc_data import field, record
from tests.made_library import new_library

TODAY = date(2026, 3, 31)
BOOK = (MarcField("001", data="S1"), field("245", "00", "aSalt"))


def items(*notes: str) -> MarcRecord:
    """Return a record of one edition with an item for each note."""
    return record(*BOOK, *(field("852", "  ", f"hBirds {nth}", f"z{note}") for nth, note in enumerate(notes)))


def as_marc(whole: MarcRecord) -> bytes:
    return marc_bytes(whole)


def as_marcxml(whole: MarcRecord) -> bytes:
    return marcxml.OPENING + marcxml.marcxml_bytes(whole) + marcxml.CLOSING


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    new_library(tmp_path / "library").close()
    return tmp_path


def take(folder: Path, kind: ListKind, data: bytes, name: str = "books.mrc") -> ImportResult:
    (folder / name).write_bytes(data)
    return import_file(folder / "library", kind, folder / name, station="test", today=TODAY)


def notes(folder: Path) -> dict[str, str]:
    with open_library(folder / "library") as library, library.reading() as reader:
        return {copy.accession: copy.note for copy in reader.all(Copy)}


@pytest.mark.parametrize("write", [as_marc, as_marcxml])
@pytest.mark.parametrize("said", [("", "b", "c"), ("first", "second", "third"), ("", "", ""), ("", "dup"), ("one",)])
def test_the_items_of_a_record_again_change_nothing(
    write: Callable[[MarcRecord], bytes], said: tuple[str, ...], folder: Path
) -> None:
    take(folder, ListKind.EDITIONS, write(items(*said)))
    assert take(folder, ListKind.COPIES, write(items(*said))).made == len(said)
    before = notes(folder)
    assert sorted(before.values()) == sorted(said)
    again = take(folder, ListKind.COPIES, write(items(*said)))
    assert (again.made, again.altered, again.unchanged, again.unlisted, again.bad_rows) == (0, 0, len(said), (), ())
    assert notes(folder) == before


def test_a_correction_reaches_the_item_that_it_is_of(folder: Path) -> None:
    take(folder, ListKind.EDITIONS, as_marc(items("")))
    take(folder, ListKind.COPIES, as_marc(items("first", "second", "")))
    (second,) = (accession for accession, note in notes(folder).items() if note == "second")
    before = notes(folder)
    corrected = take(folder, ListKind.COPIES, as_marc(items("first", "second, torn", "")))
    assert (corrected.made, corrected.altered, corrected.unchanged, corrected.unlisted) == (0, 1, 2, ())
    assert notes(folder) == {**before, second: "second, torn"}


def test_an_item_that_is_gone_is_named_and_the_others_keep_what_is_theirs(folder: Path) -> None:
    take(folder, ListKind.EDITIONS, as_marc(items("")))
    take(folder, ListKind.COPIES, as_marc(items("", "b", "c")))
    before = notes(folder)
    fewer = take(folder, ListKind.COPIES, as_marc(items("b", "c")))
    assert (fewer.made, fewer.altered, fewer.unchanged) == (0, 0, 2)
    assert [before[one.accession] for one in fewer.unlisted] == [""]
    assert notes(folder) == before


def test_two_items_of_one_own_number_are_told_by_their_places(folder: Path) -> None:
    take(folder, ListKind.EDITIONS, as_marc(items("")))
    twice = record(*BOOK, *(field("876", "  ", "pA1-59", f"z{note}") for note in "ab"))
    (bad,) = take(folder, ListKind.COPIES, as_marc(twice)).bad_rows
    assert (bad.reason, str(bad.line), str(bad.facts["earlier"])) == (RowReason.SAME_COPY, "1, item 2", "1, item 1")


@pytest.mark.parametrize("name", ["own.mrc", "own.xml"])
def test_our_own_export_changes_nothing_here_and_keeps_the_numbers_elsewhere(name: str, folder: Path) -> None:
    take(folder, ListKind.EDITIONS, as_marc(items("")))
    take(folder, ListKind.COPIES, as_marc(items("b", "", "b")))
    format_ = "marcxml" if name.endswith("xml") else None
    with open_library(folder / "library") as library:
        export_records(library, ExportKind.COPIES, folder / name, format_=format_, today=TODAY)
    data, before = (folder / name).read_bytes(), notes(folder)
    again = take(folder, ListKind.COPIES, data, name)
    assert (again.made, again.altered, again.unchanged) == (0, 0, 3)
    assert [remark.where for remark in again.remarks] == ["876 $j"]  # where a copy is, a list does not say
    elsewhere = folder / "elsewhere"
    elsewhere.mkdir()
    new_library(elsewhere / "library").close()
    take(elsewhere, ListKind.EDITIONS, data, name)
    take(elsewhere, ListKind.COPIES, data, name)
    assert notes(elsewhere) == before
    assert take(elsewhere, ListKind.COPIES, data, name).unchanged == len(before)
