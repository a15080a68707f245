"""How long large print jobs take: printed, never asserted. Run with `pytest --benchmark-only -m "slow or not slow"`."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from intake.documents import inventories, labels, lists, schedules
from intake.edges import collector, fonts, pdf, templates
from intake.model.pages import PrintReport
from intake.model.papers import Inventory, InventoryLine, LabelUse, Package, PackedLine, PackingList
from intake.model.schedules import Schedule, ScheduleGroup, ScheduleLine
from intake.model.valuations import Basis

pytestmark = pytest.mark.slow


def once(benchmark: Any, job: Callable[[], PrintReport]) -> PrintReport:
    with collector.paused():  # as `intake.flow.papers.render` does
        report: PrintReport = benchmark.pedantic(job, rounds=1)
    return report


def test_ten_thousand_labels_with_qr(benchmark: BenchmarkFixture) -> None:
    template = templates.read("a4-3x8", LabelUse.SHELF)
    contents = [
        {"number": f"S{n}-{n % 97:02d}", "room": "Study", "place": f"Case {n % 40}", "range": f"Gräser {n} – Moose {n}"}
        for n in range(1, 10_001)
    ]

    def job() -> PrintReport:
        return pdf.draw(labels.lay_out(template, contents, measure=fonts.measure), title="labels")[1]

    report = once(benchmark, job)
    assert report.pages == 417


def test_inventory_of_five_thousand_lines(benchmark: BenchmarkFixture) -> None:
    lines = tuple(
        InventoryLine(
            number=f"A{n}-{n % 97:02d}",
            title=f"Die Gräser der Küste und ihre Verwandten, Band {n}" if n % 9 else f"鳥の島 {n}",
            contributors="Irma Tessendorf; Ottokar Brindlmayer",
            edition="3rd edition, 1987",
            condition="Very Good / Near Fine; small tear at head of spine",
            where=f"Study {n % 40}.{n % 7}",
            amount=Decimal(n) / 4,
            currency="EUR",
            basis=Basis.REPLACEMENT,
            source="own estimate",
            valued_on=date(2026, 2, 1),
        )
        for n in range(1, 5_001)
    )
    inventory = Inventory(purpose="insurance schedule", on=date(2026, 3, 4), lines=lines)

    def job() -> PrintReport:
        return pdf.draw(inventories.lay_out(inventory, measure=fonts.measure), title="inventory")[1]

    report = once(benchmark, job)
    assert report.pages > 100


def test_insurance_list_of_three_thousand_lines(benchmark: BenchmarkFixture) -> None:
    lines = [
        ScheduleLine(
            number=f"A{n}-{n % 97:02d}",
            title=f"Die Gräser der Küste und ihre Verwandten, Band {n}" if n % 9 else f"鳥の島 {n}",
            more="vol. 2; Irma Tessendorf, Ottokar Brindlmayer; 3rd edition, 1987",
            condition="Very Good / Near Fine; small tear at head of spine",
            where=f"Study {n % 40}.{n % 7}",
            amount=Decimal(n) / 4,
            currency="EUR",
            basis=Basis.REPLACEMENT,
            recorded=f"EUR {n / 4:.2f} replacement, own estimate, 2026-02-{n % 28 + 1:02d}",
        )
        for n in range(3_000)
    ]
    groups = tuple(ScheduleGroup(name=f"Room {n}", lines=tuple(lines[n * 300 : n * 300 + 300])) for n in range(10))
    schedule = Schedule(title="Insurance schedule", on=date(2026, 3, 4), currency="EUR", groups=groups)

    def job() -> PrintReport:
        return pdf.draw(schedules.lay_out(schedule, measure=fonts.measure), title="insurance")[1]

    report = once(benchmark, job)
    assert report.pages > 100


def test_three_hundred_packing_lists(benchmark: BenchmarkFixture) -> None:
    def packed(box: int) -> PackingList:
        lines = tuple(
            PackedLine(
                number=f"A{box * 25 + n}-{n:02d}",
                title=f"Die Gräser der Küste {box * 25 + n} und ihre Verwandten" if n % 9 else f"鳥の島 {box * 25 + n}",
                contributors="Irma Tessendorf; Ottokar Brindlmayer",
                volume=f"vol. {n}",
                edition="3rd edition, 1987",
                mass_g=500.0 + n,
            )
            for n in range(25)
        )
        package = Package(number=f"B{box}-10", contents="books", quantity=25, marks="Keep dry", gross_g=18_000.0)
        return PackingList(package=package, lines=lines, consignment="C-1", on=date(2026, 3, 4), caution="Two people")

    def job() -> PrintReport:
        laid = (lists.lay_out_packing_list(packed(box), measure=fonts.measure) for box in range(300))
        return pdf.draw([page for pages in laid for page in pages], title="boxes")[1]

    report = once(benchmark, job)
    assert report.pages >= 300
