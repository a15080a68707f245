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


@pytest.mark.parametrize("line", ["", "First edition", "7 3 9", "1 1 2 3", "1998 1999", "b a q"])
def test_what_names_no_printing_says_why(line: str) -> None:
    read = parse_number_line(line)
    assert read.printing is None
    assert read.why


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
