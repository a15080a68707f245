"""The notation: what is understood, what is refused with its place, and that what is written is read as the same."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.editions import whole_title_key
from intake.runs.notation import read_parts, read_statement, write_parts, write_statement
from intake.runs.parts import Parts, RunKey
from intake.runs.published import read_published
from intake.runs.spans import END, spans_of
from intake.runs.statements import (
    Collected,
    PartsStatement,
    StatementFault,
    StatementProblem,
    StatementRemarkKind,
)

UNDERSTOOD = [
    ("Tidewrack Quarterly 57-83, 90, annual 2; Tidewrack Quarterly v.2:no.1-6", "Tidewrack Quarterly",
     "57-83, 90, v.2:no.1-6, annual 2"),
    ("Tide #1-24", "Tide", "1-24"),
    ("Tide Nr. 5 bis 9 und 12", "Tide", "5-9, 12"),
    ("Tide №5", "Tide", "5"),
    ("Tide nos. 5–9", "Tide", "5-9"),
    ("Tide ５－９、12", "Tide", "5-9, 12"),
    ("Tide numéros 5 à 9 et 12", "Tide", "5-9, 12"),
    ("Tide vol. 2 #1-6", "Tide", "v.2:no.1-6"),
    ("Tide Jg. 2 Heft 3", "Tide", "v.2:no.3"),
    ("Tide v.2:no.1-no.6", "Tide", "v.2:no.1-6"),
    ("Tide v.2:no.1-v.2:no.6", "Tide", "v.2:no.1-6"),
    ("Tide 12½, 1-20", "Tide", "1-12, 12½, 13-20"),
    ("Tide 12.5, 13 1/7", "Tide", "12½, 13 1/7"),
    ("Tide 5-", "Tide", "5-"),
    ("Tide 1992:no.3-5", "Tide", "1992:no.3-5"),
    ("Tide annual 2, 4, special 1", "Tide", "annual 2, 4, special 1"),
    ("Tide 1-5; 8", "Tide", "1-5, 8"),
    ("Area 51 Monthly 1-5", "Area 51 Monthly", "1-5"),
    ("Salt, Tide and Wind 1-5, 8", "Salt, Tide and Wind", "1-5, 8"),
    ("Tidewrack (1978) 3", "Tidewrack (1978)", "3"),
    ('"Tide Annual" 2', "Tide Annual", "2"),
    ('"Salt; ""Tide""" 2', 'Salt; "Tide"', "2"),
]  # fmt: skip

REFUSED = [
    ("", StatementProblem.EMPTY, ""),
    ("Tide", StatementProblem.NO_NUMBERS, "Tide"),
    ("57-83", StatementProblem.NO_SERIAL, "57-83"),
    ("Tide 1-5, 83-57", StatementProblem.BACKWARDS, "83-57"),
    ("Tide 12/11", StatementProblem.BACKWARDS, "12/11"),
    ("Tide v.2:no.3-v.1:no.1", StatementProblem.BACKWARDS, "v.2:no.3-v.1:no.1"),
    ("Tide 19-2x", StatementProblem.NOT_UNDERSTOOD, "2x"),
    ("Tide 1978/3-5", StatementProblem.YEAR_AND_ISSUE, "1978/3-5"),
    ("Tide 1978/79", StatementProblem.BACKWARDS, "1978/79"),
    ("Tide I-IV", StatementProblem.ROMAN, "I-IV"),
    ("Tide v.II", StatementProblem.ROMAN, "II"),
    ("Tide 1-1000000", StatementProblem.TOO_LARGE, "1000000"),
    ("Tide 1-5, foo 3", StatementProblem.NOT_UNDERSTOOD, "foo"),
    ("Tide 1-5 Saltmarsh 3-4", StatementProblem.NOT_UNDERSTOOD, "Saltmarsh"),
    ("Tide 1-5-9", StatementProblem.NOT_UNDERSTOOD, "-9"),
    ("Tide 1-5,", StatementProblem.NOT_UNDERSTOOD, ""),
    ("Tide v.1-no.3", StatementProblem.MIXED_LEVELS, "v.1-no.3"),
    ("Tide vol 2, no 1-6", StatementProblem.WHICH_LEVEL, "no"),
    ("Tide 2:5", StatementProblem.BARE_LEVELS, "2:5"),
    ("Tide v.1:no.2:pt.3", StatementProblem.TOO_DEEP, "v.1:no.2:pt.3"),
    ("Tide 12½-14", StatementProblem.FRACTION_IN_RANGE, "12½-14"),
    ("Tide 19?5", StatementProblem.UNKNOWN_DIGIT, "?5"),
    ('"Tide 5', StatementProblem.QUOTE_OPEN, '"Tide 5'),
]


@pytest.mark.parametrize(("text", "title", "parts"), UNDERSTOOD)
def test_what_people_write_is_understood(text: str, title: str, parts: str) -> None:
    read = read_statement(text)
    assert isinstance(read, PartsStatement)
    assert [(one.serial, write_parts(one.parts)) for one in read.collected] == [(title, parts)]
    assert not read.remarks


