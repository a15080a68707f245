"""The demonstration's lists for insurer, carrier and customs; then one value is changed, and the proof names it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from intake.edges import clock, demo_scans, ecb_rates
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.flow.condition import condition_report
from intake.flow.condition.condition_report import Inspection
from intake.flow.papers import registry, verify_list
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper
from intake.flow.papers.render import print_paper
from intake.flow.values import exchange_rates, value_copies, value_sets
from intake.flow.values.figures import Figure
from intake.model.boxes import Consignment
from intake.model.condition import Occasion
from intake.model.editions import BookSet, Copy, CopyState, Grade
from intake.model.valuations import Basis

OWNER = "Ione Vellacroft and Matthis Drauwen"
RATES_ON = date(2026, 3, 31)
LIMIT = Decimal(200)
INSURED = Decimal(4000)
SET_TITLE = "Seabirds of the Corrovane Shelf"

WriteLine = Callable[[str], None]


def show(library: Library, scans: Path, folder: Path, write_line: WriteLine, *, station: str) -> None:
    """Take rates in, report two conditions, print every schedule, change one value, and verify the first list.

    A folder of scans that has no rates leaves this part out.
    """
    table = scans / "rates.csv"
    if not table.is_file():
        return
    write_line("")
    write_line("Lists for insurer, carrier and customs")
    read = ecb_rates.read(table, source="invented rates")
    taken = exchange_rates.import_rates(library, read, name=table.name, station=station, today=clock.today())
    write_line(f"  {table.name}: {taken.made} rates")
    looked_at = _look(library, scans, station=station)
    _value_a_set(library, station=station)
    _print(library, folder, looked_at, write_line, station=station)
    _change_and_verify(library, folder / "insurance.pdf", looked_at, write_line, station=station)


def _look(library: Library, scans: Path, *, station: str) -> Copy:
    """Report the condition of one shelved copy before and after the move, with a photograph, and return it."""
    with library.reading() as records:
        standing = [copy for copy, _ in all_copies(records) if copy.state is CopyState.SHELVED and copy.grade]
    copy = min(standing, key=lambda copy: (len(copy.accession), copy.accession))
    pictures = sorted(demo_scans.box_folder(scans, 1).glob("*.jpg"))[:1]
    before = Inspection(note="as listed at packing")
    after = Inspection(
        grade=Grade.GOOD, parts={"boards": "bumped corners", "jacket": "torn 3 cm at the head of the spine"}
    )
    for occasion, seen, shown in ((Occasion.BEFORE, before, ()), (Occasion.AFTER, after, pictures)):
        condition_report.report_condition(
            library, copy.accession, seen, occasion=occasion, photographs=tuple(shown), station=station, now=clock.now()
        )
    return copy


def _value_a_set(library: Library, *, station: str) -> None:
    with library.reading() as records:
        book_set = next((book_set for book_set in records.all(BookSet) if book_set.title == SET_TITLE), None)
    if book_set is None:
        return
    whole = Figure(amount=Decimal(560), currency="USD", on=RATES_ON, basis=Basis.MARKET, source="dealer’s letter")
    value_sets.value_set(library, book_set.id, whole, station=station, today=clock.today())


def _print(library: Library, folder: Path, copy: Copy, write_line: WriteLine, *, station: str) -> None:
    today = clock.today()
    values = PaperOptions(currency="EUR", rates_on=RATES_ON, owner=OWNER, single_limit=LIMIT, insured=INSURED)

    def save(paper: Paper[Any], name: str, summary: str, options: PaperOptions) -> None:
        print_paper(library, paper, options, folder / name, on=today, station=station)
        write_line(f"  {folder / name}  {summary}")

    for name in ("insurance.pdf", "insurance.xlsx", "insurance.csv"):
        save(registry.INSURANCE, name, "insurance schedule", values)
    dear = replace(values, limit=LIMIT)
    save(registry.HIGH_VALUE, "high-value.pdf", f"each copy worth more than EUR {LIMIT}", dear)
    with library.reading() as records:
        references = [consignment.reference for consignment in records.all(Consignment)]
    for reference in references:
        carried = replace(values, reference=reference)
        save(registry.MOVE, "move-inventory.pdf", "box by box, to be signed at both ends", carried)
        save(registry.CUSTOMS, "customs.pdf", "goods for customs", carried)
    of_copy = PaperOptions(copy=copy.accession, copies=(copy.accession,))
    save(registry.COPY, "copy.pdf", f"everything about copy {copy.accession}", of_copy)
    save(registry.CONDITION, "condition.pdf", "its condition before and after", of_copy)


def _change_and_verify(library: Library, printed: Path, copy: Copy, write_line: WriteLine, *, station: str) -> None:
    figure = Figure(
        amount=Decimal("210.00"), currency="EUR", on=clock.today(), basis=Basis.MARKET, source="a new offer"
    )
    value_copies.value_copy(library, copy.accession, figure, station=station, today=clock.today())
    write_line(f"  Copy {copy.accession} is valued anew; the printed insurance schedule is compared with the library:")
    for line in verify_list.result_lines(verify_list.verify(library, verify_list.find_proof(printed))):
        write_line(f"    {line}")
