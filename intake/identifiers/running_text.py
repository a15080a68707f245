"""Numbers inside running text: a line of a copyright page, a scanner line, a typed number with words around it.

In running text a number must look like one, or a year beside a telephone number would pass for an ISBN one time in
eleven. It must follow its label, or stand undivided with 10 or 12 and more digits, or be divided as its standard says.
Without a label, 8 and 9 digits are taken only as an ISSN written NNNN-NNNX.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from intake.identifiers.add_ons import is_add_on
from intake.identifiers.forms import ADD_ON_FORMS, EAN8, ISSN, UPC_E, fits_label, of_length, with_add_on
from intake.identifiers.plain import NumberLabel, WordRun, compact, plain, runs
from intake.model.identifiers import Identifier, NumberKind

MOST_WORDS = 10
"""Words that one number may be divided into: an ISBN-13 in five parts, an add-on, and some to spare."""
LENGTHS = range(8, 20)
EAN_BEGINNINGS = {"978", "979", "977", "M", "9"}
"""Words that belong to the digits after them; a number is not looked for behind them once they have failed."""
BARCODE_GROUPS = {(1, 6, 6), (1, 5, 5, 1)}
"""How the digits are grouped below an EAN-13 and a UPC-A (the 4 and 4 of an EAN-8 could be two years)."""
DASHES = re.compile(r"[-.]+")
SERIAL = re.compile(r"\d{4}-\d{3}[\dXx]")


@dataclass(frozen=True, slots=True)
class NumberInText:
    """What stands in a run of words: the readings valid at one place of it (mostly one), and the words left over."""

    readings: tuple[Identifier, ...]
    run: WordRun
    rest: tuple[str, ...] = ()


def find_all(text: str) -> tuple[Identifier, ...]:
    """Return the numbers inside running text, in order, each number once.

    >>> [found.written for found in find_all("ISBN 0-306-40615-2 (hardback); ISSN 0317-8471; 10 9 8 7 6 5 4 3 2 1")]
    ['978-0-306-40615-7', '0317-8471']
    """
    numbers: dict[str, Identifier] = {}
    for run in runs(plain(text)):
        for found in search(run, whole=False):
            if len(found.readings) == 1:
                numbers.setdefault(found.readings[0].number, found.readings[0])
    return tuple(numbers.values())


def search(run: WordRun, *, whole: bool, symbology: str = "") -> Iterator[NumberInText]:
    """Yield the numbers in a run of words.

    Args:
        run: the words.
        whole: whether all words together may be a number, however divided.
        symbology: the scanner's symbology identifier, or "".
    """
    labelled = run.label not in (None, NumberLabel.FOREIGN)
    start = 0
    while start < len(run.words):
        for end in range(min(len(run.words), start + MOST_WORDS), start, -1):
            part = slice_of(run, start, end)
            loose = (whole or labelled) and start == 0 and end == len(run.words)
            # The longest part of any divided number has 3 digits at least: so number lines (10 9 8 …) cost little.
            if part.size not in LENGTHS or (not loose and max(map(len, part.words)) < 3):
                continue
            readings = tuple(
                reading
                for reading in readings_of(part, symbology)
                if loose or looks_printed(part, reading, labelled=labelled)
            )
            if readings:
                yield NumberInText(readings, run, run.words[:start] + run.words[end:])
                start = end
                break
        else:
            if run.words[start] in EAN_BEGINNINGS:
                return
            start += 1


def slice_of(run: WordRun, start: int, end: int) -> WordRun:
    """Return some of a run's words as a run."""
    plus = run.plus - start if run.plus is not None and start < run.plus < end else None
    return WordRun(run.words[start:end], run.label, plus)


def readings_of(run: WordRun, symbology: str = "") -> tuple[Identifier, ...]:
    """Return every valid reading of all words of a run as one number with or without an add-on."""
    words = run.compact
    joined = "".join(words)
    if not joined.strip("0"):  # a placeholder of lists for "none", though its check digit is right
        return ()
    divided = add_on_apart(run, symbology)
    # A main number in one piece, or a plus sign, leaves no doubt where the add-on begins.
    if run.plus is not None or (divided and len(words) == 2):
        return divided
    whole = () if symbology == "E3" else plain_readings(joined, run, symbology)
    return (*whole, *divided, *run_together(joined, run))


