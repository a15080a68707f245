"""The figures of each regime of carriage, cell by cell.

49 CFR 375 and the released rates of the Surface Transportation Board, as the Federal Motor Carrier Safety
Administration's 'Your Rights and Responsibilities When You Move' gives them; Montreal Convention 1999, article 22(3),
with the revisions of 2009, 2019 and 2024 under article 24; Hague-Visby Rules with the SDR Protocol of 1979, article IV
5(a); CMR 1956 with the Protocol of 1978, article 23(3).
"""

from datetime import date
from decimal import Decimal

import pytest

from intake.carriage.regimes import EXTRAORDINARY_USD_PER_LB, RULES, Regime, montreal_per_kg

PUBLISHED = {
    # regime: unit, per kilogram, per pound, per package
    Regime.RELEASED: ("USD", None, "0.60", None),
    Regime.FULL: ("USD", None, "6.00", None),
    Regime.MONTREAL: ("SDR", "26", None, None),
    Regime.HAGUE_VISBY: ("SDR", "2", None, "666.67"),
    Regime.CMR: ("SDR", "8.33", None, None),
    Regime.PER_KG: ("", None, None, None),
}


@pytest.mark.parametrize("regime", Regime)
def test_every_figure_of_a_regime(regime: Regime) -> None:
    rule = RULES[regime]
    unit, *amounts = PUBLISHED[regime]
    assert rule.unit == unit
    expected = [None if amount is None else Decimal(amount) for amount in amounts]
    assert [rule.per_kg, rule.per_lb, rule.per_package] == expected
    assert rule.source


def test_an_article_is_of_extraordinary_value_above_a_hundred_dollars_a_pound() -> None:
    assert EXTRAORDINARY_USD_PER_LB == 100


@pytest.mark.parametrize(
    ("day", "amount", "since"),
    [
        (date(2026, 3, 9), 26, date(2024, 12, 28)),
        (date(2024, 12, 28), 26, date(2024, 12, 28)),
        (date(2024, 12, 27), 22, date(2019, 12, 28)),
        (date(2019, 12, 28), 22, date(2019, 12, 28)),
        (date(2019, 12, 27), 19, date(2009, 12, 30)),
        (date(2009, 12, 30), 19, date(2009, 12, 30)),
        (date(2009, 12, 29), 17, date.min),
        (date(2003, 11, 4), 17, date.min),
    ],
)
def test_each_limit_of_the_montreal_convention_and_its_first_day(day: date, amount: int, since: date) -> None:
    assert montreal_per_kg(day) == (Decimal(amount), since)
