"""Which value of a copy counts: worked by hand from six values of one copy, whatever order they come in."""

from datetime import date
from decimal import Decimal
from itertools import permutations

import pytest

from intake.model.valuations import Basis, Valuation
from intake.valuing.counting import counted_until, counting_value, latest_by_basis


def value(number: int, amount: str, basis: Basis, on: str) -> Valuation:
    return Valuation(
        id=number, copy="A1", amount=Decimal(amount), currency="EUR", on=date.fromisoformat(on), basis=basis
    )


# Valued in 2023 and 2024; what was paid in 1998 was found on a bill and entered last, with the day of the import.
VALUES = (
    value(1, "300", Basis.REPLACEMENT, "2023-05-01"),
    value(2, "340", Basis.REPLACEMENT, "2024-05-01"),
    value(3, "250", Basis.MARKET, "2024-02-01"),
    value(4, "330", Basis.AGREED, "2023-07-01"),
    value(5, "12", Basis.PURCHASE, "1998-03-01"),
    value(6, "15", Basis.PURCHASE, "2026-01-01"),
)


@pytest.mark.parametrize(
    ("basis", "amount"),
    [
        (None, "340"),  # not the 15 that were paid, though entered two years later
        (Basis.REPLACEMENT, "340"),
        (Basis.MARKET, "250"),
        (Basis.AGREED, "330"),
        (Basis.PURCHASE, "15"),
    ],
)
def test_a_price_never_takes_the_place_of_a_valuation(basis: Basis | None, amount: str) -> None:
    for order in permutations(VALUES, 6):
        counting = counting_value(order, basis)
        assert counting is not None
        assert counting.amount == Decimal(amount)


def test_a_price_counts_where_there_is_no_valuation_and_nothing_where_there_is_nothing() -> None:
    prices = [one for one in VALUES if one.basis is Basis.PURCHASE]
    assert counting_value(prices) == VALUES[5]
    assert counting_value(prices, Basis.MARKET) is None
    assert counting_value(()) is None


def test_of_one_day_the_value_recorded_last_counts() -> None:
    later = value(7, "345", Basis.MARKET, "2024-05-01")
    assert counting_value((later, *VALUES)) == later


def test_the_latest_on_each_basis() -> None:
    assert {basis.value: one.id for basis, one in latest_by_basis(VALUES).items()} == {
        "purchase": 6,
        "replacement": 2,
        "market": 3,
        "agreed": 4,
    }


@pytest.mark.parametrize(
    ("day", "number"),
    [
        ("2026-06-01", 2),
        ("2024-05-01", 2),  # the day itself counts
        ("2024-04-30", 3),  # the market value of February was the latest then
        ("2023-06-30", 1),
        ("2023-04-30", 5),  # only a price had been paid
        ("1998-02-28", 2),  # nothing of before: what counts now
    ],
)
def test_what_counted_on_a_day(day: str, number: int) -> None:
    for order in permutations(VALUES, 6):
        counted = counted_until(order, date.fromisoformat(day))
        assert counted is not None
        assert counted.id == number
    assert counted_until(VALUES, None) == VALUES[1]
    assert counted_until((), None) is None
