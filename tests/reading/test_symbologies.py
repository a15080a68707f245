"""The modules of short symbols and add-ons, against the standard's tables and an encoder that is not ours (zint)."""

import numpy as np
import pytest
import zint
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.reading.symbol_forms import check_digit
from intake.reading.symbologies import (
    ADD_ON_2,
    ADD_ON_5,
    EAN8,
    EAN13,
    FIVE_DIGITS,
    TWO_DIGITS,
    Symbology,
    bits_of,
    digits_of,
    symbology_of,
)
from tests.reading.drawing import symbol

BOOK = "9780306406157"
MODULES_OF_BOOK = 95

# GS1 General Specifications, 5.2.2 (two- and five-digit add-on symbols), the tables of number sets; also in ISO/IEC
# 15420. Written down from memory; the modules below, drawn by zint, bear them out.
SETS_OF_TWO = {0: "AA", 1: "AB", 2: "BA", 3: "BB"}
SETS_OF_FIVE = {
    0: "BBAAA",
    1: "BABAA",
    2: "BAABA",
    3: "BAAAB",
    4: "ABBAA",
    5: "AABBA",
    6: "AAABB",
    7: "ABABA",
    8: "ABAAB",
    9: "AABAB",
}
PRINTED = {
    "51299": "10110110001010110011010010011010001011010010111",
    "90000": "10110001011010100111010001101010100111010001101",
    "34": "10110100001010100011",
}
"""Supplements worked out by hand from the tables: a price of 12.99 dollars, no price, and an issue."""


def drawn_beside(add_on: str) -> str:
    """Return the modules that zint draws right of a symbol's last guard."""
    drawn = symbol(zint.Symbology.EANX, f"{BOOK}+{add_on}", scale=2)
    row = (drawn[drawn.shape[0] // 2, 1::2] < 128).astype(int)
    return "".join(map(str, row[MODULES_OF_BOOK:])).lstrip("0")


def modules_of(add_on: str) -> list[str]:
    """Return the modules of every allowed way to write these digits."""
    symbology: Symbology = ADD_ON_2 if len(add_on) == 2 else ADD_ON_5
    rows = np.arange(len(symbology.parities))
    digits = np.repeat(digits_of([add_on]), len(rows), axis=0)
    valid = symbology.valid(digits.astype(np.intp), rows)
    return ["".join(map(str, each)) for each in symbology.bits(digits[valid], rows[valid])]


def test_sets_are_those_of_the_standard() -> None:
    assert dict(enumerate(TWO_DIGITS)) == SETS_OF_TWO
    assert dict(enumerate(FIVE_DIGITS)) == SETS_OF_FIVE


@pytest.mark.parametrize("add_on", PRINTED)
def test_supplements_worked_out_by_hand(add_on: str) -> None:
    assert modules_of(add_on) == [PRINTED[add_on]]


def test_every_supplement_of_two_digits_is_that_of_an_independent_encoder() -> None:
    for value in range(100):
        add_on = f"{value:02d}"
        assert modules_of(add_on) == [drawn_beside(add_on)]


@given(st.from_regex(r"[0-9]{5}", fullmatch=True))
@settings(max_examples=60, deadline=None)
def test_supplements_of_five_digits_are_those_of_an_independent_encoder(add_on: str) -> None:
    assert modules_of(add_on) == [drawn_beside(add_on)]


@given(st.from_regex(r"[0-9]{7}", fullmatch=True))
@settings(max_examples=60, deadline=None)
def test_short_symbols_are_those_of_an_independent_encoder(data: str) -> None:
    number = "00000" + data + check_digit("00000" + data)
    drawn = symbol(zint.Symbology.EANX, data, scale=2)
    row = (drawn[drawn.shape[0] // 3, 1::2] < 128).astype(int)
    assert symbology_of(number) is EAN8
    assert bits_of([number], EAN8)[0].tolist() == row.tolist()
    assert EAN8.valid(digits_of([number])[:, 5:].astype(np.intp), np.zeros(1, np.intp)).all()


def test_long_numbers_are_drawn_long() -> None:
    assert symbology_of(BOOK) is EAN13
    assert bits_of([BOOK], EAN13).shape == (1, MODULES_OF_BOOK)
