"""What a wrong number may have been, and how many slips the check digits let through."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean, isbn

from intake.identifiers import forms
from intake.identifiers.repairs import MOST, neighbours_swapped, repairs

books = st.text("0123456789", min_size=9, max_size=9).map(
    lambda body: "978" + body + ean.calc_check_digit("978" + body)
)


@given(books, st.integers(0, 12), st.integers(1, 9))
def test_ean13_notices_every_wrong_digit_and_the_truth_is_among_the_repairs(number: str, at: int, by: int) -> None:
    wrong = number[:at] + str((int(number[at]) + by) % 10) + number[at + 1 :]
    assert not ean.is_valid(wrong)
    first = repairs(wrong, (forms.EAN13,), number.__eq__)[0]
    assert (first.number, first.in_catalog) == (number, True)


def test_ean13_notices_80_of_the_90_swaps_of_neighbours() -> None:
    # GS1 General Specifications 7.9: weights 3 and 1, so a swap passes exactly if the digits differ by 5.
    for place in range(12):
        unseen = set()
        for left in range(10):
            for right in range(10):
                rest = (3 * left + right if place % 2 else left + 3 * right) % 10
                swapped = (3 * right + left if place % 2 else right + 3 * left) % 10
                if left != right and rest == swapped:
                    unseen.add((left, right))
        assert unseen == {(a, b) for a in range(10) for b in range(10) if abs(a - b) == 5}
        assert len(unseen) == 10


def test_a_swap_that_nobody_can_notice() -> None:
    assert ("9783611484100", "61 instead of 16 at digits 5 and 6") in list(neighbours_swapped("9783161484100"))
    assert forms.read_ean13("9783161484100") is not None
    assert forms.read_ean13("9783611484100") is not None


@given(st.text("0123456789", min_size=9, max_size=9))
def test_isbn10_notices_the_swap_of_any_two_digits(body: str) -> None:
    number = isbn.to_isbn10("978" + body + ean.calc_check_digit("978" + body))
    for left, right in combinations(range(9), 2):
        if number[left] != number[right]:
            changed = list(number)
            changed[left], changed[right] = changed[right], changed[left]
            assert not isbn.is_valid("".join(changed))


def test_an_isbn10_with_978_before_it_gets_its_new_check_digit() -> None:
    # A common slip in lists that were converted by hand.
    first = repairs("9780306406152", (forms.EAN13,))[0]
    assert first.number == "9780306406157"
    assert first.how == "2 ends the ISBN-10; the ISBN-13 ends in 7"


@pytest.mark.parametrize(
    ("typed", "number", "how"),
    [
        ("978030640615", "9780306406157", "7 missing at digit 13"),
        ("97803306406157", "9780306406157", "surplus 3 at digit 5"),
        ("030640612", "9780306406157", "5 missing at digit 9"),
        ("03064061522", "9780306406157", "surplus 2 at digit 10"),
        ("0804429577", "9780804429573", "X instead of 7 at digit 10"),
    ],
)
def test_repairs_that_the_catalog_confirms(typed: str, number: str, how: str) -> None:
    found = repairs(typed, forms.possible_forms(typed), number.__eq__)
    assert (found[0].number, found[0].how, found[0].in_catalog) == (number, how, True)


def test_a_lost_digit_is_not_guessed_without_a_catalog() -> None:
    assert repairs("97803064061", ()) == ()


def test_known_repairs_are_never_cut_off() -> None:
    all_known = repairs("9780306406158", (forms.EAN13,), lambda number: True)
    assert len(all_known) > MOST
    assert all(repair.in_catalog for repair in all_known)
    assert len(repairs("9780306406158", (forms.EAN13,))) == MOST


def test_numbers_of_publications_come_before_other_articles() -> None:
    assert repairs("8780306406157", (forms.EAN13,))[0].number == "9780306406157"
    assert all(repair.number.startswith("978") for repair in repairs("9780306406158", (forms.EAN13,))[:5])


@given(st.text("0123456789XM", min_size=1, max_size=20))
def test_every_repair_is_valid(typed: str) -> None:
    for repair in repairs(typed, forms.possible_forms(typed), lambda number: True):
        assert ean.is_valid(repair.number)
        assert len(repair.number) == 13


def test_only_a_whole_isbn10_behind_978_is_one_that_was_converted() -> None:
    # 0306406153 is no ISBN-10, and 979 never had one: nothing is said of a last digit of an ISBN-10.
    for typed in ("9780306406153", "9790306406152", "4000306406152"):
        assert not [repair for repair in repairs(typed, (forms.EAN13,)) if "ISBN-10" in repair.how]


def test_every_single_wrong_digit_is_tried() -> None:
    # GS1: for each of the 13 places one digit makes the check right; swaps of neighbours add theirs.
    found = repairs("4006381333932", (forms.EAN13,), lambda number: True)
    single = {repair.number for repair in found if "instead of" in repair.how and " and " not in repair.how}
    assert len(single) == 13
    assert all(sum(a != b for a, b in zip(number, "4006381333932", strict=True)) == 1 for number in single)


def test_the_add_on_stays_with_the_repair() -> None:
    assert {repair.add_on for repair in repairs("9780306406158", (forms.EAN13,), add_on="51299")} == {"51299"}
