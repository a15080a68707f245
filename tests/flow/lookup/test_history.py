"""The ledger told: everything, newest first, or one copy, oldest first."""

import dataclasses
import json
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.store import staging
from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import history_of_copy
from intake.flow.condition.inspect_copy import Facts
from intake.flow.lists import import_list
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.history import copy_history, latest_history
from intake.flow.lookup.wording import copy_field_words
from intake.flow.undo import undo
from intake.flow.unpacking.station import book_line
from intake.flow.values.figures import Figure
from intake.flow.values.value_copies import value_copy
from intake.model.editions import Copy
from intake.model.valuations import Basis
from tests.counting import count_statements
from tests.flow.conftest import NOW, booked, import_text
from tests.flow.recorded_facts import record_facts


def test_one_copy_is_told_from_its_first_entry_and_nothing_else(arrived: Library) -> None:
    found = booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW))
    with arrived.reading() as records:
        told = copy_history(records, found.copy.accession)
    assert [line.what for line in told] == ["import copies", "unpack copy"]
    assert [line.changed for line in told] == [
        "new value EUR 120.00 (market, on 2026-01-15)",
        "state: packed → unpacked",
    ]
    assert told[1].station == "hall"


def test_a_new_value_and_one_taken_back_are_told(arrived: Library) -> None:
    figure = Figure(amount=Decimal("12.50"), currency="EUR", on=NOW.date(), basis=Basis.PURCHASE)
    value_copy(arrived, "A1-59", figure, station="hall", today=NOW.date())
    undo(arrived, station="hall")
    with arrived.reading() as records:
        *_, valued, undone = copy_history(records, "A1-59")
    value = f"EUR 12.50 (purchase, on {NOW.date()})"
    assert (valued.changed, undone.changed) == (f"new value {value}", f"value {value} taken back")


def test_everything_is_told_from_the_newest_entry_as_far_as_asked(arrived: Library) -> None:
    with arrived.reading() as records:
        whole = latest_history(records, 1000)
        first = latest_history(records, 2)
        rest = latest_history(records, 1000, first.older)
    assert [line.seq for line in whole.lines] == list(range(len(whole.lines), 0, -1))
    assert whole.older is None
    assert first.lines + rest.lines == whole.lines, "nothing is lost where a list is cut"


def test_the_parts_of_one_import_are_one_step(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(staging, "LOT", 2)
    monkeypatch.setattr(import_list, "ROWS_AT_ONCE", 2)
    rows = "".join(f"K{nth},Invented Title {nth}\n" for nth in range(9))
    entries = import_text(library, tmp_path, ListKind.EDITIONS, f"key,title\n{rows}").entries
    assert len(entries) > 2
    with library.reading() as records:
        newest, before, *_ = latest_history(records, 3).lines
        cut = latest_history(records, 1)
        assert latest_history(records, 1, cut.older).lines == (before,)
    assert (newest.first, newest.seq) == (entries[0], entries[-1])
    assert newest.entries == f"{entries[0]}–{entries[-1]}"
    assert before.seq == entries[0] - 1
    undo(library, newest.seq, station="test")
    with library.reading() as records:
        assert latest_history(records, 1).lines[0].what == "undo", "the number of any part takes all of them back"


def test_every_field_of_a_copy_is_told_in_words_not_by_its_name(arrived: Library) -> None:
    """No word is a column's name: an underscore, or a name that says 'id', would be one."""
    for field in dataclasses.fields(Copy):
        assert "_" not in copy_field_words(field.name)
        assert " id" not in copy_field_words(field.name)
    facts = Facts(has_jacket=True, number_line="10 9 8 7 6 5 4 3", wrapped=False, parts={"boards": "rubbed"})
    record_facts(arrived, "2", facts, station="test")
    with arrived.reading() as records:
        changed = copy_history(records, "A2-50")[-1].changed
    assert (
        changed
        == "defects: none → boards: rubbed; dust jacket: none → yes; printing: none → 3; still wrapped: yes → no"
    )


def test_the_history_of_a_copy_has_every_entry_that_names_it_those_taken_back_too(arrived: Library) -> None:
    """Against each text of the ledger, searched one by one by Python."""
    booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW))
    for amount in (5, 7):
        figure = Figure(amount=Decimal(amount), currency="EUR", on=NOW.date(), basis=Basis.MARKET)
        value_copy(arrived, "A1-59", figure, station="hall", today=NOW.date())
    undo(arrived, station="hall")
    with arrived.reading() as records:
        changes = records.connection.exec_driver_sql("SELECT * FROM ledger_change")
        named: dict[str, set[int]] = {copy.accession: set() for copy in records.all(Copy)}
        for seq, _, table, key, before, after in changes:
            if table == "copy":
                named[key].add(seq)
            for text in filter(None, (before, after)):
                if (copy := json.loads(text).get("copy")) is not None:
                    named[copy].add(seq)
        told = {copy: {entry.seq for entry in history_of_copy(records, copy)} for copy in named}
    assert told == named
    assert len(told["A1-59"]) == 5, "the list, the unpacking, two values, and the undo of one"


@pytest.mark.folder
def test_the_history_of_a_copy_is_looked_up_by_indexes(arrived: Library) -> None:
    """SQLite's own plan: no table of the ledger is read from end to end, nor all changes of one kind of record."""
    with arrived.reading() as records:
        with count_statements(arrived) as count:
            history_of_copy(records, "A1-59")
        assert count.statements == 1
        plain = count.asked[0]
        plan = records.connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {plain}", ("",) * plain.count("?")).fetchall()
    of_ledger = sorted(step[3] for step in plan if "ledger" in step[3])
    assert of_ledger == [
        "SEARCH ledger USING COVERING INDEX ix_ledger_undoes (undoes>?)",
        "SEARCH ledger USING INTEGER PRIMARY KEY (rowid=?)",
        "SEARCH ledger_change USING INDEX ix_ledger_change_record (record_table=? AND record_key=?)",
        "SEARCH ledger_change USING INDEX sqlite_autoindex_ledger_change_1 (seq=?)",
    ]
    assert [step[3] for step in plan if step[3].startswith("SCAN")] == ["SCAN CONSTANT ROW", "SCAN anon_1"]
