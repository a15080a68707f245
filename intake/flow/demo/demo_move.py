"""The demonstration's move: a packing plan, what the boxes looked like on delivery, what the scale says, and the claim.

The person of the demonstration writes down what was seen of cartons and seals, weighs three boxes, finds one copy
damaged, and asks what a wrapped parcel contains before opening it. The exchange rate is invented.
"""

import time
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

from intake.documents.disclaimers import NOT_LEGAL_ADVICE
from intake.edges import clock, sheets
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import copies_in_box
from intake.edges.store.reader import LibraryReader
from intake.flow.moving import box_lifecycle, plan_packing
from intake.flow.moving.claim_words import limits_paper
from intake.flow.moving.guess_parcel import look_into
from intake.flow.moving.masses import of_collection
from intake.flow.moving.reconcile import reconcile, record_damage
from intake.flow.moving.weigh_box import explanation_rows, weigh_box, words_of
from intake.flow.papers import registry
from intake.flow.papers.claim_papers import claim_of, notice_content
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat
from intake.flow.papers.plan_papers import plan_paper, plan_remarks
from intake.flow.papers.render import draw, save
from intake.model.boxes import CARTON_FAULTS, Box, BoxState, CartonState, Consignment, SealState
from intake.model.editions import UNSEEN, CopyState, Edition
from intake.weighing.guess_contents import WRAPPING_G, WRAPPING_MM

WriteLine = Callable[[str], None]

ARRIVALS = "arrivals.csv"
PLAN_SECONDS = 2.0
RATE = Decimal("1.31")
"""US dollars for a special drawing right: the demonstration's own figure."""
GAP_AND_SEAL = "An empty gap in the pile; the seal is not the one that was put on"
GAP_ONLY = "An empty gap in the pile, under a seal that was whole"
"""What the person of the demonstration says of what is missing, as the box arrived."""
DAMAGE = "lower corner of both boards crushed, jacket torn there"


def report_plan(library: Library, folder: Path, write_line: WriteLine) -> None:
    """Plan the packing of everything anew, to be compared with how it was packed, and print the plan."""
    ends = time.monotonic() + PLAN_SECONDS
    with library.reading() as records:
        boxes = len(list_boxes(records))
        planned = plan_packing.plan_copies(
            records, (), states=frozenset(CopyState), going=lambda: time.monotonic() < ends
        )
    plan = planned.plan
    write_line(f"  packed by hand into {boxes} boxes of up to 26 kg; planned anew, none above 18 kg:")
    write_line(f"  {plan_remarks(planned)[0]}")
    path = folder / "packing-plan.pdf"
    content = plan_paper(planned, clock.today())
    save(draw(registry.PACKING_PLAN, content, PaperOptions(), PaperFormat.PDF), path)
    heaviest = max(box.mass_g for box in plan.boxes) / 1000
    write_line(f"  {path}  what lies where, the heaviest box {heaviest:.1f} kg")


def receive(library: Library, scans: Path, write_line: WriteLine, *, station: str) -> None:
    """Check every delivered box in as it looked, and compare what it weighs."""
    for row in sheets.read_csv(scans / ARRIVALS).rows:
        cells = row.cells
        seen = box_lifecycle.ArrivalReport(
            carton=CartonState(cells["carton"]),
            seal=SealState(cells["seal"]),
            delivered=clock.today(),
            arrived_g=float(cells["gross_g"]) if cells["gross_g"] else None,
            as_weighed=True,
        )
        box = box_lifecycle.check_in(
            library, cells["box"], note=cells["note"], seen=seen, today=clock.today(), station=station
        )
        write_line(f"  {box.number}  carton {box.carton}, seal {box.seal_state}{', ' + box.note if box.note else ''}")
        if box.arrived_g is not None:
            _report_weight(library, box.number, write_line)


