"""A claim as a claimant would make it, every figure worked out by hand.

Three boxes on three days; four currencies of which one has no rate; a volume of a set, a copy without a value and an
unweighed box; a book that is on no list. Titles are invented.

| box | delivered | gross  | copies (mass, value)                                    | what became of them        |
| --- | --------- | ------ | ------------------------------------------------------- | -------------------------- |
| 1   | Fri 3 Jul | 3.6 kg | meadows 1 and 2 (1.5 kg, EUR 100 each)                  | there, and a book too many |
| 2   | Sat 4 Jul | never  | meadows 3 (2 kg, EUR 150), maps (4 kg, USD 500)         | missing; damaged           |
| 3   | Fri 10 Jul | 7.5 kg | gulls (1 kg, GBP 80), pots (2.5 kg), kilns (3 kg, JPY 9000) | all missing           |

EUR 1 = USD 1.25 = GBP 0.80 = XDR 0.80. So the loss is 150 + 500 / 1.25 + 80 / 0.80 = EUR 650.00, with JPY 9,000 and one
copy without a value beside it; 1 SDR is EUR 1.25 and USD 1 is EUR 0.80. Counted are 6 kg of box 2, which is all of its
list, and the 7.5 kg of box 3; the shipment weighs 3.6 + 6 + 7.5 = 17.1 kg. Today is Monday 13 July 2026.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.carriage.regimes import REGIMES
from intake.documents.moving import lay_out_notice
from intake.edges import fonts
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle
from intake.flow.moving.claim_notes import notes_of
from intake.flow.moving.claim_periods import period_rows
from intake.flow.moving.claim_words import limits_paper
from intake.flow.moving.claims import Claim, ClaimRequest, plan_claim
from intake.flow.moving.consignments import consign
from intake.flow.moving.reconcile import reconcile, record_damage
from intake.flow.papers.claim_papers import notice_content
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.flow.values.exchange_rates import enter_rate
from intake.flow.values.figures import Figure
from intake.flow.values.value_copies import value_copy
from intake.model.boxes import Consignment
from intake.model.carriage import Goods, LiabilityTerms
from intake.model.pages import Text
from intake.model.valuations import Basis
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

TODAY = date(2026, 7, 13)
DAYS = {"1": date(2026, 7, 3), "2": date(2026, 7, 4), "3": date(2026, 7, 10)}
CATALOG = """key,number,title,mass_g,set,volume
W1,,Meadows of the North,1500,Meadows,1
W2,,Meadows of the North,1500,Meadows,2
W3,,Meadows of the North,2000,Meadows,3
MA,,Maps of No Country,4000,,
GU,,Gulls at Night,1000,,
PO,,Pots and Their Makers,2500,,
KI,,Kilns of the Coast,3000,,
XX,1-85798-218-5,A Guide to Nowhere,700,,
"""
COPIES = """box,key,value,currency,basis,valued_on
1,W1,100,EUR,market,2026-01-15
1,W2,100,EUR,market,2026-01-15
2,W3,150,EUR,market,2026-01-15
2,MA,500,USD,agreed,2026-01-15
3,GU,80,GBP,purchase,2026-01-15
3,PO,,,,
3,KI,9000,JPY,market,2026-01-15
"""


@pytest.fixture(scope="module")
def moved_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("moved")
    with new_library(folder / "moved") as library:
        import_text(library, folder, ListKind.EDITIONS, CATALOG)
        import_text(library, folder, ListKind.COPIES, COPIES)
        for box, gross in (("1", 3600.0), ("2", None), ("3", 7500.0)):
            box_lifecycle.close_box(library, box, gross_g=gross, station="test")
        consign(library, Consignment(reference="C-1", dispatched=date(2026, 6, 20)), list(DAYS), station="test")
        for box, day in DAYS.items():
            seen = box_lifecycle.ArrivalReport(delivered=day)
            box_lifecycle.check_in(library, box, seen=seen, today=TODAY, station="test")
        for currency, per_euro in (("USD", "1.25"), ("GBP", "0.80"), ("XDR", "0.80")):
            enter_rate(library, "EUR", currency, Decimal(per_euro), on=TODAY, station="test", today=TODAY)
        for box, key in (("1", "W1"), ("1", "W2"), ("2", "MA")):
            book_scan(library, box, Scan(accession(library, key), key), station="test", now=NOW)
        surplus = Scan("1-85798-218-5", "surplus")
        book_scan(library, "1", surplus, choose=lambda question: question.options[-1], station="test", now=NOW)
        record_damage(library, accession(library, "MA"), "soaked", now=NOW, station="test")
        for box in DAYS:
            box_lifecycle.finish(library, box, now=NOW, station="test")
    return folder / "moved"


@pytest.fixture
def moved(moved_made: Path, tmp_path: Path) -> Library:
    """The library of the table above."""
    return copy_library(moved_made, tmp_path / "moved")


def accession(library: Library, key: str) -> str:
    with library.reading() as records:
        return next(copy.accession for copy, edition in all_copies(records) if edition.key == key)


def claim_of(library: Library, regime: str, goods: Goods = Goods.FREIGHT, **more: object) -> Claim:
    terms = replace(LiabilityTerms(regime=REGIMES[regime], currency="EUR", goods=goods), **more)  # type: ignore[arg-type] # by name
    with library.reading() as records:
        return plan_claim(records, "C-1", ClaimRequest(terms=terms, insured=Decimal(500)), today=TODAY)


def sums(claim: Claim) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    assert claim.owed is not None
    return claim.owed.loss, claim.owed.limit, claim.owed.most, claim.owed.gap


def test_by_road(moved: Library) -> None:
    """CMR, articles 23(3), 23(4) and 30: 13.5 x 8.33 = 112.46, x 1.25 = 140.58; 200 x 13.5 / 17.1 = 157.89."""
    claim = claim_of(moved, "cmr", charges=Decimal(200))
    assert sums(claim) == (Decimal("650.00"), Decimal("140.58"), Decimal("298.47"), Decimal("509.42"))
    paper = limits_paper(claim, today=TODAY)
    assert paper.deliveries == (
        "Delivered on 2026-07-03: B1-56", "Delivered on 2026-07-04: B2-47", "Delivered on 2026-07-10: B3-38",
    )  # fmt: skip
    assert paper.periods[1][1].splitlines() == [
        "2026-07-11: over (delivered 2026-07-03)",
        "2026-07-13: today (delivered 2026-07-04)",
        "2026-07-18: 5 days left (delivered 2026-07-10)",
    ]
    facts = dict(paper.facts)
    unrated = "1 copy worth JPY 9,000: no rate of EUR in JPY is recorded"
    assert facts["In none of these sums"] == f"1 copy without a value; {unrated}"
    assert facts["Refunded of the charges besides"] == "EUR 157.89"
    assert [(row[0], row[1], row[3], row[4]) for row in paper.losses] == [
        ("damaged", "agreed", "USD 500.00", "EUR 400.00"),
        ("missing", "no value recorded", "", "in no sum"),
        ("missing", "market", "EUR 150.00", "EUR 150.00"),
        ("missing", "market", "JPY 9,000", "in no sum: no rate of EUR in JPY is recorded"),
        ("missing", "purchase", "GBP 80.00", "EUR 100.00"),
    ]
    assert [(box, mass) for box, _, mass in paper.counted] == [("B2-47", "6.00 kg"), ("B3-38", "7.50 kg")]
    assert "never weighed" in paper.counted[0][1]
    assert f"Volumes of a set: {accession(moved, 'W3')}." in "\n".join(dict(paper.notes)["What was counted"])


def test_by_sea(moved: Library) -> None:
    """Hague-Visby Rules, article IV 5(a) and (c): 666.67 x 1.25 = 833.34 a box, of which 550 and 100 are lost."""
    claim = claim_of(moved, "hague-visby")
    assert sums(claim) == (Decimal("650.00"), Decimal("1666.68"), Decimal("650.00"), Decimal(0))
    container = claim_of(moved, "hague-visby", packages=1)
    assert sums(container) == (Decimal("650.00"), Decimal("833.34"), Decimal("650.00"), Decimal(0))


def test_by_air(moved: Library) -> None:
    """Montreal Convention, article 22(3) and (4): box 1 holds the rest of the set: 17.1 x 26 x 1.25 = 555.75."""
    claim = claim_of(moved, "montreal")
    assert sums(claim) == (Decimal("650.00"), Decimal("555.75"), Decimal("555.75"), Decimal("94.25"))
    assert claim.owed is not None
    assert [box.box for box in claim.owed.counted if box.beside] == ["B1-56"]


def test_by_a_mover(moved: Library) -> None:
    """49 CFR 375 (seen in a copy): 13.23 and 16.53 lb at 0.60: USD 7.94 and 9.92, at 0.80 EUR: 6.35 + 7.94.

    HGB 451e: 2 x 620.
    """
    released = claim_of(moved, "released-value", Goods.HOUSEHOLD)
    assert sums(released) == (Decimal("650.00"), Decimal("14.29"), Decimal("14.29"), Decimal("635.71"))
    removal = claim_of(moved, "german-removal", Goods.HOUSEHOLD, volume_m3=Decimal(2))
    assert sums(removal) == (Decimal("650.00"), Decimal(1240), Decimal("650.00"), Decimal(0))


def test_a_mover_is_freed_only_as_far_as_the_law_says(moved: Library) -> None:
    """HGB, section 451d: (1) as far as due to that danger; presumed, rebuttable (2); measures due (3); from memory.

    BGB, section 193 (from memory): the day after Friday 3 July 2026 is a Saturday.
    """
    claim = claim_of(moved, "german-removal", Goods.HOUSEHOLD, volume_m3=Decimal(2))
    text = "\n".join(line for _, lines in notes_of(claim) for line in lines)
    documents, packed = (
        next(line for line in text.splitlines() if word in line) for word in ("Documents, stamps", "did not pack")
    )
    for line in (documents, packed):
        assert "only if it took the measures due" in line
        assert "as far as the loss is due to" in line
        assert "rebut" in line
    assert "not covered at all" not in text
    assert "Last days are not moved here" in text
    visible = next(period_rows(claim, TODAY))[1].splitlines()
    moved_to = "; no working day, so arguably until 2026-07-06 (BGB, section 193, from memory)"
    assert visible[0] == f"2026-07-04: over (delivered 2026-07-03){moved_to}"
    assert visible[2] == f"2026-07-11: over (delivered 2026-07-10){moved_to.replace('07-06', '07-13')}"


def test_the_insurer_with_average(moved: Library) -> None:
    """At risk: 100 + 100 + 150 + 400 + 100 = 850, two copies unknown; paid 650 x 500 / 850 = 382.35."""
    claim = claim_of(moved, "cmr")
    assert (claim.at_risk.amount, claim.at_risk.copies, claim.at_risk.unknown) == (Decimal("850.00"), 7, 2)
    assert claim.average is not None
    assert claim.average.paid == Decimal("382.35")


def test_the_report(moved: Library) -> None:
    with moved.reading() as records:
        found = reconcile(records, "C-1")
    assert found.totals == (
        "Missing: 4, worth EUR 150.00 and GBP 80.00 and JPY 9,000 and 1 not valued",
        "Damaged: 1, worth USD 500.00",
        "Surplus: 1 on no list, in no sum",
    )


def test_a_value_of_after_the_delivery_makes_no_loss(moved: Library) -> None:
    """CMR, article 23(1) and (2): what the goods were worth when they were taken over, not after they were damaged.

    Maps, soaked on 4 July, valued at USD 100 on the 5th: still USD 500. Meadows 3, valued at EUR 160 on the day of its
    delivery: EUR 10 more. Pots, of which nothing of before the 10th is on record, EUR 40 of the 11th: EUR 40 more. At
    risk is as much more: 850 + 10 + 40 = 900.
    """
    maps, meadows, pots = (accession(moved, key) for key in ("MA", "W3", "PO"))
    for copy, amount, currency, day in ((maps, 100, "USD", 5), (meadows, 160, "EUR", 4), (pots, 40, "EUR", 11)):
        on = date(2026, 7, day)
        figure = Figure(amount=Decimal(amount), currency=currency, on=on, basis=Basis.REPLACEMENT)
        value_copy(moved, copy, figure, station="test", today=TODAY)
    claim = claim_of(moved, "cmr")
    assert claim.owed is not None
    assert (claim.owed.loss, claim.at_risk.amount) == (Decimal("700.00"), Decimal("900.00"))
    later = f"Valued only after the delivery, as nothing of before is on record: {pots} (2026-07-11)."
    newer = (
        f"Valued again after the delivery, which is no part of the loss: {maps} USD 100.00, replacement, 2026-07-05."
    )
    assert {later, newer} <= set(dict(notes_of(claim))["What was counted"])
    with moved.reading() as records:
        found = reconcile(records, "C-1")
        letter = notice_content(records, "C-1", on=TODAY)
    assert found.newer == (newer,)
    for totals in (found.totals, letter.totals):
        assert {"Damaged: 1, worth USD 500.00", later} <= set(totals)
        assert newer not in totals, "a paper for the carrier does not value its damage for it"
    damaged = next(line for line in letter.lines if line.number == maps)
    assert (damaged.amount, damaged.basis, damaged.valued_on) == (Decimal(500), Basis.AGREED, date(2026, 1, 15))
    pages = lay_out_notice(letter, measure=fonts.measure)
    printed = [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]
    assert {"USD 500.00", "agreed", "2026-01-15"} <= set(printed)
