"""What a carrier owes at most, against worked examples of each regime.

The stereo of 10 lb worth 1000 USD for which a mover under released value owes 6.00 USD is the example of the Federal
Motor Carrier Safety Administration (seen in a copy). The other cases are worked by hand from the articles, which each
test names; the figures of the regimes are compared in `test_regimes`.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from intake.carriage.counted_mass import BoxMass, LostCopy, shown_mass
from intake.carriage.liability import Liability, compute_liability
from intake.carriage.regimes import REGIMES
from intake.errors import RefusedError, UsageError
from intake.model.boxes import MassSource
from intake.model.carriage import Goods, LiabilityTerms, Per
from intake.units.convert import G_PER_LB

IN_FORCE = date(2026, 3, 9)


def lost(mass_g: float, value: str | None = "1000", copy: str = "A1", box: str = "B1") -> LostCopy:
    return LostCopy(copy=copy, box=box, mass_g=mass_g, value=Decimal(value) if value else None)


def sdr(regime: str, **more: object) -> LiabilityTerms:
    goods = Goods.FREIGHT if regime == "cmr" else None
    return replace(LiabilityTerms(regime=REGIMES[regime], currency="XDR", goods=goods), **more)  # type: ignore[arg-type] # keyword by keyword


def household(regime: str, currency: str = "USD", **more: object) -> LiabilityTerms:
    terms = LiabilityTerms(regime=REGIMES[regime], currency=currency, goods=Goods.HOUSEHOLD)
    return replace(terms, **more)  # type: ignore[arg-type] # keyword by keyword


def compute(
    copies: Sequence[LostCopy],
    terms: LiabilityTerms,
    gross_kg: float | None = None,
    *,
    shipment_kg: float = 0.0,
    boxes: int = 100,
    listed_kg: float | None = None,
    beside: Sequence[str] = (),
) -> Liability:
    """Compute with boxes that are alike: each of this gross mass, with nothing on its list but what is lost."""
    masses = {}
    for box in (*(copy.box for copy in copies), *beside):
        own = sum(copy.mass_g for copy in copies if copy.box == box)
        listed_g = own if listed_kg is None else 1000 * listed_kg
        if gross_kg is None:
            masses[box] = BoxMass(mass_g=listed_g, source=MassSource.LIST, listed_g=listed_g)
        else:
            masses[box] = BoxMass(mass_g=1000 * gross_kg, source=MassSource.PACKING, listed_g=listed_g)
    shipment = shown_mass(1000 * shipment_kg, terms.regime)
    return compute_liability(copies, masses, terms, shipment_mass=shipment, shipment_boxes=boxes, beside=beside)


def cartons(count: int, kg: float, value: str) -> list[LostCopy]:
    return [lost(1000 * kg, value, f"A{n}", f"B{n}") for n in range(count)]


def test_the_stereo_of_the_regulator_and_a_box_of_35_pounds() -> None:
    """49 CFR 375, released value of 0.60 USD per pound per article (seen in a copy)."""
    terms = household("released-value")
    found = compute([lost(10 * G_PER_LB)], terms)
    assert (found.most, found.limit, found.gap) == (Decimal("6.00"), Decimal("6.00"), Decimal("994.00"))
    assert compute([lost(35 * G_PER_LB)], terms).limit == Decimal("21.00")


def test_a_box_of_22_kg_and_a_shipment_of_4000_pounds() -> None:
    """49 CFR 375: 48.50 lb at 0.60 USD are 29.10; 4000 lb at 6.00 are 24,000 (seen in a copy)."""
    assert compute([lost(21_000)], household("released-value"), 22).limit == Decimal("29.10")
    full = compute([lost(1_000)], household("full-value"), shipment_kg=4000 * G_PER_LB / 1000)
    assert (full.limit, full.most, full.gap) == (Decimal(24_000), Decimal(1000), Decimal(0))
    part = compute([lost(1_000)], household("full-value"), shipment_kg=100 * G_PER_LB / 1000)
    assert (part.limit, part.most, part.gap) == (Decimal("600.00"), Decimal("600.00"), Decimal(400))


@pytest.mark.parametrize(("regime", "owed"), [("cmr", "133.28"), ("hague-visby", "666.67"), ("montreal", "416.00")])
def test_a_carton_of_16_kg(regime: str, owed: str) -> None:
    """CMR, article 23(3); Hague-Visby Rules, article IV 5(a); Montreal Convention, article 22(3)."""
    found = compute([lost(15_000)], sdr(regime, dispatched=IN_FORCE), 16)
    assert found.lines[0].in_unit == Decimal(owed)


def test_the_package_wins_below_a_third_of_a_tonne() -> None:
    """Hague-Visby Rules, article IV 5(a): 666.67 SDR are more than 2 SDR a kilogram below 333.335 kg."""
    below = compute([lost(333_330)], sdr("hague-visby"))
    above = compute([lost(333_340)], sdr("hague-visby"))
    assert (below.limit, above.limit) == (Decimal("666.67"), Decimal("666.68"))
    assert [line.figure.per for found in (below, above) for line in found.lines if line.figure] == [
        Per.PACKAGE, Per.KILOGRAM,
    ]  # fmt: skip


def test_the_packages_are_those_that_the_bill_enumerates() -> None:
    """Hague-Visby Rules, article IV 5(c): 60 cartons of 22 kg, listed each, or as one container.

    60 x 666.67 = 40,000.20; one container: 666.67 or 60 x 22 x 2 = 2640, whichever is more. One carton: 666.67, not 44.
    """
    all_lost = cartons(60, 22, "1000")
    listed = compute(all_lost, sdr("hague-visby", packages=60), 22, boxes=60)
    assert (listed.limit, listed.most, listed.packages) == (Decimal("40000.20"), Decimal("40000.20"), 60)
    container = compute(all_lost, sdr("hague-visby", packages=1), 22, boxes=60)
    assert (container.limit, container.most, container.packages) == (Decimal(2640), Decimal(2640), 1)
    one = compute(all_lost[:1], sdr("hague-visby", packages=60), 22, boxes=60)
    assert (one.limit, one.lines[0].lower[0][1]) == (Decimal("666.67"), Decimal(22))
    # Where nothing is stated, each box counts.
    assert compute(all_lost, sdr("hague-visby"), 22, boxes=60).limit == listed.limit
    # More packages than boxes raise nothing, and a package is never worth more than what is in it.
    assert compute(all_lost, sdr("hague-visby", packages=200), 22, boxes=60).limit == listed.limit
    assert compute(cartons(60, 22, "100"), sdr("hague-visby", packages=60), 22, boxes=60).most == Decimal(6000)


def test_cogsa_counts_packages_and_what_was_declared() -> None:
    """COGSA, section 4(5) (seen in a copy): 60 cartons 30,000; two pallets 1,000; declared 12,000."""
    all_lost = cartons(60, 22, "1000")
    dollars = LiabilityTerms(regime=REGIMES["us-cogsa"], currency="USD")
    assert compute(all_lost, replace(dollars, packages=60), 22, boxes=60).limit == Decimal(30_000)
    pallets = replace(dollars, packages=2)
    assert compute(all_lost, pallets, 22, boxes=60).limit == Decimal(1000)
    assert compute(all_lost, replace(pallets, declared=Decimal(12_000)), 22, boxes=60).most == Decimal(12_000)


def test_the_hague_rules_of_1924_have_a_package_limit_only() -> None:
    """Hague Rules 1924, article IV 5 (seen in a copy): 100 pounds sterling a package."""
    pounds = LiabilityTerms(regime=REGIMES["hague-1924"], currency="GBP")
    assert compute(cartons(3, 400, "1000"), pounds).limit == Decimal(300)


@pytest.mark.parametrize(
    ("day", "amount"),
    [(date(2024, 12, 28), 26), (date(2024, 12, 27), 22), (date(2019, 12, 27), 19), (date(2009, 12, 29), 17)],
)
def test_the_montreal_limit_is_that_of_its_day(day: date, amount: int) -> None:
    """Montreal Convention, article 22(3), as revised under article 24."""
    assert compute([lost(16_000)], sdr("montreal", dispatched=day), 16).limit == 16 * amount


def test_montreal_counts_the_whole_package() -> None:
    """Montreal Convention, article 22(4): three of ten boxes of 18 kg soaked: 3 x 18 x 26 = 1404 SDR of 2500."""
    soaked = [lost(3_000, "1000", "A0", "B0"), lost(3_000, "1000", "A1", "B1"), lost(3_000, "500", "A2", "B2")]
    air = compute(soaked, sdr("montreal", dispatched=IN_FORCE), 18)
    assert (air.limit, air.loss, air.most, air.gap) == (Decimal(1404), Decimal(2500), Decimal(1404), Decimal(1096))
    # A box that nobody weighed counts as what is on its list.
    unweighed = compute(soaked[:1], sdr("montreal", dispatched=IN_FORCE), listed_kg=16)
    assert unweighed.limit == Decimal(416)
    assert [box.mass.source for box in unweighed.counted] == [MassSource.LIST]


def test_montreal_counts_the_boxes_of_a_broken_set() -> None:
    """Montreal Convention, article 22(4): volume 5 lost, the set lies in A, B and C of 18 kg: 54 kg, not 18."""
    found = compute([lost(3_200, "9000", "A5", "A")], sdr("montreal", dispatched=IN_FORCE), 18, beside=("A", "B", "C"))
    assert found.limit == Decimal(54 * 26)
    assert [(box.box, box.beside) for box in found.counted] == [("A", False), ("B", True), ("C", True)]
    # Under a regime that counts what is short, they do not.
    road = compute([lost(3_200, "9000", "A5", "A")], sdr("cmr"), 18, listed_kg=16, beside=("B", "C"))
    assert (len(road.counted), road.limit) == (1, Decimal("29.99"))  # 18 x 3.2 / 16 = 3.6 kg


def test_twelve_boxes_lost_by_road_with_the_charges() -> None:
    """CMR, articles 23(3), 23(4) and 24: 12 of 30 boxes of 20 kg gross, worth 9000 SDR; charges of 900 SDR.

    240 x 8.33 = 1999.20 and 900 x 240 / 600 = 360: 2359.20. With 9000 declared: 9360.
    """
    gone = cartons(12, 18.75, "750")
    road = compute(gone, sdr("cmr", charges=Decimal(900)), 20, shipment_kg=600)
    assert (road.limit, road.charges, road.most) == (Decimal("1999.20"), Decimal(360), Decimal("2359.20"))
    assert (road.loss, road.gap) == (Decimal(9000), Decimal("7000.80"))
    declared = compute(gone, sdr("cmr", charges=Decimal(900), declared=Decimal(9000)), 20, shipment_kg=600)
    assert (declared.most, declared.gap) == (Decimal(9360), Decimal(0))
    # By the books' own 225 kg the limit would be 15 x 8.33 = 124.95 SDR less.
    net = compute(gone, sdr("cmr"), None, shipment_kg=600)
    assert road.limit - net.limit == Decimal("124.95")
    assert {box.mass.source for box in net.counted} == {MassSource.LIST}
    # All of it lost: the charges in full.
    assert compute(gone, sdr("cmr", charges=Decimal(900)), 20, shipment_kg=240).charges == Decimal(900)


def test_charges_are_refunded_only_where_an_article_says_so() -> None:
    sea = compute([lost(16_000)], sdr("hague-visby", charges=Decimal(900)), shipment_kg=32)
    assert (sea.charges, sea.most) == (Decimal(0), Decimal("666.67"))


def test_a_removal_is_limited_by_the_cubic_metres_of_the_contract() -> None:
    """HGB, section 451e (seen in a copy): 28 m³ are 17,360 EUR, 3.5 m³ are 2,170 EUR; the loss is 400 x 25 EUR."""
    books = [lost(500, "25", f"A{n}") for n in range(400)]
    house = compute(books, household("german-removal", "EUR", volume_m3=Decimal(28)))
    assert (house.limit, house.most, house.gap) == (Decimal(17_360), Decimal(10_000), Decimal(0))
    library = compute(books, household("german-removal", "EUR", volume_m3=Decimal("3.5")))
    assert (library.limit, library.most, library.gap) == (Decimal(2_170), Decimal(2_170), Decimal(7_830))
    for volume in (None, Decimal(0)):
        with pytest.raises(UsageError, match="cubic metre"):
            compute(books, household("german-removal", "EUR", volume_m3=volume))


def test_copies_of_one_box_share_its_gross_mass() -> None:
    """CMR, article 23(3): 2 and 3 of 10 kg of a list, the box 12 kg gross: 6 kg x 8.33 = 49.98."""
    both = [lost(2_000, "30", "A1"), lost(3_000, "30", "A2")]
    road = compute(both, sdr("cmr"), 12, listed_kg=10)
    (box,) = road.counted
    assert box.box == "B1"
    assert box.quantity == Decimal("6.00")
    assert (road.loss, road.most, road.gap) == (Decimal(60), Decimal("49.98"), Decimal("10.02"))
    sea = compute(both, sdr("hague-visby"), 12, listed_kg=10)
    assert (sea.limit, sea.most, sea.gap) == (Decimal("666.67"), Decimal(60), Decimal(0))


def test_one_limit_by_mass_covers_all_that_is_short_and_a_package_only_itself() -> None:
    """CMR, article 23(3): per kilogram of gross weight short. Hague-Visby Rules, article IV 5(a): per package."""
    both = [lost(16_000, "10", "A1", "B1"), lost(1_000, "5000", "A2", "B2")]
    assert compute(both, sdr("cmr")).most == Decimal("141.61")  # 17 x 8.33
    assert compute(both, sdr("hague-visby")).most == Decimal(10) + Decimal("666.67")


def test_the_unit_and_the_currency_asked_for_are_kept_apart() -> None:
    """CMR, article 23(3): 16 kg are 133.28 SDR, at 1.25 USD for one 166.60 USD; in yen without decimals."""
    (box,) = compute([lost(16_000)], sdr("cmr", currency="USD", rate=Decimal("1.25"))).lines
    assert (box.in_unit, box.amount) == (Decimal("133.28"), Decimal("166.60"))
    yen = compute([lost(16_000, "90000")], sdr("cmr", currency="JPY", rate=Decimal("190.123")))
    assert (yen.limit, yen.limit.as_tuple().exponent) == (Decimal(25340), 0)  # 133.28 x 190.123 = 25,339.59
    dinar = compute([lost(16_000)], sdr("cmr", currency="KWD", rate=Decimal("0.40123")))
    assert dinar.limit == Decimal("53.476")  # 133.28 x 0.40123 = 53.4759
    euros = compute([lost(1000)], household("full-value", "EUR", rate=Decimal("0.5")), shipment_kg=G_PER_LB / 10)
    assert (euros.lines[0].in_unit, euros.limit) == (Decimal("600.00"), Decimal("300.00"))


def test_rates_and_amounts_a_person_gives() -> None:
    rated = sdr("montreal", currency="USD", rate=Decimal("1.31"), dispatched=IN_FORCE)
    assert compute([lost(1_000)], rated).limit == Decimal("34.06")
    per_kg = LiabilityTerms(regime=REGIMES["per-kg"], currency="EUR", per_kg=Decimal(10))
    assert compute([lost(2_500)], per_kg).limit == Decimal(25)
    with pytest.raises(UsageError, match="special drawing rights"):
        compute([lost(1)], sdr("cmr", currency="USD"))
    with pytest.raises(RefusedError):
        compute([lost(1)], sdr("cmr", goods=Goods.HOUSEHOLD))
    for bad in (Decimal(0), Decimal(-1), Decimal("NaN"), Decimal("Infinity")):
        with pytest.raises(UsageError, match="not greater than zero"):
            compute([lost(1)], sdr("cmr", currency="USD", rate=bad))
        with pytest.raises(UsageError, match="not greater than zero"):
            compute([lost(1)], replace(per_kg, per_kg=bad))
    with pytest.raises(UsageError, match="per kilogram"):
        compute([lost(1)], replace(per_kg, per_kg=None))


def test_what_has_no_value_is_named_and_in_no_sum() -> None:
    found = compute([lost(1_000, None, "A1"), lost(1_000, "5", "A2")], sdr("hague-visby"))
    assert (found.unvalued, found.loss) == (("A1",), Decimal(5))


def test_what_is_worth_more_than_a_hundred_dollars_a_pound_is_named() -> None:
    """49 CFR 375.203 (from memory): to be declared to the mover in writing."""
    dear = [lost(G_PER_LB, "100", "A1"), lost(G_PER_LB, "100.01", "A2")]
    assert compute(dear, household("released-value")).to_name == ("A2",)
    euros = household("released-value", "EUR", rate=Decimal("0.5"))
    assert compute([lost(G_PER_LB, "50.01", "A1")], euros).to_name == ("A1",)
    assert compute(dear, sdr("montreal")).to_name == ()


def test_a_declared_value_counts_where_the_regime_knows_one_and_it_is_more() -> None:
    """CMR, article 24; the German removal has none in the table."""
    less = compute([lost(16_000)], sdr("cmr", declared=Decimal(100)))
    assert (less.limit, less.lines[0].figure is not None) == (Decimal("133.28"), True)
    removal = household("german-removal", "EUR", volume_m3=Decimal(1), declared=Decimal(5000))
    assert compute([lost(16_000)], removal).limit == Decimal(620)


def test_the_printed_factors_yield_the_printed_products() -> None:
    """Worked by hand: 180.61 lb x 6.00 = 1083.66; 8.69 lb x 0.60 = 5.21; 21.55 kg x 8.33 = 179.51 SDR, x 1.30 = 233.36.

    From the unrounded masses (81.92 kg, 3.944 kg, 21.5504 kg) they would be 1083.64, 5.22 and 233.37 or the like.
    """
    full = compute([lost(1_000)], household("full-value"), shipment_kg=81.925).lines[0]
    assert (full.quantity, full.in_unit) == (Decimal("180.61"), Decimal("1083.66"))
    released = compute([lost(3_943.9)], household("released-value")).lines[0]
    assert (released.quantity, released.in_unit) == (Decimal("8.69"), Decimal("5.21"))
    road = compute([lost(21_550.4)], sdr("cmr", currency="EUR", rate=Decimal("1.30"))).lines[0]
    assert (road.quantity, road.in_unit, road.amount) == (Decimal("21.55"), Decimal("179.51"), Decimal("233.36"))


def test_charges_are_shared_by_the_masses_that_are_printed() -> None:
    """CMR, article 23(4): two boxes of 3.334 and 3.334 kg are printed as 3.33 each: 100 x 6.66 / 10.00 = 66.60."""
    both = [lost(3_334, "1000", "A1", "B1"), lost(3_334, "1000", "A2", "B2")]
    road = compute(both, sdr("cmr", charges=Decimal(100)), shipment_kg=10)
    assert (road.counted_mass, road.shipment_mass, road.charges) == (Decimal("6.66"), Decimal(10), Decimal("66.60"))


def test_a_box_that_was_weighed_on_arrival_only_counts_as_weighed_then() -> None:
    """Montreal Convention, article 22(3): 29.10 kg x 26 = 756.60 SDR, not the 17.12 kg of its list."""
    mass = BoxMass(mass_g=29_100, source=MassSource.ARRIVAL, listed_g=17_120)
    terms = sdr("montreal", dispatched=IN_FORCE)
    found = compute_liability(
        [lost(2_000, "5000")], {"B1": mass}, terms, shipment_mass=Decimal("93.90"), shipment_boxes=6
    )
    assert (found.limit, found.counted[0].mass.source) == (Decimal("756.60"), MassSource.ARRIVAL)
