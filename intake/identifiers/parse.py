"""Typed text or a scanner line -> Identifier, or a Rejection with the reason and what may have been meant.

Decisions, where the standards leave room:

- Eight digits starting with 0 are read as UPC-E rather than EAN-8 (whose 0… is for use inside a shop); starting with 1,
  as EAN-8 rather than UPC-E (for which GS1 specifies only 0). The check digit cannot decide: a UPC-E whose last digit
  before it is 5 to 9 is also a valid EAN-8. A scanner that sends `]E4` decides it.
- A text that is valid in two ways (eight digits as ISSN and as EAN-8; two numbers on one line) is the number that the
  catalog knows; otherwise it is rejected as ambiguous, with both. A wrong book accepted is worse than a question.
- What is valid, but more often comes of a slip in a book's number, is a question (`intake.identifiers.doubts`): with a
  letter in it, an article that starts with 970 to 976 or, as UPC-A, with 9 (GS1 has not assigned the former; from
  memory), nine digits that nothing shows to be an SBN.
- 9.78E+12 is a number that a spreadsheet rounded; no number can be made of it again.
- An ISBN-10 and the ISBN-13 of the same book are one number.
- A number with a wrong check digit is never accepted, however close to a known number; the known one is proposed.

The catalog is consulted only through `is_known`. Never raises, whatever the text.
"""

import re
from collections.abc import Callable
from dataclasses import replace

from intake.identifiers import own
from intake.identifiers.doubts import left_out, reject_doubtful, without_letters
from intake.identifiers.plain import PRICES, plain, runs, split_symbology
from intake.identifiers.rejections import explain
from intake.identifiers.repairs import never, option
from intake.identifiers.running_text import NumberInText, search
from intake.model.identifiers import Check, Identifier, Rejection

ROUNDED = re.compile(r"\d(?:[.,]\d+)?E\+?\d{1,2}", re.IGNORECASE)
DECIMALS = re.compile(r"(\d{13})[.,]0+")
"""An ISBN as a program writes it that took it for a quantity."""

MANY = 1_000_000
"""No library of this program has so many copies, boxes or places."""


def parse(text: str, *, is_known: Callable[[str], bool] = never) -> Identifier | Rejection:
    """Read a typed text or scanner line.

    Args:
        text: any text; labels, prices, dashes of all kinds and words around the number are ignored.
        is_known: whether the catalog has a number (13 digits, or an own number); called only when in doubt.

    >>> parse("ISBN 0-306-40615-2 pbk").written
    '978-0-306-40615-7'
    >>> parse("978-0-306-40615-8").reason
    'the check digit of ISBN 9780306406158 is wrong: it is 8, but the other digits give 7'
    """
    symbology, body = split_symbology(plain(text))
    if not body:
        return Rejection(text, Check.EMPTY, "nothing was typed or scanned")
    if own.looks_own(body):
        return read_own(text, body, is_known)
    if symbology in ("E1", "E2"):
        return Rejection(text, Check.ADD_ON, f"{body} is only an add-on; scan the number beside it")
    if ROUNDED.fullmatch(body):
        reason = "is a number that a spreadsheet has rounded, its last digits are lost: format the column as text"
        return Rejection(text, Check.CHARACTERS, f"{reason} and enter it anew")
    if match := DECIMALS.fullmatch(body):
        body = match[1]
    numbers = numbers_in(body, symbology)
    return choose_number(text, numbers, is_known) if numbers else explain(text, body, is_known)


def numbers_in(body: str, symbology: str) -> list[NumberInText]:
    """Return the numbers in plain text.

    Without any label, the only run of digits may be divided in any way, unless a price is beside it: 978,88 may be one,
    or the beginning of the number.
    """
    digit_runs = list(runs(body))
    alone = len(digit_runs) == 1 and digit_runs[0].label is None and not PRICES.search(body)
    whole = digit_runs[0] if alone else None
    return [number for run in digit_runs for number in search(run, whole=run is whole, symbology=symbology)]


def choose_number(text: str, numbers: list[NumberInText], is_known: Callable[[str], bool]) -> Identifier | Rejection:
    """Return the only number in a text, or of several the only known one; otherwise reject the text as ambiguous."""
    by_number: dict[str, Identifier] = {}
    origins: dict[str, list[NumberInText]] = {}
    for number in numbers:
        for reading in number.readings:
            origins.setdefault(reading.number, []).append(number)
            earlier = by_number.get(reading.number)
            if earlier is None or (reading.add_on and not earlier.add_on):
                by_number[reading.number] = replace(reading, notes=(*reading.notes, *left_out(number)))
    readings = list(by_number.values())
    if len(readings) > 1:
        known = [reading for reading in readings if is_known(reading.number)]
        if len(known) != 1:
            options = tuple(option(reading, f"read as {reading.kind.value.upper()}", is_known) for reading in readings)
            return Rejection(text, Check.AMBIGUOUS, f"could be any of {len(readings)} numbers", options)
        readings = known
    (reading,) = readings
    if numbers[0].run.plus is not None and reading.add_on is None:
        reason = "what follows the plus sign is not an add-on of 2 or 5 digits"
        return Rejection(text, Check.ADD_ON, reason, (option(reading, "without the add-on", is_known),))
    if len(origins[reading.number]) > 1:  # written twice, as ISBN-10 and as ISBN-13
        return reading
    return reject_doubtful(text, origins[reading.number][0], reading, is_known) or reading


def read_own(text: str, body: str, is_known: Callable[[str], bool]) -> Identifier | Rejection:
    """Read an own number; one of more copies than a library has may be a book's number with a letter in front."""
    result = own.read(body, is_known=is_known)
    if isinstance(result, Rejection):
        digits = sum(map(str.isdecimal, body))
        books = without_letters(body, is_known) if digits > len(str(MANY)) else ()
        return replace(result, text=text, repairs=(*books, *result.repairs))
    if own.serial_of(result.number) < MANY or body.upper() == result.number or is_known(result.number):
        return result
    reason = f"begins with {result.number[0]} like the number of a copy, box or place, but has more digits than those"
    return Rejection(text, Check.LENGTH, reason, (option(result, "read as it is", is_known),))
