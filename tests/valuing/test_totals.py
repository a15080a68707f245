"""Totals: exact, every copy accounted for, and what the lines add up to."""

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from intake.model.editions import BookSet
from intake.model.valuations import Basis, Rate, SetValue, Subtotal, Valuation, rate_key
from intake.valuing.rates import MissingRate, RateTable
from intake.valuing.set_values import CountedSet, SetCounting
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
    assert added.at_risk.amount == Decimal("97.74")
    assert [one.amount for one in added.worths] == [Decimal("92.23"), Decimal("0.01"), Decimal("5.50"), None, None]
    assert (added.unvalued, added.unconverted) == (("A5",), ("A4",))
    assert added.at_risk.subtotals == (
        Subtotal(amount=Decimal("97.74"), currency="EUR", basis=Basis.MARKET, copies=3),
        Subtotal(amount=Decimal(9), currency="GBP", basis=Basis.MARKET, copies=1),
    )
    assert added.missing == (MissingRate(base="EUR", currency="GBP", on=ON),)
    assert (added.at_risk.whole, added.lost.copies) == (False, 0)
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
    assert (
        sum(one.copies for one in added.at_risk.subtotals) + len(added.unvalued) == len(drawn) == added.at_risk.copies
    )
    assert added.at_risk.amount == sum((one.amount for one in added.worths if one.amount is not None), Decimal())


def test_lost_copies_have_totals_of_their_own() -> None:
    values = latest_valuations([value(1, "A1", "100"), value(2, "A2", "7"), value(3, "A3", "5", "GBP")])
    added = total_value(["A1", "A2", "A3", "A4"], values, TABLE, currency="EUR", on=ON, lost={"A2", "A3", "A4"})
    assert (added.at_risk.amount, added.at_risk.copies, added.at_risk.whole) == (Decimal(100), 1, True)
    assert (added.lost.amount, added.lost.copies, added.lost.unvalued) == (Decimal(7), 3, ("A4",))
    assert [(one.currency, one.amount) for one in added.lost.unconverted] == [("GBP", Decimal(5))]


def test_each_basis_has_a_line_and_the_sum_is_that_of_the_lines() -> None:
    values = latest_valuations([value(1, "A1", "100"), value(2, "A2", "7", basis=Basis.PURCHASE), value(3, "A3", "1")])
    part = total_value(["A1", "A2", "A3"], values, TABLE, currency="EUR", on=ON).at_risk
    assert [(one.basis, one.amount, one.copies) for one in part.subtotals] == [
        (Basis.MARKET, Decimal(101), 2),
        (Basis.PURCHASE, Decimal(7), 1),
    ]
    assert part.amount == Decimal(108)


def in_dollars(amount: int, lacking: str = "", **more: object) -> SetValue:
    currency = more.get("currency", "USD")
    assert isinstance(currency, str)
    return SetValue(
        id=1, set_id=4, amount=Decimal(amount), currency=currency, on=ON, basis=Basis.MARKET, lacking=lacking
    )


def test_a_set_counts_once_and_its_volumes_not_at_all() -> None:
    # The set at USD 400: 400 / 1.0843 = 368.9016… = 368.90 (bc -l). A3 is in no set and counts 5.50.
    counted = CountedSet(
        book_set=BookSet(id=4, title="Ferns"), how=SetCounting.WHOLE, value=in_dollars(400), present=("A1", "A2")
    )
    values = latest_valuations([value(1, "A1", "300"), value(3, "A3", "5.50")])
    added = total_value(["A1", "A2", "A3"], values, TABLE, currency="EUR", on=ON, sets=[counted])
    assert added.at_risk.subtotals == (
        Subtotal(amount=Decimal("374.40"), currency="EUR", basis=Basis.MARKET, copies=3, sets=1, in_sets=2),
    )
    assert added.unvalued == ()
    assert [one.in_set for one in added.worths] == [4, 4, None]
    # What a copy in a set is worth by itself is still known.
    assert added.worths[0].amount == Decimal(300)


def test_a_lost_volume_leaves_the_rest_of_its_set_at_risk_and_takes_the_difference() -> None:
    # USD 210 are left of USD 400: 193.67 at risk, 190 / 1.0843 = 175.23 lost (bc -l).
    counted = CountedSet(
        book_set=BookSet(id=4, title="Ferns"), how=SetCounting.REST, gaps=("2",), value=in_dollars(210, "2"),
        before=in_dollars(400), present=("A1",), lost=("A2",),
    )  # fmt: skip
    values = latest_valuations([value(1, "A1", "300"), value(2, "A2", "300")])
    added = total_value(["A1", "A2"], values, TABLE, currency="EUR", on=ON, lost={"A2"}, sets=[counted])
    assert (added.at_risk.amount, added.lost.amount) == (Decimal("193.67"), Decimal("175.23"))
    assert (added.at_risk.copies, added.lost.copies) == (1, 1)


def test_a_set_without_a_rate_keeps_its_currency() -> None:
    counted = CountedSet(
        book_set=BookSet(id=4, title="Ferns"), how=SetCounting.WHOLE, value=in_dollars(9000, currency="JPY"),
        present=("A1",),
    )  # fmt: skip
    added = total_value(["A1"], {}, TABLE, currency="EUR", on=ON, sets=[counted])
    assert [(one.currency, one.amount, one.sets) for one in added.at_risk.subtotals] == [("JPY", Decimal(9000), 1)]
    assert added.missing == (MissingRate(base="EUR", currency="JPY", on=ON),)
    assert added.unvalued == ()
