"""Typed text or a scanner line -> Identifier, or a Rejection that says why and what may have been meant.

Decisions, where the standards leave room:

- Eight digits starting with 0 are a UPC-E before they are an EAN-8 (whose 0… is for use inside a shop); starting with 1
  they are an EAN-8 before a UPC-E (of which GS1 names only 0). Their check digits cannot tell: a UPC-E that ends in 5
  to 9 before it is valid as EAN-8 too. A scanner that sends `]E4` settles it.
- A text that is valid in two ways (eight digits as ISSN and as EAN-8; two numbers on one line) is the one the catalog
  knows, or it is given back as ambiguous with both. A wrong book accepted is worse than a question.
- Articles whose number starts with 970 to 976 or, as UPC-A, with 9 are next to none (GS1 has not given out the former;
  from memory), while a slip in a book's number makes such numbers: 9783… with two digits swapped is a valid 9738….
  They are taken only if the catalog knows them.
- Nine digits are taken as an SBN, and 14 as a UPC-A with 2 digits, unless the catalog knows no such number but one from
  which they differ by a lost or surplus digit.
- Two writings of one number (ISBN-10 and ISBN-13) are one number.
- Nothing with a wrong check digit is accepted, however close to a known number; it is proposed as a repair.

Nothing is looked up but through `is_known`. Never raises, whatever the text.
"""

from collections.abc import Callable
from dataclasses import replace

from intake.identifiers import own
from intake.identifiers.forms import of_length
from intake.identifiers.plain import NumberLabel, WordRun, plain, runs, split_symbology
from intake.identifiers.rejections import explain
from intake.identifiers.repairs import never, option, repairs
from intake.identifiers.running_text import NumberInText, search
from intake.model.identifiers import Check, Identifier, NumberKind, Rejection

NEARLY_BOOKS = ("97", "09")
"""Beginnings of 13 digits that are no publication but most likely were one before a slip."""


def parse(text: str, *, is_known: Callable[[str], bool] = never) -> Identifier | Rejection:
    """Read a typed text or scanner line.

    Args:
        text: anything; labels, prices, dashes of all kinds and words around the number are put aside.
        is_known: whether the catalog holds a number (13 digits, or an own number); asked only when in doubt.

    >>> parse("ISBN 0-306-40615-2 pbk").written
    '978-0-306-40615-7'
    >>> parse("978-0-306-40615-8").reason
    'the check digit of ISBN 9780306406158 does not agree: it ends in 8, the other digits ask for 7'
    """
    symbology, body = split_symbology(plain(text))
    if not body:
        return Rejection(text, Check.EMPTY, "nothing was typed or scanned")
    if own.looks_own(body):
        result = own.read(body, is_known=is_known)
        return result if isinstance(result, Identifier) else replace(result, text=text)
    if symbology in ("E1", "E2"):
        return Rejection(text, Check.ADD_ON, f"{body} is an add-on alone; scan the number beside it")
    found = numbers_in(body, symbology)
    return settle(text, found, is_known) if found else explain(text, body, is_known)


def numbers_in(body: str, symbology: str) -> list[NumberInText]:
    """Return the numbers in plain text. Without any label, its first long run may be divided anyhow."""
    candidates = list(runs(body))
    labelled = any(run.label not in (None, NumberLabel.FOREIGN) for run in candidates)
    first = next((run for run in candidates if run.size >= 8 and run.label is None), None)
    whole = None if labelled else first
    return [found for run in candidates for found in search(run, whole=run is whole, symbology=symbology)]


def settle(text: str, found: list[NumberInText], is_known: Callable[[str], bool]) -> Identifier | Rejection:
    """Return the one number that was found, the one of several that is known, or the question which."""
    numbers: dict[str, Identifier] = {}
    for place in found:
        left_out = (f"left out: {' '.join(place.rest)}",) if place.rest else ()
        for reading in place.readings:
            earlier = numbers.get(reading.number)
            if earlier is None or (reading.add_on and not earlier.add_on):
                numbers[reading.number] = replace(reading, notes=(*reading.notes, *left_out))
    readings = list(numbers.values())
    if len(readings) > 1:
        known = [reading for reading in readings if is_known(reading.number)]
        if len(known) != 1:
            options = tuple(option(reading, f"read as {reading.kind.value.upper()}", is_known) for reading in readings)
            return Rejection(text, Check.AMBIGUOUS, f"may be any of {len(readings)} numbers", options)
        readings = known
    if found[0].run.plus is not None and readings[0].add_on is None:
        reason = "what follows the plus sign is no add-on of 2 or 5 digits"
        return Rejection(text, Check.ADD_ON, reason, (option(readings[0], "without the add-on", is_known),))
    if is_doubtful(readings[0], found[0].run):
        return question(text, readings[0], found[0].run, is_known) or readings[0]
    return readings[0]


def is_doubtful(reading: Identifier, run: WordRun) -> bool:
    """Say whether a reading is valid by chance more often than by right."""
    if reading.kind is NumberKind.GTIN and reading.number.startswith(NEARLY_BOOKS):
        return True
    return (run.size == 9 and run.label is not NumberLabel.SBN) or (run.size == 14 and reading.add_on is not None)


def question(text: str, reading: Identifier, run: WordRun, is_known: Callable[[str], bool]) -> Rejection | None:
    """Ask about a doubtful reading, unless the catalog knows it, or knows nothing like it."""
    if is_known(reading.number):
        return None
    written = reading.number.removeprefix("0")
    short = "".join(run.compact)
    if reading.kind is NumberKind.GTIN and reading.number.startswith(NEARLY_BOOKS):
        likely = [
            repair
            for digits in dict.fromkeys((short, written))
            for repair in repairs(digits, of_length(digits), is_known, reading.add_on)
        ]
        likely.sort(key=lambda repair: not repair.in_catalog)
        reason = "is valid, but begins as only a book's number with a slip in it does"
        return Rejection(text, Check.PREFIX, reason, (*likely, option(reading, "taken as it is", is_known)))
    if found := repairs(short, (), is_known):
        reason = f"has {len(short)} digits that are valid, and are a known number but for one"
        how = f"taken as {reading.written}"
        return Rejection(text, Check.AMBIGUOUS, reason, (*found, option(reading, how, is_known)))
    return None
