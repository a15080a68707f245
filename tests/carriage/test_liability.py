"""What a carrier owes at most, against worked examples of each regime.

The stereo of 10 lb worth 1000 USD for which a mover under released value owes 6.00 USD is the example of the Federal
Motor Carrier Safety Administration. The other cases are worked by hand from the articles of the conventions: CMR 1956
with the Protocol of 1978, article 23(3); Hague-Visby Rules with the Protocol of 1979, article IV 5(a); Montreal
Convention 1999, article 22(3) and (4).
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from intake.carriage.liability import Lost, Terms, reckon
from intake.carriage.regimes import Regime
from intake.errors import UsageError
from intake.units.convert import G_PER_LB


def lost(mass_g: float, value: str | None = "1000", copy: str = "A1", box: str = "B1") -> Lost:
    return Lost(copy=copy, box=box, mass_g=mass_g, value=Decimal(value) if value else None)


def sdr(regime: Regime, **more: object) -> Terms:
    return replace(Terms(regime=regime, currency="SDR"), **more)  # type: ignore[arg-type] # keyword by keyword


def test_the_stereo_of_the_regulator_and_a_box_of_35_pounds() -> None:
    terms = Terms(regime=Regime.RELEASED, currency="USD")
    found = reckon([lost(10 * G_PER_LB)], {}, terms, 0)
    assert (found.most, found.limit, found.gap) == (Decimal("6.00"), Decimal("6.00"), Decimal("994.00"))
    assert reckon([lost(35 * G_PER_LB)], {}, terms, 0).limit == Decimal("21.00")


@pytest.mark.parametrize(
    ("regime", "owed"), [(Regime.CMR, "133.28"), (Regime.HAGUE_VISBY, "666.67"), (Regime.MONTREAL, "416.00")]
)
def test_a_carton_of_16_kg(regime: Regime, owed: str) -> None:
    found = reckon([lost(16_000)], {"B1": 16_000.0}, sdr(regime, dispatched=date(2026, 3, 9)), 0)
    assert found.boxes[0].in_unit == Decimal(owed)


def test_the_package_wins_below_a_third_of_a_tonne() -> None:
    below = reckon([lost(333_330)], {}, sdr(Regime.HAGUE_VISBY), 0)
    above = reckon([lost(333_340)], {}, sdr(Regime.HAGUE_VISBY), 0)
    assert (below.limit, above.limit) == (Decimal("666.67"), Decimal("666.68"))


@pytest.mark.parametrize(
    ("day", "amount"),
    [(date(2024, 12, 28), 26), (date(2024, 12, 27), 22), (date(2019, 12, 27), 19), (date(2009, 12, 29), 17)],
)
def test_the_montreal_limit_is_that_of_its_day(day: date, amount: int) -> None:
    found = reckon([lost(16_000)], {"B1": 16_000.0}, sdr(Regime.MONTREAL, dispatched=day), 0)
    assert found.limit == 16 * amount


def test_montreal_counts_the_package_and_the_copies_alone_where_it_was_not_weighed() -> None:
    terms = sdr(Regime.MONTREAL, dispatched=date(2026, 3, 9))
    assert reckon([lost(2_000)], {"B1": 16_000.0}, terms, 0).limit == Decimal(416)
    assert reckon([lost(2_000)], {"B1": None}, terms, 0).limit == Decimal(52)
    # Without a day the figure in force now is taken.
    assert reckon([lost(2_000)], {}, sdr(Regime.MONTREAL), 0).limit == Decimal(52)


def test_three_soaked_boxes_by_air_and_twelve_lost_by_road() -> None:
    # 3 boxes of 18 kg: 3 x 18 x 26 = 1404 SDR. 12 boxes of 20 kg gross: 240 x 8.33 = 1999.20 SDR.
    soaked = [lost(3_000, "1000", f"A{n}", f"B{n}") for n in range(3)]
    air = reckon(soaked, {f"B{n}": 18_000.0 for n in range(3)}, sdr(Regime.MONTREAL, dispatched=date(2026, 3, 9)), 0)
    assert (air.limit, air.loss, air.most, air.gap) == (Decimal(1404), Decimal(3000), Decimal(1404), Decimal(1596))
    gone = [lost(20_000, "750", f"A{n}", f"B{n}") for n in range(12)]
    road = reckon(gone, {}, sdr(Regime.CMR), 0)
    assert (road.limit, road.loss) == (Decimal("1999.20"), Decimal(9000))


def test_two_copies_of_one_box_share_its_limit() -> None:
    # 2 kg and 3 kg of one box by road: 5 x 8.33 = 41.65; by sea one package of 666.67.
    both = [lost(2_000, "30", "A1"), lost(3_000, "30", "A2")]
    road = reckon(both, {}, sdr(Regime.CMR), 0)
    assert [(box.box, box.in_unit) for box in road.boxes] == [("B1", Decimal("41.65"))]
    assert (road.loss, road.most, road.gap) == (Decimal(60), Decimal("41.65"), Decimal("18.35"))
    sea = reckon(both, {}, sdr(Regime.HAGUE_VISBY), 0)
    assert (sea.limit, sea.most, sea.gap) == (Decimal("666.67"), Decimal(60), Decimal(0))


def test_a_crate_above_a_third_of_a_tonne_by_sea() -> None:
    # Article IV 5(a): two SDR a kilogram of 400 kg, 800, is more than 666.67 a package.
    assert reckon([lost(400_000)], {}, sdr(Regime.HAGUE_VISBY), 0).limit == Decimal(800)


def test_the_unit_and_the_currency_asked_for_are_kept_apart() -> None:
    # 16 kg under the CMR: 133.28 SDR, at 1.25 USD for one 166.60 USD.
    terms = Terms(regime=Regime.CMR, currency="USD", rate=Decimal("1.25"))
    (box,) = reckon([lost(16_000)], {}, terms, 0).boxes
    assert (box.in_unit, box.amount) == (Decimal("133.28"), Decimal("166.60"))


def test_full_value_is_cut_at_the_loss_and_at_the_shipment() -> None:
    terms = Terms(regime=Regime.FULL, currency="USD")
    part = reckon([lost(1000)], {}, terms, 100 * G_PER_LB)
    assert (part.limit, part.most, part.gap) == (Decimal("600.00"), Decimal("600.00"), Decimal(400))
    whole = reckon([lost(1000)], {}, terms, 4000 * G_PER_LB)
    assert (whole.limit, whole.most, whole.gap) == (Decimal(24_000), Decimal(1000), Decimal(0))
    euros = Terms(regime=Regime.FULL, currency="EUR", rate=Decimal("0.5"))
    (shipment,) = reckon([lost(1000)], {}, euros, 100 * G_PER_LB).boxes
    assert (shipment.in_unit, shipment.amount) == (Decimal("600.00"), Decimal("300.00"))


def test_a_limit_left_over_in_one_box_pays_for_no_other() -> None:
    both = [lost(16_000, "10", "A1", "B1"), lost(1_000, "5000", "A2", "B2")]
    found = reckon(both, {}, sdr(Regime.CMR), 0)
    assert found.most == Decimal("10") + Decimal("8.33")


def test_rates_and_amounts_a_person_gives() -> None:
    rated = Terms(regime=Regime.MONTREAL, currency="USD", rate=Decimal("1.31"), dispatched=date(2026, 3, 9))
    assert reckon([lost(1_000)], {}, rated, 0).limit == Decimal("34.06")
    per_kg = Terms(regime=Regime.PER_KG, currency="EUR", per_kg=Decimal(10))
    assert reckon([lost(2_500, "100")], {}, per_kg, 0).most == Decimal("25.00")
    wrong_rates = (None, Decimal(0), Decimal(-1), Decimal("NaN"), Decimal("Infinity"))
    for wrong in [replace(rated, rate=rate) for rate in wrong_rates] + [replace(per_kg, per_kg=r) for r in wrong_rates]:
        with pytest.raises(UsageError):
            reckon([lost(1_000)], {}, wrong, 0)


def test_what_has_no_value_is_counted_apart_and_what_is_dear_is_named() -> None:
    terms = Terms(regime=Regime.RELEASED, currency="USD")
    found = reckon([lost(G_PER_LB, None, "A1"), lost(G_PER_LB, "101", "A2"), lost(G_PER_LB, "99", "A3")], {}, terms, 0)
    assert (found.unvalued, found.loss, found.to_name) == (1, Decimal(200), ("A2",))


def test_a_hundred_dollars_a_pound_is_not_yet_extraordinary() -> None:
    # 49 CFR 375.203 (from memory): worth more than 100 USD a pound. In euros at 0.50 the limit is 50 EUR a pound.
    dollars = Terms(regime=Regime.FULL, currency="USD")
    copies = [lost(2 * G_PER_LB, "200", "A1"), lost(2 * G_PER_LB, "200.01", "A2")]
    assert reckon(copies, {}, dollars, 0).to_name == ("A2",)
    euros = Terms(regime=Regime.FULL, currency="EUR", rate=Decimal("0.5"))
    assert reckon([lost(G_PER_LB, "50"), lost(G_PER_LB, "51", "A2")], {}, euros, 0).to_name == ("A2",)
    assert reckon(copies, {}, sdr(Regime.CMR), 0).to_name == ()
