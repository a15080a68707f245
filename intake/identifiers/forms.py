"""The written forms of a number of the EAN family: digits -> Identifier, or None when they are not of that form.

Each form has a length and a check digit. All are converted to 13 digits: an ISBN-10 to its 978 form, an ISSN to 977 +
7 digits + 00, an ISMN to its 979-0 form; a UPC-A gets a leading 0, a UPC-E is expanded to its UPC-A, an EAN-8 gets five
zeros. Check digits and hyphens come from python-stdnum. Whether a publisher has used a number is not checked, and a
number outside the ranges known to python-stdnum is accepted with a note.

Two cases that python-stdnum leaves open are decided here: nine digits are an SBN only if their check digit is right,
and 979-0 is printed music, never an ISBN.

Sources: GS1 General Specifications (7.9.1 check digit, 1.4 prefixes, UPC-E zero suppression), ISBN Users' Manual
(ISO 2108), ISSN Manual (ISO 3297), ISO 10957 (ISMN).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from stdnum import ean, isbn, ismn, issn

from intake.identifiers import add_ons
from intake.identifiers.plain import NumberLabel
from intake.model.identifiers import Identifier, NumberKind, kind_of_ean

IN_STORE = ("02", "04", "2", "000000", "000002")
"""Prefixes of 13 digits for a shop's or library's own use (GS1: 020-029, 040-049, 200-299; GTIN-8: 0 and 2)."""

UNKNOWN_RANGE = "its registrant is in no range known to this program: check the number"


@dataclass(frozen=True, slots=True)
class WrittenForm:
    """One way of writing a number.

    Attributes:
        name: what people call it.
        length: number of characters without dashes.
        label: the label printed before it.
        alphabet: characters allowed in the last position; all others are digits.
        first: characters allowed in the first position.
        read: converts digits to an identifier; None when a check fails.
    """

    name: str
    length: int
    label: NumberLabel
    read: Callable[[str], Identifier | None]
    alphabet: str = "0123456789"
    first: str = "0123456789"


def identify(number: str, written: str | None = None, notes: tuple[str, ...] = ()) -> Identifier:
    """Identify 13 digits whose check digit is right; `written` replaces the usual way of writing them."""
    kind = kind_of_ean(number)
    if kind is NumberKind.ISBN:
        parts = isbn.split(number)
        if not parts[2]:
            return Identifier(kind, number, number, notes=(*notes, UNKNOWN_RANGE))
        return Identifier(kind, number, "-".join(parts), notes=notes)
    if kind is NumberKind.ISMN:
        return Identifier(kind, number, str(ismn.format(number)), notes=notes)
    if kind is NumberKind.ISSN:
        serial = number[3:10] + str(issn.calc_check_digit(number[3:10]))
        hyphened = f"{serial[:4]}-{serial[4:]}"
        variant = f", variant {number[10:12]}" if number[10:12] != "00" else ""
        return Identifier(kind, number, hyphened, notes=(*notes, f"ISSN {hyphened}{variant}"))
    if number.startswith(IN_STORE):
        notes = (*notes, "number assigned by a shop or library for its own use: it means nothing elsewhere")
    return Identifier(kind, number, written or number.removeprefix("00000").removeprefix("0"), notes=notes)


def with_add_on(identifier: Identifier, add_on: str) -> Identifier:
    """Attach an add-on of 2 or 5 digits, with a note on what it means."""
    notes = (*identifier.notes, *add_ons.notes(add_on, identifier.kind))
    return replace(identifier, add_on=add_on, notes=notes)


def read_ean13(digits: str) -> Identifier | None:
    """Read 13 digits."""
    return identify(digits) if ean.is_valid(digits) else None


def read_isbn10(digits: str) -> Identifier | None:
    """Read an ISBN-10 into its 978 form."""
    return identify(str(isbn.to_isbn13(digits))) if isbn.is_valid(digits) else None


def read_isbn10_after_978(digits: str) -> Identifier | None:
    """Read 978 and a whole ISBN-10 that ends in X, written so by hand; no ISBN-13 ends in X, so that it means no other.

    >>> read_isbn10_after_978("978316148410X").notes
    ('X ends the ISBN-10 3-16-148410-X; the ISBN-13 ends in 0',)
    """
    if not digits.startswith("978") or not isbn.is_valid(digits[3:]):
        return None
    number = str(isbn.to_isbn13(digits[3:]))
    return identify(number, notes=(f"X ends the ISBN-10 {isbn.format(digits[3:])}; the ISBN-13 ends in {number[-1]}",))


def read_sbn(digits: str) -> Identifier | None:
    """Read nine digits as an SBN, in use before 1970: the ISBN-10 without its leading 0."""
    if not isbn.is_valid("0" + digits):
        return None
    note = f"9-digit SBN, read as ISBN-10 {isbn.format('0' + digits)}"
    return identify(str(isbn.to_isbn13("0" + digits)), notes=(note,))


def read_ismn10(digits: str) -> Identifier | None:
    """Read M and nine digits, the form of the ISMN before 2008; its check digit is the same as that of 979-0."""
    if not digits.startswith("M") or not ismn.is_valid(digits):
        return None
    return identify(str(ismn.to_ismn13(digits)), notes=("old form of the ISMN, with M for 979-0",))


def read_issn(digits: str) -> Identifier | None:
    """Read an ISSN into its EAN-13 of variant 00."""
    return identify(str(issn.to_ean(digits))) if issn.is_valid(digits) else None


def read_upc_a(digits: str) -> Identifier | None:
    """Read 12 digits."""
    return identify("0" + digits, written=digits) if ean.is_valid(digits) else None


def read_ean8(digits: str) -> Identifier | None:
    """Read eight digits as a GTIN-8."""
    return identify("00000" + digits, written=digits) if ean.is_valid(digits) else None


def read_upc_e(digits: str) -> Identifier | None:
    """Read eight digits as a zero-suppressed UPC; some started with 1, though GS1 specifies only 0."""
    if digits[0] not in "01" or not ean.is_valid(expanded := expand_upc_e(digits)):
        return None
    note = f"UPC-E, short for UPC-A {expanded}"
    return identify("0" + expanded, written=digits, notes=(note,))


def expand_upc_e(digits: str) -> str:
    """Restore the zeros that a UPC-E suppresses and return the UPC-A.

    >>> expand_upc_e("01234531")
    '012300000451'
    """
    system, data, check = digits[0], digits[1:7], digits[7]
    last = int(data[5])
    if last <= 2:
        long = f"{data[:2]}{last}0000{data[2:5]}"
    elif last == 3:
        long = f"{data[:3]}00000{data[3:5]}"
    elif last == 4:
        long = f"{data[:4]}00000{data[4]}"
    else:
        long = f"{data[:5]}0000{last}"
    return system + long + check


def read_gtin14(digits: str) -> Identifier | None:
    """Read a GTIN-14 whose packaging level is 0; levels 1 to 9 number a carton, not the book in it."""
    return identify(digits[1:]) if digits[0] == "0" and ean.is_valid(digits) else None


WITH_X = "0123456789X"

EAN13 = WrittenForm("EAN-13", 13, NumberLabel.GTIN, read_ean13)
ISBN10 = WrittenForm("ISBN-10", 10, NumberLabel.ISBN, read_isbn10, WITH_X)
SBN = WrittenForm("SBN", 9, NumberLabel.SBN, read_sbn, WITH_X)
ISMN10 = WrittenForm("ISMN", 10, NumberLabel.ISMN, read_ismn10, first="M")
ISSN = WrittenForm("ISSN", 8, NumberLabel.ISSN, read_issn, WITH_X)
UPC_A = WrittenForm("UPC-A", 12, NumberLabel.GTIN, read_upc_a)
EAN8 = WrittenForm("EAN-8", 8, NumberLabel.GTIN, read_ean8)
UPC_E = WrittenForm("UPC-E", 8, NumberLabel.GTIN, read_upc_e, first="01")
GTIN14 = WrittenForm("GTIN-14", 14, NumberLabel.GTIN, read_gtin14, first="0")

FORMS = (EAN13, ISBN10, SBN, ISMN10, ISSN, UPC_A, UPC_E, EAN8, GTIN14)
ADD_ON_FORMS = (EAN13, UPC_A)
"""The forms that a scanner may send together with the add-on as one run of digits."""

KINDS_OF_LABEL = {
    NumberLabel.ISBN: (NumberKind.ISBN, NumberKind.ISMN),
    NumberLabel.SBN: (NumberKind.ISBN,),
    NumberLabel.ISSN: (NumberKind.ISSN,),
    NumberLabel.ISMN: (NumberKind.ISMN,),
}
"""The kinds allowed after a label. Sheet music is sometimes labelled ISBN 979-0; it is accepted, with a note."""


def possible_forms(digits: str) -> tuple[WrittenForm, ...]:
    """Return the forms that these characters could be, judged by length, X and M alone."""
    body, last = digits[:-1].removeprefix("M"), digits[-1:]
    if not body.isdecimal() or not body.isascii():
        return ()
    return tuple(
        form for form in FORMS if form.length == len(digits) and last in form.alphabet and digits[0] in form.first
    )


def fits_label(identifier: Identifier, label: NumberLabel | None) -> bool:
    """Return whether an identifier may follow a label."""
    return label not in KINDS_OF_LABEL or identifier.kind in KINDS_OF_LABEL[label]
