"""How often the database is asked: as often for many boxes and copies as for few, and never long under the lock."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.carriage.regimes import REGIMES
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle, plan_packing
from intake.flow.moving.box_masses import box_lifts
from intake.flow.moving.claims import ClaimRequest, plan_claim
from intake.flow.moving.consignments import consign, freight
from intake.flow.moving.guess_parcel import look_into
from intake.flow.moving.pack_copies import pack
from intake.flow.moving.progress import box_progress, progress
from intake.flow.moving.reconcile import reconcile, record_damage
from intake.flow.moving.weigh_box import record_mass, weigh_box
from intake.flow.values import value_copies, value_sets
from intake.flow.values.figures import Figure
from intake.model.boxes import Box, Consignment
from intake.model.carriage import Goods, LiabilityTerms
from intake.model.valuations import Basis
from tests.counting import count_statements
from tests.flow.conftest import NOW, import_text

TODAY = date(2026, 5, 4)
CLAIM = ClaimRequest(
    terms=LiabilityTerms(regime=REGIMES["full-value"], currency="USD", goods=Goods.HOUSEHOLD), insured=Decimal(100)
)
FIGURE = Figure(amount=Decimal("80.00"), currency="EUR", on=date(2026, 3, 1), basis=Basis.MARKET)
MANY = 40
"""Boxes of the larger library, besides the two of the smaller."""


@pytest.fixture
def delivered(library: Library) -> Library:
    """Two boxes in a consignment; box 1 has arrived, was unpacked in part and finished."""
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.close_box(library, "2", gross_g=9000, station="test")
    consign(library, Consignment(reference="R-1", carrier="Invented Haulage"), ["1", "2"], station="test")
    arrival = box_lifecycle.ArrivalReport(delivered=TODAY)
    box_lifecycle.check_in(library, "1", seen=arrival, today=TODAY, station="test")
    box_lifecycle.finish(library, "1", now=NOW, station="test")
    record_mass(library, "2", 9100, station="test")
    return library


@pytest.fixture
def many(delivered: Library, tmp_path: Path) -> Library:
    """The same with forty more boxes in the consignment, each missing what its list names."""
    rows = [f"{nth},Study,{key},25,EUR,market,2026-01-15" for nth in range(10, 10 + MANY) for key in ("F1", "G1", "P5")]
    import_text(delivered, tmp_path, ListKind.COPIES, "\n".join(["box,room,key,value,currency,basis,valued_on", *rows]))
    numbers = [str(nth) for nth in range(10, 10 + MANY)]
    for number in numbers:
        box_lifecycle.close_box(delivered, number, station="test")
    consign(delivered, Consignment(reference="R-1"), numbers, station="test")
    for number in numbers[:-1]:
        box_lifecycle.check_in(delivered, number, station="test")
        box_lifecycle.finish(delivered, number, now=NOW, station="test")
    return delivered


Question = Callable[[LibraryReader], object]


def the_box(records: LibraryReader) -> Box:
    box = records.get(Box, "B2-47")
    assert box is not None
    return box


QUESTIONS: dict[str, tuple[Question, int]] = {
    "progress": (progress, 4),
    "progress of a box": (lambda records: box_progress(records, the_box(records)), 3),
    "reconcile": (lambda records: reconcile(records, "R-1"), 12),
    "claim": (lambda records: plan_claim(records, "R-1", CLAIM, today=TODAY), 21),
    "freight": (lambda records: freight(records, "R-1"), 2),
    "weigh": (lambda records: weigh_box(records, "B2-47"), 8),
    "lifts": (lambda records: box_lifts(records, list_boxes(records)), 4),
    "parcel": (lambda records: look_into(records, "B2-47", mass_g=500, scale_g=10), 7),
    "plan": (lambda records: plan_packing.plan_copies(records, (), going=lambda: False), 10),
    "total": (lambda records: value_copies.worth(records, "EUR", on=TODAY), 5),
    "review": (lambda records: value_copies.review(records, "EUR", on=TODAY, years=3), 4),
    "sets": (value_sets.set_states, 3),
}


def statements(library: Library, question: Question) -> int:
    with library.reading() as records, count_statements(library) as count:
        question(records)
    return count.statements


@pytest.fixture
def counts_of_few(delivered: Library) -> dict[str, int]:
    return {name: statements(delivered, question) for name, (question, _) in QUESTIONS.items()}


def test_many_boxes_are_asked_about_in_as_many_statements_as_two(counts_of_few: dict[str, int], many: Library) -> None:
    counts = {name: statements(many, question) for name, (question, _) in QUESTIONS.items()}
    assert counts == counts_of_few
    assert {name: count for name, count in counts.items() if count > QUESTIONS[name][1]} == {}


def test_a_step_takes_the_lock_once_and_computes_nothing_under_it(delivered: Library) -> None:
    """Under the lock are only what applying takes: the keys, what is supposed, the record, the ledger."""
    steps: dict[str, Callable[[], object]] = {
        "open": lambda: box_lifecycle.open_box(delivered, Box(number=""), station="test"),
        "pack": lambda: pack(delivered, "3", "G2", station="test"),
        "close": lambda: box_lifecycle.close_box(delivered, "3", station="test"),
        "arrive": lambda: box_lifecycle.check_in(delivered, "3", station="test"),
        "finish": lambda: box_lifecycle.finish(delivered, "3", now=NOW, station="test"),
        "value": lambda: value_copies.value_copy(delivered, "1", FIGURE, station="test", today=TODAY),
        "set": lambda: value_sets.value_set(delivered, 1, FIGURE, station="test", today=TODAY),
    }
    for name, step in steps.items():
        with count_statements(delivered) as count:
            step()
        assert count.writing == 1, name
        assert count.statements <= 22, name


def test_one_copy_is_compared_with_its_peers_in_as_many_statements_whatever_the_size(
    delivered: Library, tmp_path: Path
) -> None:
    def cost() -> int:
        with count_statements(delivered) as count:
            value_copies.value_copy(delivered, "1", FIGURE, station="test", today=TODAY)
        return count.statements

    import_text(delivered, tmp_path, ListKind.COPIES, "key,value,currency\n" + "F1,25,EUR\n" * 6)
    before = cost()
    import_text(delivered, tmp_path, ListKind.COPIES, "key,value,currency\n" + "F1,25,EUR\n" * 60)
    assert cost() == before


def test_a_refused_step_leaves_the_counters_as_they_were(delivered: Library) -> None:
    def counters() -> list[object]:
        with delivered.reading() as records:
            return list(records.connection.exec_driver_sql("SELECT name, last FROM counter ORDER BY name"))

    before = counters()
    with pytest.raises(RefusedError, match="unpack it first"):
        record_damage(delivered, "1", "torn", now=NOW, station="test")
    with pytest.raises(RefusedError, match="recorded already"):
        box_lifecycle.open_box(delivered, Box(number="1"), station="test")
    assert counters() == before
