"""Numbers that are valid, but more often come of a slip in another number than are meant.

A check digit lets one random slip in ten or eleven through, and a number cut out of a longer one has a check digit of
its own to pass by chance. Such a number is a question to the person, never an answer:

- a short number against which a letter or further digits stand: 978030640A157 is not 978030640 or any part of it;
- an article whose number begins as hardly any does, but a book's number with an error in it (`NEARLY_BOOKS`);
- nine digits that are neither labelled nor divided as an SBN: as often an ISBN-10 that lost a digit;
- an ISBN-10 that begins with 978 or 979 and has more digits beside it: most likely an ISBN-13 in two pieces;
- a number of 8 or 9 digits, or of printed music, with digits left over: most likely a longer one with an error in it;
- an M after the label ISBN: a digit misread, or a number of printed music;
- a number and add-on that without the plus sign are one valid number;
- 14 or 18 digits that are a carton's or a carrier's number too (`units`).

The catalog settles all but the first, where it knows the number.
"""

import re
from collections.abc import Callable

from intake.identifiers.forms import ISBN10, possible_forms
from intake.identifiers.plain import NumberLabel, WordRun, compact, plain, runs
from intake.identifiers.repairs import option, repairs
from intake.identifiers.running_text import NumberInText, find_numbers
from intake.identifiers.units import explain_unit
from intake.model.identifiers import Check, Identifier, NumberKind, Rejection, Repair

NEARLY_BOOKS = ("97", "09")
"""Prefixes of 13 digits that no publication has, and that most often come from an error in a book's number."""

BOOK_PREFIXES = ("977", "978", "979")

SBN_AS_PRINTED = re.compile(r"\d{2,7}-\d{1,6}-[\dXx]")
"""Three groups, as an SBN was printed; an ISBN-10 that lost a group of one digit has two hyphens in a row."""


def reject_doubtful(
    text: str, number: NumberInText, reading: Identifier, is_known: Callable[[str], bool]
) -> Rejection | None:
    """Reject a doubtful reading with what may have been meant; None where there is no doubt."""
    if letters_inside(number):
        return explain_letters(text, number.run, is_known)
    digits = "".join(number.part.compact)
    nearly = reading.kind is NumberKind.GTIN and reading.number.startswith(NEARLY_BOOKS)
    joined = _without_plus(number, is_known)
    contradiction = _contradiction(number, reading, digits)
    if not (nearly or joined or contradiction or _is_chance(text, number, reading, digits)) or is_known(reading.number):
        return None
    as_it_is = option(reading, "read as it is", is_known)
    if nearly:
        reason = "is valid, but numbers that begin like this are almost always a book's number with an error in it"
        return Rejection(text, Check.PREFIX, reason, (*_likely(digits, reading, is_known), as_it_is))
    if joined:
        reason = "is a number and an add-on, but without the plus sign one valid number"
        return Rejection(text, Check.AMBIGUOUS, reason, (*joined, as_it_is))
    unit = explain_unit(text, digits, is_known) if reading.add_on is not None else None
    if unit is not None and unit.check is Check.PREFIX:
        return Rejection(text, unit.check, unit.reason, (*unit.repairs, as_it_is))
    if known := repairs(digits, (), is_known):
        reason = f"is valid with its {len(digits)} digits, but only one digit away from a known number"
        return Rejection(
            text, Check.AMBIGUOUS, reason, (*known, option(reading, f"read as {reading.written}", is_known))
        )
    reason = contradiction or _reason(number, digits)
    return Rejection(text, Check.AMBIGUOUS, reason, (as_it_is,)) if reason else None


def _without_plus(number: NumberInText, is_known: Callable[[str], bool]) -> tuple[Repair, ...]:
    """Return the numbers that the digits before and after a plus sign make together."""
    if number.part.plus is None:
        return ()
    digits = "".join(number.run.compact)
    readings = filter(None, (form.read(digits) for form in possible_forms(digits)))
    return tuple(option(reading, "without the plus sign", is_known) for reading in readings)


def _contradiction(number: NumberInText, reading: Identifier, digits: str) -> str:
    """Return what stands beside a number that contradicts it; empty where nothing does."""
    if number.part.label is NumberLabel.ISBN and digits.startswith("M"):
        return "is labelled ISBN, but M begins a number of printed music (ISMN)"
    if number.rest and _is_short(number, reading):
        return f"is a number only with {' '.join(number.rest)!r} left out"
    return ""


