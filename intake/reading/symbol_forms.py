"""The forms of symbol that are read, and the checks on the text of each.

Numbers of the EAN family are converted to 13 digits: a UPC-A gets a leading 0, a UPC-E is first expanded to the UPC-A
it abbreviates, an EAN-8 gets five zeros. A symbol of this project's own (Code 128 or QR on the label of a copy, box or
shelf) contains the letter of its kind, a serial number, a hyphen and two check digits.

Whether a prefix is in use, an ISBN belongs to a publisher, or an own number was ever assigned is not checked.

Source: GS1 General Specifications, 7.9.1 (check digit) and 5.2 (EAN/UPC symbols, zero suppression in UPC-E).
"""

import re
from enum import StrEnum

from intake.model.identifiers import NumberKind, OwnKind, kind_of_ean, own_number

OWN_TEXT = re.compile(r"([ABS])([1-9][0-9]{0,11})-[0-9]{2}")


class SymbolForm(StrEnum):
    """The form of a symbol, which decides how far a decoder is trusted.

    A short symbol has half the bars of a long one and is often misread from longer symbols and from texture.
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
    """Return whether the text is 13 digits with a right check digit."""
    return len(digits) == 13 and digits.isascii() and digits.isdigit() and check_digit(digits[:12]) == digits[12]


def expand_upc_e(upc_e: str) -> str | None:
    """Expand a UPC-E of 8 digits to the 13 digits of its UPC-A; None if it is not a UPC-E. No check digit is checked.

    >>> expand_upc_e("01234565")
    '0012345000065'
    """
    if not re.fullmatch(r"[01][0-9]{7}", upc_e):
        return None
    system, body, last, check = upc_e[0], upc_e[1:6], upc_e[6], upc_e[7]
    if last in "012":
        long_body = f"{body[:2]}{last}0000{body[2:]}"
    elif last in "34":
        split = int(last)
        long_body = f"{body[:split]}00000{body[split:]}"
    else:
        long_body = f"{body}0000{last}"
    return f"0{system}{long_body}{check}"


def ean_number(text: str, *, upc_e: bool = False) -> str | None:
    """Return the 13 digits of the text of an EAN or UPC symbol; None if the check digit is wrong.

    >>> ean_number("061414112345")
    '0061414112345'
    >>> ean_number("96385074")
    '0000096385074'
    """
    digits = expand_upc_e(text) if upc_e and len(text) == 8 else text.zfill(13)
    return digits if digits is not None and is_ean(digits) else None


def is_own(text: str) -> bool:
    """Return whether the text is one of the project's own numbers, as printed on its labels.

    >>> is_own("A127-89"), is_own("A127-98")
    (True, False)
    """
    match = OWN_TEXT.fullmatch(text)
    return match is not None and text == own_number(OwnKind(match[1]), int(match[2]))


def kind_of(number: str) -> NumberKind:
    """Return the kind of a number whose check digits are right."""
    return NumberKind.OWN if is_own(number) else kind_of_ean(number)
