"""Numbers inside running text. Titles and publishers are invented; the numbers are the standards' examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.identifiers.running_text import find_numbers


def numbers(text: str) -> list[str]:
    return [found.number for found in find_numbers(text)]


PAGE = """
The Lamps of Orsk, volume 2 of 3. Copyright 1998 2000 1 2 Heron & Sedge, Orsk
ISBN 0-306-40615-2 (hardback)   ISBN 978-3-16-148410-0 (set)
ISSN 0317-8471
LCCN 2001012345   OCLC 0306406160   Tel. 0171 323 1234
10 9 8 7 6 5 4 3 2 1     Printed 1998
"""


def test_a_copyright_page() -> None:
    assert numbers(PAGE) == ["9780306406157", "9783161484100", "9770317847001"]


@pytest.mark.parametrize(
    "text",
    [
        "see 0-306-40615-2.",
        "(0 306 40615 2)",
        "9780306406157,",
        "978 0306406157",
        "978-0306406157",
        "978 0 306 40615 7",
        "9 780306 406157",
        "ISBN (pbk.): 0306406152",
        "ISBN:0306406152 312 pages",
        "SBN 306 40615 2",
        "ISBN 0 306 40615 2 and 978 0 306 40615 7",
        "isbn 0.306.40615.2",
    ],
)
def test_ways_of_printing_one_number(text: str) -> None:
    assert numbers(text) == ["9780306406157"]


@pytest.mark.parametrize(
    "text",
    [
        "10 9 8 7 6 5 4 3 2 1",
        "1 3 5 7 9 10 8 6 4 2",
        "2 3 4 5 6 73 72 71 70",
        "1998 2000 1 2",
        "0317 8471",  # an ISSN, or two years
        "03 0640 615 2",  # the digits of an ISBN, divided as none is
        "03178471",  # the digits of an ISSN, undivided and without its label
        "306406152",
        "Tel. 0306406152",
        "control number 0306406152",
        "",
        "no number at all",
    ],
)
def test_what_only_looks_like_a_number_is_left_alone(text: str) -> None:
    assert numbers(text) == []


def test_an_add_on_is_kept() -> None:
    (found,) = find_numbers("barcode 9780306406157 51299 on the back")
    assert (found.number, found.add_on) == ("9780306406157", "51299")


def test_music_and_articles() -> None:
    assert numbers("ISMN M-2306-7118-7, EAN 4006381333931; UPC 0 71831 00799 5") == [
        "9790230671187",
        "4006381333931",
        "0071831007995",
    ]


@given(st.text("0123456789X -.+/ISBNM\n", max_size=80))
def test_every_number_found_has_thirteen_digits_and_comes_once(text: str) -> None:
    found = numbers(text)
    assert len(found) == len(set(found))
    assert all(len(number) == 13 and number.isdecimal() for number in found)
