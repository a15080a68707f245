"""A catalog as a code book, against laying every number onto the profile one by one."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.reading.code_book import SHORTLIST, CodeBook, banded, lowest_indices, make_page, valid_eans
from intake.reading.likelihood import ProfileMoments
from intake.reading.symbol_forms import check_digit, is_ean
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
    assert make_page([], frozenset(), EAN13).best(moments(NUMBERS[0]), 1.0, most=3) == []


def test_what_is_in_the_book_and_what_stands_beside_a_number() -> None:
    book = CodeBook.of([NUMBERS[5], NUMBERS[1], NUMBERS[1], "no number", NUMBERS[9]], expected=[NUMBERS[3], "x"])
    assert book.numbers == (NUMBERS[1], NUMBERS[3], NUMBERS[5], NUMBERS[9])
    assert book.awaited == {NUMBERS[3]}
    assert NUMBERS[3] in book
    assert NUMBERS[4] not in book
    assert "9999999999999" not in book
    assert book.neighbours(NUMBERS[4]) == (NUMBERS[3], NUMBERS[5])
    assert book.neighbours(NUMBERS[0]) == (NUMBERS[1],)
    assert book.neighbours("9999999999999") == (NUMBERS[9],)
    assert CodeBook.of([]).neighbours(NUMBERS[0]) == ()


def test_the_mean_of_each_diagonal() -> None:
    gram: npt.NDArray[np.float64] = np.array([[1.0, 5, 9], [5, 3, 7], [9, 7, 8]])
    assert banded(gram).tolist() == [[4, 6, 9], [6, 4, 6], [9, 6, 4]]


def test_the_lowest_values() -> None:
    assert set(lowest_indices(np.array([5.0, 1, 4, 2, 3], np.float32), 2).tolist()) == {1, 3}
    assert len(lowest_indices(np.array([5.0, 1], np.float32), 9)) == 2
    assert lowest_indices(np.zeros(0, np.float32), 3).tolist() == []


DIGITS = st.text("0123456789", min_size=11, max_size=14)
VALID = st.sampled_from(["9780306406157", "4006381333931", "0000096385074", "９７８0306406157", "978030640615X"])


@given(st.lists(DIGITS | VALID))
def test_many_numbers_are_checked_as_each_is(numbers: list[str]) -> None:
    assert valid_eans(numbers) == [number for number in numbers if is_ean(number)]


def test_a_book_holds_each_number_once_in_order_on_the_page_of_its_symbology() -> None:
    """Numbers: GS1 General Specifications (EAN-8 96385074) and the ISBN user's manual (978-0-306-40615-7)."""
    book = CodeBook.of(["9780306406157", "0000096385074", "9780306406157", "9780306406158"], ["4006381333931"])
    assert book.numbers == ("0000096385074", "4006381333931", "9780306406157")
    assert [(name, part.numbers) for name, part in book.pages.items()] == [
        ("EAN-13", ("4006381333931", "9780306406157")),
        ("EAN-8", ("0000096385074",)),
    ]
    assert book.pages["EAN-13"].expected.tolist() == [True, False]
