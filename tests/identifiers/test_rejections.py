"""One test for each reason to refuse a text, and what is offered instead."""

import pytest
from stdnum import ean
from stdnum.iso7064 import mod_97_10

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


# GS1 General Specifications, section 7.9 and Table 7-9: 376104250021234569 is a right SSCC, …568 is not.
@pytest.mark.parametrize(
    "text",
    ["376104250021234569", "00376104250021234569", "(00) 376104250021234569", "]C100376104250021234569",
     "3 7610425 002123456 9"],
)  # fmt: skip
def test_a_carriers_unit_is_refused_by_its_name(text: str) -> None:
    rejection = refused(text)
    assert (rejection.check, "(SSCC), not of a book" in rejection.reason) == (Check.PREFIX, True)


def test_a_carriers_unit_with_a_wrong_check_digit_is_told_the_right_one() -> None:
    rejection = refused("376104250021234568")
    assert rejection.check is Check.CHECK_DIGIT
    assert "SSCC" in rejection.reason
    assert rejection.reason.endswith("9")


@pytest.mark.parametrize("text", ["19521234500015", "(01)19521234500015", "0119521234500015", "1 9521234 50001 5"])
def test_a_carton_is_refused_by_its_name(text: str) -> None:
    # GS1 General Specifications 7.9: 9521234500018 is a right GTIN-13; a carton of it with indicator 1 ends in 5.
    rejection = refused(text)
    assert (rejection.check, "(GTIN-14)" in rejection.reason) == (Check.PREFIX, True)
    assert "9521234500018" in {repair.number for repair in rejection.repairs}


def test_a_unit_that_is_by_chance_an_article_with_an_add_on_is_a_question() -> None:
    """Every tenth number of a carrier's unit begins with 13 digits that pass for an EAN-13 with five digits more."""
    units = (f"3{serial:016d}" for serial in range(4012345678901000, 4012345678901200))
    chance = [u + ean.calc_check_digit(u) for u in units if ean.is_valid(u[:13])]
    assert len(chance) == 20 * (len(chance) // 20) > 0
    for text in chance:
        rejection = refused(text)
        assert "SSCC" in rejection.reason
        assert rejection.repairs[-1].how == "read as it is"


def test_each_number_that_may_be_meant_is_offered_once() -> None:
    """An ISSN has one number for every variant behind it; 14 digits that begin with 0 are those of one item."""
    issn = parse("9770378595001", is_known=lambda number: number.startswith("9770378595"))
    assert isinstance(issn, Rejection)
    offered = [repair.written for repair in issn.repairs]
    assert len(offered) == len(set(offered))
    assert offered[0] == "0378-5955"
    item = parse("0109783161484100", is_known=lambda number: number == "9783161484100")
    assert isinstance(item, Rejection)
    assert [repair.written for repair in item.repairs] == ["978-3-16-148410-0"]
    assert "of one item" in item.reason


def test_what_is_wrong_with_a_number_is_said_of_all_that_was_typed() -> None:
    shipping = parse("00012345600012345678")
    assert isinstance(shipping, Rejection)
    assert "18 digits after the application identifier 00" in shipping.reason
    music = parse("M26O0000438")
    assert isinstance(music, Rejection)
    assert music.reason.startswith("has 'O' inside the number")


@pytest.mark.parametrize(("text", "kind"), [("A14", "copy"), ("b 7", "box"), ("S3", "place")])
def test_a_label_typed_without_its_check_digits_is_offered_in_full(text: str, kind: str) -> None:
    result = refused(text)
    assert result.check is Check.LENGTH
    assert result.reason.startswith(f"looks like a {kind}'s number without its two check digits")
    (full,) = result.repairs
    # python-stdnum's ISO/IEC 7064, MOD 97-10, of which the tool's numbers are an application.
    letter, serial = text[0].upper(), text[1:].strip()
    assert mod_97_10.is_valid(f"{serial}{letter}{full.number[-2:]}")
    assert full.number.startswith(f"{letter}{serial}-")
