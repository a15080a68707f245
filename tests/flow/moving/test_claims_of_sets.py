"""A set of three volumes in three boxes, with a double: what is incomplete, what a fall in value is, what was at risk.

Worked by hand. Titles are invented. Box 1 holds volume 1 (EUR 95.50) and volume 2 (EUR 95.50), box 2 volume 3
(EUR 113) and a book by itself (EUR 80), box 3 a second copy of volume 3 (EUR 90). The complete set is worth EUR 520,
without volume 3 EUR 191: a fall of EUR 329. Each book weighs 1000 g. Box 1 was weighed at packing (2.5 kg), box 2 on
arrival (2.91 kg), box 3 never.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.carriage.regimes import REGIMES
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle
from intake.flow.moving.claim_words import limits_paper
from intake.flow.moving.claims import Claim, ClaimRequest, plan_claim
from intake.flow.moving.consignments import consign
from intake.flow.moving.reconcile import record_damage
from intake.flow.papers.claim_papers import gather_discrepancies, notice_content
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.flow.values import exchange_rates, value_copies, value_sets
from intake.flow.values.figures import Figure
from intake.flow.values.value_words import loss_lines, total_lines
from intake.model.boxes import Consignment, MassSource
from intake.model.carriage import Goods, LiabilityTerms
from intake.model.valuations import Basis
from tests.flow.conftest import NOW, import_text
from tests.made_library import new_library

TODAY = date(2026, 7, 13)
CATALOG = """key,number,title,mass_g,set,volume,height_mm,width_mm,thickness_mm
W1,,Meadows of the North,1000,Meadows,1,,,
W2,,Meadows of the North,1000,Meadows,2,,,
W3,,Meadows of the North,1000,Meadows,3,,,
GU,,Gulls at Night,1000,,,,,
"""
COPIES = """box,key,value,currency,basis,valued_on
1,W1,95.50,EUR,market,2026-01-15
1,W2,95.50,EUR,market,2026-01-15
2,W3,113,EUR,market,2026-01-15
2,GU,80,EUR,market,2026-01-15
"""
DOUBLE = "3,W3,90,EUR,market,2026-01-15\n"
TERMS = LiabilityTerms(regime=REGIMES["montreal"], currency="EUR", rate=Decimal("1.30"), dispatched=date(2026, 6, 20))


def moved(tmp_path: Path, *, double: bool, unvalued: str = "") -> Library:
    """The library of the table above, with everything arrived and nothing unpacked."""
    library = new_library(tmp_path / "moved")
    import_text(library, tmp_path, ListKind.EDITIONS, CATALOG)
    listed = COPIES + (DOUBLE if double else "")
    if unvalued:
        listed = listed.replace(unvalued, ",".join(unvalued.split(",")[:2]) + ",,,,")
    import_text(library, tmp_path, ListKind.COPIES, listed)
    boxes = {"1": 2500.0, "2": None} | ({"3": None} if double else {})
    for box, gross in boxes.items():
        box_lifecycle.close_box(library, box, gross_g=gross, station="test")
    consign(library, Consignment(reference="C-1", dispatched=date(2026, 6, 20)), list(boxes), station="test")
    for box in boxes:
        seen = box_lifecycle.ArrivalReport(delivered=TODAY, arrived_g=2910.0 if box == "2" else None)
        box_lifecycle.check_in(library, box, seen=seen, today=TODAY, station="test")
    return library


def value_whole_and_rest(library: Library) -> None:
    with library.reading() as records:
        (state,) = value_sets.set_states(records)
    for amount, lacking in (("520", ""), ("191", "3")):
        figure = Figure(amount=Decimal(amount), currency="EUR", on=TODAY, basis=Basis.MARKET)
        value_sets.value_set(library, state.set.id, figure, lacking=lacking, station="test", today=TODAY)


def accession(library: Library, key: str, box: str) -> str:
    with library.reading() as records:
        return next(copy.accession for copy, edition in all_copies(records) if (edition.key, copy.box) == (key, box))


def unpacked(library: Library, *found: tuple[str, str]) -> None:
    """Take these copies out of their boxes, and finish every box, so that the rest is missing."""
    with library.reading() as records:
        boxes = sorted({copy.box for copy, _ in all_copies(records) if copy.box})
    for key, box in found:
        copy = accession(library, key, box)
        book_scan(library, box, Scan(copy, copy), station="test", now=NOW)
    for box in boxes:
        box_lifecycle.finish(library, box, now=NOW, station="test")


def claim_of(library: Library, terms: LiabilityTerms = TERMS, insured: str | None = None) -> Claim:
    request = ClaimRequest(terms=terms, insured=Decimal(insured) if insured else None)
    with library.reading() as records:
        return plan_claim(records, "C-1", request, today=TODAY)


def notes(claim: Claim, heading: str) -> str:
    return "\n".join(dict(limits_paper(claim, today=TODAY).notes)[heading])


def test_a_lost_volume_by_air_and_a_box_weighed_on_arrival(tmp_path: Path) -> None:
    """Montreal Convention, article 22(4): 2.91 kg of box 2, 2.50 kg of box 1: 5.41 x 26 = 140.66, x 1.30 = 182.86."""
    library = moved(tmp_path, double=False)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"))
    claim = claim_of(library)
    assert claim.owed is not None
    assert [(box.box, box.beside, box.mass.source, box.quantity) for box in claim.owed.counted] == [
        ("B2-47", False, MassSource.ARRIVAL, Decimal("2.91")), ("B1-56", True, MassSource.PACKING, Decimal("2.50")),
    ]  # fmt: skip
    assert claim.owed.limit == Decimal("182.86")
    assert "weighed on arrival" in limits_paper(claim, today=TODAY).counted[0][1]
    assert "Weighed on arrival only: B2-47" in notes(claim, "What was counted")
    assert (claim.unweighed, claim.on_arrival) == ((), ("B2-47",))


def test_a_set_with_another_copy_of_the_lost_volume_is_complete(tmp_path: Path) -> None:
    library = moved(tmp_path, double=True)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"), ("W3", "B3-38"))
    claim = claim_of(library)
    assert claim.owed is not None
    assert [box.box for box in claim.owed.counted] == ["B2-47"]


def test_a_damaged_volume_leaves_its_set_complete(tmp_path: Path) -> None:
    library = moved(tmp_path, double=False)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"), ("W3", "B2-47"))
    damaged = accession(library, "W3", "B2-47")
    record_damage(library, damaged, "wet", now=NOW, station="test")
    claim = claim_of(library)
    assert claim.owed is not None
    assert [box.box for box in claim.owed.counted] == ["B2-47"]
    assert f"Damaged volumes of a set: {damaged}." in notes(claim, "What was counted")
    assert claim.falls == ()


def test_the_fall_of_a_set_stands_beside_the_volume(tmp_path: Path) -> None:
    """The volume counts with its EUR 113; 520 - 191 = 329 is named. At risk 520 + 80 = 600, as totals have it.

    Insured for 300: 113 x 300 / 600 = 56.50; of the fall 329 x 300 / 600 = 164.50.
    """
    library = moved(tmp_path, double=False)
    value_whole_and_rest(library)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"))
    road = replace(TERMS, regime=REGIMES["cmr"], goods=Goods.FREIGHT)
    claim = claim_of(library, road, insured="300")
    assert claim.owed is not None
    assert claim.owed.loss == Decimal(113)
    (fall,) = claim.falls
    assert (fall.volumes, fall.fall) == ((accession(library, "W3", "B2-47"),), Decimal(329))
    assert "the pair-and-set amount is EUR 329.00" in notes(claim, "What was counted")
    assert (claim.at_risk.amount, claim.at_risk.copies, claim.at_risk.unknown) == (Decimal(600), 4, 0)
    assert "with its own value of EUR 520.00" in notes(claim, "Insurance")
    assert claim.average is not None
    assert claim.average_by_sets is not None
    assert (claim.average.paid, claim.average_by_sets.paid) == (Decimal("56.50"), Decimal("164.50"))


def test_a_further_loss_starts_from_the_set_as_it_is(tmp_path: Path) -> None:
    """Volume 3 is gone: of EUR 191 the other volume leaves 95.50, so volume 1 costs 95.50; 520 does not count."""
    library = moved(tmp_path, double=False)
    value_whole_and_rest(library)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"))
    with library.reading() as records:
        (state,) = value_sets.set_states(records)
        losses = value_sets.losses_of_one(records, state, on=TODAY)
    assert losses is not None
    assert [(loss.volume, loss.before, loss.difference) for loss in losses.losses] == [
        ("1", Decimal(191), Decimal("95.50")), ("2", Decimal(191), Decimal("95.50")),
    ]  # fmt: skip
    assert (losses.gaps, losses.unknown) == (("3",), ())


def test_a_further_loss_is_not_known_where_nobody_valued_the_set_as_it_is(tmp_path: Path) -> None:
    library = moved(tmp_path, double=False)
    with library.reading() as records:
        (state,) = value_sets.set_states(records)
    figure = Figure(amount=Decimal(520), currency="EUR", on=TODAY, basis=Basis.MARKET)
    value_sets.value_set(library, state.set.id, figure, station="test", today=TODAY)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"))
    with library.reading() as records:
        (state,) = value_sets.set_states(records)
        losses = value_sets.losses_of_one(records, state, on=TODAY)
    assert losses is not None
    assert (losses.losses, losses.unknown) == ((), ("1", "2"))
    claim = claim_of(library)
    # The claim is about the first loss: the two volumes that are left are worth 95.50 each, 520 - 191 = 329.
    assert [(fall.fall, fall.by_singles) for fall in claim.falls] == [(Decimal(329), True)]
    assert "the pair-and-set amount is EUR 329.00" in notes(claim, "What was counted")


@pytest.mark.parametrize(
    ("rate", "basis", "fall", "words"),
    [
        ("", Basis.MARKET, None, "valued at JPY 40,000, market, which cannot be converted into EUR"),
        ("160", Basis.MARKET, Decimal(270), "EUR 250.00 now, as valued at JPY 40,000"),  # 40,000 / 160 = 250
        ("160", Basis.AGREED, None, "valued at JPY 40,000, agreed, which is another basis than market"),
    ],
)
def test_the_stated_value_of_what_is_left_is_never_replaced_by_the_sum_of_its_volumes(
    tmp_path: Path, rate: str, basis: Basis, fall: Decimal | None, words: str
) -> None:
    """Worked by hand: 520 - 40,000 / 160 = 270; the volumes that are left would make 191, of which nothing is said."""
    library = moved(tmp_path, double=False)
    for amount, currency, lacking, on_basis in (("520", "EUR", "", Basis.MARKET), ("40000", "JPY", "3", basis)):
        figure = Figure(amount=Decimal(amount), currency=currency, on=TODAY, basis=on_basis)
        value_sets.value_set(library, 1, figure, lacking=lacking, station="test", today=TODAY)
    if rate:
        exchange_rates.enter_rate(library, "EUR", "JPY", Decimal(rate), on=TODAY, station="test", today=TODAY)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"))
    claim = claim_of(library, insured="300")
    assert [(one.fall, one.by_singles) for one in claim.falls] == [(fall, False)]
    counted = notes(claim, "What was counted")
    assert words in counted
    assert ("so what the loss took from the set is not known" in counted) is (fall is None)
    assert (claim.average_by_sets is None) is (fall is None)
    with library.reading() as records:
        total = value_copies.worth(records, "EUR", on=TODAY)
        (state,) = value_sets.set_states(records)
        losses = value_sets.losses_of_one(records, state, on=TODAY)
    lost = accession(library, "W3", "B2-47")
    assert any(f"What the loss of {lost} took from it is not known" in line for line in total_lines(total, limit=9))
    assert losses is not None
    if not rate:  # what is asked for is what was not done yet
        (asked, *_) = loss_lines(losses)
        assert "is valued without volume 3; value it without one more too, or every other volume by itself" in asked


def test_the_loss_of_a_volume_is_said_with_the_figures_it_is_the_difference_of(tmp_path: Path) -> None:
    """Of 520 volumes 2 and 3 leave 95.50 + 113 = 208.50, so volume 1 costs 311.50."""
    library = moved(tmp_path, double=False)
    value_whole_and_rest(library)
    with library.reading() as records:
        (state,) = value_sets.set_states(records)
        losses = value_sets.losses_of_one(records, state, on=TODAY)
    assert losses is not None
    assert next(loss_lines(losses)) == (
        "  loss of volume 1: EUR 311.50 (EUR 520.00 less EUR 208.50, the sum of the individual values of the other "
        "volumes)"
    )


def test_a_fall_is_not_known_where_a_volume_that_is_left_has_no_value(tmp_path: Path) -> None:
    library = moved(tmp_path, double=False, unvalued="1,W2,95.50,EUR,market,2026-01-15")
    with library.reading() as records:
        (state,) = value_sets.set_states(records)
    figure = Figure(amount=Decimal(520), currency="EUR", on=TODAY, basis=Basis.MARKET)
    value_sets.value_set(library, state.set.id, figure, station="test", today=TODAY)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"))
    claim = claim_of(library)
    assert [fall.fall for fall in claim.falls] == [None]
    assert "what the loss took from the set is not known" in notes(claim, "What was counted")


def test_masses_of_the_catalog_that_cannot_be_right_are_named_beside_those_counted(tmp_path: Path) -> None:
    """9000 g in 200 x 150 x 10 mm would be 30 g/cm³; the middle of the other books, 1000 g, counts."""
    library = moved(tmp_path, double=False)
    import_text(
        library,
        tmp_path,
        ListKind.EDITIONS,
        CATALOG.replace("GU,,Gulls at Night,1000,,,,,", "GU,,Gulls at Night,9000,,,200,150,10"),
    )
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("W3", "B2-47"))
    claim = claim_of(library)
    (doubted,) = claim.doubted
    assert (doubted.copy, doubted.stated_g) == (accession(library, "GU", "B2-47"), 9000)
    assert f"{doubted.copy} 9.00 kg, counted as {doubted.counted_g / 1000:.2f} kg" in notes(claim, "What was counted")


def test_report_and_letter_name_the_set_that_is_incomplete(tmp_path: Path) -> None:
    library = moved(tmp_path, double=False)
    value_whole_and_rest(library)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"))
    lost = accession(library, "W3", "B2-47")
    with library.reading() as records:
        letter = notice_content(records, "C-1", on=TODAY)
        report = gather_discrepancies(
            PaperSource(library, records, TODAY, PaperFormat.PDF), PaperOptions(reference="C-1")
        )
    # The sum has the volume's own EUR 113; the set was worth 520 with it.
    assert letter.totals[0] == report.totals[0] == "Missing: 1, worth EUR 113.00"
    assert letter.totals[1] == report.totals[1]
    assert f"valued as a whole at EUR 520.00, is incomplete without {lost}." in letter.totals[1]
    assert "is in none of them, and is reserved" in letter.totals[1]


def test_a_set_that_has_another_copy_of_the_lost_volume_is_not_named(tmp_path: Path) -> None:
    library = moved(tmp_path, double=True)
    unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"), ("W3", "B3-38"))
    with library.reading() as records:
        assert not any("incomplete" in total for total in notice_content(records, "C-1", on=TODAY).totals)