@pytest.mark.parametrize(("text", "problem", "word"), REFUSED)
def test_what_is_not_understood_is_refused_with_its_place(text: str, problem: StatementProblem, word: str) -> None:
    read = read_statement(text)
    assert isinstance(read, StatementFault)
    assert (read.problem, read.word) == (problem, word)
    assert text[read.at :].startswith(word)


@pytest.mark.parametrize(
    ("text", "kind", "word"),
    [
        ("Tide 1-5, 4-9", StatementRemarkKind.NAMED_TWICE, "4-9"),
        ("Tide 1-5; Tide 5", StatementRemarkKind.NAMED_TWICE, "Tide 5"),
        ("Tide 12/13", StatementRemarkKind.COMBINED, "12/13"),
        ("Tide Annual 2", StatementRemarkKind.CAPTION_OR_TITLE, "Annual"),
        ("Tide v.1:no.3-v.3:no.2", StatementRemarkKind.VOLUMES_BETWEEN, "v.1:no.3-v.3:no.2"),
    ],
)
def test_what_may_be_meant_otherwise_is_remarked_on(text: str, kind: StatementRemarkKind, word: str) -> None:
    read = read_statement(text)
    assert isinstance(read, PartsStatement)
    assert [(remark.kind, remark.word) for remark in read.remarks] == [(kind, word)]


@pytest.mark.parametrize(("known", "title", "parts"), [
    ({"tide"}, "Tide", "annual 2"),
    ({"tide annual"}, "Tide Annual", "2"),
    ({"tide", "tide annual"}, "Tide Annual", "2"),
])  # fmt: skip
def test_a_known_title_decides_what_a_word_belongs_to(known: set[str], title: str, parts: str) -> None:
    read = read_statement("Tide Annual 2", known.__contains__)
    assert isinstance(read, PartsStatement)
    assert [(one.serial, write_parts(one.parts)) for one in read.collected] == [(title, parts)]
    assert not read.remarks


def test_ten_thousand_parts_are_one_span() -> None:
    assert read_parts("1-10000") == Parts({(): ((1, 10_000),)})


RUNS: list[RunKey] = [(), ("v",), ("v", 2, "no"), ("v", 11, "no"), ("", 1992, "no"), ("annual",), ("special",)]


@st.composite
def some_parts(draw: st.DrawFn) -> Parts:
    spans, inserted = {}, {}
    for key in draw(st.lists(st.sampled_from(RUNS), min_size=1, max_size=3, unique=True)):
        pairs = draw(st.lists(st.tuples(st.integers(0, 60), st.integers(0, 9)), min_size=1, max_size=4))
        spans[key] = spans_of([(first, first + size) for first, size in pairs])
        if draw(st.booleans()):
            spans[key] = (*spans[key][:-1], (spans[key][-1][0], END))
        fractions = draw(st.lists(st.fractions(0, 60, max_denominator=9), max_size=2))
        if found := frozenset(one for one in fractions if one.denominator > 1):
            inserted[key] = found
    return Parts(spans, inserted)


TITLES = st.lists(
    st.sampled_from(["Tide", "Salt", "51", "v.", "Annual", "no", "and", '"x"', "9-12", ";", "Nr.", "(1978)", "à"]),
    min_size=1, max_size=4,
).map(" ".join).filter(whole_title_key)  # fmt: skip


@given(some_parts(), TITLES)
def test_what_is_written_is_read_as_the_same(parts: Parts, title: str) -> None:
    assert read_parts(write_parts(parts)) == parts
    collected = (Collected(title, parts),)
    read = read_statement(write_statement(collected))
    assert isinstance(read, PartsStatement)
    assert read.collected == collected


PIECES = st.lists(st.sampled_from(["v.1", ":no.", "1", "12", "/", "-", ",", ";", " ", "½", "annual "]), max_size=14)


@given(st.text(alphabet='Tide v.no#1290-,;:/½"?()à—９ ', max_size=25) | PIECES.map("".join))
def test_any_text_is_understood_or_refused_with_a_place_in_it(text: str) -> None:
    read = read_statement(text)
    if isinstance(read, StatementFault):
        assert 0 <= read.at <= len(text)
    else:
        assert all(one.parts and one.serial for one in read.collected)
    published = read_published(text)
    if isinstance(published, StatementFault):
        assert 0 <= published.at <= len(text)
    else:
        assert read_parts(write_parts(published.held)) == published.held


def test_an_inserted_part_is_exact() -> None:
    assert read_parts("12½, 12.1, 12 1/3") == Parts(
        {}, {(): frozenset({Fraction(25, 2), Fraction(121, 10), Fraction(37, 3)})}
    )


def test_two_numbers_that_may_be_one_with_a_decimal_comma_are_remarked_on() -> None:
    kinds = {
        text: [remark.kind for remark in read.remarks]
        for text in ("Tide 12,5", "Tide 3, 12,5", "Tide 12, 5", "Tide 5,12", "Tide 5-12,3")
        if isinstance(read := read_statement(text), PartsStatement)
    }
    comma = [StatementRemarkKind.DECIMAL_COMMA]
    assert kinds == {"Tide 12,5": comma, "Tide 3, 12,5": comma, "Tide 12, 5": [], "Tide 5,12": [], "Tide 5-12,3": []}
