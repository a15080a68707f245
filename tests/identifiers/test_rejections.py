"""One test for each reason to refuse a text, and what is offered instead."""

import pytest

from intake.identifiers.parse import parse
from intake.model.identifiers import Check, Rejection

ISBN = "9780306406157"


def refused(text: str) -> Rejection:
    result = parse(text, is_known=ISBN.__eq__)
    assert isinstance(result, Rejection), result
    assert result.text == text
    return result


@pytest.mark.parametrize(
    ("text", "check"),
    [
        ("", Check.EMPTY),
        (" \r\n", Check.EMPTY),
        ("]E0", Check.EMPTY),
        ("a book", Check.CHARACTERS),
        ("97803064061X", Check.CHARACTERS),
        ("12345", Check.LENGTH),
        ("1", Check.LENGTH),
        ("97803064061", Check.LENGTH),
        ("9780306406157978030640615797803064061", Check.LENGTH),
        ("9780306406158", Check.CHECK_DIGIT),
        ("0-306-40615-X", Check.CHECK_DIGIT),
        ("306406153", Check.CHECK_DIGIT),
        ("0317-8472", Check.CHECK_DIGIT),
        ("071831007996", Check.CHECK_DIGIT),
        ("M-2306-7118-8", Check.CHECK_DIGIT),
        ("09524141234565", Check.CHECK_DIGIT),
        ("9780306406158 51299", Check.CHECK_DIGIT),
        ("978030640615851299", Check.CHECK_DIGIT),
        ("A127-88", Check.CHECK_DIGIT),
        ("ISBN 4006381333931", Check.PREFIX),
        ("ISSN 9780306406157", Check.PREFIX),
        ("0000000000", Check.PREFIX),
        ("ISBN 0-000-00000-0", Check.PREFIX),
        ("Tel. 0306406152", Check.PREFIX),
        ("19780306406154", Check.PREFIX),
        ("376104250021234569", Check.PREFIX),
        ("00376104250021234569", Check.PREFIX),
        ("]E251299", Check.ADD_ON),
        ("9780306406157+123", Check.ADD_ON),
        ("1857982185 / 080442957X", Check.AMBIGUOUS),
    ],
)
def test_each_check(text: str, check: Check) -> None:
    assert refused(text).check is check


def test_a_wrong_check_digit_is_reported_with_the_right_one() -> None:
    assert refused("9780306406158").reason == (
        "the check digit of ISBN 9780306406158 is wrong: it is 8, but the other digits give 7"
    )
    assert "is right neither as ISSN nor as EAN-8" in refused("96385075").reason


@pytest.mark.parametrize(
    "text",
    [
        "9780306406158",
        "9780306406175",
        "978030640617",
        "97803064061577",
        "97803O64O6l57",
        "ISBN O-3O6-4O615-2",
        "9780306406158 51299",
        "9780306406157+123",
        "19780306406154",
        "0-306-40615-3",
        "0-306-4061-2",
        "ISSN 9780306406157",
    ],
)
def test_the_book_that_was_meant_comes_first(text: str) -> None:
    first = refused(text).repairs[0]
    assert (first.number, first.written, first.in_catalog) == (ISBN, "978-0-306-40615-7", True)


def test_the_add_on_is_kept_with_the_repair() -> None:
    assert refused("9780306406158 51299").repairs[0].add_on == "51299"
    assert refused("978030640615851299").repairs[0].add_on == "51299"


def test_a_carton_names_the_item_inside() -> None:
    # GS1 General Specifications: a GTIN-14 with 1 to 8 in front numbers a carton of the item whose digits follow.
    rejection = refused("10012345678902")
    assert rejection.repairs[0].written == "012345678905"


def test_a_carriers_unit_is_known_by_its_check_digit() -> None:
    # GS1 General Specifications, section 7.9: 376104250021234569 is a right SSCC, …568 is not.
    assert "carrier" in refused("376104250021234569").reason
    assert "carrier" not in refused("376104250021234568").reason
