"""Published holdings statements: the punctuation of ANSI/NISO Z39.71, seen in a copy."""

import random
from math import ceil, floor

import pytest

from intake.runs.notation import read_parts, read_statement, write_parts
from intake.runs.part_order import PartOrder
from intake.runs.parts import Parts, expanded, known_parts
from intake.runs.published import PublishedHoldings, read_published, write_published
from intake.runs.spans import has, spans_of
from intake.runs.statements import Collected, PartsStatement, StatementFault, StatementProblem, StatementRemarkKind
from tests.drawn_examples import examples
from tests.runs.random_serials import random_serial

LEFT_OUT = StatementRemarkKind.DATE_LEFT_OUT
PUBLISHED = "ANSI/NISO Z39.71, example seen in a copy"
MARKS = "ANSI/NISO Z39.71 and ISO 10324, by the meaning of the marks"
CASES = [
    # source, statement, held, missing, never published, remarks
    (PUBLISHED, "v.1-3", "v.1-3", "", "", []),
    (PUBLISHED, "v.1,v.3", "v.1, 3", "v.2", "", []),
    (PUBLISHED, "v.1-4;v.6", "v.1-4, 6", "", "v.5", [StatementRemarkKind.NOT_PUBLISHED]),
    (MARKS, "v.1-4;6", "v.1-4, 6", "", "v.5", [StatementRemarkKind.NOT_PUBLISHED]),
    (MARKS, "v.1-3,5-8", "v.1-3, 5-8", "v.4", "", []),
    (PUBLISHED, "v.1-18,25-32,36-", "v.1-18, 25-32, 36-", "v.19-24, 33-35", "", []),
    (MARKS, "v.1-5(1990-1994)", "v.1-5", "", "", [LEFT_OUT]),
    (MARKS, "v.1(1983),v.3(1985)", "v.1, 3", "v.2", "", [LEFT_OUT, LEFT_OUT]),
    (PUBLISHED, "v.1/2", "v.1/2", "", "", [StatementRemarkKind.COMBINED]),
    (MARKS, "v.1:no.1-3,5-12", "v.1:no.1-3, 5-12", "v.1:no.4", "", []),
    (PUBLISHED, "1950-197?", "1950-1970", "", "", [StatementRemarkKind.UNKNOWN_END]),
    (PUBLISHED, "v.2:no.5=fasc.15", "v.2:no.5", "", "", [StatementRemarkKind.OTHER_NUMBER_LEFT_OUT]),
    (MARKS, "v.1-9 <v.7 water-damaged; rebound>", "v.1-9", "", "", [StatementRemarkKind.NOTE_LEFT_OUT]),
    (MARKS, "1962-1979,1986-1993,1997-", "1962-1979, 1986-1993, 1997-", "1980-1985, 1994-1996", "", []),
    (MARKS, "v.1-", "v.1-", "", "", []),
    (MARKS, "v.3(1971/1972)", "v.3", "", "", [LEFT_OUT]),
    (MARKS, "v.1-10,v.12/13,v.15-", "v.1-10, 12/13, 15-", "v.11, 14", "", [StatementRemarkKind.COMBINED]),
    (MARKS, "v.1:no.1(1990:Jan.)-v.1:no.6(1990:June)", "v.1:no.1-6", "", "", [LEFT_OUT, LEFT_OUT]),
    (MARKS, "no.1-12;12½;13-28", "1-12, 12½, 13-28", "", "", []),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "held", "missing", "unpublished", "remarks"),
    [case[1:] for case in CASES],
    ids=[f"{source}: {text}" for source, text, *_ in CASES],
)
def test_a_published_statement_is_read_alone_and_as_what_an_edition_collects(
    text: str, held: str, missing: str, unpublished: str, remarks: list[StatementRemarkKind]
) -> None:
    """A comma is a gap, a semicolon is none; behind a title the same parts are read."""
    read = read_published(text)
    assert isinstance(read, PublishedHoldings)
    assert (write_parts(read.held), write_parts(read.missing)) == (held, missing)
    assert write_parts(read.unpublished) == unpublished
    assert [remark.kind for remark in read.remarks] == remarks
    collected = read_statement(f"Tide (1978) {text}")
    assert isinstance(collected, PartsStatement)
    assert collected.collected == (Collected("Tide (1978)", read.held),)
    same_run = [StatementRemarkKind.SAME_RUN] if text == "v.1-4;6" else []
    assert sorted(remark.kind for remark in collected.remarks) == sorted([*remarks, *same_run])


