"""Grades, defects and comparisons; the grades are those of AB Bookman's Weekly (1949) with the trade's Near Fine."""

from dataclasses import replace
from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from intake.model.condition import ALWAYS_STATED, PARTS, ConditionReport, Occasion, join_parts, split_parts
from intake.model.editions import Copy, CopyState, Grade
from intake.valuing.condition import (
    GRADE_LETTERS,
    MEANINGS,
    compare_reports,
    contradiction,
    grade_words,
    is_worse,
    occasion_of,
)

BEFORE = ConditionReport(
    id=1, copy="A1-71", at=datetime(2026, 3, 1, tzinfo=UTC), occasion=Occasion.BEFORE, grade=Grade.VERY_GOOD,
    jacket=Grade.GOOD, has_jacket=True, condition="boards: rubbed; ex-library",
)  # fmt: skip


def test_every_grade_of_the_trade_has_letters_and_a_meaning() -> None:
    trade = ["As New", "Fine", "Near Fine", "Very Good", "Good", "Fair", "Poor"]
    assert [grade.value for grade in MEANINGS] == trade == [grade.value for grade in GRADE_LETTERS]
    assert {"ex-library", "book club edition"} <= set(ALWAYS_STATED)


def test_a_jacket_is_graded_beside_the_book() -> None:
    assert grade_words(Grade.VERY_GOOD, Grade.GOOD, has_jacket=True) == "VG/G"
    assert grade_words(None, None, has_jacket=None) == "not inspected"
    assert grade_words(Grade.FINE, None, has_jacket=True) == "F"
    assert grade_words(Grade.FINE, None, has_jacket=None) == "F"
    assert grade_words(None, Grade.FAIR, has_jacket=True) == "not inspected/Fair"


def test_the_trades_letters_stand_for_its_grades() -> None:
    # The letters as booksellers' catalogues print them beside the grades of AB Bookman's Weekly.
    assert {grade.value: letters for grade, letters in GRADE_LETTERS.items()} == {
        "As New": "As New", "Fine": "F", "Near Fine": "NF", "Very Good": "VG", "Good": "G", "Fair": "Fair",
        "Poor": "Poor",
    }  # fmt: skip


def test_a_part_named_twice_is_joined_and_an_unknown_one_stays_as_it_is() -> None:
    assert split_parts("boards: rubbed; boards: warped; roof: leaks; ex-library") == {
        "boards": "rubbed; warped", "": "roof: leaks; ex-library",
    }  # fmt: skip
    assert split_parts("") == {}


def test_what_is_wrapped_claims_nothing_of_its_inside() -> None:
    wrapped = Copy(accession="A1-71", edition_id=1, wrapped=True)
    assert contradiction(wrapped) == ""
    assert contradiction(replace(wrapped, condition="jacket: faded")) == ""
    assert "leaves" in contradiction(replace(wrapped, condition="leaves: foxing"))
    assert "block and leaves" in contradiction(replace(wrapped, condition="leaves: foxing; block: shaken"))
    assert "graded" in contradiction(replace(wrapped, grade=Grade.FINE))
    assert contradiction(replace(wrapped, wrapped=False, grade=Grade.FINE)) == ""


def test_two_reports_side_by_side() -> None:
    after = replace(BEFORE, id=2, grade=Grade.GOOD, condition="boards: rubbed, warped; ex-library")
    assert [(one.what, one.before, one.after) for one in compare_reports(BEFORE, after)] == [
        ("book", "Very Good", "Good"),
        ("boards", "rubbed", "rubbed, warped"),
    ]
    assert is_worse(BEFORE, after)
    assert not is_worse(after, BEFORE)
    assert compare_reports(BEFORE, BEFORE) == ()


def test_what_was_wrapped_before_was_unseen_not_sound() -> None:
    before = replace(BEFORE, grade=None, wrapped=True, condition="")
    after = replace(BEFORE, condition="leaves: foxing")
    assert [(one.what, one.before, one.after) for one in compare_reports(before, after)] == [
        ("book", "unopened", "Very Good"), ("wrapping", "wrapped", "not wrapped"), ("leaves", "unseen", "foxing"),
    ]  # fmt: skip
    # Of the jacket something could have been seen through the wrapping.
    seen = replace(after, condition="jacket: torn; block: shaken")
    assert [(one.what, one.before, one.after) for one in compare_reports(before, seen)][2:] == [
        ("jacket", "nothing stated", "torn"), ("block", "unseen", "shaken"),
    ]  # fmt: skip
    assert [(one.what, one.before, one.after) for one in compare_reports(seen, before)][2:] == [
        ("jacket", "torn", "nothing stated"), ("block", "shaken", "unseen"),
    ]  # fmt: skip


def test_what_belongs_to_no_part_is_compared_too() -> None:
    after = replace(BEFORE, condition="boards: rubbed", jacket=None)
    assert [(one.what, one.before, one.after) for one in compare_reports(BEFORE, after)] == [
        ("jacket", "Good", "not inspected"), ("also", "ex-library", "nothing stated"),
    ]  # fmt: skip


def test_worse_is_a_lower_grade_of_book_or_jacket() -> None:
    assert is_worse(BEFORE, replace(BEFORE, jacket=Grade.FAIR))
    assert is_worse(BEFORE, replace(BEFORE, grade=Grade.FINE, jacket=Grade.POOR))
    assert not is_worse(BEFORE, replace(BEFORE, jacket=Grade.FINE))
    assert not is_worse(BEFORE, BEFORE)
    assert not is_worse(BEFORE, replace(BEFORE, grade=None, jacket=None))
    assert not is_worse(replace(BEFORE, grade=None), replace(BEFORE, grade=Grade.POOR))


def test_which_side_of_the_move() -> None:
    sides = {state: occasion_of(Copy(accession="A1-71", edition_id=1, state=state)) for state in CopyState}
    before = {state for state, side in sides.items() if side is Occasion.BEFORE}
    assert before == {CopyState.AT_HAND, CopyState.PACKED}


typed = st.text("ab;:,. \n\u200c\u200d", max_size=9).map(str.strip).filter(bool)
words = st.text(st.characters(exclude_characters=";:,", exclude_categories=("C", "Z")), min_size=1, max_size=9)


@given(st.dictionaries(st.sampled_from(list(PARTS)), typed, max_size=5), words)
def test_writing_and_splitting_are_each_others_reverse(parts: dict[str, str], also: str) -> None:
    every = {**parts, "": also}
    assert split_parts(join_parts(every)) == every
