"""What a carrier owes at most, and until when, against the published figures of each regime.

The stereo of 10 lb worth 1000 USD for which a mover under released value owes 6.00 USD is the example of the Federal
Motor Carrier Safety Administration. The carton of 16 kg under three conventions is reckoned by hand from their
articles.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.carriage.liability import LiabilityTerms, LostCopy, compute_liability
from intake.carriage.periods import Period, months_later, notice_periods, working_days_later
from intake.carriage.regimes import RULES, Regime, montreal_per_kg
from intake.errors import UsageError
from intake.units.convert import G_PER_LB

TODAY = date(2026, 11, 25)


def lost(mass_g: float, value: str | None = "1000", copy: str = "A1", box: str = "B1") -> LostCopy:
    return LostCopy(copy=copy, box=box, mass_g=mass_g, value=Decimal(value) if value else None)


def sdr(regime: Regime, **more: object) -> LiabilityTerms:
    return replace(LiabilityTerms(regime=regime, currency="SDR"), **more)  # type: ignore[arg-type] # keyword by keyword


def test_the_stereo_of_the_regulator_and_a_box_of_35_pounds() -> None:
    terms = LiabilityTerms(regime=Regime.RELEASED, currency="USD")
    found = compute_liability([lost(10 * G_PER_LB)], {}, terms, 0)
    assert (found.most, found.limit, found.gap) == (Decimal("6.00"), Decimal("6.00"), Decimal("994.00"))
    assert compute_liability([lost(35 * G_PER_LB)], {}, terms, 0).limit == Decimal("21.00")


@pytest.mark.parametrize(
    ("regime", "owed"), [(Regime.CMR, "133.28"), (Regime.HAGUE_VISBY, "666.67"), (Regime.MONTREAL, "416.00")]
)
def test_a_carton_of_16_kg(regime: Regime, owed: str) -> None:
    found = compute_liability([lost(16_000)], {"B1": 16_000.0}, sdr(regime, dispatched=date(2026, 3, 9)), 0)
    assert found.boxes[0].in_unit == Decimal(owed)


def test_the_package_wins_below_a_third_of_a_tonne() -> None:
    below = compute_liability([lost(333_330)], {}, sdr(Regime.HAGUE_VISBY), 0)
    above = compute_liability([lost(333_340)], {}, sdr(Regime.HAGUE_VISBY), 0)
    assert (below.limit, above.limit) == (Decimal("666.67"), Decimal("666.68"))


@pytest.mark.parametrize(
    ("day", "amount"),
    [(date(2024, 12, 28), 26), (date(2024, 12, 27), 22), (date(2019, 12, 27), 19), (date(2009, 12, 29), 17)],
)
def test_the_montreal_limit_is_that_of_its_day(day: date, amount: int) -> None:
    assert montreal_per_kg(day)[0] == amount
    found = compute_liability([lost(16_000)], {"B1": 16_000.0}, sdr(Regime.MONTREAL, dispatched=day), 0)
    assert found.limit == 16 * amount


def test_montreal_counts_the_package_and_says_so_where_it_was_not_weighed() -> None:
    terms = sdr(Regime.MONTREAL, dispatched=date(2026, 3, 9))
    assert compute_liability([lost(2_000)], {"B1": 16_000.0}, terms, 0).limit == Decimal(416)
    assert "never weighed" in compute_liability([lost(2_000)], {"B1": None}, terms, 0).boxes[0].words


def test_full_value_is_cut_at_the_loss_and_at_the_shipment() -> None:
    terms = LiabilityTerms(regime=Regime.FULL, currency="USD")
    assert compute_liability([lost(1000)], {}, terms, 100 * G_PER_LB).most == Decimal("600.00")
    assert compute_liability([lost(1000)], {}, terms, 1000 * G_PER_LB).most == Decimal(1000)


def test_a_limit_left_over_in_one_box_pays_for_no_other() -> None:
    both = [lost(16_000, "10", "A1", "B1"), lost(1_000, "5000", "A2", "B2")]
    found = compute_liability(both, {}, sdr(Regime.CMR), 0)
    assert found.most == Decimal("10") + Decimal("8.33")


def test_rates_and_amounts_a_person_gives() -> None:
    rated = LiabilityTerms(regime=Regime.MONTREAL, currency="USD", rate=Decimal("1.31"), dispatched=date(2026, 3, 9))
    assert compute_liability([lost(1_000)], {}, rated, 0).limit == Decimal("34.06")
    per_kg = LiabilityTerms(regime=Regime.PER_KG, currency="EUR", per_kg=Decimal(10))
    assert compute_liability([lost(2_500, "100")], {}, per_kg, 0).most == Decimal("25.00")
    for wrong in (replace(rated, rate=None), replace(rated, rate=Decimal(0)), replace(per_kg, per_kg=None)):
        with pytest.raises(UsageError):
            compute_liability([lost(1_000)], {}, wrong, 0)


def test_what_has_no_value_is_counted_apart_and_what_is_dear_is_named() -> None:
    terms = LiabilityTerms(regime=Regime.RELEASED, currency="USD")
    found = compute_liability(
        [lost(G_PER_LB, None, "A1"), lost(G_PER_LB, "101", "A2"), lost(G_PER_LB, "99", "A3")], {}, terms, 0
    )
    assert (found.unvalued, found.loss, found.to_name) == (1, Decimal(200), ("A2",))


def last_days(regime: Regime, delivered: date) -> dict[str, date | None]:
    return {period.what: period.last for period in notice_periods(regime, delivered, TODAY)}


def test_periods_of_the_conventions() -> None:
    delivered = date(2026, 5, 1)  # a Friday
    assert list(last_days(Regime.MONTREAL, delivered).values()) == [
        date(2026, 5, 15),
        date(2026, 5, 22),
        date(2028, 5, 1),
    ]
    assert list(last_days(Regime.HAGUE_VISBY, delivered).values()) == [delivered, date(2026, 5, 4), date(2027, 5, 1)]
    # Seven days without the Sunday of 3 May.
    assert list(last_days(Regime.CMR, delivered).values())[:3] == [delivered, date(2026, 5, 9), date(2026, 5, 22)]
    assert last_days(Regime.RELEASED, delivered)["claim in writing"] == date(2027, 2, 1)
    assert last_days(Regime.PER_KG, delivered) == {"notice and claim": None}


def test_every_figure_and_period_names_its_source() -> None:
    assert set(RULES) == set(Regime)
    for regime in Regime:
        assert RULES[regime].source
        assert all(period.source for period in notice_periods(regime, TODAY, TODAY))


def test_a_delivery_to_come_is_refused() -> None:
    with pytest.raises(UsageError, match="in the future"):
        notice_periods(Regime.CMR, TODAY + timedelta(days=1), TODAY)


def test_what_is_left_of_a_period() -> None:
    period = Period("notice", date(2026, 5, 4), "", "")
    assert [period.left(date(2026, 5, day)) for day in (1, 4, 6)] == [3, 0, -2]


@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(0, 60))
def test_months_end_where_the_month_does(day: date, months: int) -> None:
    later = months_later(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day == day.day or (later.day < day.day and (later + timedelta(days=1)).day == 1)


@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(1, 30))
def test_sundays_are_left_out(day: date, days: int) -> None:
    last = working_days_later(day, days)
    between = [day + timedelta(days=n) for n in range(1, (last - day).days + 1)]
    assert sum(one.weekday() != 6 for one in between) == days
    assert last.weekday() != 6
