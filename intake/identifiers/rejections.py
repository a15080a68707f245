"""Why a text holds no valid number, worded so that a person can fix it: which check failed, and what may be meant.

Sources: GS1 General Specifications for trade units (GTIN-14, first digit 1 to 9) and carriers' units (SSCC, 18 digits).
"""

import re
from collections.abc import Callable

from stdnum import ean

from intake.identifiers.add_ons import is_add_on
from intake.identifiers.forms import ADD_ON_FORMS, EAN13, FORMS, WrittenForm, of_length
from intake.identifiers.plain import NumberLabel, WordRun, runs
from intake.identifiers.repairs import option, repairs
from intake.identifiers.running_text import find_all, readings_of
from intake.model.identifiers import Check, NumberKind, Rejection, kind_of_ean

MISTAKEN = str.maketrans("OoQDIl|SsBZz", "000011155822")
LIKE_DIGITS = re.compile(r"[\dOoQDIl|SsBZz.-]{8,}")

LENGTHS_TEXT = "an ISBN has 13 or 10, an ISSN 8, a barcode 13, 12 or 8"


def explain(text: str, body: str, is_known: Callable[[str], bool]) -> Rejection:
    """Explain why plain text holds no valid number.

    Args:
        text: as it came, for the record.
        body: the same in plain characters, without symbology identifier.
        is_known: whether the catalog holds a number of 13 digits.
    """
    misread = find_all(LIKE_DIGITS.sub(letters_to_digits, body))
    if misread:
        options = tuple(option(found, "letters read as digits", is_known) for found in misread)
        return Rejection(text, Check.CHARACTERS, "has letters where digits belong", options)
    candidates = list(runs(body))
    if not candidates:
        return Rejection(text, Check.CHARACTERS, "has no digits in it")
    run = max(candidates, key=lambda run: (run.label not in (None, NumberLabel.FOREIGN), run.size))
    unlabelled = readings_of(WordRun(run.words, None, run.plus))
    if run.label is not None and unlabelled:
        foreign = run.label is NumberLabel.FOREIGN
        where = "stands where another kind of number does" if foreign else f"is labelled {run.label.value}"
        reason = f"{where}, but {unlabelled[0].number} is {'valid' if foreign else 'none'}"
        options = tuple(option(found, f"taken as {found.kind.value.upper()}", is_known) for found in unlabelled)
        return Rejection(text, Check.PREFIX, reason, options)
    return explain_unit(text, "".join(run.compact), is_known) or explain_digits(text, run, is_known)


def letters_to_digits(found: re.Match[str]) -> str:
    """Replace the letters mistaken for digits in a word that is mostly digits."""
    word = found[0]
    return word.translate(MISTAKEN) if sum(map(str.isdecimal, word)) >= 6 else word


def main_number(run: WordRun) -> tuple[str, str | None]:
    """Split the characters of a run that holds no valid number into main number and add-on, by their lengths."""
    words = run.compact
    joined = "".join(words)
    if len(words) > 1 and is_add_on(words[-1]) and of_length(body := "".join(words[:-1])):
        return body, words[-1]
    if not of_length(joined):
        for form in ADD_ON_FORMS:
            # 14 characters are rather a book's 13 with one too many than a UPC-A and 2 digits.
            if is_add_on(joined[form.length :]) and len(joined) != 14:
                return joined[: form.length], joined[form.length :]
    return joined, None


def explain_unit(text: str, digits: str, is_known: Callable[[str], bool]) -> Rejection | None:
    """Explain the number of a carton or of a carrier's unit, which are valid but number no book."""
    if not digits.isdecimal() or not digits.isascii():
        return None
    if len(digits) == 14 and ean.is_valid(digits):
        item = digits[1:13] + str(ean.calc_check_digit(digits[1:13]))
        inside = EAN13.read(item)
        options = repairs(digits, (), is_known)
        if inside is not None:
            options = (*options, option(inside, "the item inside the carton", is_known))
        return Rejection(text, Check.PREFIX, "numbers a carton of the trade (GTIN-14), not the book in it", options)
    unit = digits.removeprefix("00") if len(digits) == 20 else digits
    if len(unit) == 18 and ean.calc_check_digit(unit[:-1]) == unit[-1]:
        return Rejection(text, Check.PREFIX, "numbers a carrier's unit (SSCC), not a book")
    return None


def explain_digits(text: str, run: WordRun, is_known: Callable[[str], bool]) -> Rejection:
    """Explain a wrong length, a misplaced X or a wrong check digit, with repairs."""
    digits, add_on = main_number(run)
    if not digits.strip("0"):
        return Rejection(text, Check.PREFIX, "only zeros stand for no number at all")
    forms = tuple(
        form for form in of_length(digits) if run.label in (None, NumberLabel.FOREIGN, form.label) or form is EAN13
    )
    options = repairs(digits, forms, is_known, add_on)
    if forms:
        return Rejection(text, Check.CHECK_DIGIT, check_digit_reason(digits, forms), options)
    if "X" in digits and any(form.length == len(digits) for form in FORMS):
        return Rejection(
            text, Check.CHARACTERS, "has an X where only an ISBN-10 or ISSN may have one, at the end", options
        )
    if is_add_on(digits):
        return Rejection(text, Check.LENGTH, f"has {len(digits)} digits: an add-on alone; read the number beside it")
    return Rejection(text, Check.LENGTH, f"has {len(digits)} digit{'s'[: len(digits) - 1]}; {LENGTHS_TEXT}", options)


def check_digit_reason(digits: str, forms: tuple[WrittenForm, ...]) -> str:
    """Say which check digit does not agree, and for a single form what it ought to be."""
    names = [kind_name(digits) if form is EAN13 else form.name for form in forms]
    if len(forms) > 1:
        return f"the check digit of {digits} agrees neither as {' nor as '.join(names)}"
    form = forms[0]
    right = next((last for last in form.alphabet if form.read(digits[:-1] + last)), None)
    asked = f"the other digits ask for {right}" if right else "no other would agree"
    return f"the check digit of {names[0]} {digits} does not agree: it ends in {digits[-1]}, {asked}"


def kind_name(digits: str) -> str:
    """Name what 13 digits would be."""
    kind = kind_of_ean(digits)
    return EAN13.name if kind is NumberKind.GTIN else kind.value.upper()
