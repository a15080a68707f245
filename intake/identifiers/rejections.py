"""Why a text contains no valid number: which check failed, so that a person can fix it, and what may be meant."""

import re
from collections.abc import Callable

from intake.identifiers import own
from intake.identifiers.add_ons import is_add_on
from intake.identifiers.doubts import explain_letters
from intake.identifiers.forms import ADD_ON_FORMS, EAN13, FORMS, WrittenForm, possible_forms, with_add_on
from intake.identifiers.plain import NumberLabel, WordRun, runs
from intake.identifiers.repairs import option, repairs
from intake.identifiers.running_text import find_numbers, readings_of
from intake.identifiers.units import explain_unit
from intake.model.identifiers import Check, NumberKind, OwnKind, Rejection, Repair, kind_of_ean

DIGIT_LOOKALIKES = str.maketrans("OoQDIl|SsBZz", "000011155822")
LIKE_DIGITS = re.compile(r"[\dOoQDIl|SsBZz.-]{8,}")

LENGTHS_TEXT = "an ISBN has 13 or 10, an ISSN has 8, a barcode has 13, 12 or 8"


def explain(text: str, body: str, is_known: Callable[[str], bool]) -> Rejection:
    """Explain why plain text contains no valid number.

    Args:
        text: the original text, kept in the rejection.
        body: the same in plain characters, without symbology identifier.
        is_known: whether the catalog has a number of 13 digits.
    """
    if full := own.short_number(body):
        kind = OwnKind(full[0]).name.lower()
        reason = f"looks like a {kind}'s number without its two check digits: in full it would be {full}"
        return Rejection(text, Check.LENGTH, reason, (Repair(full, full, "with its check digits", is_known(full)),))
    misread = find_numbers(LIKE_DIGITS.sub(letters_to_digits, body))
    if misread:
        options = tuple(option(number, "letters read as digits", is_known) for number in misread)
        return Rejection(text, Check.CHARACTERS, "has letters where digits belong", options)
    digit_runs = list(runs(body))
    if not digit_runs:
        return Rejection(text, Check.CHARACTERS, "has no digits in it")
    run = max(digit_runs, key=lambda run: (run.label not in (None, NumberLabel.FOREIGN), run.size))
    unlabelled = readings_of(WordRun(run.words, None, run.plus))
    if run.label is not None and unlabelled:
        foreign = run.label is NumberLabel.FOREIGN
        number = unlabelled[0].number
        if foreign:
            reason = f"is labelled as another kind of number, but {number} is a valid book or product number"
        else:
            reason = f"is labelled {run.label.value}, but {number} is not one"
        options = tuple(
            option(candidate, f"read as {candidate.kind.value.upper()}", is_known) for candidate in unlabelled
        )
        return Rejection(text, Check.PREFIX, reason, options)
    if has_letters(run):
        return explain_letters(text, run, is_known)
    return explain_unit(text, "".join(run.compact), is_known) or explain_digits(text, run, is_known)


def has_letters(run: WordRun) -> bool:
    """Return whether a run without a number is a piece of a number with letters in it, and not of words with digits."""
    beside = "".join(run.touching)
    digits = run.size + sum(map(str.isdecimal, beside))
    letters = sum(not one.isdecimal() and one.isalnum() for one in beside)
    return run.size < 13 and digits >= 7 and beside != "" and letters <= 2


def letters_to_digits(match: re.Match[str]) -> str:
    """Replace letters that look like digits, in a word that is mostly digits."""
    word = match[0]
    return word.translate(DIGIT_LOOKALIKES) if sum(map(str.isdecimal, word)) >= 6 else word


def main_number(run: WordRun) -> tuple[str, str | None]:
    """Split the characters of a run without a valid number into main number and add-on, by their lengths."""
    words = run.compact
    joined = "".join(words)
    if len(words) > 1 and is_add_on(words[-1]) and possible_forms(body := "".join(words[:-1])):
        return body, words[-1]
    if not possible_forms(joined):
        for form in ADD_ON_FORMS:
            # 14 characters are more likely a book's 13 and a surplus digit than a UPC-A with an add-on of 2.
            if is_add_on(joined[form.length :]) and len(joined) != 14:
                return joined[: form.length], joined[form.length :]
    return joined, None


def explain_digits(text: str, run: WordRun, is_known: Callable[[str], bool]) -> Rejection:
    """Explain a wrong length, a misplaced X or a wrong check digit, with repairs."""
    digits, add_on = main_number(run)
    if not digits.strip("0"):
        return Rejection(text, Check.PREFIX, "is all zeros, which stands for no number")
    forms = tuple(
        form for form in possible_forms(digits) if run.label in (None, NumberLabel.FOREIGN, form.label) or form is EAN13
    )
    if valid := tuple(filter(None, (form.read(digits) for form in forms))):
        readings = tuple(with_add_on(reading, add_on) if add_on else reading for reading in valid)
        reason = (
            f"has the check digit of {valid[0].kind.value.upper()} {valid[0].written}, but is not divided as one is"
        )
        read = tuple(option(reading, "read as it is", is_known) for reading in readings)
        return Rejection(text, Check.AMBIGUOUS, f"{reason}: a longer number with an error in it, perhaps", read)
    as_isbn13 = len(digits) == 13 and digits.endswith("X") and digits.startswith(("978", "979"))
    options = repairs(digits, (EAN13,) if as_isbn13 else forms, is_known, add_on)
    if forms:
        return Rejection(text, Check.CHECK_DIGIT, check_digit_reason(digits, forms), options)
    if "X" in digits and any(form.length == len(digits) for form in FORMS):
        return Rejection(
            text, Check.CHARACTERS, "has an X where only an ISBN-10 or ISSN may have one, at the end", options
        )
    if is_add_on(digits):
        return Rejection(
            text, Check.LENGTH, f"has {len(digits)} digits: it is only an add-on; read the number beside it"
        )
    return Rejection(text, Check.LENGTH, f"has {len(digits)} digit{'s'[: len(digits) - 1]}; {LENGTHS_TEXT}", options)


def check_digit_reason(digits: str, forms: tuple[WrittenForm, ...]) -> str:
    """Return which check digit is wrong and, where only one form is possible, what it should be."""
    names = [kind_name(digits) if form is EAN13 else form.name for form in forms]
    if len(forms) > 1:
        return f"the check digit of {digits} is right neither as {' nor as '.join(names)}"
    form = forms[0]
    right = next((last for last in form.alphabet if form.read(digits[:-1] + last)), None)
    expected = f"but the other digits give {right}" if right else "and no other would be right"
    return f"the check digit of {names[0]} {digits} is wrong: it is {digits[-1]}, {expected}"


def kind_name(digits: str) -> str:
    """Return the name of the kind that 13 digits would be."""
    kind = kind_of_ean(digits)
    return EAN13.name if kind is NumberKind.GTIN else kind.value.upper()