def _reason(number: NumberInText, digits: str) -> str:
    """Return why digits that are like no known number are doubtful all the same; empty where they are not."""
    if len(digits) == 9 and not _is_printed_sbn(number):
        return "has 9 digits: an SBN, or an ISBN-10 that lost one; write SBN or the 0 before it"
    if len(digits) != 9 and digits.startswith(BOOK_PREFIXES):
        return "is most likely an ISBN-13 with a digit missing"
    if len(digits) == 14 and digits[1:].startswith(BOOK_PREFIXES):
        return "is most likely an ISBN-13 with a surplus digit"
    return ""


def _is_printed_sbn(number: NumberInText) -> bool:
    """Return whether nine digits are divided as an SBN was, with no hyphen at either end that a digit was lost from."""
    ends = number.run.before[-1:] + number.run.after[:1]
    return SBN_AS_PRINTED.fullmatch(" ".join(number.part.words)) is not None and "-" not in ends


def _is_short(number: NumberInText, reading: Identifier) -> bool:
    """Return whether a number is of a form that is cut out of a longer one more often than an ISBN-10 is."""
    own = "".join(number.part.compact).removesuffix(reading.add_on or "")
    return number.part.label is not NumberLabel.ISSN and (len(own) < ISBN10.length or own.startswith("M"))


def _is_chance(text: str, number: NumberInText, reading: Identifier, digits: str) -> bool:
    """Return whether digits of this length are more often valid by chance than meant."""
    if len(digits) == 9:
        return number.part.label is not NumberLabel.SBN
    if reading.add_on is not None and len(digits) in (14, 18):
        return not reading.number.startswith(BOOK_PREFIXES)
    own = digits.removesuffix(reading.add_on or "")
    return len(own) == ISBN10.length and own.startswith(BOOK_PREFIXES) and own != _digits(text)


def _digits(text: str) -> str:
    """Return all digits of a text, with an X at their end."""
    return "".join(character for run in runs(plain(text)) for character in "".join(run.compact))


def _likely(digits: str, reading: Identifier, is_known: Callable[[str], bool]) -> list[Repair]:
    written = reading.number.removeprefix("0")
    likely = [
        repair
        for variant in dict.fromkeys((digits, written))
        for repair in repairs(variant, possible_forms(variant), is_known, reading.add_on)
    ]
    return sorted(likely, key=lambda repair: not repair.in_catalog)


def letters_inside(number: NumberInText) -> bool:
    """Return whether a number shorter than 13 digits may be a piece of one that has a letter in it.

    Thirteen digits with a right check digit are whole, whatever stands beside them, and so are ten with a word of
    several letters ("0306406152pbk").
    """
    size = number.part.size - len(number.readings[0].add_on or "")
    if size >= 13:
        return False
    if size < 10 and number.run.touching:
        return True
    return any(any(map(str.isdecimal, side)) or sum(map(str.isalnum, side)) == 1 for side in number.run.touching)


def left_out(number: NumberInText) -> tuple[str, ...]:
    """Return the note on what beside a number was left out; none where nothing was."""
    beside = (*number.rest, *(side.strip(" .,;:/'\"") for side in number.run.touching))
    return (f"left out: {' '.join(beside)}",) if beside else ()


def explain_letters(text: str, run: WordRun, is_known: Callable[[str], bool]) -> Rejection:
    """Explain that letters stand inside a number, naming what would have to be left out to read the rest."""
    beside = " and ".join(repr(side.strip(" .,;:/'\"")) for side in run.touching)
    # The M that a number of printed music begins with is no slip.
    sides = [side.removeprefix("M") if nth == 0 else side for nth, side in enumerate(run.touching)]
    inside = "".join(character for side in sides for character in side if not character.isdecimal())
    options = without_letters(f"{run.before}{''.join(run.words)}{run.after}", is_known)
    reason = f"has {inside!r} inside the number, and nothing is read with {beside} left out: type it again"
    return Rejection(text, Check.CHARACTERS, reason, options)


def without_letters(token: str, is_known: Callable[[str], bool]) -> tuple[Repair, ...]:
    """Return the numbers that a digit in place of one letter, or nothing in its place, would make."""
    found: dict[str, Repair] = {}
    for at, character in enumerate(token):
        if character.isdecimal() or character in "-Xx":
            continue
        for new in ("", *"0123456789"):
            how = f"{new} instead of {character!r}" if new else f"without {character!r}"
            for reading in _numbers_of(token[:at] + new + token[at + 1 :]):
                if reading.kind is not NumberKind.GTIN:
                    found.setdefault(reading.number, option(reading, how, is_known))
    return tuple(sorted(found.values(), key=lambda repair: not repair.in_catalog))


def _numbers_of(token: str) -> tuple[Identifier, ...]:
    """Return the numbers in a token; as a whole it may be one however it is divided."""
    whole = compact(token)
    readings = (form.read(whole) for form in possible_forms(whole)) if whole[:-1].isdecimal() else ()
    return (*filter(None, readings), *find_numbers(whole))
