"""What an add-on says. Prices: the published practice of the North American book trade."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.identifiers import add_ons
from intake.identifiers.add_ons import Issue, Price
from intake.model.identifiers import NumberKind


@pytest.mark.parametrize(
    ("add_on", "amount", "currency"),
    [
        ("51095", "10.95", "USD"),
        ("50300", "3.00", "USD"),
        ("50500", "5.00", "USD"),
        ("52995", "29.95", "USD"),
        ("61499", "14.99", "CAD"),
        ("42500", "25.00", "NZD"),
        ("31995", "19.95", "AUD"),
        ("00799", "7.99", "GBP"),
        ("10799", "7.99", "GBP"),
    ],
)
def test_prices(add_on: str, amount: str, currency: str) -> None:
    assert add_ons.read_price(add_on) == Price(Decimal(amount), currency)


def test_the_highest_price_means_that_or_more() -> None:
    assert add_ons.read_price("59999") == Price(Decimal(100), "USD", at_least=True)
    assert "US$100 or more" in add_ons.notes("59999", NumberKind.ISBN)[0]


@pytest.mark.parametrize("add_on", ["90000", "99990", "98999", "25000", "72000", "80100", "50000", "05"])
def test_add_ons_without_a_price_say_why(add_on: str) -> None:
    assert isinstance(add_ons.read_price(add_on), str)


@given(st.text("0123456789", min_size=4, max_size=4))
def test_nine_in_front_is_never_a_price(rest: str) -> None:
    assert isinstance(add_ons.read_price("9" + rest), str)


def test_issues_of_a_periodical() -> None:
    # Common practice, no standard: 04611 is issue 46, cover 1, printing 1 where three digits are the issue.
    assert add_ons.read_issues("04611") == (Issue("IIICP", 46, 1, 1), Issue("IICCP", 4, 61, 1))
    assert add_ons.read_issues("05") == (Issue("II", 5),)


def test_notes_say_which_layout_is_certain() -> None:
    (note,) = add_ons.notes("04611", NumberKind.GTIN)
    assert "issue 46, cover 1, printing 1" in note
    assert "issue 4, cover 61, printing 1" in note
    assert "no standard" in note
    assert add_ons.notes("00123", NumberKind.ISSN) == ("add-on 00123: issue, in the publisher's own numbering",)
    assert "issue 34" in add_ons.notes("34", NumberKind.ISSN)[0]
    assert add_ons.notes("90000", NumberKind.ISBN) == ("add-on 90000: no price is given",)


@pytest.mark.parametrize("add_on", ["", "1", "123", "123456", "5129X", "５１２９９"])
def test_anything_else_is_no_add_on(add_on: str) -> None:
    with pytest.raises(ValueError, match="2 or 5 digits"):
        add_ons.read_price(add_on)
    with pytest.raises(ValueError, match="2 or 5 digits"):
        add_ons.read_issues(add_on)
