"""The ledger told: everything, newest first, or one copy, oldest first."""

import dataclasses
from pathlib import Path

import pytest

from intake.edges.store import staging
from intake.edges.store.library import Library
from intake.flow.condition.inspect_copy import Facts, record_facts
from intake.flow.lists import import_list
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.history import copy_history, latest_history
from intake.flow.lookup.wording import copy_field_words
from intake.flow.undo import undo
from intake.flow.unpacking.station import book_line
from intake.model.editions import Copy
from tests.flow.conftest import NOW, booked, import_text


def test_one_copy_is_told_from_its_first_entry_and_nothing_else(arrived: Library) -> None:
    found = booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW))
    with arrived.reading() as records:
        told = copy_history(records, found.copy.accession)
    assert [line.what for line in told] == ["import copies", "unpack copy"]
    assert [line.changed for line in told] == ["", "state: packed → unpacked"]
    assert told[1].station == "hall"


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
