"""The agreement rule, case by case: which votes are enough for a number to be booked without asking."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.identifiers import OwnKind, own_number
from intake.model.readings import Point, Reading
from intake.reading.decoders import Decoded
from intake.reading.evidence import Evidence
from intake.reading.symbol_forms import SymbolForm
from intake.reading.vote import Vote, count_votes, overlap

BOOK, OTHER = "9780306406157", "9780110002224"
SHORT = "0000096385074"
OWN = own_number(OwnKind.COPY, 127)


def box(x: float = 0.0, y: float = 0.0, width: float = 200.0, height: float = 120.0) -> tuple[Point, ...]:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def votes(
    decoder: str,
    count: int,
    number: str = BOOK,
    *,
    cuts: int = 2,
    add_on: str | None = None,
    at: tuple[Point, ...] = box(),
) -> list[Vote]:
    form = {SHORT: SymbolForm.SHORT, OWN: SymbolForm.OWN}.get(number, SymbolForm.LONG)
    symbol = Decoded(number, form, at, decoder, add_on)
    return [Vote(symbol, f"version {i}", f"cut {i % cuts}") for i in range(count)]


def first(cast: list[Vote], asked: int = 2) -> Reading:
    return count_votes(cast, asked)[0]


@pytest.mark.parametrize(
    ("zxing", "zbar", "asked", "accepted"),
    [
        (1, 1, 2, True),
        (5, 0, 2, False),
        (60, 0, 2, False),
        (0, 60, 2, False),
        (3, 0, 1, False),
        (4, 0, 1, True),
    ],
)
def test_two_that_agree_or_many_of_the_only_one(zxing: int, zbar: int, asked: int, accepted: bool) -> None:
    reading = first(votes("zxing", zxing) + votes("zbar", zbar), asked)
    assert (reading.number, reading.accepted, reading.runner_up) == (BOOK, accepted, None)


def test_one_cut_repeats_its_mistake() -> None:
    assert not first(votes("zxing", 20, cuts=1), asked=1).accepted
    assert first(votes("zxing", 20, cuts=2), asked=1).accepted


def test_a_rival_at_the_same_place_is_asked_about() -> None:
    reading = first(votes("zxing", 3) + votes("zbar", 3) + votes("zbar", 3, OTHER, at=box(5, 8)))
    assert (reading.accepted, reading.runner_up) == (False, OTHER)
    reading = first(votes("zxing", 5) + votes("zbar", 3) + votes("zbar", 3, OTHER, at=box(5, 8)))
    assert (reading.number, reading.accepted, reading.runner_up) == (BOOK, True, OTHER)


def test_another_number_elsewhere_is_no_rival() -> None:
    cast = votes("zxing", 1) + votes("zbar", 1)
    cast += votes("zxing", 1, OTHER, at=box(0, 200)) + votes("zbar", 1, OTHER, at=box(0, 200))
    assert [(r.number, r.accepted) for r in count_votes(cast, 2)] == [(OTHER, True), (BOOK, True)]


def test_a_short_symbol_needs_more_and_no_long_one_beside_it() -> None:
    assert not first(votes("zxing", 3, SHORT) + votes("zbar", 2, SHORT)).accepted
    assert first(votes("zxing", 3, SHORT) + votes("zbar", 3, SHORT)).accepted
    disputed = votes("zxing", 30, SHORT) + votes("zbar", 30, SHORT) + votes("zbar", 1, at=box(-20, 0))
    assert not [reading for reading in count_votes(disputed, 2) if reading.accepted]


def test_an_own_number_is_sure_at_once_unless_something_contradicts() -> None:
    assert first(votes("zxing", 1, OWN)).accepted
    assert not [r for r in count_votes(votes("zxing", 1, OWN) + votes("zbar", 1), 2) if r.accepted]


def test_two_copies_are_two_and_one_is_one() -> None:
    apart = votes("zxing", 2) + votes("zbar", 2) + votes("zxing", 2, at=box(300)) + votes("zbar", 2, at=box(300))
    assert [(r.number, r.accepted) for r in count_votes(apart, 2)] == [(BOOK, True), (BOOK, True)]
    parts = votes("zxing", 1, at=box(0, 0, 200, 30)) + votes("zbar", 1, at=box(0, 80, 200, 40))
    assert len(count_votes(parts, 2)) == 1


def test_a_supplement_needs_two_votes_and_twice_its_rivals() -> None:
    sure = votes("zxing", 2) + votes("zbar", 2)
    assert first(sure + votes("zxing", 1, add_on="51299")).add_on is None
    assert first(sure + votes("zxing", 2, add_on="51299")).add_on == "51299"
    assert first(sure + votes("zxing", 2, add_on="51299") + votes("zbar", 1, add_on="51399")).add_on is None


def test_what_is_accepted_stays_accepted() -> None:
    tally = Evidence(2)
    tally.add(votes("zxing", 1) + votes("zbar", 1))
    assert tally.add(votes("zxing", 40, OTHER, at=box(3, 4))) == 0
    assert [(reading.number, reading.accepted) for reading in tally.readings()] == [(BOOK, True)]
    assert tally.explains(box(4, 6))
    assert tally.explains(box(210, 20, 90, 80))  # its supplement
    assert not tally.explains(box(0, 300))


def test_outlines_that_claim_the_same_bars() -> None:
    # 200 x 100 about (100, 50); along it 0.45 of both widths count, across it half of both heights.
    wide = box(0, 0, 200, 100)
    for x, y, same in ((107, 0, True), (109, 0, False), (0, 54, True), (0, 56, False)):
        slim = box(100 + x - 20, 50 + y - 5, 40, 10)
        assert (overlap(wide, slim), overlap(slim, wide)) == (same, same), (x, y)
    # A slim one that stands on end is measured along the wide one, not along itself.
    upright = ((155.0, 110.0), (155.0, 150.0), (145.0, 150.0), (145.0, 110.0))
    assert not overlap(wide, upright)
    assert not overlap(upright, wide)
    # One scan line stands for a fifth of its width.
    line = box(0, 60, 200, 0)
    assert overlap(line, box(0, 79, 200, 0))
    assert not overlap(line, box(0, 101, 200, 0))
    point = ((5.0, 5.0),) * 4
    assert overlap(point, point)
    assert not overlap(point, ((5.0, 6.5),) * 4)


def test_the_outline_is_the_tallest_of_the_usual_ones() -> None:
    tall, low = box(0, 0, 200, 120), box(0, 40, 200, 20)
    askew = box(0, 0, 300, 200)
    cast = votes("zxing", 2, at=low) + votes("zbar", 1, at=tall) + votes("zbar", 1, at=askew)[:1]
    assert count_votes(cast, 2)[0].corners == tall


@given(st.integers(0, 8), st.integers(0, 8), st.integers(0, 8))
def test_a_rival_never_helps(zxing: int, zbar: int, against: int) -> None:
    for_it = votes("zxing", zxing) + votes("zbar", zbar)
    without = any(reading.number == BOOK and reading.accepted for reading in count_votes(for_it, 2))
    disputed = count_votes(for_it + votes("zbar", against, OTHER), 2)
    assert without or not any(reading.number == BOOK and reading.accepted for reading in disputed)
    assert sum(reading.accepted for reading in disputed) <= 1