@pytest.mark.parametrize(("text", "problem"), [
    ("18??", StatementProblem.UNKNOWN_DIGIT), ("19?5", StatementProblem.UNKNOWN_DIGIT),
    ("v.8-5", StatementProblem.BACKWARDS), ("v.1-no.3", StatementProblem.MIXED_LEVELS), (" ", StatementProblem.EMPTY),
    ("v.1-5(without 3)", StatementProblem.NOT_UNDERSTOOD), ("no.3/1978", StatementProblem.COMBINED_TOO_MANY),
])  # fmt: skip
def test_a_statement_without_a_certain_meaning_is_refused(text: str, problem: StatementProblem) -> None:
    read = read_published(text)
    assert isinstance(read, StatementFault)
    assert read.problem is problem


@pytest.mark.parametrize(
    "text", ["v.1-3", "v.1-4;v.6", "v.1-10,12/13,15-", "v.1-3,5-8", "v.1-18,25-32,36-", "v.1:no.1-3,5-12"]
)
def test_a_published_statement_is_written_as_it_was(text: str) -> None:
    read = read_published(text)
    assert isinstance(read, PublishedHoldings)
    assert write_published(read.held, read.held | read.missing) == text


def volumes(count: int, numbers: int) -> Parts:
    return Parts({("v", volume, "no"): ((1, numbers),) for volume in range(1, count + 1)})


def test_numbers_across_volumes_are_counted_where_it_is_known_how_many_a_volume_has() -> None:
    read = read_published("v.2:no.1-v.4:no.12")
    assert isinstance(read, PublishedHoldings)
    known = known_parts([], volumes(5, 12))
    assert (expanded(read.held, known) & known).count() == 36
    assert read.held.is_open  # and nobody knows how many otherwise


def test_whole_volumes_and_numbers_of_the_next_are_one_stretch() -> None:
    """MARC 21 fields 853 and 863: three volumes of 12 and six numbers of the fourth are 42 issues, without a gap."""
    read = read_published("v.1-3,v.4:no.1-6")
    assert isinstance(read, PublishedHoldings)
    known = known_parts([], volumes(4, 12))
    held = expanded(read.held, known) & known
    assert held.count() == 42
    assert not read.missing
    assert write_parts(volumes(4, 12) - held) == "v.4:no.7-12"


def test_whatever_is_written_of_two_thousand_serials_is_read_as_the_same() -> None:
    """Gaps are counted number by number, without spans."""
    draw = random.Random(18)
    for _ in range(examples(2000)):
        known = random_serial(draw)
        order = PartOrder(known)
        chosen = [place for place in range(order.size) if draw.random() < draw.choice((0.3, 0.9))] or [0]
        held = order.parts(spans_of((place, place) for place in chosen))
        text = write_published(held, known)
        read = read_published(text)
        assert isinstance(read, PublishedHoldings), text
        assert read.held == held, text
        assert gaps_within(known, held) <= numbers(read.missing), text  # and what was never published beside a gap
        assert numbers(read.unpublished).isdisjoint(numbers(known)), text
        collected = read_statement(f"Tidewrack Quarterly {text}")
        assert isinstance(collected, PartsStatement), text
        assert collected.collected == (Collected("Tidewrack Quarterly", held),), text
        for parts in (known, held, known - held):
            assert not parts or read_parts(write_parts(parts)) == parts, write_parts(parts)


def numbers(parts: Parts) -> set[tuple[object, int]]:
    return {(key, one) for key, spans in parts.spans.items() for first, last in spans for one in range(first, last + 1)}


def gaps_within(known: Parts, held: Parts) -> set[tuple[object, int]]:
    """Return the numbers that are known and not held, between the first and the last that is held of their run."""
    found: set[tuple[object, int]] = set()
    for key, spans in known.spans.items():
        every = [*held.inserted.get(key, ())] + [one for other, one in numbers(held) if other == key]
        for first, last in spans if every else ():
            for one in range(first, last + 1):
                if floor(min(every)) < one < ceil(max(every)) and not has(held.spans.get(key, ()), one):
                    found.add((key, one))
    return found
