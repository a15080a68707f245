"""The tool's own numbers for copies, boxes and places: a letter, a serial number and two check digits ("A127-43").

The letter is the kind: A copy, B box, S place. Serials count from 1 without gaps. The check digits are those of
ISO/IEC 7064:2003, MOD 97-10, over the serial followed by the letter as a number (A = 10 … Z = 35). The letter goes
last, as in an IBAN (ISO 13616): if it came first, losing the leading digit would shift it, and A7127 and A127 would
share their check digits. Two check digits were chosen over one check character so that they can be typed on a telephone
keypad and contain no O or I that looks like 0 or 1.

Errors that they miss, counted over every single error in A1 to A9999 (the tests repeat the count): of 529,983 wrong
digits none; of 44,175 swaps of neighbours none; of 619,974 inserted digits 3,674 (0.6 %); of 54,174 lost digits 276
(0.5 %). Another kind's letter is always caught. Whether a number has been assigned is not checked: only the library
knows.
"""

import re
from collections.abc import Callable, Iterator

from intake.identifiers.plain import plain
from intake.identifiers.repairs import neighbours_swapped, never
from intake.model.identifiers import Check, Identifier, NumberKind, OwnKind, Rejection, Repair, own_number

LONGEST = 40
"""A longer text is not read as an own number (nor should `int` be given one)."""

DIGIT_LOOKALIKES = str.maketrans("OIL", "011")
NUMBER = re.compile(r"([ABS])[\s-]*([0-9OIL]+(?:[\s-]+[0-9OIL]+)*)", re.IGNORECASE)
BARE = re.compile(r"(?:([A-Z]+)\.?[\s-]*|#\s*)?(\d+)", re.IGNORECASE)
SHORT = re.compile(r"([ABS])\s*(\d{1,8})", re.IGNORECASE)
LETTERLESS = re.compile(r"(?:[A-Z]+\.?[\s-]*|#\s*)?(\d+-\d\d)", re.IGNORECASE)
KIND_WORDS = {
    "A": OwnKind.COPY,
    "B": OwnKind.BOX,
    "S": OwnKind.PLACE,
    "COPY": OwnKind.COPY,
    "BOX": OwnKind.BOX,
    "PLACE": OwnKind.PLACE,
    "SHELF": OwnKind.PLACE,
    "BOOKCASE": OwnKind.PLACE,
    "ROOM": OwnKind.PLACE,
}
ANY_KIND = ("", "NO", "NR", "NUMBER")


def make(kind: OwnKind, serial: int) -> str:
    """Return the number of a copy, box or place.

    Raises:
        ValueError: the serial is below 1.

    >>> make(OwnKind.COPY, 127)
    'A127-89'
    """
    if serial < 1:
        msg = f"serials count from 1, not {serial}"
        raise ValueError(msg)
    return own_number(kind, serial)


def serial_of(number: str) -> int:
    """Return the serial of a canonical own number.

    >>> serial_of("A127-89")
    127
    """
    return int(number[1 : number.index("-")])


def looks_own(text: str) -> bool:
    """Return whether a plain text has the shape of an own number, whether right or wrong."""
    return len(text) <= LONGEST and split(text) is not None


def split(text: str) -> tuple[OwnKind, str] | None:
    """Split a plain text into kind and digits (serial and check digits); None if it has not this shape."""
    match = NUMBER.fullmatch(text)
    # A word of letters alone ("bill") is not a number, though each letter of it looks like a digit.
    if match is None or not any(character.isdecimal() for character in match[2]):
        return None
    digits = re.sub(r"[\s-]", "", match[2]).upper().translate(DIGIT_LOOKALIKES)
    return (OwnKind(match[1].upper()), digits) if len(digits) >= 3 else None


