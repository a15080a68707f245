"""Numbers, days and currencies as people write them, against Babel's own tables of locales (Unicode CLDR)."""

from datetime import date
from decimal import Decimal

import pytest
from babel import Locale, localedata
from babel.dates import format_date
from babel.numbers import format_decimal, get_currency_symbol
from hypothesis import given
from hypothesis import strategies as st

from intake.errors import UsageError
from intake.units.amounts import parse_amount
from intake.units.written_currencies import SHARED, currency_of
from intake.units.written_days import LANGUAGES, DayOrder, day_readings, read_day
from intake.units.written_numbers import DecimalMark, number_readings, read_number

COMMA = ("de", "fr", "es", "it", "nl", "pt", "sv", "da", "pl", "cs", "fi", "hu", "nb")


@given(value=st.decimals(0, 10**7, places=2), locale=st.sampled_from(COMMA))
def test_a_number_as_a_locale_writes_it_with_a_comma(value: Decimal, locale: str) -> None:
    assert read_number(format_decimal(value, "#,##0.00", locale=locale), DecimalMark.COMMA) == value


@given(value=st.decimals(0, 10**7, places=2), locale=st.sampled_from(["en_GB", "en_US", "de_CH", "he"]))
def test_a_number_as_a_locale_writes_it_with_a_point(value: Decimal, locale: str) -> None:
    assert read_number(format_decimal(value, "#,##0.00", locale=locale), DecimalMark.POINT) == value


@given(value=st.decimals(0, 10**7, places=2), locale=st.sampled_from([*COMMA, "en_GB", "de_CH"]))
def test_an_amount_with_decimals_needs_no_convention(value: Decimal, locale: str) -> None:
    assert parse_amount(format_decimal(value, "#,##0.00", locale=locale)) == value


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1,234", "may be 1234 or 1.234"),
        ("-3", "is below 0"),
        ("12,50 kr", "is not an amount"),
        ("9" * 20, "not an"),
    ],
)
def test_an_amount_is_refused_for_what_it_is(text: str, why: str) -> None:
    with pytest.raises(UsageError) as caught:
        parse_amount(text)
    assert why in caught.value.why


@pytest.mark.parametrize("text", ["1.23.4", "12,3456,7", "1..2", "", "abc", "1 23", "٣"])
def test_what_is_no_number_is_none(text: str) -> None:
    assert set(number_readings(text).values()) == {None}


@given(day=st.dates(date(1450, 1, 1), date(2099, 12, 31)), language=st.sampled_from(LANGUAGES))
def test_a_day_with_the_name_of_its_month_in_every_language(day: date, language: str) -> None:
    assert read_day(format_date(day, "long", locale=language), DayOrder.DMY) == day


@given(day=st.dates(date(1450, 1, 1), date(2099, 12, 31)))
def test_a_day_in_numbers_under_its_order(day: date) -> None:
    assert read_day(f"{day.day}/{day.month}/{day.year}", DayOrder.DMY) == day
    assert read_day(f"{day.month}/{day.day}/{day.year}", DayOrder.MDY) == day
    assert read_day(f"{day.day:02}.{day.month:02}.{day.year}", DayOrder.DMY) == day
    assert read_day(f"{day.year}-{day.month:02}-{day.day:02} 00:00:00", DayOrder.MDY) == day


@pytest.mark.parametrize("text", ["31/02/2019", "12/03/19", "2019", "12/13/2014/1", "45292", "March 2019"])
def test_what_is_no_day_is_none(text: str) -> None:
    assert set(day_readings(text).values()) == {None}


def test_no_locale_writes_the_number_of_the_month_first_with_points() -> None:
    for name in localedata.locale_identifiers():
        for pattern in (form.pattern for form in Locale.parse(name).date_formats.values()):
            numbers = pattern.replace("MMMM", "").replace("MMM", "")
            if "." in numbers and "M" in numbers and "d" in numbers and not numbers.startswith(("y", "G", "r")):
                assert numbers.index("d") < numbers.index("M"), name


@pytest.mark.parametrize(
    ("code", "locale"), [("EUR", "de"), ("GBP", "en_GB"), ("PLN", "pl"), ("CZK", "cs"), ("HUF", "hu"), ("INR", "en_IN")]
)
def test_signs_are_those_of_their_country(code: str, locale: str) -> None:
    assert currency_of(get_currency_symbol(code, locale)) == code


def test_a_sign_of_several_currencies_names_none() -> None:
    assert get_currency_symbol("USD", "en_US") == get_currency_symbol("CAD", "en_CA") == "$"
    assert get_currency_symbol("SEK", "sv") == get_currency_symbol("NOK", "nb") == "kr"
    assert [currency_of(sign) for sign in sorted(SHARED)] == [""] * len(SHARED)
