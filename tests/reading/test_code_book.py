"""A catalog as a code book, against laying every number onto the profile one by one."""

import numpy as np
import numpy.typing as npt
import pytest

from intake.reading.code_book import SHORTLIST, CodeBook, banded, lowest, page
from intake.reading.likelihood import ProfileMoments
from intake.reading.symbol_forms import check_digit
from intake.reading.symbologies import EAN8, EAN13, bits_of

NUMBERS = sorted({data + check_digit(data) for data in (f"97803{n:07d}" for n in range(1, 4000, 13))})
SHORT = "0000096385074"


def moments(number: str, *, blur: float = 1.0, noise: float = 0.0) -> ProfileMoments:
    """Return the moments of a number's modules, each smeared over its neighbours."""
    modules = EAN13.modules
    lag = np.abs(np.subtract.outer(np.arange(modules), np.arange(modules)))
    smear = np.exp(-((lag / blur) ** 2))
    profile = smear @ bits_of([number], EAN13)[0] + np.random.default_rng(4).normal(0, noise, modules)
    return ProfileMoments(smear.T @ profile, smear.T @ smear, float(profile @ profile))


@pytest.mark.parametrize("number", NUMBERS[::60])
def test_the_best_are_those_that_fit_best_one_by_one(number: str) -> None:
    book = CodeBook.of(NUMBERS)
    seen = moments(number, noise=0.05)
    one_by_one = np.array(
        [float(b @ seen.gram @ b - 2 * b @ seen.linear) for b in bits_of(NUMBERS, EAN13).astype(float)]
    )
    found = book.pages[EAN13.name].best(seen, 1.0, most=5)
    assert found == np.argsort(one_by_one)[:5].tolist()
    assert NUMBERS[found[0]] == number


def test_expected_numbers_are_weighed_however_badly_they_fit() -> None:
    last = max(NUMBERS, key=lambda number: float(moments(NUMBERS[0]).misfits(bits_of([number], EAN13))[0]))
    seen = moments(NUMBERS[0])
    plain = CodeBook.of(NUMBERS).pages[EAN13.name]
    assert NUMBERS.index(last) not in plain.best(seen, 1.0, most=SHORTLIST)
    awaited = CodeBook.of(NUMBERS, expected=[last]).pages[EAN13.name]
    assert awaited.best(seen, 1.0, most=SHORTLIST + 1)[-1] == NUMBERS.index(last)


def test_a_page_for_each_symbology() -> None:
    book = CodeBook.of([*NUMBERS, SHORT])
    assert book.pages[EAN8.name].numbers == (SHORT,)
    assert len(book.pages[EAN13.name].numbers) == len(NUMBERS) == len(book) - 1
    assert book.pages[EAN8.name].modules.shape == (1, 67)
    assert page([], frozenset(), EAN13).best(moments(NUMBERS[0]), 1.0, most=3) == []


def test_what_is_in_the_book_and_what_stands_beside_a_number() -> None:
    book = CodeBook.of([NUMBERS[5], NUMBERS[1], NUMBERS[1], "no number", NUMBERS[9]], expected=[NUMBERS[3], "x"])
    assert book.numbers == (NUMBERS[1], NUMBERS[3], NUMBERS[5], NUMBERS[9])
    assert book.awaited == {NUMBERS[3]}
    assert NUMBERS[3] in book
    assert NUMBERS[4] not in book
    assert "9999999999999" not in book
    assert book.beside(NUMBERS[4]) == (NUMBERS[3], NUMBERS[5])
    assert book.beside(NUMBERS[0]) == (NUMBERS[1],)
    assert book.beside("9999999999999") == (NUMBERS[9],)
    assert CodeBook.of([]).beside(NUMBERS[0]) == ()


def test_the_mean_of_each_diagonal() -> None:
    gram: npt.NDArray[np.float64] = np.array([[1.0, 5, 9], [5, 3, 7], [9, 7, 8]])
    assert banded(gram).tolist() == [[4, 6, 9], [6, 4, 6], [9, 6, 4]]


def test_the_lowest_values() -> None:
    assert set(lowest(np.array([5.0, 1, 4, 2, 3], np.float32), 2).tolist()) == {1, 3}
    assert len(lowest(np.array([5.0, 1], np.float32), 9)) == 2
    assert lowest(np.zeros(0, np.float32), 3).tolist() == []
