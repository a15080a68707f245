"""The condition of average against published worked examples, and ages against the calendar.

20,000 x 350,000 / 400,000 = 17,500 and 3 M x 5 / 10 = 1.5 M and 10,000 x 50,000 / 100,000 = 5,000: the examples of the
article 'Condition of average' (English Wikipedia) and of insurers' leaflets that explain the term.
"""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.errors import UsageError
from intake.model.valuations import Basis, Valuation
from intake.valuing.insurance import average, listed_by_themselves, older_than
from intake.valuing.totals import Worth


@pytest.mark.parametrize(
    ("loss", "insured", "at_risk", "paid"),
    [
        (3_000_000, 5_000_000, 10_000_000, 1_500_000),
        (20_000, 350_000, 400_000, 17_500),
        (10_000, 50_000, 100_000, 5_000),
    ],
)
def test_published_examples(loss: int, insured: int, at_risk: int, paid: int) -> None:
    found = average(loss=Decimal(loss), insured=Decimal(insured), at_risk=Decimal(at_risk), currency="GBP")
    assert (found.paid, found.short, found.underinsured) == (Decimal(paid), Decimal(loss - paid), True)
    assert f"{paid:,}" in found.working[-1]


def test_the_working_is_shown() -> None:
    found = average(loss=Decimal(20_000), insured=Decimal(350_000), at_risk=Decimal(400_000), currency="EUR")
    assert found.working[1] == "20,000.00 × 350,000.00 ÷ 400,000.00 = EUR 17,500.00"


def test_full_cover_and_waived_average_pay_the_loss() -> None:
    assert average(loss=Decimal(10), insured=Decimal(100), at_risk=Decimal(100), currency="EUR").paid == 10
    waived = {"insured": Decimal(75), "at_risk": Decimal(100), "currency": "EUR", "waived_from": Decimal("0.75")}
    assert average(loss=Decimal(10), **waived).paid == 10  # type: ignore[arg-type] # the mapping holds what it asks for
    assert average(loss=Decimal(100), **waived).paid == 75  # type: ignore[arg-type] # as above
    # A cent below three quarters average applies: 10 x 74.99 / 100 = 7.50.
    below = {**waived, "insured": Decimal("74.99")}
    assert average(loss=Decimal(10), **below).paid == Decimal("7.50")  # type: ignore[arg-type] # as above
    assert average(loss=Decimal(10), **{**below, "insured": Decimal(200)}).paid == 10  # type: ignore[arg-type] # as above


def test_all_is_lost_and_nothing_is_insured() -> None:
    all_lost = average(loss=Decimal(100), insured=Decimal(60), at_risk=Decimal(100), currency="EUR")
    assert (all_lost.paid, all_lost.short, all_lost.underinsured) == (Decimal(60), Decimal(40), True)
    none_insured = average(loss=Decimal(10), insured=Decimal(0), at_risk=Decimal(100), currency="EUR")
    assert (none_insured.paid, none_insured.short) == (Decimal(0), Decimal(10))
    full = average(loss=Decimal(0), insured=Decimal(100), at_risk=Decimal(100), currency="EUR")
    assert (full.paid, full.short, full.underinsured) == (Decimal(0), Decimal(0), False)
    # A third of 100 yen, of which there are no fractions: 33.
    assert average(loss=Decimal(100), insured=Decimal(1), at_risk=Decimal(3) * 100, currency="JPY").paid == 0
    assert average(loss=Decimal(100), insured=Decimal(100), at_risk=Decimal(300), currency="JPY").paid == 33


@pytest.mark.parametrize("amounts", [(-1, 1, 1), (1, -1, 1), (0, 0, -1), (0, 0, 0), (5, 1, 4)])
def test_what_cannot_be_reckoned(amounts: tuple[int, int, int]) -> None:
    loss, insured, at_risk = map(Decimal, amounts)
    with pytest.raises(UsageError):
        average(loss=loss, insured=insured, at_risk=at_risk, currency="EUR")


money = st.decimals(Decimal("0.01"), 10**7, places=2)


@given(money, money, money)
def test_never_more_than_the_loss_or_the_sum_insured(loss: Decimal, insured: Decimal, more: Decimal) -> None:
    found = average(loss=loss, insured=insured, at_risk=loss + more, currency="EUR")
    assert 0 <= found.paid <= min(loss, insured)


def test_single_articles_dearest_first() -> None:
    worths = [Worth(copy=copy, valuation=None, amount=None if amount is None else Decimal(amount))
              for copy, amount in (("A1", 100), ("A2", 101), ("A3", None), ("A4", 900))]  # fmt: skip
    assert [one.copy for one in listed_by_themselves(worths, Decimal(100))] == ["A4", "A2"]


def test_ages_by_the_calendar() -> None:
    days = [date(2023, 2, 27), date(2023, 2, 28), date(2023, 3, 1), date(2020, 2, 29)]
    held = [Valuation(id=n, copy=f"A{n}", amount=Decimal(1), currency="EUR", on=on, basis=Basis.MARKET)
            for n, on in enumerate(days)]  # fmt: skip
    assert [one.on for one in older_than(held, years=1, on=date(2024, 2, 29))] == [days[3], days[0]]
    assert [one.on for one in older_than(held, years=3, on=date(2023, 2, 28))] == []
    assert [one.on for one in older_than(held, years=3, on=date(2023, 3, 1))] == [days[3]]
    # Of one day, the one recorded first comes first.
    again = [held[0], Valuation(id=-1, copy="A9", amount=Decimal(1), currency="EUR", on=days[0], basis=Basis.MARKET)]
    assert [one.copy for one in older_than(again, years=1, on=date(2026, 1, 1))] == ["A9", "A0"]
