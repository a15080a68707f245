"""The facts that need a person: kept, and taken back."""

from dataclasses import replace

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import printings_of
from intake.errors import RefusedError
from intake.flow.condition.facts_form import save_facts
from intake.flow.condition.inspect_copy import Facts
from intake.flow.lookup.two_versions import Saved, version_of
from intake.flow.undo import undo
from intake.flow.unpacking.station import book_line
from intake.model.editions import Copy, Edition, Grade, Printing
from tests.flow.conftest import NOW, booked
from tests.flow.recorded_facts import record_facts


@pytest.fixture
def copy(arrived: Library) -> Copy:
    outcome = book_line(arrived, "1", "0-8044-2957-X", request="r1", station="test", now=NOW)
    return booked(outcome).copy


def test_facts_are_kept_and_what_was_not_looked_at_stays(arrived: Library, copy: Copy) -> None:
    assert copy.wrapped
    facts = Facts(grade=Grade.VERY_GOOD, has_jacket=False, parts={"boards": "rubbed; bumped"})
    after, entry = record_facts(arrived, copy.accession, facts, station="test")
    assert entry is not None
    assert (after.grade, after.has_jacket, after.wrapped) == (Grade.VERY_GOOD, False, True)
    assert after.condition == "boards: rubbed; boards: bumped"
    later, _ = record_facts(arrived, copy.accession, Facts(wrapped=False, parts={"spine": "faded"}), station="test")
    assert later.condition == "boards: rubbed; boards: bumped; spine: faded"
    assert later.grade is Grade.VERY_GOOD


def test_facts_are_taken_back_as_one(arrived: Library, copy: Copy) -> None:
    _, entry = record_facts(
        arrived,
        copy.accession,
        Facts(grade=Grade.FINE, number_line="10 9 8 7 6 5 4 3", binding="cloth"),
        station="test",
    )
    assert entry is not None
    with arrived.reading() as records:
        held = records.get(Copy, copy.accession)
        assert held is not None
        assert held.printing_id is not None
        printing = records.get(Printing, held.printing_id)
        assert printing is not None
        # Lowest number present = printing (the printer's key, as publishers explain it).
        assert printing.ordinal == 3
    undo(arrived, entry.seq, station="test")
    with arrived.reading() as records:
        assert records.get(Copy, copy.accession) == copy
        edition = records.get(Edition, copy.edition_id)
        assert edition is not None
        assert edition.binding != "cloth"
        assert printings_of(records, copy.edition_id) == ()


def test_one_line_makes_one_printing(arrived: Library, copy: Copy) -> None:
    for text in ("10 9 8 7 6 5 4 3", "10  9 8 7 6 5 4 3"):
        record_facts(arrived, copy.accession, Facts(number_line=text), station="test")
    with arrived.reading() as records:
        assert len(printings_of(records, copy.edition_id)) == 1


def test_nothing_new_is_no_entry_and_a_request_counts_once(arrived: Library, copy: Copy) -> None:
    assert record_facts(arrived, copy.accession, Facts(), station="test")[1] is None
    with arrived.reading() as records:
        opened = version_of(records)
    first, again = (
        save_facts(arrived, copy.accession, {"note": note}, version=opened, station="test", request="f1")[1]
        for note in ("owner’s name", "another")
    )
    assert isinstance(first, Saved)
    assert isinstance(again, Saved)
    assert first.entry is not None
    assert again.entry is not None
    assert first.entry.seq == again.entry.seq


def test_of_each_fact_what_was_seen_is_taken_over_and_what_was_not_looked_at_stays(
    arrived: Library, copy: Copy
) -> None:
    seen = Facts(grade=Grade.FINE, jacket=Grade.GOOD, has_jacket=True, wrapped=False, note="lent")
    first, _ = record_facts(arrived, copy.accession, seen, station="test")
    assert (first.grade, first.jacket, first.has_jacket, first.wrapped, first.note) == (
        Grade.FINE, Grade.GOOD, True, False, "lent",
    )  # fmt: skip
    second, _ = record_facts(arrived, copy.accession, Facts(parts={"spine": "faded"}), station="test")
    assert second == replace(first, condition="spine: faded")
    third, _ = record_facts(arrived, copy.accession, Facts(grade=Grade.FAIR, note=""), station="test")
    assert (third.grade, third.jacket, third.note) == (Grade.FAIR, Grade.GOOD, "")
    # Without a jacket there is no grade of one.
    fourth, _ = record_facts(arrived, copy.accession, Facts(has_jacket=False), station="test")
    assert (fourth.jacket, fourth.has_jacket) == (None, False)


def test_a_number_line_that_cannot_be_read_replaces_no_printing(arrived: Library, copy: Copy) -> None:
    after, _ = record_facts(arrived, copy.accession, Facts(number_line="10 9 8 7 6 5 4 3"), station="test")
    for unreadable in ("10 9 7 8 3", "printed in the north", "82 83 84", "3 3 3"):
        with pytest.raises(RefusedError, match="stays printing 3"):
            record_facts(arrived, copy.accession, Facts(grade=Grade.POOR, number_line=unreadable), station="test")
    with arrived.reading() as records:
        assert records.get(Copy, copy.accession) == after, "nor is anything else of that form half done"
    later, _ = record_facts(arrived, copy.accession, Facts(number_line="10 9 8 7 6 5 4"), station="test")
    assert later.printing_id != after.printing_id


def test_a_line_that_cannot_be_read_is_kept_as_printed_where_no_printing_is_known(arrived: Library, copy: Copy) -> None:
    after, _ = record_facts(arrived, copy.accession, Facts(number_line="10 9 7 8 3"), station="test")
    read, _ = record_facts(arrived, copy.accession, Facts(number_line="5 4 3"), station="test")
    with arrived.reading() as records:
        kept = records.get(Printing, after.printing_id or 0)
    assert kept is not None
    assert (kept.ordinal, kept.number_line) == (None, "10 9 7 8 3")
    assert read.printing_id not in (None, after.printing_id)
