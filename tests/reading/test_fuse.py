"""Votes and grey profile brought together: the rules of the module, each case worked by hand.

An error of 1 in 100,000 is 5 decades and counts as two votes, a decade 0.4 votes. A score of 1 - 10^-n is n votes.
"""

import pytest

from intake.model.identifiers import NumberKind, OwnKind, own_number
from intake.model.readings import Point, Reading
from intake.reading.fuse import (
    ProfileEvidence,
    SupplementEvidence,
    combine,
    fuse,
    interleave,
    lead_of_error,
    lead_of_reading,
    profile_reading,
    score_of,
    with_supplement,
)

ONE, TWO, THREE, FOUR = "9780306406157", "9780110002224", "9789295055124", "9783161484100"
HERE: tuple[Point, ...] = ((100.0, 100.0), (195.0, 100.0), (195.0, 169.0), (100.0, 169.0))
THERE: tuple[Point, ...] = tuple((x, y + 300) for x, y in HERE)


def reading(
    number: str = ONE, *, votes: float = 2.0, accepted: bool = False, at: tuple[Point, ...] = HERE, **more: object
) -> Reading:
    return Reading(number, NumberKind.ISBN, accepted, score_of(votes), ("zxing",), corners=at, **more)  # type: ignore[arg-type] # by name


def profile(error: float, *numbers: str, at: tuple[Point, ...] = HERE) -> ProfileEvidence:
    return ProfileEvidence(numbers, error, at, ("grey",))


def test_decades_in_votes() -> None:
    assert lead_of_error(1e-5) == pytest.approx(2)
    assert lead_of_error(0.1) == pytest.approx(0.4)
    assert lead_of_error(1) == 0
    # Beyond eight decades the model itself is not believed.
    assert lead_of_error(1e-8) == lead_of_error(1e-12) == lead_of_error(0) == pytest.approx(3.2)


def test_scores_in_votes_and_back() -> None:
    assert (score_of(1), score_of(2), score_of(0), score_of(-3)) == (0.9, 0.99, 0, 0)
    assert lead_of_reading(reading(votes=1.5)) == pytest.approx(1.5, abs=0.01)
    assert lead_of_reading(reading(votes=9)) == pytest.approx(4)


def test_what_both_say_adds_up() -> None:
    # One vote and 2.5 decades make two votes; with 2.4 decades they do not.
    sure = combine(reading(votes=1), profile(10**-2.5001, ONE, TWO))
    assert (sure.number, sure.accepted, sure.runner_up, sure.candidates) == (ONE, True, TWO, (ONE, TWO))
    assert sure.score == pytest.approx(0.99, abs=0.0001)
    assert sure.methods == ("zxing", "grey")
    assert not combine(reading(votes=1), profile(10**-2.4, ONE)).accepted
    assert combine(reading(accepted=True), profile(0.5, ONE)).accepted
    assert combine(reading(votes=1), profile(0.5, ONE)).runner_up is None
    assert combine(reading(votes=1, runner_up=THREE), profile(0.5, ONE, TWO)).runner_up == THREE
    again = combine(sure, profile(0.01, ONE))
    assert again.methods == ("zxing", "grey")


def test_a_better_score_is_kept() -> None:
    assert combine(reading(votes=3), profile(0.9, ONE)).score == pytest.approx(score_of(3), abs=0.001)


def test_an_accepted_number_is_doubted_by_a_profile_that_is_enough_for_another() -> None:
    doubted = combine(reading(accepted=True), profile(1e-5, TWO, THREE))
    assert (doubted.number, doubted.accepted, doubted.runner_up) == (ONE, False, TWO)
    assert doubted.candidates == (ONE, TWO, THREE)
    kept = combine(reading(accepted=True), profile(1.1e-5, TWO, THREE))
    assert kept == reading(accepted=True)


def test_the_surest_profile_wins_where_it_was_compared_with_both_numbers() -> None:
    won = combine(reading(accepted=True), profile(1e-9, TWO, ONE))
    assert (won.number, won.accepted, won.runner_up, won.candidates) == (TWO, True, ONE, (TWO, ONE))
    assert combine(reading(accepted=True), profile(1e-8, TWO, ONE)).number == ONE
    assert combine(reading(accepted=True), profile(1e-9, TWO, THREE)).number == ONE


