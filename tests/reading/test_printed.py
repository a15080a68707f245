"""Numbers in text against worked examples, and against two libraries that are not ours (python-stdnum, isbnlib).

Worked examples: ISBN Users' Manual, 7th edition (978-0-11-000222-4, 978-92-95055-12-4) and its older text
(0-8436-1072-7); ISSN 0317-8471 and 0378-5955 of the ISSN manual's kind, with the EAN 9770317847001 of python-stdnum's
tests; GS1 General Specifications 7.9.1 (061414112345, 96385074). How pages word them: common practice, no source.
"""

import isbnlib
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from stdnum import ean, isbn, issn

from intake.model.readings import TextLine
from intake.reading.printed import printed_numbers, repaired_isbns
from intake.reading.symbol_forms import check_digit


def lines(*rows: str) -> list[TextLine]:
    """Set rows of text, pieces of one row divided by a bar."""
    found = []
    for y, row in enumerate(rows):
        x = 0.0
        for piece in row.split(" ¦ "):
            found.append(TextLine(piece, (x, 20.0 * y, x + 8 * len(piece), 20.0 * y + 12)))
            x += 8 * len(piece) + 30
    return found


def numbers(*rows: str, under_bars: bool = False) -> list[str]:
    return [one.number for one in printed_numbers(lines(*rows), under_bars=under_bars)]


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("ISBN 978-0-11-000222-4", "9780110002224"),
        ("ISBN 978-92-95055-12-4", "9789295055124"),
        ("ISBN-13: 978–92–95055–12–4", "9789295055124"),
        ("ISBN-13 978 92 95055 12 4", "9789295055124"),
        ("ISBN 0-8436-1072-7", "9780843610727"),
        ("ISBN 0 8436 1072 7", "9780843610727"),
        ("ISBN-10: 0843610727", "9780843610727"),
        ("ISBN0-306-40615-2", "9780306406157"),
        ("isbn: 0-306-40615-2.", "9780306406157"),
        ("SBN 306 40615 2", "9780306406157"),
        ("ISBN 3-16-148410-X", "9783161484100"),
        ("ISBN 3‐16‐148410‐x", "9783161484100"),
        ("ISBN 0-8044-2957-X (pbk.)", "9780804429573"),
        ("ISBN ¦ 978-0-306-40615-7", "9780306406157"),
        ("ISBN 978-0- ¦ 306-40615-7", "9780306406157"),
        ("ISBN (hardback): 978-0-306-40615-7", "9780306406157"),
        ("ISBN Volume: 0-306-40615-2", "9780306406157"),
        ("e-ISBN 978-0-306-40615-7", "9780306406157"),
        ("ISSN 0317-8471", "9770317847001"),
        ("ISSN 0378-5955", "9770378595002"),
        ("ＩＳＢＮ９７８－０－３０６－４０６１５－７", "9780306406157"),
        ("Printed in Norway 978-0-306-40615-7", "9780306406157"),
        ("9780306406157", "9780306406157"),
        ('9"780306"406157', "9780306406157"),
        ("9 ¦ 780306 406157", "9780306406157"),
        ("9 ¦ 780306406157", "9780306406157"),
        ("0 ¦ 61414 11234 ¦ 5", "0061414112345"),
    ],
)
def test_a_number_is_found_as_pages_word_it(text: str, number: str) -> None:
    (found,) = printed_numbers(lines("Invented Press, Lower Town", text, "10 9 8 7 6 5 4 3 2 1"))
    assert (found.number, found.repaired) == (number, False)


@pytest.mark.parametrize(
    "text",
    [
        "ISBN 978-0-11-000222-5",
        "ISBN 0-8436-1072-8",
        "ISBN 979-0-2600-0043-9",
        "ISBN",
        "Tel. 0306 406152",
        "Tel. +977 1 4412 345 678",
        "0306406152",
        "0-306-40615-2",
        "061414112345",
        "96385074",
        "4006381333931",
        "Library of Congress Catalog Card Number 63-19392",
        "LCCN 2001000002",
        "12.05.1987  $ 19.95  DM 38,00",
        "1 3 5 7 9 10 8 6 4 2",
        "Text of no number at all",
    ],
)
def test_what_is_no_number_gives_none(text: str) -> None:
    assert numbers(text) == []


def test_all_of_a_page_are_candidates_with_the_words_beside_them() -> None:
    found = printed_numbers(
        lines(
            "ISBN 978-0-306-40615-7 (hardback)",
            "ISBN 0-8044-2957-X (pbk.), 1-85798-218-5 (set)",
            "ISSN 0317-8471",
            "ISBN-10: 0-306-40615-2",
        )
    )
    assert [(one.number, one.words, one.label) for one in found] == [
        ("9780306406157", "hardback", "ISBN"),
        ("9780804429573", "pbk.", "ISBN"),
        ("9781857982183", "set", "ISBN"),
        ("9770317847001", "", "ISSN"),
    ]


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("ISBN O-306-4O615-2", "9780306406157"),
        ("lSBN 0-306-406l5-2", "9780306406157"),
        ("I5BN 0-306-4061S-2", "9780306406157"),
        ("ISBN 978-0-306-40615-7", "9780306406157"),
        ("ISBN 3-16-14B410-X", "9783161484100"),
    ],
)
def test_letters_are_taken_for_digits_after_a_label_only(text: str, number: str) -> None:
    (found,) = printed_numbers(lines(text))
    assert found.number == number
    digits = text.split(" ")[1].rstrip("X")
    assert found.repaired == any(character.isalpha() for character in digits)
    assert numbers(text.split(" ")[1]) == ([] if found.repaired else [number])


