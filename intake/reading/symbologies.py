"""The structure of the retail symbols: modules of ink and paper, and which digits and parities are allowed together.

A symbol is a row of modules of one width, 1 for ink. Each digit is 7 modules out of one of three sets: A and B (odd and
even parity) left of the centre, C right of it. Here the sets A, B and C are the codes 0-9, 10-19 and 20-29. The add-ons
(supplements) of two and of five digits have a guard at their left end, a separator between digits, and digits of the
sets A and B alone; their check is in the parity and nowhere else.

A UPC-E of number system 1 is left out: it has the bars of the left half of an EAN-13.

Source: GS1 General Specifications, 5.2.1.2 (number sets A, B, C), 5.2.2 (EAN-13, EAN-8, UPC-A, UPC-E; parity of the
first digit and of the UPC-E's check digit; the add-ons, whose parities ISO/IEC 15420 tabulates too).
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from intake.reading.symbol_forms import expand_upc_e

Bits = npt.NDArray[np.uint8]
Digits = npt.NDArray[np.uint8]

SET_A = ["0001101", "0011001", "0010011", "0111101", "0100011", "0110001", "0101111", "0111011", "0110111", "0001011"]


def codes() -> Bits:
    """Return the 30 codes, (30, 7): A as tabulated, C its complement, B the mirror image of C."""
    a = np.array([[int(module) for module in code] for code in SET_A], np.uint8)
    c = 1 - a
    return np.concatenate([a, c[:, ::-1], c])


CODES = codes()
FIRST_DIGIT = ["AAAAAA", "AABABB", "AABBAB", "AABBBA", "ABAABB", "ABBAAB", "ABBBAA", "ABABAB", "ABABBA", "ABBABA"]
"""Which sets the six left digits of an EAN-13 are drawn from, by its first digit, which has no bars of its own."""

TWO_DIGITS = ["AA", "AB", "BA", "BB"]
"""The sets of a two-digit add-on, by the remainder of its value divided by 4."""
FIVE_DIGITS = ["BBAAA", "BABAA", "BAABA", "BAAAB", "ABBAA", "AABBA", "AAABB", "ABABA", "ABAAB", "AABAB"]
"""The sets of a five-digit add-on, by its check: its digits weighted 3, 9, 3, 9, 3, the last figure of the sum."""


def sets_of(parities: list[str]) -> npt.NDArray[np.uint8]:
    """Convert rows of set letters to numbers: A is 0, B is 1, C is 2."""
    return np.array([["ABC".index(letter) for letter in row] for row in parities], np.uint8)


@dataclass(frozen=True, eq=False)
class Symbology:
    """One kind of symbol.

    Attributes:
        name: its name.
        modules: its width in modules.
        slots: the first module of each digit that has bars.
        fixed: guards and separators, 1 for ink, (modules,); 0 at the digits.
        parities: the allowed rows of sets, (rows, slots).
        valid: returns which of digits (n, slots) with parity rows (n,) satisfy the check.
    """

    name: str
    modules: int
    slots: tuple[int, ...]
    fixed: Bits
    parities: npt.NDArray[np.uint8]
    valid: Callable[[Digits, npt.NDArray[np.intp]], npt.NDArray[np.bool_]] = field(repr=False)

    @cached_property
    def mean_ink(self) -> npt.NDArray[np.float32]:
        """The mean ink of all codes at each module, (modules,), with guards and separators."""
        grey = self.fixed.astype(np.float32)
        for i, slot in enumerate(self.slots):
            used = [int(parity) for parity in np.unique(self.parities[:, i])]
            grey[slot : slot + 7] = np.mean(
                [CODES[10 * parity : 10 * parity + 10].mean(axis=0) for parity in used], axis=0
            )
        return grey

    def bits(self, digits: Digits, rows: npt.NDArray[np.intp]) -> Bits:
        """Return the modules of symbols.

        Args:
            digits: (n, slots), 0 to 9.
            rows: the row of `parities` of each, (n,).

        Returns:
            (n, modules), 1 for ink.
        """
        drawn = np.tile(self.fixed, (len(digits), 1))
        chosen = digits + 10 * self.parities[rows]
        for i, slot in enumerate(self.slots):
            drawn[:, slot : slot + 7] = CODES[chosen[:, i]]
        return drawn


def guard_row(modules: int, guards: dict[int, str]) -> Bits:
    """Return a row of paper with guards, each at its first module."""
    row = np.zeros(modules, np.uint8)
    for start, guard in guards.items():
        row[start : start + len(guard)] = [int(module) for module in guard]
    return row


def ean13_valid(digits: Digits, rows: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
    """Check the GS1 check digit; the first digit is the parity row."""
    weights = np.array([3, 1] * 6)
    return np.asarray((rows + digits @ weights) % 10 == 0)


def ean8_valid(digits: Digits, _: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
    """Check the GS1 check digit."""
    return np.asarray(digits @ np.array([3, 1] * 4) % 10 == 0)


UPC_E_WEIGHTS = np.array(
    [[1, 3, 3, 1, 3, 1]] * 3 + [[1, 3, 1, 1, 3, 0], [1, 3, 1, 3, 3, 0]] + [[1, 3, 1, 3, 1, 3]] * 5, np.intp
)
"""Weights of a UPC-E's six digits in the check digit of the number they abbreviate, by the last digit, which tells
where zeros are left out."""


def upc_e_valid(digits: Digits, rows: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
    """Check that the parity row is the check digit of the expanded number."""
    total = (digits * UPC_E_WEIGHTS[digits[:, -1]]).sum(axis=1)
    return np.asarray((rows + total) % 10 == 0)


def add_on_2_valid(digits: Digits, rows: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
    """Check that the sets are those of the value: the only redundancy of two digits."""
    return np.asarray(digits @ np.array([10, 1]) % 4 == rows)


def add_on_5_valid(digits: Digits, rows: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
    """Check that the sets are those of the weighted sum."""
    return np.asarray(digits @ np.array([3, 9, 3, 9, 3]) % 10 == rows)


EAN13 = Symbology(
    "EAN-13",
    95,
    (3, 10, 17, 24, 31, 38, 50, 57, 64, 71, 78, 85),
    guard_row(95, {0: "101", 45: "01010", 92: "101"}),
    sets_of([row + "CCCCCC" for row in FIRST_DIGIT]),
    ean13_valid,
)
EAN8 = Symbology(
    "EAN-8",
    67,
    (3, 10, 17, 24, 36, 43, 50, 57),
    guard_row(67, {0: "101", 31: "01010", 64: "101"}),
    sets_of(["AAAACCCC"]),
    ean8_valid,
)
UPCE = Symbology(
    "UPC-E",
    51,
    (3, 10, 17, 24, 31, 38),
    guard_row(51, {0: "101", 45: "010101"}),
    sets_of(["BBBAAA", *(row.translate(str.maketrans("AB", "BA")) for row in FIRST_DIGIT[1:])]),
    upc_e_valid,
)
"""The sets of its digits are those of its check digit, which has no bars of its own."""
ADD_ON_2 = Symbology(
    "add-on of 2", 20, (4, 13), guard_row(20, {0: "1011", 11: "01"}), sets_of(TWO_DIGITS), add_on_2_valid
)
ADD_ON_5 = Symbology(
    "add-on of 5",
    47,
    (4, 13, 22, 31, 40),
    guard_row(47, {0: "1011", 11: "01", 20: "01", 29: "01", 38: "01"}),
    sets_of(FIVE_DIGITS),
    add_on_5_valid,
)

SHORT = "00000"
"""Prefix of the 13 digits of an EAN-8, whose bars are those of the last eight digits alone.