def _report_weight(library: Library, number: str, write_line: WriteLine) -> None:
    with library.reading() as records:
        weighed = weigh_box(records, number)
    if weighed.by_packing is None:
        return
    write_line(f"    {words_of(weighed.by_packing)}")
    for probability, words in explanation_rows(weighed.by_packing, weighed.titles, weighed.elsewhere, limit=1):
        write_line(f"    {probability} that this is gone: {words}")


def why_missing(box: Box) -> Callable[[object], str]:
    """Return what answers for the person of the demonstration, who is asked why copies of a box are missing."""
    return lambda _missing: GAP_ONLY if box.seal_state is SealState.WHOLE else GAP_AND_SEAL


def settle(library: Library, folder: Path, write_line: WriteLine, *, station: str) -> None:
    """Ask about a parcel, record a damaged copy, and print the notice to the carrier."""
    today = clock.today()
    _report_parcel(library, write_line)
    _damage_one(library, station)
    for reference in _references(library):
        with library.reading() as records:
            reconciled = reconcile(records, reference)
            write_line(f"Consignment {reference}: {'; '.join(reconciled.totals) or 'nothing missing'}")
            _print_claim(records, reference, folder, write_line, today)


def _report_parcel(library: Library, write_line: WriteLine) -> None:
    """Weigh the first wrapped copy of a closed box, and ask what it is."""
    with library.reading() as records:
        closed = [box.number for box in list_boxes(records) if box.state is BoxState.ARRIVED]
        wrapped = [copy for number in closed for copy in copies_in_box(records, number) if copy.wrapped]
        edition = records.get(Edition, wrapped[0].edition_id) if wrapped else None
        if edition is None:
            return
        body = of_collection(records).of(edition)
        mass = body.mass_g.mean + WRAPPING_G.mean
        thick = body.thickness_mm.mean + WRAPPING_MM.mean
        looked = look_into(records, wrapped[0].box, mass_g=mass, scale_g=10.0, thickness_mm=thick)
        best = looked.answer.guesses[0]
        titles = " and ".join(looked.titles[key] for key in best.keys)
        write_line(f"A wrapped parcel from box {wrapped[0].box}, {mass:.0f} g, {thick:.0f} mm thick: {looked.words}")
        write_line(f"  {100 * best.probability:.0f} %  {titles}")


def _damage_one(library: Library, station: str) -> None:
    """Record a damaged copy of the box whose carton was crushed."""
    with library.reading() as records:
        crushed = [box.number for box in list_boxes(records) if box.carton in CARTON_FAULTS]
        seen = [copy for number in crushed for copy in copies_in_box(records, number) if copy.state not in UNSEEN]
    if seen:
        record_damage(library, seen[0].accession, DAMAGE, now=clock.now(), station=station)


def _references(library: Library) -> list[str]:
    with library.reading() as records:
        return [consignment.reference for consignment in records.all(Consignment)]


def _print_claim(records: LibraryReader, reference: str, folder: Path, write_line: WriteLine, today: date) -> None:
    options = PaperOptions(
        reference=reference, regime="hague-visby", currency="USD", rate=RATE, rate_on=today,
        rate_source="an invented rate",
    )  # fmt: skip
    limits = limits_paper(claim_of(records, options, today=today), today=today)
    for name, text in filter(all, limits.facts):
        write_line(f"  {name}: {text}")
    for what, last, _, _, source in limits.periods:
        write_line(f"  {what}: {last} ({source})")
    write_line(f"  {NOT_LEGAL_ADVICE}")
    notice, sheet = folder / "notice-to-carrier.pdf", folder / "periods-and-limits.pdf"
    letter = notice_content(records, reference, on=today)
    save(draw(registry.NOTICE, letter, PaperOptions(), PaperFormat.PDF), notice)
    save(draw(registry.PERIODS, limits, PaperOptions(), PaperFormat.PDF), sheet)
    write_line(f"  {notice}  the letter")
    write_line(f"  {sheet}  your own sheet")
