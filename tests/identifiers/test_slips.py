"""Random slips of one character in ISBNs of real form: none is read as another number.

The ISBNs are made up; their groups and check digits come from isbnlib. A slip may be understood (the very number is
read), or refused; only another number would be wrong. Two neighbours swapped are left out where the check digit of the
ISBN-13 cannot notice (digits that differ by 5: GS1 General Specifications 7.9.1), for the catalog settles those. So is
an M in place of the first digit of an ISBN-10 without a label, for M and nine digits are how an ISMN was printed until
2008 (ISO 10957), and its check digit is right one time in ten.
"""

import random
import string
from collections import Counter
from collections.abc import Iterator

import isbnlib
import pytest

from intake.identifiers.parse import parse
from intake.model.identifiers import Check, Identifier, Rejection

CHARACTERS = string.ascii_letters + string.punctuation + " "
GROUPS = ("0", "1", "2", "3", "4", "5", "7", "80", "85", "88", "90", "91", "951", "963", "978", "979", "9971", "99903")


def isbns(count: int, source: random.Random) -> Iterator[str]:
    """Yield hyphenated ISBN-13s of prefix 978 whose registrant is in a range that isbnlib knows."""
    while count:
        body = source.choice(GROUPS)
        body += "".join(source.choices(string.digits, k=9 - len(body)))
        masked = isbnlib.mask(isbnlib.to_isbn13(body + isbnlib.check_digit10(body)))
        if masked:
            count -= 1
            yield masked


def dresses(masked: str) -> Iterator[str]:
    """Yield the ways in which people write a number: with and without hyphens, with spaces, labelled, as ISBN-10."""
    ten = isbnlib.to_isbn10(masked)
    for text in (masked, masked.replace("-", ""), masked.replace("-", " "), ten, isbnlib.mask(ten)):
        yield text
        yield f"ISBN {text}"


def replaced(text: str, at: int, source: random.Random) -> str:
    return text[:at] + source.choice(CHARACTERS) + text[at + 1 :]


def inserted(text: str, at: int, source: random.Random) -> str:
    return text[:at] + source.choice(CHARACTERS) + text[at:]


def lost(text: str, at: int, source: random.Random) -> str:
    return text[:at] + text[at + 1 :]


def wrong_digit(text: str, at: int, source: random.Random) -> str:
    return text[:at] + source.choice(string.digits) + text[at + 1 :]


def surplus_digit(text: str, at: int, source: random.Random) -> str:
    return text[:at] + source.choice(string.digits) + text[at:]


SLIPS = (replaced, inserted, lost, wrong_digit, surplus_digit)


def tally(count: int, seed: int) -> tuple[Counter[str], list[tuple[str, str, str]]]:
    """Count what becomes of random slips, and collect those that are read as another number."""
    source = random.Random(seed)
    counts: Counter[str] = Counter()
    wrong: list[tuple[str, str, str]] = []
    for masked in isbns(count, source):
        for text in dresses(masked):
            start = len("ISBN ") if text.startswith("ISBN") else 0
            for slip in SLIPS:
                slipped = slip(text, source.randrange(start, len(text)), source)
                if slipped[0] in "Mm":
                    continue
                result = parse(slipped)
                if isinstance(result, Rejection):
                    counts["refused"] += 1
                elif result.number == masked.replace("-", ""):
                    counts["understood"] += 1
                else:
                    counts[f"another: {slip.__name__}"] += 1
                    wrong.append((text, slipped, result.number))
    return counts, wrong


def test_no_slip_of_one_character_is_read_as_another_number() -> None:
    counts, wrong = tally(30, seed=1)
    assert wrong == []
    assert 30 * 10 * len(SLIPS) - counts.total() < 20, "hardly any begins with M"
    assert counts["understood"] > 0


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2, 4))
def test_nor_is_any_of_many_more(seed: int) -> None:
    assert tally(2000, seed)[1] == []


@pytest.mark.parametrize(
    ("text", "left_out"),
    [
        ("9780306406A57", "A57"),
        ("978A306406157", "978A"),
        ("030640A152", "A152"),
        ("0-306-4061E-2", "E-2"),
        ("ISBN 9780306406;57", ";57"),
        ("9787M011087497", "9787M"),
        ("978-7-X280-54433-2", "978-7-X"),
    ],
)
def test_what_would_be_left_out_is_named(text: str, left_out: str) -> None:
    result = parse(text)
    assert isinstance(result, Rejection)
    assert result.check is Check.CHARACTERS
    assert repr(left_out.strip(";")) in result.reason


def test_a_book_with_a_letter_in_front_is_no_copy_of_a_huge_library() -> None:
    result = parse("B780306406157")
    assert isinstance(result, Rejection)
    assert result.repairs[0].number == "9780306406157"


def test_the_digit_that_the_letter_stands_for_is_proposed() -> None:
    result = parse("97803064A6157")
    assert isinstance(result, Rejection)
    assert [repair.number for repair in result.repairs] == ["9780306406157"]


@pytest.mark.parametrize(("text", "note"), [("9780306406157pbk", "left out: pbk"), ("0306406152pbk.", "left out: pbk")])
def test_letters_behind_a_whole_number_are_told(text: str, note: str) -> None:
    result = parse(text)
    assert isinstance(result, Identifier)
    assert result.number == "9780306406157"
    assert note in result.notes


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("978 0 921893 z7 4", "not divided"),
        ("ISBN 978 91 88633 *3 1", "ISBN-13 with a digit missing"),
        ("ISBN 978899903 81 31 3", "'31 3' left out"),
        ("m978 7 87850 640 7", "'640 7' left out"),
        ("9176835+375", "not divided"),
        ("91768353+75", "without the plus sign"),
        ("978-5-0090-+1430-2", "97850090"),
        ("978,88 404 5141 1", "40451411"),
        ("ISBN M051882823", "printed music"),
    ],
)
def test_a_number_cut_out_of_another_is_a_question(text: str, words: str) -> None:
    result = parse(text)
    assert isinstance(result, Rejection)
    assert words in result.reason


def test_each_is_settled_by_the_catalog() -> None:
    result = parse("91768353+75", is_known=lambda number: number == "0000091768353")
    assert isinstance(result, Identifier)
    assert (result.number, result.add_on) == ("0000091768353", "75")
