"""Number lines against published readings of the printer's key.

The lines and what they mean: the article 'Printer's key' of the English Wikipedia (lowest number the printing, lowest
year the year, alternating lines, letters, two-digit years that wrap); the rows marked so are reckoned by its rule.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.valuing.number_line import NumberLineForm, parse_number_line

PUBLISHED = [
    ("10 9 8 7 6 5 4 3 2 1", 1, None),
    ("1 2 3 4 5 6 7 8 9 10", 1, None),
    ("2 4 6 8 10 9 7 5 3 1", 1, None),
    ("1 3 5 7 9 10 8 6 4 2", 1, None),  # by the rule
    ("3 5 7 9 10 8 6 4", 3, None),  # by the rule
    ("a b c d e f g h i j k", 1, None),
    ("c d e f g h i j k", 3, None),  # by the rule
    ("2 3 4 5 6 73 72 71 70", 2, 1970),
    ("3 4 5 6 7 8 9 10 APC 00 99 98 97 96", 3, 1996),
    ("4 5 6 7 8 9 10", 4, None),  # by the rule
]


@pytest.mark.parametrize(("line", "printing", "year"), PUBLISHED)
def test_published_lines(line: str, printing: int, year: int | None) -> None:
    read = parse_number_line(line)
    assert (read.printing, read.year, read.why) == (printing, year, "")


def test_code_and_form_are_kept_apart() -> None:
    assert parse_number_line("3 4 5 6 7 8 9 10 APC 00 99 98 97 96").code == "APC"
    assert parse_number_line("22 23 24 25 26 LSC 10 9 8 7 6 5 4 3 2 1").year == 2022
    assert parse_number_line("2 4 6 8 10 9 7 5 3 1").form is NumberLineForm.CENTRED
    assert parse_number_line("10 9 8 7").form is NumberLineForm.FALLING


@pytest.mark.parametrize(
    ("line", "form", "year"),
    [
        ("", NumberLineForm.MIXED, None),
        ("First edition", NumberLineForm.MIXED, None),
        ("7 3 9", NumberLineForm.MIXED, None),
        ("1 1 2 3", NumberLineForm.MIXED, None),
        ("3 3", NumberLineForm.MIXED, None),
        ("1 3 5 9 8 4", NumberLineForm.MIXED, None),  # from both ends, but 2, 6 and 7 are missing
        ("5 3 1 2 4", NumberLineForm.MIXED, None),  # falls before it rises
        ("1998 1999", NumberLineForm.MIXED, 1998),
        ("b a q", NumberLineForm.MIXED, None),
        ("a", NumberLineForm.MIXED, None),  # one letter is no line
        ("a c e", NumberLineForm.MIXED, None),
        ("ä b c", NumberLineForm.MIXED, None),
    ],
)
def test_what_names_no_printing_says_why(line: str, form: NumberLineForm, year: int | None) -> None:
    read = parse_number_line(line)
    assert (read.printing, read.form, read.year) == (None, form, year)
    assert read.why


@pytest.mark.parametrize(
    ("line", "printing", "year", "form"),
    [
        ("60 61", 60, 1961, NumberLineForm.SINGLE),  # 60 still counts as a printing, 61 is a year
        ("7", 7, None, NumberLineForm.SINGLE),
        ("1 2 2003", 1, 2003, NumberLineForm.RISING),
        ("1 2 3 1939", 1, None, NumberLineForm.RISING),  # older than the key itself
        ("1 2 3 1940", 1, 1940, NumberLineForm.RISING),
        ("1 2 3 05 06", 1, 2005, NumberLineForm.RISING),
        ("1 2 3 00", 1, 2000, NumberLineForm.RISING),
        ("3 2 1 99 98 00 01", 1, 1998, NumberLineForm.FALLING),  # wraps at the century
        ("3 2 1 80 79 78", 1, 1978, NumberLineForm.FALLING),
        ("1 2 3 22 23 24", 1, 2022, NumberLineForm.RISING),  # two runs
        ("15 14 13 12 11 10 9", 9, None, NumberLineForm.FALLING),  # one run that crosses 10
        ("1 2 3 4 5 5 4 3", None, None, NumberLineForm.MIXED),
        ("k j i h g", 7, None, NumberLineForm.LETTERS),
    ],
)
def test_years_beside_printings_by_the_rule(
    line: str, printing: int | None, year: int | None, form: NumberLineForm
) -> None:
    read = parse_number_line(line)
    assert (read.printing, read.year, read.form) == (printing, year, form)


@given(st.integers(1, 20), st.integers(1, 12), st.sampled_from(["falling", "rising", "centred"]), st.sampled_from(" -"))
def test_the_lowest_of_any_line_is_its_printing(first: int, length: int, form: str, gap: str) -> None:
    numbers = list(range(first, first + length))
    if form == "falling":
        numbers.reverse()
    elif form == "centred":
        numbers = [*numbers[::2], *numbers[1::2][::-1]]
    assert parse_number_line(gap.join(map(str, numbers))).printing == first


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_with_a_reason(text: str) -> None:
    read = parse_number_line(text)
    assert (read.printing is None) == bool(read.why)


@pytest.mark.parametrize(
    ("written", "printing", "year"),
    [
        ("10987654321", 1, None),
        ("1098765432", 2, None),
        ("12345678910", 1, None),
        ("4321", 1, None),
        ("1998", None, 1998),
        ("2021", None, 2021),
        ("First Printing 1998", 1, 1998),
        ("Third impression", 3, None),
        ("2nd printing, 1987", 2, 1987),
        ("First printing 10 9 8 7 6 5 4 3 2 1", 1, None),
        ("First printing 10 9 8 7 6 5 4 3", None, None),
    ],
)
def test_a_run_without_spaces_and_a_printing_in_words(written: str, printing: int | None, year: int | None) -> None:
    """Read off by hand: the lowest number is the printing, or the word is; where they differ, neither is taken."""
    line = parse_number_line(written)
    assert (line.printing, line.year) == (printing, year)
    assert bool(line.why) is (printing is None)
