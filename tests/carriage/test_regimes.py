"""The figures and the scope of each regime of carriage, cell by cell.

49 CFR 375 and the released rates of the Surface Transportation Board, as the Federal Motor Carrier Safety
Administration's 'Your Rights and Responsibilities When You Move' gives them (seen in a copy); Montreal Convention 1999,
article 22(3), with the revisions of 2009, 2019 and 2024 under article 24; Hague-Visby Rules with the SDR Protocol of
1979, article IV 5(a); CMR 1956 with the Protocol of 1978, articles 1(4)(c) and 23(3); HGB 451e (seen in a copy); COGSA
section 4(5) (seen in a copy); Hague Rules 1924, article IV 5 (seen in a copy).
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from intake.carriage.regimes import REGIMES, check_scope
from intake.carriage.regimes_us import EXTRAORDINARY_USD_PER_LB
from intake.errors import RefusedError, UsageError
from intake.model.carriage import Goods, LiabilityTerms, Per

PUBLISHED = {
    # regime: unit, and the latest amount per kilogram, pound, package and cubic metre
    "released-value": ("USD", None, "0.60", None, None),
    "full-value": ("USD", None, "6.00", None, None),
    "montreal": ("XDR", "26", None, None, None),
    "hague-visby": ("XDR", "2", None, "666.67", None),
    "hague-1924": ("GBP", None, None, "100", None),
    "us-cogsa": ("USD", None, None, "500", None),
    "cmr": ("XDR", "8.33", None, None, None),
    "german-removal": ("EUR", None, None, None, "620"),
    "per-kg": ("", None, None, None, None),
    "rotterdam": ("XDR", None, None, None, None),
}


@pytest.mark.parametrize("name", REGIMES)
def test_every_figure_of_a_regime(name: str) -> None:
    regime = REGIMES[name]
    unit, *amounts = PUBLISHED[name]
    assert (regime.name, regime.unit) == (name, unit)
    by_per = {figure.per: figure.amount for figure in regime.figures_on(None)}
    expected = [None if amount is None else Decimal(amount) for amount in amounts]
    assert [by_per.get(per) for per in (Per.KILOGRAM, Per.POUND, Per.PACKAGE, Per.CUBIC_METRE)] == expected
    assert regime.limit_source


@pytest.mark.parametrize("name", [name for name, regime in REGIMES.items() if not regime.refused])
def test_every_rule_names_its_article_and_what_nobody_can_check_here(name: str) -> None:
    regime = REGIMES[name]
    assert regime.periods
    assert all(rule.source for rule in regime.periods)
    assert regime.requires
    assert regime.owner_packed


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
    (figure,) = REGIMES["montreal"].figures_on(day)
    assert (figure.amount, figure.since) == (Decimal(amount), since)


def terms(name: str, goods: Goods | None) -> LiabilityTerms:
    return LiabilityTerms(regime=REGIMES[name], currency="EUR", goods=goods)


def test_the_cmr_is_not_for_furniture_removal() -> None:
    """CMR, article 1(4)(c): a mover's van with a household is outside, a haulier's pallet of books inside."""
    with pytest.raises(RefusedError, match=r"article 1\(4\)\(c\)"):
        check_scope(terms("cmr", Goods.HOUSEHOLD))
    with pytest.raises(UsageError, match=r"article 1\(4\)\(c\).*not stated"):
        check_scope(terms("cmr", None))
    check_scope(terms("cmr", Goods.FREIGHT))


def test_removals_are_not_freight() -> None:
    """HGB, section 451; 49 CFR 375 is for household goods."""
    for name in ("german-removal", "released-value", "full-value"):
        check_scope(terms(name, Goods.HOUSEHOLD))
        with pytest.raises(RefusedError):
            check_scope(terms(name, Goods.FREIGHT))
        with pytest.raises(UsageError):
            check_scope(terms(name, None))
    for name in ("montreal", "hague-visby", "hague-1924", "us-cogsa", "per-kg"):
        check_scope(terms(name, None))


def test_the_rotterdam_rules_are_refused_with_the_reason() -> None:
    """Not in force: 20 ratifications needed (Rotterdam Rules, article 94); the count was seen in a copy."""
    for goods in (None, *Goods):
        with pytest.raises(RefusedError, match="not in force"):
            check_scope(terms("rotterdam", goods))


def test_a_regime_of_ones_own_is_one_record() -> None:
    own = replace(REGIMES["cmr"], name="own", excluded={}, refused="")
    check_scope(LiabilityTerms(regime=own, currency="EUR"))
