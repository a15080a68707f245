"""Help while a copy is inspected: words at their places, bindings told apart, number lines and years as typed."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.condition import condition_reports
from intake.edges.store.queries.editions import edition_by_key, printings_of
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.condition.binding_help import HOW_TO_TELL, binding_questions, clue_line, printing_clues
from intake.flow.condition.book_regions import REGIONS
from intake.flow.condition.confirm_condition import can_be_confirmed, confirm_condition
from intake.flow.condition.facts_form import FACTS_FORM, save_facts
from intake.flow.condition.typed_imprint import line_help, year_help
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.two_versions import Overlapping, version_of
from intake.flow.moving.reconcile import record_damage
from intake.flow.undo import undo
from intake.flow.unpacking.station import book_line
from intake.model.changes import Action, ActionKind, Change
from intake.model.condition import PARTS, Occasion
from intake.model.editions import Copy, Covering, Edition, Finish, Sewing
from tests.flow.conftest import NOW, booked, import_text

TODAY = date(2026, 3, 31)


def gulls(reader: LibraryReader) -> Edition:
    edition = edition_by_key(reader, "G1")
    assert edition is not None
    return edition


def save(library: Library, copy: str, **typed: str) -> Copy:
    with library.reading() as reader:
        version = version_of(reader)
    after, outcome = save_facts(library, copy, typed, version=version, station="test", request=None)
    assert not isinstance(outcome, Overlapping)
    return after


def test_every_word_of_the_trade_can_be_touched_and_no_other() -> None:
    assert {(region.part, word) for region in REGIONS for word in region.words} == {
        (part, word) for part, words in PARTS.items() for word in words
    }
    assert len({region.key for region in REGIONS}) == len(REGIONS)


def test_every_term_of_a_binding_has_a_line_on_how_to_tell_it() -> None:
    assert HOW_TO_TELL.keys() == {*Sewing, *Covering, *Finish}
    questions = binding_questions(Copy(accession="A1-59", edition_id=1, covering=Covering.CLOTH))
    assert [(each.name, each.chosen) for each in questions] == [("sewing", ""), ("covering", "cloth"), ("finish", "")]
    assert all(each.name in FACTS_FORM for each in questions)
    assert all(how for each in questions for _, how in each.answers)


def test_a_binding_is_recorded_by_the_form_and_taken_back(arrived: Library) -> None:
    after = save(arrived, "2", sewing="adhesive", covering="wrappers", finish="soft-touch laminated", slipcase="no")
    bound = (after.sewing, after.covering, after.finish, after.slipcase)
    assert bound == (Sewing.ADHESIVE, Covering.WRAPPERS, Finish.SOFT_TOUCH, False)
    assert save(arrived, "2", sewing="no such word", grade="").sewing is Sewing.ADHESIVE, (
        "what is no answer says nothing"
    )
    undo(arrived, station="test")
    with arrived.reading() as reader:
        assert find_copy(reader, "2").sewing is None


def test_what_a_binding_says_about_the_printing_rests_on_the_copies_recorded(arrived: Library, tmp_path: Path) -> None:
    import_text(arrived, tmp_path, ListKind.COPIES, "key\nG1\nG1\nG1\n")
    for copy, line, sewing in (
        ("6", "1 2 3 4 5", "sewn in gatherings"),
        ("7", "3 4 5", "adhesive"),
        ("8", "3 4 5", ""),
    ):
        save(arrived, copy, number_line=line, **({"sewing": sewing} if sewing else {}))
    save(arrived, "2", sewing="adhesive")
    with arrived.reading() as reader:
        held, edition = find_copy(reader, "2"), gulls(reader)
        clues = printing_clues(reader, held, edition)
    assert [(clue.printing.ordinal, clue.copies, clue.binding, clue.agrees) for clue in clues] == [
        (1, 1, ("sewn in gatherings",), False),
        (3, 1, ("adhesive",), True),
    ]
    assert all(clue_line(clue) for clue in clues)
    save(arrived, "8", sewing="sewn in gatherings")
    with arrived.reading() as reader:
        third = printing_clues(reader, held, edition)[1]
    assert (third.copies, third.binding, third.agrees) == (2, (), None), "they differ: nothing follows"


def test_a_number_line_is_read_as_it_is_typed(arrived: Library) -> None:
    """A line that falls or rises states its lowest number (published descriptions of the printer's key)."""
    with arrived.reading() as reader:
        edition = gulls(reader)
        assert line_help(reader, edition, " ") == ""
        assert "Printing 3" in line_help(reader, edition, "9 8 7 6 5 4 3")
        assert "Printing 2, 1983" in line_help(reader, edition, "2 3 4 5 86 85 84 83")
        assert "But" in line_help(reader, edition, "2 3 4 5 76 75 74 73"), "a printing before its edition, of 1980"
        assert "Printing" not in line_help(reader, edition, "8 3 5")
    save(arrived, "2", number_line="2 3 4 5 86 85 84 83")
    with arrived.reading() as reader:
        recorded = line_help(reader, edition, "2 3 4 5 86 85 84 83")
        assert "not recorded" not in recorded
        assert "But" in line_help(reader, edition, "2 3 4 5 86 85 84"), "the same printing in another year"


def test_a_year_is_looked_at_as_it_is_typed(arrived: Library) -> None:
    with arrived.reading() as reader:
        edition = gulls(reader)
        for good in ("", "1980", "2026", "1455"):
            assert year_help(reader, edition, good, today=TODAY) == ""
        for doubtful in ("198", "19800", "MCM", "2028", "1066", "１９８０"):
            assert year_help(reader, edition, doubtful, today=TODAY), doubtful
    save(arrived, "2", number_line="2 3 4 5 86 85 84 83")
    with arrived.reading() as reader:
        (printing,) = printings_of(reader, edition.id)
    arrived.apply(
        Action(ActionKind.EDIT_EDITION, str(edition.id), "test"), (Change(printing, replace(printing, year=1983)),)
    )
    with arrived.reading() as reader:
        assert year_help(reader, edition, "1990", today=TODAY)
        assert year_help(reader, edition, "1983", today=TODAY) == ""


def test_a_copy_found_as_recorded_has_a_report_that_says_so(arrived: Library) -> None:
    with arrived.reading() as reader:
        packed = find_copy(reader, "1")
        assert not can_be_confirmed(reader, packed), "it has not been unpacked"
    booked(book_line(arrived, "1", packed.accession, request="r", station="test", now=NOW))
    done = confirm_condition(arrived, "1", station="test", request="once")
    assert confirm_condition(arrived, "1", station="test", request="once").entry == done.entry
    with arrived.reading() as reader:
        (report,) = [each for each in condition_reports(reader, packed.accession) if each.occasion is Occasion.AFTER]
        assert (report.grade, report.has_jacket) == (packed.grade, packed.has_jacket)
        assert not can_be_confirmed(reader, done.copy)
    with pytest.raises(RefusedError):
        confirm_condition(arrived, "1", station="test", request="twice")
    undo(arrived, done.entry.seq, station="test")
    with arrived.reading() as reader:
        assert can_be_confirmed(reader, done.copy)


def test_a_copy_reported_damaged_is_not_found_as_recorded(arrived: Library) -> None:
    """Not even where the damage was reported after the answer that offered it."""
    booked(book_line(arrived, "1", "A1-59", request="r", station="test", now=NOW))
    entry = record_damage(arrived, "1", "spine split", now=NOW, station="test")
    with arrived.reading() as reader:
        assert not can_be_confirmed(reader, find_copy(reader, "1"))
    with pytest.raises(RefusedError) as refused:
        confirm_condition(arrived, "1", station="test", request="once")
    assert "spine split" in refused.value.why
    undo(arrived, entry.seq, station="test")
    with arrived.reading() as reader:
        assert can_be_confirmed(reader, find_copy(reader, "1"))
