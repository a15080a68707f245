"""The modules of symbols and add-ons, against the standard's tables and an encoder that is not ours (zint)."""

import numpy as np
import pytest
import zint
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.reading.symbol_forms import check_digit, expand_upc_e, is_ean
from intake.reading.symbologies import (
    ADD_ON_2,
    ADD_ON_5,
    CODES,
    EAN8,
    EAN13,
    FIRST_DIGIT,
    FIVE_DIGITS,
    TWO_DIGITS,
    Symbology,
    bits_of,
    digits_of,
    number_of,
    symbology_of,
    upc_e_valid,
)
from tests.drawn_examples import examples
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


# GS1 General Specifications, 5.2.1.2, number sets A, B and C (ISO/IEC 15420, tables 1 and 3), as other encoders print
# them: 1 is a bar. Digits 0 to 9.
SET_A = ["0001101", "0011001", "0010011", "0111101", "0100011", "0110001", "0101111", "0111011", "0110111", "0001011"]
SET_B = ["0100111", "0110011", "0011011", "0100001", "0011101", "0111001", "0000101", "0010001", "0001001", "0010111"]
SET_C = ["1110010", "1100110", "1101100", "1000010", "1011100", "1001110", "1010000", "1000100", "1001000", "1110100"]
LEFT_HALF = {
    0: "AAAAAA",
    1: "AABABB",
    2: "AABBAB",
    3: "AABBBA",
    4: "ABAABB",
    5: "ABBAAB",
    6: "ABBBAA",
    7: "ABABAB",
    8: "ABABBA",
    9: "ABBABA",
}
"""The same, 5.2.2: the sets of the left half of an EAN-13 by its first digit."""
ENCODED = {
    "9780110002224": "10101110110001001010011100110010110011000110101010111001011100101101100110110011011001011100101",
    "9783161484100": "10101110110001001010000100110010000101001100101010101110010010001011100110011011100101110010101",
    "4006381333931": "10100011010100111010111101111010001001011001101010100001010000101000010111010010000101100110101",
}
"""Written out by hand from the tables; the first is that of the python-barcode library."""


def test_every_digit_of_every_set_is_that_of_the_standard() -> None:
    assert ["".join(map(str, code)) for code in CODES] == [*SET_A, *SET_B, *SET_C]


def test_the_sets_of_the_left_half_are_those_of_the_standard() -> None:
    assert dict(enumerate(FIRST_DIGIT)) == LEFT_HALF
    letters = ["".join("ABC"[part] for part in row) for row in EAN13.parities]
    assert letters == [f"{LEFT_HALF[digit]}CCCCCC" for digit in range(10)]
    assert ["".join("ABC"[part] for part in row) for row in EAN8.parities] == ["AAAACCCC"]


def test_guards_stand_where_the_standard_has_them() -> None:
    # 3 + 42 + 5 + 42 + 3 = 95, 3 + 28 + 5 + 28 + 3 = 67, 4 + 7 + 2 + 7 = 20, 4 + 5 x 7 + 4 x 2 = 47 modules.
    written = {
        EAN13: f"101{42 * '0'}01010{42 * '0'}101",
        EAN8: f"101{28 * '0'}01010{28 * '0'}101",
        ADD_ON_2: f"1011{7 * '0'}01{7 * '0'}",
        ADD_ON_5: f"1011{7 * '0'}{4 * ('01' + 7 * '0')}",
    }
    for symbology, modules in written.items():
        assert symbology.modules == len(modules)
        assert "".join(map(str, symbology.fixed)) == modules
        covered = sorted(slot + n for slot in symbology.slots for n in range(7))
        guards = {n for n in range(len(modules)) if n not in covered}
        assert len(set(covered)) == 7 * len(symbology.slots)
        assert {n for n, module in enumerate(modules) if module == "1"} <= guards


@pytest.mark.parametrize("number", ENCODED)
def test_long_symbols_worked_out_by_hand(number: str) -> None:
    assert "".join(map(str, bits_of([number], EAN13)[0])) == ENCODED[number]
    digits = digits_of([number])
    assert number_of(EAN13, digits[0, 1:], int(digits[0, 0])) == number


@given(st.from_regex(r"[1-9][0-9]{11}", fullmatch=True))
@settings(max_examples=examples(60), deadline=None)
def test_long_symbols_are_those_of_an_independent_encoder(data: str) -> None:
    number = data + check_digit(data)
    drawn = symbol(zint.Symbology.EANX, data, scale=2)
    row = (drawn[drawn.shape[0] // 3, 1::2] < 128).astype(int)
    assert bits_of([number], EAN13)[0].tolist() == row.tolist()


def test_a_check_digit_off_by_one_is_not_valid() -> None:
    # 9780110002224 and 96385074 (GS1 General Specifications, 7.9) with each of the ten last digits.
    for symbology, first, data, last in ((EAN13, 9, "78011000222", "4"), (EAN8, 0, "9638507", "4")):
        digits = digits_of([f"{data}{check}" for check in range(10)])
        valid = symbology.valid(digits, np.full(10, first))
        assert [check for check in range(10) if valid[check]] == [int(last)]


def test_a_symbol_of_no_number_is_as_grey_as_its_codes_on_average() -> None:
    # Slot 0 of an EAN-13 is always of set A; the last is of set C: the mean of each module over the ten codes.
    for start, codes in ((3, SET_A), (85, SET_C)):
        mean = [sum(int(code[n]) for code in codes) / 10 for n in range(7)]
        assert EAN13.mean_ink[start : start + 7] == pytest.approx(mean)
    both = [sum(int(code[n]) for code in SET_A + SET_B) / 20 for n in range(7)]
    assert ADD_ON_2.mean_ink[4:11] == pytest.approx(both)
    assert EAN13.mean_ink[45:50].tolist() == [0, 1, 0, 1, 0]


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
@settings(max_examples=examples(60), deadline=None)
def test_supplements_of_five_digits_are_those_of_an_independent_encoder(add_on: str) -> None:
    assert modules_of(add_on) == [drawn_beside(add_on)]


@given(st.from_regex(r"[0-9]{7}", fullmatch=True))
@settings(max_examples=examples(60), deadline=None)
def test_short_symbols_are_those_of_an_independent_encoder(data: str) -> None:
    number = "00000" + data + check_digit("00000" + data)
    drawn = symbol(zint.Symbology.EANX, data, scale=2)
    row = (drawn[drawn.shape[0] // 3, 1::2] < 128).astype(int)
    assert symbology_of(number) is EAN8
    assert bits_of([number], EAN8)[0].tolist() == row.tolist()
    assert EAN8.valid(digits_of([number])[:, 5:].astype(np.intp), np.zeros(1, np.intp)).all()


def test_long_numbers_are_drawn_long_and_five_zeros_make_a_short_one() -> None:
    assert symbology_of(BOOK) is EAN13
    assert symbology_of("0000123456784") is EAN13
    assert symbology_of("0000096385074") is EAN8
    assert number_of(EAN8, digits_of(["96385074"])[0], 0) == "0000096385074"


def test_the_check_digit_of_a_upc_e_is_that_of_the_number_it_abbreviates() -> None:
    digits = np.random.default_rng(2).integers(0, 10, (2000, 6)).astype(np.uint8)
    rows = np.random.default_rng(3).integers(0, 10, 2000)
    expanded = [expand_upc_e(f"0{''.join(map(str, six))}{row}") for six, row in zip(digits, rows, strict=True)]
    assert upc_e_valid(digits, rows).tolist() == [number is not None and is_ean(number) for number in expanded]
