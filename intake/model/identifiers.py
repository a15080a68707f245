"""A number that was identified, or the reason why a text is not one.

Numbers of the EAN family are kept as 13 digits: a UPC-A has a leading 0, an EAN-8 five, an ISBN-10 its 978 form.
"""

from dataclasses import dataclass
from enum import StrEnum

from stdnum.iso7064 import mod_97_10


class NumberKind(StrEnum):
    """The numbering system that a number belongs to."""

    ISBN = "isbn"
    ISSN = "issn"
    ISMN = "ismn"
    GTIN = "gtin"
    OWN = "own"


def kind_of_ean(digits: str) -> NumberKind:
    """Return the kind of a 13-digit number by its GS1 prefix (978/979 books, 979-0 music, 977 serials).

    The check digit is not checked. Source: GS1 General Specifications, section 1.4.2 (prefixes 977-979); ISO 10957 for
    979-0.

    >>> kind_of_ean("9780306406157")
    <NumberKind.ISBN: 'isbn'>
    """
    if digits.startswith("9790"):
        return NumberKind.ISMN
    if digits.startswith(("978", "979")):
        return NumberKind.ISBN
    if digits.startswith("977"):
        return NumberKind.ISSN
    return NumberKind.GTIN


class OwnKind(StrEnum):
    """What one of the tool's own numbers stands for; the value is its first letter."""

    COPY = "A"
    BOX = "B"
    PLACE = "S"


def own_number(kind: OwnKind, serial: int) -> str:
    """Return one of the tool's own numbers: letter, serial, check digits by ISO/IEC 7064:2003, MOD 97-10.

    `intake.identifiers.own` states which errors the check digits catch.

    >>> own_number(OwnKind.COPY, 127)
    'A127-89'
    """
    return f"{kind.value}{serial}-{mod_97_10.calc_check_digits(f'{serial}{kind.value}')}"


@dataclass(frozen=True, slots=True)
class Identifier:
    """A number that passed every check that can be made without a catalog.

    Attributes:
        number: 13 digits for the EAN family; the canonical text for an own number.
        add_on: the 2 or 5 digits of the supplement, or None.
        written: the number as a person writes it, hyphenated as the standard says; for a serial always its ISSN, by
            which serials are matched, because `number` keeps the variant that was scanned.
        notes: facts to show a person ("9-digit SBN, read as ISBN-10 …", "add-on 52995: printed price US$29.95").
    """

    kind: NumberKind
    number: str
    written: str
    add_on: str | None = None
    own_kind: OwnKind | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Repair:
    """What a person may have meant: a small change that makes a wrong number valid, or one of several readings.

    Attributes:
        how: the change or the reading, in words ("8 instead of 3 at digit 3").
        in_catalog: whether the catalog has the number.
        add_on: the supplement beside the number, if any.
    """

    number: str
    written: str
    how: str
    in_catalog: bool = False
    add_on: str | None = None


class Check(StrEnum):
    """The check that a text failed."""

    EMPTY = "empty"
    CHARACTERS = "characters"
    LENGTH = "length"
    CHECK_DIGIT = "check digit"
    PREFIX = "prefix"
    ADD_ON = "add-on"
    AMBIGUOUS = "ambiguous"


@dataclass(frozen=True, slots=True)
class Rejection:
    """Why a text is not an identifier: a value, not an exception, because failed scans are routine."""

    text: str
    check: Check
    reason: str
    repairs: tuple[Repair, ...] = ()
