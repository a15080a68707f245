"""The rule by which a printed number is counted, and where it is looked for."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.identifiers import NumberKind
from intake.model.readings import Reading
from intake.reading.code_book import CodeBook
from intake.reading.fuse import ProfileEvidence, profile_reading, score_of
from intake.reading.geometry import map_points
from intake.reading.printed import PrintedNumber
from intake.reading.printed_evidence import cut_out, in_picture, surroundings, with_printed

RIGHT, OTHER, THIRD = "9780306406157", "9780110002224", "9789295055124"
BARS = ((100.0, 100.0), (195.0, 100.0), (195.0, 169.0), (100.0, 169.0))
BELOW = ((95.0, 170.0), (195.0, 170.0), (195.0, 180.0), (95.0, 180.0))
AFAR = ((300.0, 500.0), (400.0, 500.0), (400.0, 510.0), (300.0, 510.0))


def grey(error: float, *numbers: str) -> Reading:
    """Make a reading of the grey profile alone."""
    return profile_reading(ProfileEvidence(numbers or (RIGHT, OTHER), error, BARS, ("grey",)))


def below(number: str, *, repaired: bool = False) -> PrintedNumber:
    return PrintedNumber(number, "bars", repaired=repaired, corners=BELOW)


def test_a_printed_number_alone_is_a_question() -> None:
    page = [PrintedNumber(RIGHT, "ISBN", "hardback", corners=AFAR), PrintedNumber(OTHER, "ISBN", "set", corners=AFAR)]
    (reading,) = with_printed((), page)
    assert (reading.number, reading.accepted, reading.methods) == (RIGHT, False, ("print",))
    assert (reading.candidates, reading.beside) == ((RIGHT, OTHER), ("hardback", "set"))


def test_a_catalog_orders_but_does_not_accept() -> None:
    page = [
        PrintedNumber(RIGHT, "ISBN", "hardback"),
        PrintedNumber("9770317847001", "ISSN"),
        PrintedNumber(OTHER, "ISBN", "set"),
    ]
    page = [replace(one, corners=AFAR) for one in page]
    (reading,) = with_printed((), page, CodeBook.of([OTHER]))
    assert reading.candidates == (OTHER, RIGHT, "9770317847001")
    assert reading.beside == ("set", "hardback", "")
    assert not reading.accepted


@pytest.mark.parametrize(
    ("error", "repaired", "accepted"),
    [(0.15, False, False), (0.02, False, False), (0.009, False, True), (0.009, True, False), (0.0009, True, True)],
)
def test_the_print_adds_three_decades_or_two_to_the_five(error: float, repaired: bool, accepted: bool) -> None:
    before = grey(error)
    (after,) = with_printed((before,), [below(RIGHT, repaired=repaired)])
    assert (before.accepted, after.accepted, after.number) == (False, accepted, RIGHT)
    assert after.methods == ("grey", "print")
    assert after.score > before.score


def test_one_vote_of_one_decoder_is_not_enough() -> None:
    lone = Reading(RIGHT, NumberKind.ISBN, accepted=False, score=score_of(1 / 3), methods=("zxing",), corners=BARS)
    (after,) = with_printed((lone,), [below(RIGHT)])
    assert not after.accepted
    (three,) = with_printed((replace(lone, score=score_of(1.0)),), [below(RIGHT)])
    assert three.accepted


@given(st.floats(1e-4, 0.19), st.booleans())
def test_a_number_that_is_not_the_best_is_never_accepted(error: float, repaired: bool) -> None:
    (after,) = with_printed((grey(error),), [below(OTHER, repaired=repaired)])
    assert not after.accepted
    assert set(after.candidates[:2]) == {RIGHT, OTHER}
    assert after.number == after.candidates[0]
    assert after.corners == BARS
    assert after.beside == ()


def test_the_stronger_side_is_shown_first() -> None:
    assert with_printed((grey(0.1),), [below(THIRD)])[0].number == THIRD
    assert with_printed((grey(0.0001),), [below(THIRD)])[0].number == RIGHT


def test_an_accepted_reading_is_left_as_it_is() -> None:
    sure = Reading(RIGHT, NumberKind.ISBN, accepted=True, score=0.99, methods=("zxing", "zbar"), corners=BARS)
    for printed in ([below(OTHER)], [below(RIGHT)], [PrintedNumber(OTHER, "ISBN", corners=AFAR)]):
        assert with_printed((sure, grey(0.1, THIRD)), printed) == (sure, grey(0.1, THIRD))


def test_a_number_elsewhere_in_the_picture_is_a_question_of_its_own() -> None:
    doubtful, printed = with_printed((grey(0.001),), [PrintedNumber(OTHER, "ISBN", corners=AFAR)])
    assert {doubtful.number, printed.number} == {RIGHT, OTHER}
    assert not doubtful.accepted
    assert not printed.accepted
    assert with_printed((grey(0.001),), [PrintedNumber(RIGHT, "ISBN", corners=AFAR)]) == (grey(0.001),)
    assert with_printed((grey(0.001),), []) == (grey(0.001),)


def test_the_cut_out_shows_what_stands_below_and_maps_back() -> None:
    picture = np.full((600, 800), 200, np.uint8)
    turn = cv2.getRotationMatrix2D((400, 300), 150, 1.0)
    corners = map_points(((350, 280), (450, 280), (450, 320), (350, 320)), np.vstack([turn, [0, 0, 1]]))
    (digit,) = map_points(((340, 350),), np.vstack([turn, [0, 0, 1]]))
    cv2.circle(picture, tuple(round(each) for each in digit), 4, 0, -1)
    crop = cut_out(picture, corners)
    ys, xs = np.nonzero(crop.grey < 100)
    x, y = float(xs.mean()), float(ys.mean())
    assert y > crop.grey.shape[0] / 2
    assert x < 0.2 * crop.grey.shape[1]
    found = in_picture(PrintedNumber(RIGHT, corners=((x, y),) * 4), crop)
    assert found.corners[0] == pytest.approx(digit, abs=1.5)


def test_a_single_scan_line_has_surroundings_too() -> None:
    around = surroundings(((0, 0), (100, 0), (100, 0), (0, 0)))
    assert around == ((-25, -80), (125, -80), (125, 80), (-25, 80))
