"""Rates entered by hand and taken from a file, on the small library."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from intake.edges.ecb_rates import RateFile
from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.errors import RefusedError, UsageError
from intake.flow.values.exchange_rates import currency_code, enter_rate, import_rates
from intake.model.valuations import Rate, rate_key

TODAY = date(2026, 3, 31)


def rate(days_ago: int, currency: str, per_base: str) -> Rate:
    on = TODAY - timedelta(days=days_ago)
    return Rate(key=rate_key(on, "EUR", currency), on=on, base="EUR", currency=currency, per_base=Decimal(per_base))


FILE = RateFile((rate(0, "USD", "1.25"), rate(0, "JPY", "160"), rate(10, "USD", "1.20"), rate(12, "JPY", "159")), ())


def taken(
    library: Library, *, currencies: tuple[str, ...] = (), since: date | None = None
) -> tuple[int, int, int, int]:
    done = import_rates(
        library, FILE, name="r.csv", currencies=currencies, since=since, station="test", today=TODAY
    )  # fmt: skip
    return done.made, done.altered, done.unchanged, len(done.gaps)


def test_all_or_only_some_rates_of_a_file(library: Library) -> None:
    assert taken(library, currencies=("USD",)) == (2, 0, 0, 1)
    assert taken(library, since=TODAY) == (1, 0, 1, 0)
    assert taken(library, since=TODAY - timedelta(days=12), currencies=("JPY",)) == (1, 0, 1, 1)
    assert taken(library) == (0, 0, 4, 2)
    with pytest.raises(RefusedError):
        taken(library, currencies=("CHF",))
    with pytest.raises(RefusedError):
        taken(library, since=TODAY + timedelta(days=1))


def test_a_rate_of_today_is_taken_and_an_import_that_changes_nothing_makes_no_entry(library: Library) -> None:
    first = import_rates(library, FILE, name="r.csv", station="test", today=TODAY)
    again = import_rates(library, FILE, name="r.csv", station="test", today=TODAY)
    assert first.entry is not None
    assert again.entry is None
    with pytest.raises(RefusedError):
        import_rates(library, FILE, name="r.csv", station="test", today=TODAY - timedelta(days=1))


def test_a_rate_by_hand_is_recorded_once(library: Library) -> None:
    with library.reading() as records:
        before = ledger_head(records)
    entered = enter_rate(library, " eur", "chf ", Decimal("0.9"), on=TODAY, station="test", today=TODAY)
    assert (entered.base, entered.currency, entered.per_base) == ("EUR", "CHF", Decimal("0.9"))
    with library.reading() as records:
        once = ledger_head(records)
        assert records.get(Rate, entered.key) == entered
    enter_rate(library, "EUR", "CHF", Decimal("0.9"), on=TODAY, station="test", today=TODAY)
    with library.reading() as records:
        assert ledger_head(records) == once != before


@pytest.mark.parametrize("per_base", ["0", "-1", "NaN", "Infinity"])
def test_a_rate_is_more_than_nothing(library: Library, per_base: str) -> None:
    with pytest.raises(UsageError):
        enter_rate(library, "EUR", "USD", Decimal(per_base), on=TODAY, station="test", today=TODAY)


def test_codes_are_those_of_iso_4217() -> None:
    assert currency_code(" usd ") == "USD"
    for wrong in ("EURO", "", "XQX"):
        with pytest.raises(UsageError):
            currency_code(wrong)
