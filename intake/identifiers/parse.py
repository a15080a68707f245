"""Typed text or a scanner line -> Identifier, or a Rejection with the reason and what may have been meant.

Decisions, where the standards leave room:

- Eight digits starting with 0 are read as UPC-E rather than EAN-8 (whose 0… is for use inside a shop); starting with 1,
  as EAN-8 rather than UPC-E (for which GS1 specifies only 0). The check digit cannot decide: a UPC-E whose last digit
  before it is 5 to 9 is also a valid EAN-8. A scanner that sends `]E4` decides it.
- A text that is valid in two ways (eight digits as ISSN and as EAN-8; two numbers on one line) is the number that the
  catalog knows; otherwise it is rejected as ambiguous, with both. A wrong book accepted is worse than a question.
- Hardly any article has a number that starts with 970 to 976 or, as UPC-A, with 9 (GS1 has not assigned the former;
  from memory), but a typing error in a book's number produces them: 9783… with two digits swapped is a valid 9738….
  They are accepted only if the catalog knows them.
- Nine digits are read as an SBN, and 14 as a UPC-A with an add-on of 2 digits, unless the catalog does not know that
  number but knows one that differs from it by a lost or surplus digit.
- An ISBN-10 and the ISBN-13 of the same book are one number.
- A number with a wrong check digit is never accepted, however close to a known number; the known one is proposed.

The catalog is consulted only through `is_known`. Never raises, whatever the text.
"""

from collections.abc import Callable
from dataclasses import replace

from intake.identifiers import own
from intake.identifiers.forms import possible_forms
from intake.identifiers.plain import NumberLabel, WordRun, plain, runs, split_symbology
from intake.identifiers.rejections import explain
from intake.identifiers.repairs import never, option, repairs
from intake.identifiers.running_text import NumberInText, search
from intake.model.identifiers import Check, Identifier, NumberKind, Rejection

NEARLY_BOOKS = ("97", "09")
"""Prefixes of 13 digits that no publication has, and that most often come from an error in a book's number."""


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
        result = own.read(body, is_known=is_known)
        return result if isinstance(result, Identifier) else replace(result, text=text)
    if symbology in ("E1", "E2"):
        return Rejection(text, Check.ADD_ON, f"{body} is only an add-on; scan the number beside it")
    numbers = numbers_in(body, symbology)
    return choose_number(text, numbers, is_known) if numbers else explain(text, body, is_known)


def numbers_in(body: str, symbology: str) -> list[NumberInText]:
    """Return the numbers in plain text. Without any label, the first long run may be divided in any way."""
    digit_runs = list(runs(body))
    labelled = any(run.label not in (None, NumberLabel.FOREIGN) for run in digit_runs)
    first = next((run for run in digit_runs if run.size >= 8 and run.label is None), None)
    whole = None if labelled else first
    return [number for run in digit_runs for number in search(run, whole=run is whole, symbology=symbology)]


def choose_number(text: str, numbers: list[NumberInText], is_known: Callable[[str], bool]) -> Identifier | Rejection:
    """Return the only number in a text, or of several the only known one; otherwise reject the text as ambiguous."""
    by_number: dict[str, Identifier] = {}
    for number in numbers:
        left_out = (f"left out: {' '.join(number.rest)}",) if number.rest else ()
        for reading in number.readings:
            earlier = by_number.get(reading.number)
            if earlier is None or (reading.add_on and not earlier.add_on):
                by_number[reading.number] = replace(reading, notes=(*reading.notes, *left_out))
    readings = list(by_number.values())
    if len(readings) > 1:
        known = [reading for reading in readings if is_known(reading.number)]
        if len(known) != 1:
            options = tuple(option(reading, f"read as {reading.kind.value.upper()}", is_known) for reading in readings)
            return Rejection(text, Check.AMBIGUOUS, f"could be any of {len(readings)} numbers", options)
        readings = known
    if numbers[0].run.plus is not None and readings[0].add_on is None:
        reason = "what follows the plus sign is not an add-on of 2 or 5 digits"
        return Rejection(text, Check.ADD_ON, reason, (option(readings[0], "without the add-on", is_known),))
    if is_doubtful(readings[0], numbers[0].run):
        return reject_doubtful(text, readings[0], numbers[0].run, is_known) or readings[0]
    return readings[0]


def is_doubtful(reading: Identifier, run: WordRun) -> bool:
    """Return whether a reading of this form is more often valid by chance than meant."""
    if reading.kind is NumberKind.GTIN and reading.number.startswith(NEARLY_BOOKS):
        return True
    return (run.size == 9 and run.label is not NumberLabel.SBN) or (run.size == 14 and reading.add_on is not None)


def reject_doubtful(text: str, reading: Identifier, run: WordRun, is_known: Callable[[str], bool]) -> Rejection | None:
    """Reject a doubtful reading with what may have been meant; None if it is known, or nothing like it is."""
    if is_known(reading.number):
        return None
    written = reading.number.removeprefix("0")
    short = "".join(run.compact)
    if reading.kind is NumberKind.GTIN and reading.number.startswith(NEARLY_BOOKS):
        likely = [
            repair
            for digits in dict.fromkeys((short, written))
            for repair in repairs(digits, possible_forms(digits), is_known, reading.add_on)
        ]
        likely.sort(key=lambda repair: not repair.in_catalog)
        reason = "is valid, but numbers that begin like this are almost always a book's number with an error in it"
        return Rejection(text, Check.PREFIX, reason, (*likely, option(reading, "read as it is", is_known)))
    if known := repairs(short, (), is_known):
        reason = f"is valid with its {len(short)} digits, but only one digit away from a known number"
        how = f"read as {reading.written}"
        return Rejection(text, Check.AMBIGUOUS, reason, (*known, option(reading, how, is_known)))
    return None
