"""Numbers inside running text: their supplements, and the ways in which they are divided in print.

The numbers are the examples of the standards: ISO 2108 (ISBN), ISO 3297 (ISSN), ISO 10957 (ISMN), the General
Specifications of GS1 (EAN-13, UPC-A and their supplements of two and five digits).
"""

import pytest

from intake.identifiers.running_text import find_numbers
from intake.model.identifiers import NumberKind

ISBN, OTHER, ISSN = "9780306406157", "9783161484100", "9770264359008"


def found(text: str) -> list[tuple[str, str | None]]:
    return [(number.number, number.add_on) for number in find_numbers(text)]


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("9780306406157 + 51299", [(ISBN, "51299")]),
        ("1998 9770264359008 + 05", [(ISSN, "05")]),
        ("9780306406157 + 51299 9783161484100", [(ISBN, "51299"), (OTHER, None)]),
        ("9783161484100 9780306406157 + 51299", [(OTHER, None), (ISBN, "51299")]),
        # A sign of addition before a whole number begins no supplement.
        ("9780306406157 + 9783161484100", [(ISBN, None), (OTHER, None)]),
    ],
)
def test_a_supplement_after_a_sign_belongs_to_the_number_before_it(
    text: str, numbers: list[tuple[str, str | None]]
) -> None:
    assert found(text) == numbers


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("see 978-0-306-40615-7-51299.", (ISBN, "51299")),
        ("978-0306406157-51299", (ISBN, "51299")),
        ("9770264359008-05", (ISSN, "05")),
        ("978030640615751299", (ISBN, "51299")),
    ],
)
def test_a_supplement_may_be_joined_by_a_hyphen_or_by_nothing(text: str, number: tuple[str, str]) -> None:
    assert found(text) == [number]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("9 780306 406157", NumberKind.ISBN),  # as below the bars of an EAN-13
        ("9 770317 847001", NumberKind.ISSN),
        ("9 790230 671187", NumberKind.ISMN),
        ("4-006381-333931", NumberKind.GTIN),
        ("0 71831 00799 5", NumberKind.GTIN),  # as below those of a UPC-A
        ("0-71831-00799-5", NumberKind.GTIN),
        ("M 2306 7118 7", NumberKind.ISMN),
        ("m-2306-7118-7", NumberKind.ISMN),
        ("ISSN 0317 8471", NumberKind.ISSN),
        ("0306-40615-2", NumberKind.ISBN),  # divided as no range says, but before the check digit
        ("0-30640615-2", NumberKind.ISBN),
        ("978-03064-06157", NumberKind.ISBN),
        ("ISBN 03064-06152", NumberKind.ISBN),
    ],
)
def test_a_number_divided_as_such_numbers_are_printed(text: str, kind: NumberKind) -> None:
    (number,) = find_numbers(f"{text}, printed")
    assert number.kind is kind


@pytest.mark.parametrize(
    "text",
    [
        "03064-06152",  # ten digits, but nothing stands alone as a check digit would
        "97803-06406157",
        "978 03064 06157",
        "4006-381333931",
        "19-9780306406157",
        "0000000000",
        "0 00000 00000 0",  # what a list writes for none
    ],
)
def test_digits_that_no_such_number_is_divided_like(text: str) -> None:
    assert found(text) == []


def test_a_number_comes_once_and_the_words_around_it_are_no_part_of_it() -> None:
    assert found("9780306406157 9780306406157, 978-0-306-40615-7") == [(ISBN, None)]
    assert found("1 2 3 978 0 306 40615 7 9 8") == [(ISBN, None)]
    assert [number for number, _ in found("ISBN 0-306-40615-2 0-8044-2957-X")] == [ISBN, "9780804429573"]


def test_printed_music_that_is_labelled_as_a_book_is_said_to_be_music() -> None:
    (labelled,), (plain,) = find_numbers("ISBN 979-0-2306-7118-7"), find_numbers("979-0-2306-7118-7")
    assert (labelled.kind, labelled.number) == (plain.kind, plain.number) == (NumberKind.ISMN, "9790230671187")
    assert len(labelled.notes) == len(plain.notes) + 1
