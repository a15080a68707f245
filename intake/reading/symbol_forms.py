"""The symbols that the reader knows, and what the text inside one of them must satisfy.

Everything of the EAN family becomes 13 digits: a UPC-A gains a leading 0, a UPC-E is first written out as the UPC-A it
abbreviates, an EAN-8 gains five. A symbol of this project's own (Code 128 or QR on a copy's, box's or shelf's label)
carries the letter of its kind, a serial number, a hyphen and two check digits.

Does not check that a prefix is in use, that an ISBN belongs to a publisher, or that an own number was ever given out.

Source: GS1 General Specifications, 7.9.1 (check digit) and 5.2 (EAN/UPC symbols, zero suppression in UPC-E).
"""

import re
from enum import StrEnum

from intake.model.identifiers import NumberKind, OwnKind, kind_of_ean, own_number

OWN_TEXT = re.compile(r"([ABS])([1-9][0-9]{0,11})-[0-9]{2}")


class SymbolForm(StrEnum):
    """How a symbol is built, which decides how far a decoder may be believed.

    A short symbol has half the bars of a long one and is read by mistake out of longer symbols and out of texture.
    """

    LONG = "long"
    SHORT = "short"
    OWN = "own"


def check_digit(data: str) -> str:
    """Return the GS1 check digit of the data digits: weights 3, 1, 3 … from the right.

    >>> check_digit("978030640615")
    '7'
    """
    total = sum(int(digit) * (1 if i % 2 else 3) for i, digit in enumerate(reversed(data)))
    return str(-total % 10)


def is_ean(digits: str) -> bool:
    """Tell whether the text is 13 digits of which the last is the check digit."""
    return len(digits) == 13 and digits.isascii() and digits.isdigit() and check_digit(digits[:12]) == digits[12]


def written_out(upc_e: str) -> str | None:
    """Write a UPC-E of 8 digits as the 13 digits of its UPC-A; None where it is not a UPC-E.

    >>> written_out("01234565")
    '0012345000065'
    """
    if not re.fullmatch(r"[01][0-9]{7}", upc_e):
        return None
    system, body, last, check = upc_e[0], upc_e[1:6], upc_e[6], upc_e[7]
    if last in "012":
        long_body = f"{body[:2]}{last}0000{body[2:]}"
    elif last in "34":
        kept = int(last)
        long_body = f"{body[:kept]}00000{body[kept:]}"
    else:
        long_body = f"{body}0000{last}"
    return f"0{system}{long_body}{check}"


def ean_number(text: str, *, upc_e: bool = False) -> str | None:
    """Return the 13 digits that the text of an EAN or UPC symbol stands for; None where the check digit fails.

    >>> ean_number("061414112345")
    '0061414112345'
    >>> ean_number("96385074")
    '0000096385074'
    """
    digits = written_out(text) if upc_e and len(text) == 8 else text.zfill(13)
    return digits if digits is not None and is_ean(digits) else None


def is_own(text: str) -> bool:
    """Tell whether the text is one of the project's own numbers, as its labels print it.

    >>> is_own("A127-89"), is_own("A127-98")
    (True, False)
    """
    match = OWN_TEXT.fullmatch(text)
    return match is not None and text == own_number(OwnKind(match[1]), int(match[2]))


def kind_of(number: str) -> NumberKind:
    """Tell what a number that passed its check numbers."""
    return NumberKind.OWN if is_own(number) else kind_of_ean(number)