A UPC-A of 13 digits could begin with it too, but GS1 assigns no such prefix: 0000000 to 0000099 are kept free so that
they are not confused with an EAN-8 (GS1 General Specifications, table of GS1 prefixes; from memory).
"""


def symbology_of(number: str) -> Symbology:
    """Return the symbology that a number of 13 digits is printed in.

    >>> symbology_of("0000096385074").name, symbology_of("0036000291452").name
    ('EAN-8', 'EAN-13')
    """
    return EAN8 if number.startswith(SHORT) else EAN13


def digits_of(numbers: list[str]) -> Digits:
    """Convert numbers of one length to digits, (n, length)."""
    return np.frombuffer("".join(numbers).encode("ascii"), np.uint8).reshape(len(numbers), -1) - 48


def ean13_bits(numbers: list[str]) -> Bits:
    """Return the modules of numbers of 13 digits as EAN-13, (n, 95), 1 for ink.

    >>> "".join(map(str, ean13_bits(["4006381333931"])[0, :17]))
    '10100011010100111'
    """
    digits = digits_of(numbers)
    return EAN13.bits(digits[:, 1:], digits[:, 0].astype(np.intp))


def number_of(symbology: Symbology, digits: Digits, row: int) -> str:
    """Return the 13 digits of a symbol with these digits and this parity row, which must satisfy its check."""
    text = "".join(map(str, digits))
    if symbology is UPCE:
        return expand_upc_e(f"0{text}{row}") or ""
    return f"{row}{text}" if symbology is EAN13 else text.zfill(13)


def bits_of(numbers: list[str], symbology: Symbology) -> Bits:
    """Return the modules of numbers of 13 digits as EAN-13 or EAN-8, (n, modules), 1 for ink."""
    if symbology is EAN8:
        return EAN8.bits(digits_of(numbers)[:, 5:], np.zeros(len(numbers), np.intp))
    return ean13_bits(numbers)
