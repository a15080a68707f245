"""Conversion and rounding, worked by hand with exact fractions."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from intake.model.currencies import smallest
from intake.model.valuations import Rate, rate_key
from intake.valuing.rates import Conversion, MissingRate, NoRate, RateTable, convert_amount, find_gaps

FRIDAY, MONDAY = date(2026, 1, 16), date(2026, 1, 19)


def rate(on: date, currency: str, per_base: str, base: str = "EUR") -> Rate:
    return Rate(key=rate_key(on, base, currency), on=on, base=base, currency=currency, per_base=Decimal(per_base))


TABLE = RateTable([rate(FRIDAY, "USD", "1.25"), rate(MONDAY, "USD", "1.20"), rate(FRIDAY, "JPY", "160")])


def factor(of: str, into: str, on: date, table: RateTable = TABLE) -> Fraction:
    found = table.conversion(of, into, on)
    assert isinstance(found, Conversion)
    return found.factor


def test_through_the_base_exactly() -> None:
    assert factor("USD", "EUR", FRIDAY) == Fraction(4, 5)
    assert factor("EUR", "USD", MONDAY) == Fraction(6, 5)
    assert factor("USD", "JPY", FRIDAY) == 128
    assert factor("CHF", "CHF", FRIDAY, RateTable([])) == 1


def test_a_weekend_takes_the_friday_and_never_the_monday_after() -> None:
    assert factor("EUR", "USD", FRIDAY + timedelta(2)) == Fraction(5, 4)
    words = TABLE.conversion("USD", "EUR", FRIDAY + timedelta(2))
    assert isinstance(words, Conversion)
    assert "2026-01-16" in words.words


def test_of_both_directions_the_later_rate_counts_as_the_page_says() -> None:
    both = RateTable([rate(FRIDAY, "PLN", "4.275"), rate(MONDAY, "EUR", "0.25", base="PLN")])
    assert factor("PLN", "EUR", FRIDAY, both) == Fraction(40, 171)
    assert factor("PLN", "EUR", MONDAY, both) == Fraction(1, 4)
    assert factor("EUR", "PLN", MONDAY, both) == 4
    same_day = RateTable([rate(FRIDAY, "PLN", "4"), rate(FRIDAY, "EUR", "0.2", base="PLN")])
    assert factor("EUR", "PLN", FRIDAY, same_day) == 4, "of one day the first base by alphabet"


def test_why_there_is_no_rate() -> None:
    for of, on, said in (
        ("GBP", FRIDAY, "no rate of EUR in GBP"),
        ("USD", FRIDAY - timedelta(1), "first rate of EUR in USD"),
        ("JPY", FRIDAY + timedelta(8), "8 days earlier"),
    ):
        found = TABLE.conversion(of, "EUR", on)
        assert isinstance(found, NoRate)
        assert said in found.why
    nothing = RateTable([]).conversion("USD", "EUR", FRIDAY)
    assert isinstance(nothing, NoRate)
    assert (nothing.of, nothing.into) == ("USD", "EUR")
    assert nothing.missing == (MissingRate(base="EUR", currency="USD", on=FRIDAY),)


def test_the_rates_that_are_missing_are_named_one_by_one() -> None:
    late = FRIDAY + timedelta(20)
    both = TABLE.conversion("USD", "JPY", late)
    assert isinstance(both, NoRate)
    assert both.missing == (
        MissingRate(base="EUR", currency="USD", on=late, last=MONDAY),
        MissingRate(base="EUR", currency="JPY", on=late, last=FRIDAY),
    )
    early = TABLE.conversion("GBP", "USD", FRIDAY - timedelta(1))
    assert isinstance(early, NoRate)
    assert [(one.currency, one.first) for one in early.missing] == [("GBP", None), ("USD", FRIDAY)]
    # Of two bases, the one that lacks fewer rates is named.
    two = RateTable([rate(FRIDAY, "USD", "1.25"), rate(FRIDAY, "GBP", "0.8", "USD")])
    found = two.conversion("GBP", "CHF", FRIDAY)
    assert isinstance(found, NoRate)
    assert found.missing == (MissingRate(base="USD", currency="CHF", on=FRIDAY),)


def test_rates_that_were_recorded_once_are_named_before_one_that_never_was() -> None:
    """A drawing right in euros and the euro in dollars are too old: these two are asked for, not one of XDR in USD."""
    late = FRIDAY + timedelta(8)
    table = RateTable([rate(FRIDAY, "EUR", "1.215", "XDR"), rate(FRIDAY, "USD", "1.1", "EUR")])
    found = table.conversion("XDR", "USD", late)
    assert isinstance(found, NoRate)
    assert found.missing == (
        MissingRate(base="XDR", currency="EUR", on=late, last=FRIDAY),
        MissingRate(base="EUR", currency="USD", on=late, last=FRIDAY),
    )
    late_words = "the last before is of 2026-01-16, 8 days earlier, where at most 7 count"
    assert found.missing[0].why_briefly == late_words
    entered = [rate(late, one.currency, "1", one.base) for one in found.missing]
    assert isinstance(RateTable(entered).conversion("XDR", "USD", late), Conversion)


def test_entering_the_missing_rates_makes_the_conversion_possible() -> None:
    held = [rate(FRIDAY, "USD", "1.25"), rate(MONDAY, "USD", "1.20"), rate(FRIDAY, "JPY", "160")]
    for table in ([], held):
        late = FRIDAY + timedelta(20)
        found = RateTable(table).conversion("GBP", "USD", late)
        assert isinstance(found, NoRate)
        entered = [rate(one.on, one.currency, "0.8", one.base) for one in found.missing]
        assert isinstance(RateTable([*table, *entered]).conversion("GBP", "USD", late), Conversion)


def test_seven_days_are_bridged_and_eight_are_not() -> None:
    assert factor("EUR", "JPY", FRIDAY + timedelta(7)) == 160
    assert isinstance(TABLE.conversion("EUR", "JPY", FRIDAY + timedelta(8)), NoRate)
    assert isinstance(TABLE.conversion("EUR", "JPY", FRIDAY - timedelta(1)), NoRate)


def test_another_base_is_tried_where_one_has_no_rate() -> None:
    both = RateTable(
        [rate(FRIDAY, "USD", "1.25"), rate(FRIDAY, "GBP", "0.8", "USD"), rate(FRIDAY, "JPY", "150", "USD")]
    )
    assert both.bases == ("EUR", "USD")
    assert factor("GBP", "JPY", FRIDAY, both) == Fraction(150 * 10, 8)
    assert factor("USD", "EUR", FRIDAY, both) == Fraction(4, 5)


def test_the_rates_of_one_base_lead_on_to_those_of_another() -> None:
    """A special drawing right in euros, the euro in dollars: XDR 1 = EUR 1.215 = USD 1.215 x 1.1 = 1.3365."""
    chained = RateTable([rate(FRIDAY, "EUR", "1.215", "XDR"), rate(FRIDAY, "USD", "1.1", "EUR")])
    found = chained.conversion("XDR", "USD", FRIDAY)
    assert isinstance(found, Conversion)
    assert found.factor == Fraction("1.3365")
    assert found.words == "XDR 1 = EUR 1.215 (2026-01-16); EUR 1 = USD 1.1 (2026-01-16)"
    assert factor("USD", "XDR", FRIDAY, chained) == 1 / Fraction("1.3365")
    assert isinstance(chained.conversion("XDR", "GBP", FRIDAY), NoRate)


def test_rounded_once_half_away_from_zero() -> None:
    # 10 / 3 = 3.333…; 0.125 lies half way; 2.5 yen lie half way: by hand.
    assert convert_amount(Decimal(10), Conversion("USD", "EUR", Fraction(1, 3), "")) == Decimal("3.33")
    assert convert_amount(Decimal("0.25"), Conversion("USD", "EUR", Fraction(1, 2), "")) == Decimal("0.13")
    assert str(convert_amount(Decimal(5), Conversion("USD", "JPY", Fraction(1, 2), ""))) == "3"
    assert str(convert_amount(Decimal(-5), Conversion("USD", "JPY", Fraction(1, 2), ""))) == "-3"
    assert str(convert_amount(Decimal("0.005"), Conversion("EUR", "EUR", Fraction(1), ""))) == "0.01"
    assert str(convert_amount(Decimal("0.0049"), Conversion("EUR", "EUR", Fraction(1), ""))) == "0.00"
    assert str(convert_amount(Decimal(1), Conversion("USD", "KWD", Fraction(1, 3), ""))) == "0.333"


@given(st.decimals(0, 10**7, places=2), st.fractions(Fraction(1, 1000), 1000))
def test_no_conversion_is_off_by_more_than_half_a_cent(amount: Decimal, rate_: Fraction) -> None:
    got = convert_amount(amount, Conversion("USD", "EUR", rate_, ""))
    assert abs(Fraction(got) - Fraction(amount) * rate_) * 2 <= Fraction(smallest("EUR"))


def test_gaps_are_found() -> None:
    rates = [
        rate(FRIDAY, "USD", "1"),
        rate(FRIDAY + timedelta(3), "USD", "1"),
        rate(FRIDAY + timedelta(30), "USD", "1"),
    ]
    assert find_gaps(reversed(rates)) == [("USD", FRIDAY + timedelta(3), FRIDAY + timedelta(30))]
    weeks = [rate(FRIDAY + timedelta(days), "JPY", "1") for days in (0, 7, 15)]
    assert find_gaps([*rates, *weeks]) == [
        ("JPY", FRIDAY + timedelta(7), FRIDAY + timedelta(15)),
        ("USD", FRIDAY + timedelta(3), FRIDAY + timedelta(30)),
    ]
