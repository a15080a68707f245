"""A list of more than one lot: all or nothing, undone whole, and few statements; lots are made small to see it."""

import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from intake.edges.csv_rows import CsvFile
from intake.edges.store import staging
from intake.edges.store.engines.incoming import INCOMING
from intake.edges.store.library import Library, open_library
from intake.edges.store.parts import PartOf
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.copies import all_accessions
from intake.edges.store.queries.editions import editions_by_number
from intake.edges.store.queries.ledger_entries import count_records, latest_entries
from intake.edges.store.queries.words import find_editions
from intake.errors import RefusedError
from intake.flow.lists import import_list
from intake.flow.lists.import_list import ListKind, import_table
from intake.flow.undo import undo
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import Copy, Edition
from tests.counting import count_statements
from tests.flow.conftest import import_text
from tests.made_library import new_library, url_of

ROWS = 95
LOT = 20


@pytest.fixture(autouse=True)
def _small_lots(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(staging, "LOT", LOT)
    monkeypatch.setattr(import_list, "ROWS_AT_ONCE", LOT)


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    """An empty one."""
    with new_library(tmp_path / "library") as opened:
        yield opened


def catalog(rows: int = ROWS) -> str:
    lines = (f"K{nth},Invented Mosses {nth},{f'Mosses {nth % 3}' if nth % 2 else ''}" for nth in range(rows))
    return "\n".join(["key,title,set", *lines, ""])


def editions(library: Library) -> int:
    with library.reading() as reader:
        return count_records(reader).editions


def is_sound(library: Library) -> bool:
    with library.reading() as reader:
        return verify_chain(reader) is None


def test_a_large_list_is_entered_in_parts_that_the_chain_covers(library: Library, tmp_path: Path) -> None:
    result = import_text(library, tmp_path, ListKind.EDITIONS, catalog())
    assert (result.made, result.entries) == (ROWS + 3, (1, 2, 3, 4, 5))
    assert editions(library) == ROWS
    assert is_sound(library)
    with library.reading() as reader:
        parts = [PartOf.read(entry.action.request) for entry in reversed(latest_entries(reader))]
        volumes = [edition for edition in find_editions(reader, "Mosses 94", 5) if edition.title.endswith(" 94")]
        assert all(edition.set_id is None for edition in volumes)
    assert [(part.nth, part.of) for part in parts if part is not None] == [(nth, 5) for nth in range(1, 6)]
    assert not (library.folder / INCOMING).exists()
    again = import_text(library, tmp_path, ListKind.EDITIONS, catalog())
    assert (again.made, again.altered, again.unchanged, again.entries) == (0, 0, ROWS, ())


def test_records_of_a_later_part_refer_to_those_of_an_earlier_one(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.EDITIONS, "key,title\nF,Ferns\n")
    rows = "".join(f"{1 + nth // 30},F,{nth}.50,EUR\n" for nth in range(60))
    result = import_text(library, tmp_path, ListKind.COPIES, f"box,key,value,currency\n{rows}")
    assert result.made == 2 + 60 + 60
    assert len(result.entries) > 1
    with library.reading() as reader:
        copies = [reader.get(Copy, accession) for accession in all_accessions(reader)]
    assert {copy.box for copy in copies if copy is not None} == {"B1-56", "B2-47"}


def test_undo_takes_back_all_parts_and_undo_of_that_brings_all_back(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.EDITIONS, catalog())
    undone, by = undo(library, 3, station="test")
    assert (undone.seq, by.seq, editions(library), is_sound(library)) == (3, 10, 0, True)
    undo(library, 7, station="test")
    assert (editions(library), is_sound(library)) == (ROWS, True)
    with pytest.raises(RefusedError):
        undo(library, 3, station="test")


def test_undo_is_all_or_nothing_where_a_part_is_in_use(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.EDITIONS, catalog())
    import_text(library, tmp_path, ListKind.COPIES, "key\nK3\n")
    with pytest.raises(RefusedError):
        undo(library, 1, station="test")
    assert (editions(library), is_sound(library)) == (ROWS, True)


def test_a_part_that_fails_takes_the_others_back(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lots = staging.StagedPlan.__iter__

    def broken(staged: staging.StagedPlan) -> Iterator[list[Change]]:
        for nth, lot in enumerate(lots(staged)):
            if nth == 3:
                raise OSError("the disk is gone")
            yield lot

    monkeypatch.setattr(staging.StagedPlan, "__iter__", broken)
    with pytest.raises(OSError, match="the disk is gone"):
        import_text(library, tmp_path, ListKind.EDITIONS, catalog())
    assert (editions(library), is_sound(library)) == (0, True)
    assert not (library.folder / INCOMING).exists()


KILLED = """
import os, sys
from datetime import date
from pathlib import Path
from intake.edges.csv_rows import CsvFile
from intake.edges.server_address import place_of
from intake.edges.store import staging
from intake.edges.store.library import open_library
from intake.flow.lists.import_list import ListKind, import_table
staging.LOT = 20
lots = staging.StagedPlan.__iter__
def dying(staged):
    for nth, lot in enumerate(lots(staged)):
        if nth == 3:
            os._exit(9)
        yield lot
staging.StagedPlan.__iter__ = dying
with open_library(place_of(sys.argv[1])) as library:
    table = CsvFile(Path(sys.argv[2]))
    import_table(library, ListKind.EDITIONS, table, file="c.csv", station="killed", today=date(2026, 3, 31))
"""


def test_what_a_killed_process_left_is_taken_back_by_the_next(
    library: Library, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    file = tmp_path / "catalog.csv"
    file.write_text(catalog(), encoding="utf-8")
    ended = subprocess.run([sys.executable, "-c", KILLED, url_of(library), file], check=False, timeout=60)
    assert (ended.returncode, editions(library)) == (9, 3 * LOT - 3)
    with open_library(library.place) as opened:
        assert (editions(opened), is_sound(opened)) == (0, True)
        assert not (library.folder / INCOMING).exists()
        assert [record.levelname for record in caplog.records] == ["WARNING"]
        assert import_text(opened, tmp_path, ListKind.EDITIONS, catalog()).made == ROWS + 3


def test_a_list_that_another_station_is_importing_is_left_alone(library: Library, tmp_path: Path) -> None:
    seen: list[int] = []
    apart = tmp_path / "second"
    apart.mkdir()

    import_text(library, tmp_path, ListKind.EDITIONS, "key,title,set\nA,Ferns,\n")
    lots = staging.StagedPlan.__iter__

    def watched(staged: staging.StagedPlan) -> Iterator[list[Change]]:
        for nth, lot in enumerate(lots(staged)):
            if nth == 3:
                with open_library(library.place) as other:
                    seen.append(editions(other))
                    with pytest.raises(RefusedError, match="being entered"):
                        import_text(other, apart, ListKind.EDITIONS, catalog().replace("K", "L"))
            yield lot

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(staging.StagedPlan, "__iter__", watched)
        import_text(library, tmp_path, ListKind.EDITIONS, catalog())
    assert seen == [1 + 3 * LOT - 3]
    assert editions(library) == 1 + ROWS


def test_a_plan_made_from_what_has_changed_meanwhile_is_refused(library: Library, tmp_path: Path) -> None:
    class Slow(CsvFile):
        """While its rows are read, another station makes an edition."""

        def __iter__(self):  # type: ignore[no-untyped-def] # as the parent's
            library.apply(
                Action(ActionKind.IMPORT_EDITIONS, "1"), made(Edition(id=1, title="Invented Mosses 1", key="K1"))
            )
            yield from super().__iter__()

    file = tmp_path / "editions.csv"
    file.write_text(catalog(5), encoding="utf-8")
    with pytest.raises(RefusedError, match="another station"):
        import_table(library, ListKind.EDITIONS, Slow(file), file="c", station="test", today=date(2026, 3, 31))
    assert editions(library) == 1


def statements_of_plan(library: Library, folder: Path, kind: ListKind, text: str) -> int:
    with count_statements(library) as count:
        import_text(library, folder, kind, text, dry_run=True)
    assert (count.transactions, count.writing) == (1, 0)
    return count.statements


@pytest.mark.parametrize(
    ("kind", "heading", "row", "most"),
    [
        (ListKind.EDITIONS, "key,title,isbn", "K{0},Mosses {0},", 7),
        (ListKind.EDITIONS, "title", "Mosses {0}", 6),
        (ListKind.PRINTINGS, "key,printing", "K{0},2", 6),
        (ListKind.COPIES, "key,box,printing", "K{0},{0},1", 7),
        (ListKind.COPIES, "key,box", "9780306406157,{0}", 7),
        (ListKind.BOXES, "box,consignment", "{0},R-{0}", 5),
        (ListKind.PLACES, "room,bookcase,shelf", "Study,A,{0}", 4),
    ],
)
def test_a_lot_is_planned_with_few_statements_whatever_its_rows(
    library: Library, tmp_path: Path, kind: ListKind, heading: str, row: str, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two ask the ledger, for its last entry and for merged editions, one asks for those of an earlier library; the
    others look up all rows of the lot.
    """
    monkeypatch.setattr(import_list, "ROWS_AT_ONCE", 400)
    text = "\n".join([heading, *(row.format(nth) for nth in range(1, 401)), ""])
    one = "\n".join([heading, row.format(1), ""])
    assert statements_of_plan(library, tmp_path, kind, one) <= most
    assert statements_of_plan(library, tmp_path, kind, text) <= most


def test_a_number_is_looked_up_as_the_desk_does(library: Library, tmp_path: Path) -> None:
    serial = "The Shore Quarterly,9770264359008,"
    text = f"title,number,add_on\n{serial}05\n{serial}06\nFerns,9780306406157,\n"
    assert import_text(library, tmp_path, ListKind.EDITIONS, text).made == 3
    rows = "key\n977026435900-8 05\n0-306-40615-2\n9770264359008\n9780306406158\n"
    result = import_text(library, tmp_path, ListKind.COPIES, rows, skip_bad_rows=True)
    assert [(bad.line, bad.reason.name) for bad in result.bad_rows] == [
        (4, "EDITION_AMBIGUOUS"),
        (5, "EDITION_NOT_A_NUMBER"),
    ]
    with library.reading() as reader:
        assert len(editions_by_number(reader, "9780306406157")) == 1
        assert len(all_accessions(reader)) == 2