def add_on_apart(run: WordRun, symbology: str) -> tuple[Identifier, ...]:
    """Return the readings of a run whose last word is an add-on."""
    *body, last = run.compact
    if not body or not is_add_on(last) or run.plus not in (None, len(body)):
        return ()
    readings = (with_add_on(reading, last) for reading in plain_readings("".join(body), run, symbology))
    # The last parts of a wrong number must not pass for an add-on, so what is left must be divided as it should be.
    return tuple(reading for reading in readings if len(body) == 1 or looks_printed(run, reading, labelled=False))


def run_together(digits: str, run: WordRun) -> Iterator[Identifier]:
    """Yield the readings of digits as a scanner sends a number and its add-on in one go."""
    for form in ADD_ON_FORMS:
        add_on = digits[form.length :]
        if is_add_on(add_on) and digits.isdecimal():
            reading = form.read(digits[: form.length])
            if reading is not None and fits_label(reading, run.label):
                yield with_add_on(reading, add_on)


def plain_readings(digits: str, run: WordRun, symbology: str) -> tuple[Identifier, ...]:
    """Return the valid readings of characters as a number alone, by form, label and symbology."""
    forms = [form for form in of_length(digits) if run.label is not NumberLabel.GTIN or form.label is NumberLabel.GTIN]
    if symbology.startswith("E"):  # a barcode of the EAN/UPC family is never an ISSN of 8 digits
        forms = [form for form in forms if form is not ISSN and (form is not UPC_E or symbology != "E4")]
    found = {form: reading for form in forms if (reading := form.read(digits)) and fits_label(reading, run.label)}
    if ISSN in found and SERIAL.fullmatch(run.words[0]):
        return (found[ISSN],)
    if UPC_E in found and EAN8 in found:
        # As GTIN-8, 0… is given out in shops and never stands on a publication; a UPC-E of 1… is outside the standard.
        del found[EAN8 if digits[0] == "0" else UPC_E]
    if run.label is NumberLabel.ISBN:
        return tuple(music_note(reading) for reading in found.values())
    return tuple(found.values())


def music_note(reading: Identifier) -> Identifier:
    """Tell of printed music that carries the label ISBN."""
    if reading.kind is not NumberKind.ISMN:
        return reading
    return replace(reading, notes=(*reading.notes, "labelled ISBN, but 979-0 numbers printed music (ISMN)"))


def looks_printed(run: WordRun, reading: Identifier, *, labelled: bool) -> bool:
    """Say whether the words are divided as a number is printed."""
    words = run.words
    if reading.add_on is not None and len(words) > 1 and words[-1] == reading.add_on:
        words = words[:-1]
    if len(words) == 1:
        return looks_printed_word(words[0], reading, run.label, labelled=labelled)
    if words[0] in ("978", "979") and len(words) == 2:
        return words[1].isdecimal() or looks_printed_word(words[1], reading, run.label, labelled=labelled)
    lengths = tuple(len(compact(word)) for word in words)
    if reading.kind is NumberKind.ISSN:  # four and four digits could be two years
        return lengths in BARCODE_GROUPS or (lengths == (4, 4) and run.label is NumberLabel.ISSN)
    return words[0] in ("M", "m") or lengths in {*BARCODE_GROUPS, *standard_groups(reading)}


def looks_printed_word(word: str, reading: Identifier, label: NumberLabel | None, *, labelled: bool) -> bool:
    """Say whether one word, divided by dashes or not, is divided as a number is printed."""
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
    # Old title pages divide at other places than today's ranges do; the check digit always stands alone.
    return parts[0] in ("978", "979") or (lengths[-1] == 1 and (labelled or (sum(lengths) >= 10 and len(parts) >= 3)))


def standard_groups(reading: Identifier) -> tuple[tuple[int, ...], ...]:
    """Return the lengths of the parts an ISBN or ISMN is divided into: with its prefix and without it."""
    lengths = tuple(len(part) for part in reading.written.split("-"))
    return lengths, lengths[1:]
