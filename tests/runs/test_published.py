"""Published holdings statements: the punctuation of ANSI/NISO Z39.71, seen in a copy."""

import pytest

from intake.runs.notation import write_parts
from intake.runs.parts import Parts, expanded, known_parts
from intake.runs.published import PublishedHoldings, read_published, write_published
from intake.runs.statements import StatementFault, StatementProblem, StatementRemarkKind

LEFT_OUT = StatementRemarkKind.DATE_LEFT_OUT
CASES = [
    # statement, held, missing, never published, remarks
    ("v.1-3", "v.1-3", "", "", []),
    ("v.1,v.3", "v.1, 3", "v.2", "", []),
    ("v.1-4;v.6", "v.1-4, 6", "", "v.5", []),
    ("v.1-3,5-8", "v.1-3, 5-8", "v.4", "", []),
    ("v.1-18,25-32,36-", "v.1-18, 25-32, 36-", "v.19-24, 33-35", "", []),
    ("v.1-5(1990-1994)", "v.1-5", "", "", [LEFT_OUT]),
    ("v.1(1983),v.3(1985)", "v.1, 3", "v.2", "", [LEFT_OUT, LEFT_OUT]),
    ("v.1/2", "v.1-2", "", "", [StatementRemarkKind.COMBINED]),
    ("v.1:no.1-3,5-12", "v.1:no.1-3, 5-12", "v.1:no.4", "", []),
    ("1950-197?", "1950-1970", "", "", [StatementRemarkKind.UNKNOWN_END]),
    ("v.2:no.5=fasc.15", "v.2:no.5", "", "", [StatementRemarkKind.OTHER_NUMBER_LEFT_OUT]),
    ("v.1-9 <v.7 water-damaged>", "v.1-9", "", "", [StatementRemarkKind.NOTE_LEFT_OUT]),
    ("1962-1979,1986-1993,1997-", "1962-1979, 1986-1993, 1997-", "1980-1985, 1994-1996", "", []),
    ("v.1-", "v.1-", "", "", []),
    ("v.3(1971/1972)", "v.3", "", "", [LEFT_OUT]),
    ("v.1-10,v.12/13,v.15-", "v.1-10, 12-13, 15-", "v.11, 14", "", [StatementRemarkKind.COMBINED]),
    ("v.1:no.1(1990:Jan.)-v.1:no.6(1990:June)", "v.1:no.1-6", "", "", [LEFT_OUT, LEFT_OUT]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "held", "missing", "unpublished", "remarks"), CASES, ids=[case[0] for case in CASES])
def test_a_comma_is_a_gap_and_a_semicolon_is_none(
    text: str, held: str, missing: str, unpublished: str, remarks: list[StatementRemarkKind]
) -> None:
    read = read_published(text)
    assert isinstance(read, PublishedHoldings)
    assert (write_parts(read.held), write_parts(read.missing)) == (held, missing)
    assert write_parts(read.unpublished) == unpublished
    assert [remark.kind for remark in read.remarks] == remarks


@pytest.mark.parametrize(("text", "problem"), [
    ("18??", StatementProblem.UNKNOWN_DIGIT), ("19?5", StatementProblem.UNKNOWN_DIGIT),
    ("v.8-5", StatementProblem.BACKWARDS), ("v.1-no.3", StatementProblem.MIXED_LEVELS), (" ", StatementProblem.EMPTY),
])  # fmt: skip
def test_a_statement_without_a_certain_meaning_is_refused(text: str, problem: StatementProblem) -> None:
    read = read_published(text)
    assert isinstance(read, StatementFault)
    assert read.problem is problem


@pytest.mark.parametrize("text", ["v.1-3", "v.1-4;6", "v.1-3,5-8", "v.1-18,25-32,36-", "v.1:no.1-3,5-12"])
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
