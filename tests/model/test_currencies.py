"""Decimals against ISO 4217's own list, and rounding against decimal arithmetic by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.currencies import amount_text, currency_codes, decimals, rounded, smallest


def test_decimals_are_those_of_the_list_of_the_maintenance_agency() -> None:
    # The package iso4217 carries list one of ISO 4217 as its maintenance agency publishes it.
    iso4217 = pytest.importorskip("iso4217", reason="the package iso4217 is not installed")
    listed = [one for one in iso4217.Currency if one.exponent is not None]
    assert [(one.code, decimals(one.code)) for one in listed] == [(one.code, one.exponent) for one in listed]
    assert len(listed) > 150


def test_decimals_of_well_known_currencies() -> None:
    # ISO 4217, list one: yen and won none, Bahraini and Kuwaiti dinar three, unidad de fomento four.
    assert [decimals(code) for code in ("EUR", "USD", "JPY", "KRW", "BHD", "KWD", "CLF")] == [2, 2, 0, 0, 3, 3, 4]
    assert "DEM" in currency_codes(), "a purchase of 1985 was paid in what there was"
    assert "EEE" not in currency_codes()


@pytest.mark.parametrize(
    ("amount", "currency", "written"),
    [("2.345", "EUR", "2.35"), ("2.344999", "EUR", "2.34"), ("0.5", "JPY", "1"), ("-0.005", "EUR", "-0.01"),
     ("1.0005", "KWD", "1.001"), ("1E+3", "EUR", "1000.00")],
)  # fmt: skip
def test_rounding_by_hand(amount: str, currency: str, written: str) -> None:
    assert str(rounded(Decimal(amount), currency)) == written


@given(st.decimals(-(10**9), 10**9, places=6), st.sampled_from(["EUR", "JPY", "KWD"]))
def test_rounding_is_off_by_half_the_smallest_coin_at_most(amount: Decimal, currency: str) -> None:
    assert abs(rounded(amount, currency) - amount) * 2 <= smallest(currency)


def test_amounts_keep_their_decimals() -> None:
    assert amount_text(Decimal("0.005"), "EUR") == "EUR 0.005"
    assert amount_text(Decimal("1.5"), "KWD") == "KWD 1.500"
