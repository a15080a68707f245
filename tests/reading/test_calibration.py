"""From misfits to chances of error, by the formulas of the module, worked by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from intake.reading.calibration import error_chance, is_believable, is_neighbour, judge, prior, step_worth
from intake.reading.code_book import CodeBook
from intake.reading.grey_level import ProfileCandidate
from intake.reading.profile_fit import Fit
from intake.reading.symbologies import EAN8, EAN13, Symbology, bits_of

ONE, TWO, FAR, SHORT = "9780306406157", "9780306406164", "9783161484100", "0000096385074"
"""The first two begin alike in nine digits, as numbers of one publisher do."""


def candidate(
    number: str = ONE, misfit: float = 0.05, *, blur: float = 1.0, bend: tuple[float, float] = (0.0, 0.0),
    worst: float = 0.1, listed: bool = False, valid: bool = True,
) -> ProfileCandidate:  # fmt: skip
    symbology: Symbology = EAN8 if number == SHORT else EAN13
    pose = np.array([0.0, 1.0, 0.0, *bend, blur])
    fit = Fit(pose, misfit, np.zeros(2), np.ones(3))
    return ProfileCandidate(number, bits_of([number], symbology)[0], fit, False, listed, worst, valid)


def test_the_odds_of_two_misfits() -> None:
    # exp(-36 ln(0.06 / 0.05)) = (5/6)^36.
    found = judge([candidate(TWO, 0.06), candidate(ONE, 0.05)], None)
    assert found is not None
    assert [one.number for one in found.candidates] == [ONE, TWO]
    assert found.error == pytest.approx((5 / 6) ** 36)
    three = judge([candidate(TWO, 0.06), candidate(ONE, 0.05), candidate(FAR, 0.06)], None)
    assert three is not None
    assert three.error == pytest.approx(2 * (5 / 6) ** 36)
    alone = judge([candidate()], None)
    assert alone is not None
    assert alone.error == 0
    assert judge([], None) is None


def test_errors_add_up_and_are_never_more_than_certain() -> None:
    assert error_chance([0.0]) == 0
    assert error_chance([1.0, 1.0 - math.log(10), 1.0 - math.log(100)]) == pytest.approx(0.11)
    assert error_chance([0.0, 0.0, 0.0]) == 1
    assert error_chance([0.0, 5.0]) == 1


def test_a_short_symbol_is_worth_less() -> None:
    # 67 and 95 modules, with five of paper on either side.
    assert step_worth(95) == 36
    assert step_worth(67) == pytest.approx(36 * 77 / 105)


def test_what_cannot_be_believed_is_in_doubt_altogether() -> None:
    unlike = judge([candidate(ONE, 0.14), candidate(TWO, 0.9)], None)
    assert unlike is not None
    assert unlike.error == 1


@pytest.mark.parametrize(
    ("number", "last", "first"),
    [
        (ONE, {"misfit": 0.13}, {"misfit": 0.131}),
        (ONE, {"worst": 0.3}, {"worst": 0.301}),
        (ONE, {"blur": 1.5}, {"blur": 1.51}),
        (ONE, {"bend": (0.9, -0.9)}, {"bend": (0.0, -0.91)}),
        (ONE, {"bend": (0.9, 0.0)}, {"bend": (0.91, 0.0)}),
        (SHORT, {"misfit": 0.08}, {"misfit": 0.081}),
        (SHORT, {"blur": 1.3}, {"blur": 1.31}),
    ],
)
def test_the_bounds_of_belief(number: str, last: dict[str, float], first: dict[str, float]) -> None:
    assert is_believable(candidate(number, **{"misfit": 0.05, **last}))  # type: ignore[arg-type] # by name
    assert not is_believable(candidate(number, **{"misfit": 0.05, **first}))  # type: ignore[arg-type] # by name


def test_priors_with_a_catalog() -> None:
    book = CodeBook.of([ONE, FAR], expected=[FAR])
    listed = prior(candidate(ONE, listed=True), book)
    assert math.exp(listed) == pytest.approx(0.9 / 2)
    # Expected in the open box: twenty times as likely.
    assert math.exp(prior(candidate(FAR, listed=True), book) - listed) == pytest.approx(20)
    # Not listed, but of a publisher of the book: a tenth over 2 x 1000; of another: a tenth over 10^12.
    assert math.exp(prior(candidate(TWO), book)) == pytest.approx(0.1 / 2000)
    assert math.exp(prior(candidate("9789295055124"), book)) == pytest.approx(0.1 / 1e12)
    assert prior(candidate(TWO), None) == prior(candidate(TWO), CodeBook.of([])) == 0


def test_the_prior_decides_between_fits_that_are_alike() -> None:
    book = CodeBook.of([ONE, FAR])
    found = judge([candidate(TWO, 0.05), candidate(ONE, 0.05, listed=True)], book)
    assert found is not None
    assert found.candidates[0].number == ONE
    assert found.error == pytest.approx(0.1 / 2000 / 0.45)


def test_neighbours_share_nine_digits() -> None:
    book = CodeBook.of([ONE])
    assert is_neighbour(TWO, book)
    assert is_neighbour("9780306409998", book)
    assert not is_neighbour("9780306500000", book)
    assert not is_neighbour(replace(candidate(FAR)).number, book)