def read(
    text: str, expect: OwnKind | None = None, *, is_known: Callable[[str], bool] = never
) -> Identifier | Rejection:
    """Read an own number as typed or scanned.

    Lower case, a missing hyphen, spaces, leading zeros, O for 0 and I or l for 1 are accepted. Check digits are read
    only behind their letter. Digits alone ("156", "box 156") are the serial, however many there are; they are accepted
    only where a kind is expected, and with a note.

    Args:
        text: any text.
        expect: the expected kind; another kind is refused.
        is_known: whether the library has assigned a number.

    >>> read("a 0127 89").number
    'A127-89'
    >>> read("156", OwnKind.BOX).number
    'B156-19'
    """
    cleaned = plain(text)
    if not cleaned:
        return Rejection(text, Check.EMPTY, "nothing was typed")
    if len(cleaned) > LONGEST:
        return Rejection(text, Check.LENGTH, "is too long for the number of a copy, box or place")
    parts = split(cleaned)
    if parts is None:
        return read_bare(text, cleaned, expect, is_known)
    kind, digits = parts
    number = verified_number(kind, digits)
    if expect is not None and kind is not expect:
        reason = f"{cleaned} is the number of a {kind.name.lower()}; a {expect.name.lower()} is expected"
        return Rejection(text, Check.PREFIX, reason)
    if number is not None:
        return own_identifier(number)
    reason = f"the check digits of {cleaned} are wrong: {digits[-2:]} does not belong to {kind.value}{digits[:-2]}"
    return Rejection(text, Check.CHECK_DIGIT, reason, tuple(repairs(kind, digits, is_known)))


def short_number(text: str) -> str | None:
    """Return the own number of a letter and a serial without check digits ("A55"); None for another text.

    Not for scans, of which a digit may be lost: only where what it names is shown before anything is done with it.

    >>> short_number("a55"), short_number("A55-58")
    ('A55-58', None)
    """
    match = SHORT.fullmatch(plain(text))
    return make(OwnKind(match[1].upper()), int(match[2])) if match and int(match[2]) else None


def verified_number(kind: OwnKind, digits: str) -> str | None:
    """Return the canonical number of serial and check digits, or None if the check digits are wrong."""
    serial = int(digits[:-2] or "0")
    if serial < 1:
        return None
    number = make(kind, serial)
    # Compared, not validated: modulo 97 the digits 00, 01 and 99 would pass for 97, 98 and 02.
    return number if number.endswith(f"-{digits[-2:]}") else None


def own_identifier(number: str, *notes: str) -> Identifier:
    """Return the identifier of a canonical own number."""
    return Identifier(NumberKind.OWN, number, number, own_kind=OwnKind(number[0]), notes=notes)


def read_bare(
    text: str, cleaned: str, expect: OwnKind | None, is_known: Callable[[str], bool]
) -> Identifier | Rejection:
    """Read a serial without its letter and its check digits, if a kind is expected."""
    if expect is not None and (letterless := LETTERLESS.fullmatch(cleaned)):
        number = verified_number(expect, letterless[1].replace("-", ""))
        options = (
            () if number is None else (Repair(number, number, f"with its letter {expect.value}", is_known(number)),)
        )
        name = expect.name.lower()
        reason = (
            f"check digits are read only behind their letter {expect.value}: type it too, or the {name}'s digits alone"
        )
        return Rejection(text, Check.CHARACTERS, reason, options)
    match = BARE.fullmatch(cleaned)
    if expect is None or match is None:
        reason = "is not the number of a copy (A…), a box (B…) or a place (S…)"
        return Rejection(text, Check.CHARACTERS, reason)
    word = (match[1] or "").upper()
    if KIND_WORDS.get(word) is not expect and word not in ANY_KIND:
        return Rejection(text, Check.PREFIX, f"{cleaned} is not the number of a {expect.name.lower()}")
    if int(match[2]) < 1:
        return Rejection(text, Check.LENGTH, "serials count from 1")
    return own_identifier(make(expect, int(match[2])), "typed without check digits: make sure it is the right one")


def repairs(kind: OwnKind, digits: str, is_known: Callable[[str], bool]) -> list[Repair]:
    """Return the valid numbers that are one wrong digit or one swap away, known ones first."""
    by_number: dict[str, Repair] = {}
    for changed, how in mutations(digits):
        number = verified_number(kind, changed)
        if number is not None and number not in by_number:
            by_number[number] = Repair(number, number, how, is_known(number))
    return sorted(by_number.values(), key=lambda repair: not repair.in_catalog)


def mutations(digits: str) -> Iterator[tuple[str, str]]:
    """Yield (digits, change in words) for every swap of neighbours, then for every change of a single digit."""
    yield from neighbours_swapped(digits)
    for index, old in enumerate(digits):
        for new in "0123456789":
            if new != old:
                yield digits[:index] + new + digits[index + 1 :], f"{new} instead of {old} at digit {index + 1}"