@pytest.mark.parametrize(
    ("row", "number", "label", "repaired"),
    [
        ("9 780306 406157", "9780306406157", "", False),
        ("9 ¦ 780306 ¦ 406157 ¦ >", "9780306406157", "", False),
        ('9"780306"406157 ¦ 52995', "9780306406157", "", False),
        ("0 ¦ 61414 ¦ 11234 ¦ 5", "0061414112345", "bars", False),
        ('0 ¦ 61414"11234 ¦ 5', "0061414112345", "bars", False),
        ("061414112345", "0061414112345", "bars", False),
        ("9638 ¦ 5074", "0000096385074", "bars", False),
        ('9638"5074', "0000096385074", "bars", False),
        ("4006381333931", "4006381333931", "bars", False),
        ("9 78O306 406157", "9780306406157", "bars", True),
        ("780306 406157", "9780306406157", "bars", True),
        ("9178030611406157", "9780306406157", "bars", True),
        ("91178030614061571", "9780306406157", "bars", True),
    ],
)
def test_digits_under_bars(row: str, number: str, label: str, repaired: bool) -> None:
    (found,) = printed_numbers(lines(row), under_bars=True)
    assert (found.number, found.repaired, found.label) == (number, repaired, label)


@pytest.mark.parametrize(
    "row",
    [
        "978030640615",
        "80306 406157",
        "90400 ¦ 335",
        "8 ¦ 44400033",
        "44400033",
        "1-800-871-7117",
        "51495",
        "9780306406158",
    ],
)
def test_part_of_a_number_under_bars_is_none(row: str) -> None:
    assert numbers(row, under_bars=True) == []


def test_pieces_that_were_read_badly_do_not_count() -> None:
    assert printed_numbers([TextLine("ISBN 0-306-40615-2", (0, 0, 90, 10), 0.6)]) == ()
    assert printed_numbers([]) == ()


def test_where_it_stands_and_how_surely_it_was_read() -> None:
    apart = [TextLine("ISBN", (0, 0, 40, 10), 0.99), TextLine("0-306-40615-2", (50, 0, 150, 10), 0.9),
             TextLine("(cloth)", (160, 0, 200, 10), 0.85)]  # fmt: skip
    (found,) = printed_numbers(apart)
    assert found.score == 0.9
    assert (found.corners, found.words) == (((50, 0), (150, 0), (150, 10), (50, 10)), "cloth")


BODIES = st.text("0123456789", min_size=9, max_size=9)
HYPHENS = st.sampled_from(["", "-", " ", "–", "‑", "- ", " – "])


@given(BODIES, st.sampled_from(["978", "979-", "ten"]), st.lists(HYPHENS, min_size=13, max_size=13), st.sampled_from(
    ["ISBN ", "ISBN: ", "ISBN-13: ", "ISBN", "eISBN ", "ISBN (paperback) "]))  # fmt: skip
@example("000000000", "ten", [""] * 13, "ISBN ")
@example("000000000", "978", [""] * 13, "ISBN")
def test_a_valid_isbn_is_found_however_it_is_divided(body: str, form: str, marks: list[str], label: str) -> None:
    if form == "ten":
        digits = body + isbnlib.check_digit10(body)
        expected = f"978{body}" + isbnlib.check_digit13(f"978{body}")  # to_isbn13 takes no number of nothing but zeros
        label = label.replace("-13", "-10")
    else:
        data = form.rstrip("-") + body
        digits = expected = data + isbnlib.check_digit13(data)
    # No two marks in a row of single digits: a number divided after every digit is printed nowhere.
    written = "".join(digit + mark for digit, mark in zip(digits, [*marks[: len(digits) - 1], ""], strict=False))
    assert isbn.is_valid(digits)
    assert expected in numbers(label + (" " if label == "ISBN" else "") + written)


@given(st.lists(st.text('0123456789OIlSBX -–.ISN:()"9778', max_size=40), max_size=4), st.booleans())
def test_no_number_is_returned_whose_check_digit_fails(rows: list[str], under_bars: bool) -> None:
    for number in numbers(*(f"ISBN {row}" for row in rows), *rows, under_bars=under_bars):
        assert ean.is_valid(number)
        assert check_digit(number[:12]) == number[12]
        if number.startswith(("978", "979")) and not number.startswith("9790"):
            assert isbnlib.is_isbn13(number)
        if number.startswith("977"):
            assert len(number) == 13


@given(st.text(st.characters(exclude_categories=["Nd", "No", "Nl", "Cs"]), max_size=200), st.booleans())
def test_text_without_digits_gives_nothing(text: str, under_bars: bool) -> None:
    if not any(character in "OoIl|SsB" for character in text):
        assert numbers(*text.splitlines(), under_bars=under_bars) == []


@given(st.integers(0, 9_999_999))
def test_every_issn_is_found(serial: int) -> None:
    data = f"{serial:07}"
    digits = data + issn.calc_check_digit(data)
    assert numbers(f"ISSN {digits[:4]}-{digits[4:]}") == [issn.to_ean(digits)]


@given(st.text("0123456789", min_size=9, max_size=9))
def test_guard_bars_taken_for_ones_are_left_out(body: str) -> None:
    number = "978" + body
    number += check_digit(number)
    for guarded in (number, f"{number[0]}11{number[1:7]}1{number[7:]}", f"{number}11", number[1:]):
        assert number in set(repaired_isbns(guarded))
