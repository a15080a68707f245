"""Digits of greatest likelihood, against trying every supplement of two and of five digits one by one."""

import itertools

import numpy as np
import pytest

from intake.reading.likelihood import ProfileMoments, likeliest_digits, misfit_terms, parity_tree
from intake.reading.symbologies import ADD_ON_2, ADD_ON_5, CODES, EAN8, EAN13, Symbology


def moments(symbology: Symbology, seed: int) -> ProfileMoments:
    """Return moments of a profile that is mostly noise, so that many numbers fit about alike."""
    draw = np.random.default_rng(seed)
    shape = draw.normal(0, 1, (3 * symbology.modules, symbology.modules))
    # Blur reaches over less than a digit: what lies further apart does not touch.
    far = np.abs(np.subtract.outer(np.arange(symbology.modules), np.arange(symbology.modules))) >= 7
    gram = np.where(far, 0.0, shape.T @ shape)
    return ProfileMoments(draw.normal(0, 30, symbology.modules), gram, 0.0)


def every(symbology: Symbology) -> tuple[np.ndarray, np.ndarray]:
    """Return the digits of every number in every row of sets, where they are valid."""
    count = len(symbology.slots)
    numbers = np.array(np.unravel_index(np.arange(10**count), (10,) * count)).T.astype(np.uint8)
    digits, rows = [], []
    for row in range(len(symbology.parities)):
        where = np.full(len(numbers), row, np.intp)
        good = symbology.valid(numbers.astype(np.uint8), where)
        digits.append(numbers[good])
        rows.append(where[good])
    return np.concatenate(digits), np.concatenate(rows)


@pytest.mark.parametrize("symbology", [ADD_ON_2, ADD_ON_5], ids=["two", "five"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_best_rows_are_those_of_trying_every_number(symbology: Symbology, seed: int) -> None:
    seen = moments(symbology, seed)
    digits, rows = every(symbology)
    misfits = seen.misfits(symbology.bits(digits, rows))
    order = np.argsort(misfits)[:10]
    found, of_rows, values = likeliest_digits(seen, symbology, most=10, beam=10**6)
    assert found.tolist() == digits[order].tolist()
    assert of_rows.tolist() == rows[order].tolist()
    assert values == pytest.approx(misfits[order])


@pytest.mark.parametrize("symbology", [EAN13, EAN8, ADD_ON_2, ADD_ON_5], ids=lambda one: one.name)
def test_the_misfit_is_the_sum_of_its_terms(symbology: Symbology) -> None:
    seen = moments(symbology, 5)
    draw = np.random.default_rng(6)
    digits = draw.integers(0, 10, (4, len(symbology.slots))).astype(np.uint8)
    rows = draw.integers(0, len(symbology.parities), 4).astype(np.intp)
    base, own, pairs = misfit_terms(seen, symbology)
    codes = digits + 10 * symbology.parities[rows]
    total = base + np.array([sum(own[slot, code] for slot, code in enumerate(row)) for row in codes])
    for nth, row in enumerate(codes):
        total[nth] += sum(pairs[slot][a, b] for slot, (a, b) in enumerate(itertools.pairwise(row)))
    assert total == pytest.approx(seen.misfits(symbology.bits(digits, rows)))


def test_the_misfit_of_a_row_of_modules_by_hand() -> None:
    # |G b|^2 - 2 d b with K = G'G: for b = 110 it is K00 + 2 K01 + K11 - 2 (d0 + d1).
    gram = np.array([[2.0, 0.5, 0], [0.5, 3.0, 0.25], [0, 0.25, 4.0]])
    seen = ProfileMoments(np.array([1.0, 2.0, 3.0]), gram, 9.0)
    assert seen.misfits(np.array([[1, 1, 0], [0, 0, 1]], np.uint8)).tolist() == [2 + 1 + 3 - 6, 4 - 6]


@pytest.mark.parametrize("seed", [1, 4, 7])
def test_a_narrow_beam_leaves_out_none_that_is_likelier_than_what_it_returns(seed: int) -> None:
    seen = moments(ADD_ON_5, seed)
    digits, rows = every(ADD_ON_5)
    order = np.argsort(seen.misfits(ADD_ON_5.bits(digits, rows)))
    found, of_rows, _ = likeliest_digits(seen, ADD_ON_5, most=100, beam=100)
    assert len(found) >= 3
    assert found.tolist() == digits[order[: len(found)]].tolist()
    assert of_rows.tolist() == rows[order[: len(found)]].tolist()


def test_beginnings_of_the_rows_of_sets() -> None:
    # AA AB BA BB: nothing, A, B, and the four rows themselves.
    found = parity_tree(ADD_ON_2)
    assert found.following.shape == (7, 3)
    a, b, c = found.following[0]
    assert (c, set(found.following[a][:2]) | set(found.following[b][:2])) == (-1, set(found.rows))
    both = [(a, 0), (a, 1), (b, 0), (b, 1)]
    assert [found.rows[int(found.following[first][second])] for first, second in both] == [0, 1, 2, 3]
    assert CODES.shape == (30, 7)