def test_a_number_that_was_not_enough_counts_twice_against_another() -> None:
    # Half a vote against 3.2 votes: 2.2 are left, enough; a whole vote leaves 1.2.
    better = combine(reading(votes=0.5), profile(1e-8, TWO, THREE))
    assert (better.number, better.accepted, better.runner_up) == (TWO, True, ONE)
    assert better.score == pytest.approx(score_of(2.2), abs=0.001)
    assert better.candidates == (TWO, ONE, THREE)
    asked = combine(reading(votes=1), profile(1e-8, TWO))
    assert (asked.number, asked.accepted) == (TWO, False)
    assert asked.score == pytest.approx(score_of(1.2), abs=0.001)
    weaker = combine(reading(votes=1), profile(0.01, TWO))
    assert (weaker.number, weaker.runner_up, weaker.candidates) == (ONE, TWO, (ONE, TWO))


def test_a_profile_alone() -> None:
    sure = profile_reading(profile(1e-5, ONE, TWO, THREE, FOUR))
    assert (sure.number, sure.accepted, sure.runner_up, sure.candidates) == (ONE, True, TWO, (ONE, TWO, THREE))
    assert (sure.kind, sure.methods, sure.corners) == (NumberKind.ISBN, ("grey",), HERE)
    unsure = profile_reading(profile(1.1e-5, ONE))
    assert (unsure.accepted, unsure.runner_up) == (False, None)


def test_readings_of_several_places() -> None:
    votes = [reading(votes=1), reading(TWO, votes=3.5, accepted=True, at=THERE)]
    found = fuse(votes, [profile(1e-5, ONE)])
    assert [(one.number, one.accepted) for one in found] == [(TWO, True), (ONE, True)]
    # Alone at its place a profile is asked about below an error of one in five.
    assert [one.number for one in fuse([], [profile(0.19, ONE)])] == [ONE]
    assert fuse([], [profile(0.2, ONE)]) == ()
    # Of two profiles at one place the surer comes first.
    (both,) = fuse([], [profile(0.1, TWO), profile(1e-6, ONE)])
    assert (both.number, both.accepted) == (ONE, True)
    assert [one.number for one in fuse([reading(votes=1)], [profile(1e-6, TWO, at=THERE)])] == [TWO, ONE]


def test_nothing_is_booked_from_a_spoilt_symbol_but_a_label_over_it() -> None:
    own = Reading(own_number(OwnKind.COPY, 127), NumberKind.OWN, True, 0.99, ("zxing",), corners=HERE)
    spoilt = ProfileEvidence((), 1.0, HERE, ("grey",))
    (taken_back,) = fuse([reading(accepted=True)], [spoilt])
    assert (taken_back.accepted, taken_back.score) == (False, 0)
    assert fuse([own], [spoilt]) == (own,)
    # Digits whose check digit is wrong are shown, beside what decoders made of them or alone, and never accepted.
    misprint = ProfileEvidence((), 0.0, HERE, ("grey",), "9780306406158")
    (beside,) = fuse([reading(accepted=True)], [misprint])
    assert (beside.accepted, beside.candidates) == (False, (ONE, "9780306406158"))
    (alone,) = fuse([], [misprint])
    assert (alone.number, alone.accepted, alone.score) == ("9780306406158", False, 0)
    assert fuse([own], [misprint]) == (own,)
    assert fuse([reading(accepted=True, at=THERE)], [spoilt])[0].accepted


def test_a_supplement_by_votes_and_profile() -> None:
    here = SupplementEvidence(ONE, HERE, "51299", 1e-5)
    assert with_supplement(reading(), {}, [here]).add_on == "51299"
    assert with_supplement(reading(), {}, [SupplementEvidence(ONE, HERE, "51299", 1e-4)]).add_on is None
    # 1.6 votes of the profile and one of a decoder are enough together, and not against each other.
    almost = SupplementEvidence(ONE, HERE, "51299", 1e-4)
    assert with_supplement(reading(), {"51299": 1.0}, [almost]).add_on == "51299"
    assert with_supplement(reading(), {"51399": 1.0}, [here]).add_on is None
    for elsewhere in (SupplementEvidence(TWO, HERE, "51299", 1e-5), SupplementEvidence(ONE, THERE, "51299", 1e-5)):
        assert with_supplement(reading(add_on="90000"), {}, [elsewhere]).add_on == "90000"


def test_candidates_are_taken_in_turn() -> None:
    assert interleave((ONE, TWO), (THREE, FOUR)) == (ONE, THREE, TWO)
    assert interleave((ONE, TWO), (ONE, FOUR)) == (ONE, TWO, FOUR)
    assert interleave((ONE,), (TWO, THREE, FOUR)) == (ONE, TWO, THREE)
    assert interleave((ONE,), ()) == (ONE,)
