"""Totals: exact, every copy accounted for, and what the lines add up to."""

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from intake.model.valuations import Basis, Rate, Valuation, rate_key
from intake.valuing.rates import RateTable
from intake.valuing.totals import latest_valuations, sums_as_recorded, total_value

ON = date(2026, 1, 16)
TABLE = RateTable([Rate(key=rate_key(ON, "EUR", "USD"), on=ON, base="EUR", currency="USD", per_base=Decimal("1.0843"))])


def value(id: int, copy: str, amount: str, currency: str = "EUR", **more: object) -> Valuation:  # noqa: A002 - the field
    basis, on = more.get("basis", Basis.MARKET), more.get("on", ON)
    assert isinstance(basis, Basis)
    assert isinstance(on, date)
    return Valuation(id=id, copy=copy, amount=Decimal(amount), currency=currency, on=on, basis=basis)


def test_worked_by_hand() -> None:
    # USD 100 / 1.0843 = 92.2253…, USD 0.01 / 1.0843 = 0.0092…: 92.23 and 0.01 (bc -l).
    values = latest_valuations([value(1, "A1", "100", "USD"), value(2, "A2", "0.01", "USD"), value(3, "A3", "5.50"),
                     value(4, "A4", "9", "GBP")])  # fmt: skip
    added = total_value(["A1", "A2", "A3", "A4", "A5"], values, TABLE, currency="EUR", on=ON)
    assert added.amount == Decimal("97.74")
    assert [one.amount for one in added.worths] == [Decimal("92.23"), Decimal("0.01"), Decimal("5.50"), None, None]
    assert (added.counted, added.unvalued, added.unconverted) == (3, ("A5",), ("A4",))
    assert "GBP" in added.worths[3].why
    assert added.rates == ("EUR 1 = USD 1.0843 (2026-01-16)",)


def test_the_latest_counts_and_of_one_day_the_last() -> None:
    held = [value(1, "A1", "1"), value(3, "A1", "3"), value(2, "A1", "2"), value(4, "A1", "9", on=date(2025, 1, 1))]
    assert latest_valuations(held)["A1"].amount == 3
    assert (
        latest_valuations([*held, value(5, "A1", "7", basis=Basis.AGREED, on=date(2020, 1, 1))], Basis.AGREED)[
            "A1"
        ].amount
        == 7
    )


def test_as_recorded_mixes_neither_currency_nor_basis() -> None:
    found = sums_as_recorded(
        [value(1, "A1", "1.10"), value(2, "A2", "2.20"), value(3, "A3", "5", basis=Basis.PURCHASE)]
    )
    assert found == {("EUR", Basis.MARKET): (Decimal("3.30"), 2), ("EUR", Basis.PURCHASE): (Decimal(5), 1)}


def test_a_rate_is_named_once_and_a_value_on_another_basis_is_not_the_latest() -> None:
    values = latest_valuations([value(1, "A1", "10", "USD"), value(2, "A2", "10", "USD")])
    assert total_value(["A1", "A2"], values, TABLE, currency="EUR", on=ON).rates == ("EUR 1 = USD 1.0843 (2026-01-16)",)
    assert total_value(["A1"], latest_valuations([value(1, "A1", "10")]), TABLE, currency="EUR", on=ON).rates == ()
    assert latest_valuations([value(1, "A1", "1")], Basis.AGREED) == {}
    later = value(1, "A1", "2", on=date(2026, 2, 1))
    assert latest_valuations([value(9, "A1", "1"), later])["A1"] is later


amounts = st.none() | st.tuples(st.decimals(0, 10**6, places=2), st.sampled_from(["EUR", "USD", "GBP"]))


@given(st.lists(amounts, max_size=30))
def test_no_copy_is_lost_and_the_total_is_what_its_lines_add_up_to(drawn: list[tuple[Decimal, str] | None]) -> None:
    values = {f"A{n}": value(n, f"A{n}", str(one[0]), one[1]) for n, one in enumerate(drawn) if one}
    added = total_value([f"A{n}" for n in range(len(drawn))], values, TABLE, currency="EUR", on=ON)
    assert added.counted + len(added.unvalued) + len(added.unconverted) == len(drawn)
    assert added.amount == sum((one.amount for one in added.worths if one.amount is not None), Decimal())
