"""The printer's key: the row of numbers or letters that identifies the printing of a book.

The lowest number (or first letter) still in the line is the printing; the lowest year is its year. Lines are falling,
rising, or run from both ends to the middle; numbers above the highest printing are two-digit years, which wrap at the
century (96 comes before 00 in one line). Letters beside them are the printer's code.

A line is evidence, not proof: some publishers began the first printing at 2, others omitted the line or began it again
for a new edition (common practice, no source). The rule is that of the published descriptions of the printer's key.
"""

import re
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

HIGHEST_PRINTING = 60
"""A greater two-digit number is a year; no known line counts this far."""
CENTURY = 100
DIGITS = "0123456789"
TWO_DIGITS = 10
FIRST_YEAR = 1940
"""The key came into use after the Second World War (from memory)."""
WRAP = 50
"""Two-digit years further apart than this are on two sides of the turn of the century."""


class NumberLineForm(StrEnum):
    """The order of the numbers."""

    FALLING = "falling"
    RISING = "rising"
    CENTRED = "from both ends to the middle"
    LETTERS = "letters"
    SINGLE = "one number"
    STATED = "in words"
    MIXED = "in no known order"


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberLine:
    """A number line and what it states.

    Attributes:
        printing: None if the line states none, for the reason in `why`.
        year: year of the printing, four digits.
        code: letters beside the numbers, the printer's own code.
    """

    written: str
    printing: int | None = None
    year: int | None = None
    form: NumberLineForm = NumberLineForm.MIXED
    code: str = ""
    why: str = ""


def parse_number_line(written: str) -> NumberLine:
    """Parse a number line as printed.

    >>> parse_number_line("3 5 7 9 10 8 6 4").printing, parse_number_line("2 3 4 5 6 73 72 71 70").year
    (3, 1970)
    """
    if stated := _STATED.search(written):
        return _parse_stated(written, stated)
    words = re.findall(r"[^\W\d_]+|[0-9]+", written)
    figures = [figure for word in words if word[0] in DIGITS for figure in _run_together(word)]
    letters = [word for word in words if word[0] not in DIGITS]
    if not figures:
        return _parse_letters(written, letters)
    printings, years = _split_years(figures)
    code = " ".join(letters)
    printings, more = _year_run(printings)
    year = _lowest_year([*years, *map(str, more)])
    if not printings:
        return NumberLine(written=written, year=year, code=code, why="states no printing, only years")
    form = _form(printings)
    if len(set(printings)) != len(printings):
        return NumberLine(written=written, year=year, code=code, form=form, why="contains a number twice")
    if form is NumberLineForm.MIXED:
        return NumberLine(written=written, year=year, code=code, form=form, why="is in no known order")
    return NumberLine(written=written, printing=min(printings), year=year, form=form, code=code)


_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
_STATED = re.compile(rf"\b({'|'.join(_ORDINALS)}|[0-9]+(?:st|nd|rd|th))\s+(?:printing|impression)\b", re.IGNORECASE)


def _parse_stated(written: str, stated: re.Match[str]) -> NumberLine:
    """Parse a line that says its printing in words ("First printing 1998"), with or without numbers beside them."""
    word = stated[1].lower()
    ordinal = _ORDINALS.index(word) + 1 if word in _ORDINALS else int(re.sub(r"\D", "", word))
    beside = parse_number_line(written[: stated.start()] + " " + written[stated.end() :])
    if beside.printing is not None and beside.printing != ordinal:
        why = f"says printing {ordinal} in words and printing {beside.printing} by its numbers"
        return replace(beside, written=written, printing=None, form=NumberLineForm.STATED, why=why)
    return replace(beside, written=written, printing=ordinal, form=NumberLineForm.STATED, why="")


def _run_together(figure: str) -> list[str]:
    """Split a run that is printed, or was typed, without spaces ("10987654321"); any other figure stays whole."""
    for length in (1, 2):
        for step in (1, -1):
            numbers = [int(figure[:length])]
            while len(text := "".join(map(str, numbers))) < len(figure) and numbers[-1] + step > 0:
                numbers.append(numbers[-1] + step)
            # Two numbers may be one year: 1918, 2021.
            if text == figure and len(numbers) > 2:
                return [str(number) for number in numbers]
    return [figure]


def _split_years(figures: list[str]) -> tuple[list[int], list[str]]:
    """Separate printings from years: four digits, two digits above `HIGHEST_PRINTING`, or a leading zero."""
    printings: list[int] = []
    years: list[str] = []
    for figure in figures:
        number = int(figure)
        if len(figure) == 4 or (len(figure) == 2 and (number > HIGHEST_PRINTING or figure[0] == "0")):
            years.append(figure)
        elif 0 < number <= HIGHEST_PRINTING:
            printings.append(number)
        else:
            years.append(figure)
    return printings, years


def _year_run(numbers: list[int]) -> tuple[list[int], list[int]]:
    """Separate a run of two-digit years from the printings: "22 23 24 5 4 3 2 1" is two runs."""
    cuts = [nth for nth, (before, after) in enumerate(pairwise(numbers), 1) if abs(after - before) != 1]
    if len(cuts) != 1:
        return numbers, []
    first_run, second_run = numbers[: cuts[0]], numbers[cuts[0] :]
    if min(first_run) >= TWO_DIGITS > min(second_run):
        return second_run, first_run
    return (first_run, second_run) if min(second_run) >= TWO_DIGITS > min(first_run) else (numbers, [])


def _lowest_year(years: list[str]) -> int | None:
    """Return the earliest year; two-digit years get the century that keeps them together."""
    full = [int(year) for year in years if len(year) == 4 and int(year) >= FIRST_YEAR]
    short = [int(year) for year in years if len(year) == 2]
    if short:
        wraps = max(short) - min(short) > WRAP
        for year in short:
            new = year < (WRAP if wraps else FIRST_YEAR % CENTURY)
            full.append(year + (2000 if new else 1900))
    return min(full, default=None)


def _form(numbers: list[int]) -> NumberLineForm:
    steps = [after - before for before, after in pairwise(numbers)]
    if not steps:
        return NumberLineForm.SINGLE
    if all(step < 0 for step in steps):
        return NumberLineForm.FALLING
    if all(step > 0 for step in steps):
        return NumberLineForm.RISING
    turns = [nth for nth in range(1, len(steps)) if (steps[nth] > 0) != (steps[nth - 1] > 0)]
    up_then_down = len(turns) == 1 and steps[0] > 0
    low = sorted(numbers)
    return NumberLineForm.CENTRED if up_then_down and low == list(range(low[0], low[-1] + 1)) else NumberLineForm.MIXED


def _parse_letters(written: str, letters: list[str]) -> NumberLine:
    """Parse a line of letters, rising or falling: a is the first printing."""
    joined = "".join(letters).lower()
    run = [ord(letter) - ord("a") + 1 for letter in joined if "a" <= letter <= "z"]
    steps = {after - before for before, after in pairwise(run)}
    if len(run) == len(joined) and len(run) > 1 and len(steps) == 1 and steps <= {1, -1}:
        return NumberLine(written=written, printing=min(run), form=NumberLineForm.LETTERS)
    why = "is empty" if not joined else "has no numbers, and its letters do not follow the alphabet"
    return NumberLine(written=written, code=" ".join(letters), why=why)
