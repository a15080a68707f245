"""A list imported again after editions that it names were merged: nothing is doubled. All invented."""

from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.merge_editions import plan_edition_merge
from intake.flow.lists.import_list import ImportResult, ListKind
from intake.flow.lists.lot_plan import MergedName
from intake.flow.undo import undo
from intake.model.changes import Applied
from intake.model.editions import Copy, Edition
from intake.model.valuations import Valuation
from tests.flow.conftest import import_text
from tests.made_library import new_library

STOCK = """key,isbn,title,year,box,note,value,currency
G1,9780306406157,Ferns of the Outer Isles,1990,1,first,48.50,EUR
G2,9780306406157,Ferns of the Outer Isles,1990,1,,65.00,EUR
G3,9780306406157,Ferns of the Outer Isles,1990,2,,1150.00,EUR
G4,,Old Charts,1911,2,,22.00,EUR
"""


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with new_library(tmp_path / "library") as opened:
        yield opened


def editions(library: Library, folder: Path, text: str = STOCK) -> ImportResult:
    rows = [row.split(",")[:4] for row in text.splitlines()]
    return import_text(library, folder, ListKind.EDITIONS, "\n".join(map(",".join, rows)))


def copies(library: Library, folder: Path, text: str = STOCK) -> ImportResult:
    rows = [row.split(",") for row in text.splitlines()]
    return import_text(library, folder, ListKind.COPIES, "\n".join(",".join(row[:2] + row[4:]) for row in rows))


def merge(library: Library, other: str, kept: str, **said: object) -> Applied | None:
    with library.reading() as reader:
        plan = plan_edition_merge(reader, other, kept, station="test", **said)  # type: ignore[arg-type]
    return apply_correction(library, plan)


def records(library: Library) -> Mapping[type, object]:
    with library.reading() as reader:
        return {kind: reader.all(kind) for kind in (Edition, Copy, Valuation)}


def test_the_whole_list_again_after_a_merge_makes_and_alters_nothing(library: Library, tmp_path: Path) -> None:
    assert editions(library, tmp_path).alike == {2: [3, 4]}
    copies(library, tmp_path)
    merge(library, "G2", "G1")
    merge(library, "G3", "G1")
    before = records(library)
    listed = editions(library, tmp_path)
    assert (listed.made, listed.altered, listed.unlisted_editions, listed.alike) == (0, 0, (), {})
    assert listed.merged == (MergedName(3, "G2", "G1"), MergedName(4, "G3", "G1"))
    corrected = editions(library, tmp_path, STOCK.replace("G2,9780306406157,Ferns", "G2,9780306406157,All Ferns"))
    assert [(row.line, row.is_left) for row in corrected.merged] == [(3, True), (4, False)]
    assert records(library) == before
    again = copies(library, tmp_path)
    assert (again.made, again.altered, again.unchanged, again.unlisted) == (0, 0, 4, ())
    assert again.merged == listed.merged
    assert records(library) == before


def test_a_correction_reaches_the_copy_of_the_row_that_was_merged(library: Library, tmp_path: Path) -> None:
    editions(library, tmp_path)
    copies(library, tmp_path)
    merge(library, "G2", "G1")
    result = copies(library, tmp_path, STOCK.replace("1,,65.00", "1,torn,65.00"))
    assert (result.made, result.altered, result.unlisted) == (0, 1, ())
    with library.reading() as reader:
        noted = {value.amount: reader.get(Copy, value.copy) for value in reader.all(Valuation)}
    assert {str(amount): copy.note for amount, copy in noted.items() if copy is not None} == {
        "48.50": "first", "65.00": "torn", "1150.00": "", "22.00": "",
    }  # fmt: skip


def test_before_there_are_copies_the_entry_tells_which_edition_stays(library: Library, tmp_path: Path) -> None:
    editions(library, tmp_path)
    merge(library, "G2", "G1")  # nothing but the record of G2 goes, and G3 is like both
    merge(library, "G1", "G3")
    again = editions(library, tmp_path)
    assert (again.made, again.altered, again.unlisted_editions) == (0, 0, ())
    assert [(row.name, row.into) for row in again.merged] == [("G1", "G3"), ("G2", "G3")]


def test_the_key_that_the_other_one_gave_way_to_is_known_too(library: Library, tmp_path: Path) -> None:
    editions(library, tmp_path)
    merge(library, "G2", "G1", take=["key"])
    again = editions(library, tmp_path)
    assert (again.made, again.altered, again.unlisted_editions) == (0, 0, ())
    assert [(row.name, row.into) for row in again.merged] == [("G1", "G2")]


def test_titles_alone_and_numbers_of_a_merged_edition_name_the_one_that_stays(library: Library, tmp_path: Path) -> None:
    text = "title,isbn\nOld Charts\nOlde Charts\nGulls,9783161484100\nGuls,9780306406157\n"
    import_text(library, tmp_path, ListKind.EDITIONS, text)
    merge(library, "Olde Charts", "Old Charts")
    merge(library, "9780306406157", "9783161484100", despite=True)
    again = import_text(library, tmp_path, ListKind.EDITIONS, text)
    assert (again.made, again.altered, again.unlisted_editions) == (0, 0, ())
    listed = import_text(library, tmp_path, ListKind.COPIES, "key\nOlde Charts\n9780306406157\n")
    assert (listed.made_of, listed.bad_rows) == ({Copy: 2}, ())
    with library.reading() as reader:
        titles = {edition.id: edition.title for edition in reader.all(Edition)}
        assert sorted(titles[copy.edition_id] for copy in reader.all(Copy)) == ["Gulls", "Old Charts"]


def test_a_merge_that_was_taken_back_is_none(library: Library, tmp_path: Path) -> None:
    editions(library, tmp_path)
    entry = merge(library, "G2", "G1")
    assert entry is not None
    undo(library, entry.entry.seq, station="test")
    again = editions(library, tmp_path)
    assert (again.made, again.unchanged, again.merged) == (0, 4, ())
