"""Numbers inside running text: a line of a copyright page, a scanner line, a typed number with words around it.

In running text the digits must also be written like a number: otherwise a year beside a telephone number would pass for
an ISBN one time in eleven. They must follow a label, or be undivided with 10, 12 or more digits, or be divided as the
standard says. Without a label, 8 or 9 digits are read only as an ISSN written NNNN-NNNX.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from intake.identifiers.add_ons import is_add_on
from intake.identifiers.forms import (
    ADD_ON_FORMS,
    EAN8,
    ISSN,
    UPC_E,
    fits_label,
    possible_forms,
    read_isbn10_after_978,
    with_add_on,
)
from intake.identifiers.plain import NumberLabel, WordRun, compact, plain, runs
from intake.model.identifiers import Identifier, NumberKind

MOST_WORDS = 10
"""Most words that one number may be divided into: an ISBN-13 in five parts, an add-on, and some to spare."""
LENGTHS = range(8, 20)
EIGHT = 8
"""Digits of an EAN-8, a UPC-E and an ISSN."""
EAN_BEGINNINGS = {"978", "979", "977", "M", "9"}
"""First words of a number; where no number begins at one of these, none is searched for after it in the run."""
BARCODE_GROUPS = {(1, 6, 6), (1, 5, 5, 1)}
"""Groups of digits as printed below an EAN-13 and a UPC-A (the 4 and 4 of an EAN-8 could be two years)."""
DASHES = re.compile(r"[-.]+")
SERIAL = re.compile(r"\d{4}-\d{3}[\dXx]")


@dataclass(frozen=True, slots=True)
class NumberInText:
    """A number in a run of words.

    Attributes:
        readings: the valid ones, mostly one.
        run: the whole run.
        part: the words of it that are the number, with its add-on.
        rest: the words that are not.
    """

    readings: tuple[Identifier, ...]
    run: WordRun
    part: WordRun
    rest: tuple[str, ...] = ()


def may_hold_number(text: str) -> bool:
    """Return whether a text has as many digits as the shortest number; one with fewer is a name, and no wrong number.

    >>> may_hold_number("FR-2"), may_hold_number("978-0-306-40615-8")
    (False, True)
    """
    return sum(map(str.isdigit, text)) >= LENGTHS.start


def find_numbers(text: str) -> tuple[Identifier, ...]:
    """Return the numbers inside running text, in order, each number once.

    >>> [found.written for found in find_numbers("ISBN 0-306-40615-2 (hardback); ISSN 0317-8471; 10 9 8 7 6 5 4 3 2 1")]
    ['978-0-306-40615-7', '0317-8471']
    """
    numbers: dict[str, Identifier] = {}
    for run in runs(plain(text)):
        for number in search(run, whole=False):
            if len(number.readings) == 1:
                numbers.setdefault(number.readings[0].number, number.readings[0])
    return tuple(numbers.values())


def search(run: WordRun, *, whole: bool, symbology: str = "") -> Iterator[NumberInText]:
    """Yield the numbers in a run of words.

    Args:
        run: the words.
        whole: whether all words together may be a number, however they are divided.
        symbology: the scanner's symbology identifier, or "".
    """
    labelled = run.label not in (None, NumberLabel.FOREIGN)
    start = 0
    while start < len(run.words):
        for end in range(min(len(run.words), start + MOST_WORDS), start, -1):
            part = slice_of(run, start, end)
            loose = (whole or labelled) and start == 0 and end == len(run.words)
            # Of a divided number, the longest part has at least 3 digits; this skips number lines (10 9 8 …) early.
            if part.size not in LENGTHS or (not loose and max(map(len, part.words)) < 3):
                continue
            readings = tuple(
                reading
                for reading in readings_of(part, symbology)
                if loose or looks_printed(part, reading, labelled=labelled)
            )
            if readings:
                yield NumberInText(readings, run, part, run.words[:start] + run.words[end:])
                start = end
                break
        else:
            if run.words[start] in EAN_BEGINNINGS:
                return
            start += 1


def slice_of(run: WordRun, start: int, end: int) -> WordRun:
    """Return the words from `start` up to `end` as a run."""
    plus = run.plus - start if run.plus is not None and start < run.plus < end else None
    return WordRun(run.words[start:end], run.label, plus)


def readings_of(run: WordRun, symbology: str = "") -> tuple[Identifier, ...]:
    """Return every valid reading of all words of a run as one number with or without an add-on."""
    words = run.compact
    joined = "".join(words)
    if not joined.strip("0"):  # lists write zeros for "none", though their check digit is right
        return ()
    divided = add_on_apart(run, symbology)
    # With a plus sign it is certain where the add-on begins; also behind one word that is an article or is divided as
    # an ISSN. Eight digits and two may be an ISBN-10 with one space in it.
    one_word = len(words) == 2 and (len(words[0]) > EIGHT or SERIAL.fullmatch(run.words[0]))
    if run.plus is not None or (divided and one_word):
        return divided
    whole = () if symbology == "E3" else plain_readings(joined, run, symbology)
    return (*whole, *divided, *run_together(joined, run))


def add_on_apart(run: WordRun, symbology: str) -> tuple[Identifier, ...]:
    """Return the readings of a run whose last word is an add-on."""
    *body, _ = run.compact
    last = run.words[-1]  # with its dashes: an add-on has none
    if not body or not is_add_on(last) or run.plus not in (None, len(body)):
        return ()
    readings = (with_add_on(reading, last) for reading in plain_readings("".join(body), run, symbology))
    # The last parts of a wrong number must not pass for an add-on, so the rest must be divided as the standard says,
    # or be an ISSN with a space for its hyphen.
    spaced = [len(word) for word in body] == [4, 4]
    return tuple(
        reading
        for reading in readings
        if len(body) == 1 or looks_printed(run, reading, labelled=False) or (spaced and reading.kind is NumberKind.ISSN)
    )


def run_together(digits: str, run: WordRun) -> Iterator[Identifier]:
    """Yield the readings of digits as a number and its add-on in one run, as scanners send them."""
    for form in ADD_ON_FORMS:
        add_on = digits[form.length :]
        if is_add_on(add_on) and digits.isdecimal():
            reading = form.read(digits[: form.length])
            if reading is not None and fits_label(reading, run.label):
                yield with_add_on(reading, add_on)


def plain_readings(digits: str, run: WordRun, symbology: str) -> tuple[Identifier, ...]:
    """Return the valid readings of characters as a number without add-on, by form, label and symbology."""
    forms = [
        form for form in possible_forms(digits) if run.label is not NumberLabel.GTIN or form.label is NumberLabel.GTIN
    ]
    if symbology.startswith("E"):  # a barcode of the EAN/UPC family is never an ISSN of 8 digits
        forms = [form for form in forms if form is not ISSN and (form is not UPC_E or symbology != "E4")]
    if len(digits) == 13 and digits.endswith("X") and run.label in (None, NumberLabel.ISBN, NumberLabel.FOREIGN):
        return tuple(filter(None, (read_isbn10_after_978(digits),)))
    readings = {form: reading for form in forms if (reading := form.read(digits)) and fits_label(reading, run.label)}
    if ISSN in readings and SERIAL.fullmatch(run.words[0]):
        return (readings[ISSN],)
    if UPC_E in readings and EAN8 in readings:
        # A GTIN-8 of 0… is assigned inside shops and never printed on a publication; a UPC-E of 1… is not standard.
        del readings[EAN8 if digits[0] == "0" else UPC_E]
    if run.label is NumberLabel.ISBN:
        return tuple(with_music_note(reading) for reading in readings.values())
    return tuple(readings.values())


def with_music_note(reading: Identifier) -> Identifier:
    """Add a note to an ISMN, which was labelled ISBN; any other reading is returned as it is."""
    if reading.kind is not NumberKind.ISMN:
        return reading
    return replace(reading, notes=(*reading.notes, "labelled ISBN, but 979-0 is printed music (ISMN)"))


def looks_printed(run: WordRun, reading: Identifier, *, labelled: bool) -> bool:
    """Return whether the words are divided in the way such a number is printed."""
    words = run.words
    if reading.add_on is not None and len(words) > 1 and words[-1] == reading.add_on:
        words = words[:-1]
    if len(words) == 1:
        return looks_printed_word(words[0], reading, run.label, labelled=labelled)
    if words[0] in ("978", "979") and len(words) == 2 and sum(map(len, map(compact, words))) == 13:
        return words[1].isdecimal() or looks_printed_word(words[1], reading, run.label, labelled=labelled)
    lengths = tuple(len(compact(word)) for word in words)
    if reading.kind is NumberKind.ISSN:  # four and four digits could be two years
        return lengths in BARCODE_GROUPS or (lengths == (4, 4) and run.label is NumberLabel.ISSN)
    return words[0] in ("M", "m") or lengths in {*BARCODE_GROUPS, *standard_groups(reading)}


def looks_printed_word(word: str, reading: Identifier, label: NumberLabel | None, *, labelled: bool) -> bool:
    """Return whether one word, with or without dashes, is divided in the way such a number is printed."""
    parts = DASHES.split(word)
    if len(parts) == 1:
        return labelled or (len(word) >= 10 and label is not NumberLabel.FOREIGN)
    if reading.add_on is not None and parts[-1] == reading.add_on:
        return looks_printed_word("-".join(parts[:-1]), replace(reading, add_on=None), label, labelled=labelled)
    if reading.kind is NumberKind.ISSN:
        return SERIAL.fullmatch(word) is not None or parts[0] == "977"
    lengths = tuple(len(part) for part in parts)
    if reading.kind is NumberKind.GTIN:
        return lengths in BARCODE_GROUPS
    # Older books divide the number at other places than today's ranges do, but always before the check digit.
    return parts[0] in ("978", "979") or (lengths[-1] == 1 and (labelled or (sum(lengths) >= 10 and len(parts) >= 3)))


def standard_groups(reading: Identifier) -> tuple[tuple[int, ...], ...]:
    """Return the lengths of the parts of a hyphenated ISBN or ISMN: with its prefix and without it."""
    lengths = tuple(len(part) for part in reading.written.split("-"))
    return lengths, lengths[1:]
