"""One issue with two numbers is one part: compared with issues counted one by one as sets of numbers."""

import random

import pytest

from intake.runs.coverage import missing
from intake.runs.notation import read_parts, write_parts
from intake.runs.part_order import PartOrder
from intake.runs.parts import Parts, known_parts, partly
from intake.runs.spans import count, spans_of, union
from intake.runs.statements import StatementFault, StatementProblem
from tests.runs.random_serials import random_run


def read(text: str) -> Parts:
    parts = read_parts(text)
    assert isinstance(parts, Parts)
    return parts


@pytest.mark.parametrize(
    ("text", "written", "parts"),
    [
        ("45/46", "45/46", 1),
        ("45/46/47", "45/47", 1),
        ("40-45/46", "40-44, 45/46", 6),
        ("45/46-50", "45/46, 47-50", 5),
        ("1-60, 45/46", "1-44, 45/46, 47-60", 59),
        ("v.2:no.11/12", "v.2:no.11/12", 1),
        ("annual 1981/1982", "annual 1981/1982", 1),
        ("12½, 12/13", "12/13, 12½", 2),
    ],
)
def test_it_is_written_so_and_counted_once(text: str, written: str, parts: int) -> None:
    assert (write_parts(read(text)), read(text).count()) == (written, parts)
    assert read(written) == read(text)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("3/1978", StatementProblem.COMBINED_TOO_MANY),
        ("1/5/7", StatementProblem.COMBINED_TOO_MANY),
        ("1970/71", StatementProblem.BACKWARDS),
        ("45/", StatementProblem.NOT_UNDERSTOOD),
    ],
)
def test_a_fraction_or_a_date_is_refused(text: str, problem: StatementProblem) -> None:
    fault = read_parts(text)
    assert isinstance(fault, StatementFault)
    assert fault.problem is problem


def test_half_of_it_in_hand_is_the_issue_and_is_told() -> None:
    known = known_parts([read("40-45"), read("45/46")], read("1-60"))
    order = PartOrder(known)
    assert order.size == 59
    assert write_parts(order.parts(order.places(read("46")))) == "45/46"
    assert write_parts(partly(read("40-45"), known)) == "45/46"
    assert not partly(read("40-46"), known)


def test_of_two_that_share_a_number_the_extent_decides() -> None:
    known = known_parts([read("45/46")], read("1-45, 46/47, 48-60"))
    assert write_parts(known) == "1-45, 46/47, 48-60"


def test_counts_and_gaps_of_random_serials_are_those_of_their_issues() -> None:
    draw = random.Random(46)
    for _ in range(300):
        known = random_run(draw, ())
        numbers = [one for first, last in known.spans[()] for one in range(first, last + 1)]
        pieces = [frozenset(range(first, last + 1)) for first, last in known.combined.get((), ())]
        single = set(numbers).difference(*pieces)
        issues = [*pieces, *(frozenset({number}) for number in single)]
        inserted = known.inserted.get((), frozenset())
        volumes = [set(draw.sample(numbers, draw.randint(1, min(9, len(numbers))))) for _ in range(3)]
        stated = [Parts({(): spans_of((one, one) for one in volume)}) for volume in volumes]
        order = PartOrder(known_parts(stated, known))
        held = union(*map(order.places, stated))
        in_hand = [issue for issue in issues if any(issue & volume for volume in volumes)]
        assert (order.size, count(held)) == (len(issues) + len(inserted), len(in_hand))
        gaps = order.parts(missing(held, order.lines()))
        left = {one for first, last in gaps.spans.get((), ()) for one in range(first, last + 1)}
        assert left == set(numbers).difference(*in_hand)
        assert gaps.inserted.get((), frozenset()) == inserted
