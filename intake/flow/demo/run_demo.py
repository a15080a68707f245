"""The demonstration: the main job on an invented household's books, reported step by step.

`answer` plays the person at the trolley: asked which copy is in the hand, it takes the copy that is listed
in the open box, if the tool offers one, and leaves everything else that is uncertain on the query pile.
"""

import re
import shlex
import shutil
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from intake.edges import clock, demo_scans, pictures, sheets
from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.edges.store.queries.sightings import sightings_of
from intake.errors import RefusedError
from intake.flow.demo import demo_covers, demo_move, demo_opened, demo_runs, demo_values
from intake.flow.lists.import_list import ListKind, import_table
from intake.flow.lists.row_words import record_counts
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import whole_words
from intake.flow.moving import box_lifecycle
from intake.flow.papers import label_registry, registry
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper
from intake.flow.papers.render import format_of, render, save
from intake.flow.shelves.check_shelf import names_of
from intake.flow.shelves.find_room import put
from intake.flow.unpacking.book_pictures import book_pictures
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.cover_evidence import CoverLookup
from intake.flow.unpacking.scan_results import (
    Booked,
    BookedBefore,
    Disposition,
    LabelScan,
    Option,
    Question,
    Queued,
    Scan,
    ScanResult,
)
from intake.identifiers.own import serial_of
from intake.model.boxes import Consignment
from intake.model.editions import CopyState
from intake.reading.decoders import Decoder
from intake.units.counts import counted

STATION = "demo"
MARK = "made-by-intake-demo.txt"
LISTS = (
    (ListKind.EDITIONS, "catalog.csv"),
    (ListKind.PRINTINGS, "printings.csv"),
    (ListKind.PLACES, "shelves.csv"),
    (ListKind.COPIES, "copies.csv"),
    (ListKind.BOXES, "boxes.csv"),
    (ListKind.CONSIGNMENT, "consignment.csv"),
)

WriteLine = Callable[[str], None]
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Demo:
    """What one run of the demonstration works with."""

    library: Library
    scans: Path
    into: Path
    decoders: Sequence[Decoder]
    workers: int
    write_line: WriteLine
    progress: Progress


def run_demo(
    scans: Path | None,
    into: Path,
    *,
    decoders: Sequence[Decoder],
    workers: int,
    write_line: WriteLine,
    progress: Progress = lambda _done, _total: None,
) -> None:
    """Run the whole job on the demonstration scans.

    Args:
        scans: folder of scans; None takes the ones that come with the tool.
        into: folder for the library and the papers; an earlier demonstration in it is replaced.
        decoders: see `intake.reading.decoders.available`.
        workers: pictures read at a time.
        write_line: prints one line.
        progress: called with the number of pictures read and the number in all.

    Raises:
        RefusedError: `into` has files that no demonstration made.
    """
    started = time.perf_counter()
    source = demo_scans.folder(scans)
    _make_room(into)
    library = open_library(into / "library", create=True)
    try:
        demo = Demo(library, source, into, decoders, workers, write_line, progress)
        _import_lists(demo)
        boxes = _ship(demo)
        for box in boxes:
            _unpack(demo, box)
        demo.write_line("")
        demo_covers.look_for_damage(library, source, into / "papers", write_line)
        demo_move.settle(demo.library, into / "papers", write_line, station=STATION)
        _shelve(demo)
        _print(demo)
        demo_values.show(library, source, into / "papers", write_line, station=STATION)
        demo_runs.show(library, source, into / "papers", write_line, station=STATION)
        with library.reading() as records:
            broken, head, counts = verify_chain(records), ledger_head(records), count_records(records)
    finally:
        library.close()
    write_line("")
    write_line(
        f"Ledger: {counts.entries} entries, {'whole' if broken is None else f'broken at {broken}'}, head {head[:16]}…"
    )
    see_with = f"intake --library {shlex.quote(str(into / 'library'))} pile list"
    write_line(f"On the query pile: {counts.waiting}. See them with: {see_with}")
    write_line(f"Done in {time.perf_counter() - started:.1f} s. Everything in it is invented; the files are in {into}.")


def answer(question: Question) -> Option | None:
    """Answer for the person of the demonstration."""
    for option in question.options:
        if option.act is Disposition.BOOK and option.copy is not None and option.copy.box == question.box:
            return option
    return None


def _make_room(into: Path) -> None:
    if into.exists() and any(into.iterdir()):
        if not (into / MARK).exists():
            why = "has files that no demonstration made"
            raise RefusedError(f"Folder {into}", why, "name an empty or new folder with --into")
        shutil.rmtree(into)
    into.mkdir(parents=True, exist_ok=True)
    (into / MARK).write_text("This folder was made by 'intake demo', which replaces it when it runs again.\n")


def _import_lists(demo: Demo) -> None:
    demo.write_line("The lists that were made before the move")
    for kind, name in LISTS:
        result = import_table(
            demo.library, kind, sheets.read_csv(demo.scans / name), file=name, station=STATION, today=clock.today()
        )
        made, altered = record_counts(result.made_of), record_counts(result.altered_of)
        bad = counted(len(result.bad_rows), "bad row")
        demo.write_line(f"  {name:<16} made {made}, altered {altered}, {bad}")
    demo_covers.photograph_at_packing(demo.library, demo.scans, demo.write_line, station=STATION)


def _ship(demo: Demo) -> list[str]:
    """Close every box, receive them all, and return those that have photographs."""
    folder = demo.into / "papers"
    folder.mkdir()
    demo.write_line("")
    demo.write_line("Packed, shipped and delivered")
    with demo.library.reading() as records:
        boxes = [box.number for box in list_boxes(records)]
    for number in boxes:
        box_lifecycle.close_box(demo.library, number, station=STATION)
    demo_move.report_plan(demo.library, folder, demo.write_line)
    demo.write_line(f"  {len(boxes)} boxes closed and shipped; their state on delivery:")
    demo_move.receive(demo.library, demo.scans, demo.write_line, station=STATION)
    with demo.library.reading() as records:
        return [find_box(records, box).number for box in demo_scans.boxes(demo.scans)]


def _unpack(demo: Demo, number: str) -> None:
    """Take everything that was photographed or typed out of one box, and finish it."""
    with demo.library.reading() as records:
        box = find_box(records, number)
    serial = serial_of(number)
    demo.write_line("")
    demo.write_line(f"Box {number}, {box.room}")
    demo_opened.look_into(demo.library, demo.scans, number, demo.decoders, demo.write_line)
    paths = pictures.find([demo_scans.box_folder(demo.scans, serial)])
    results = book_pictures(
        demo.library,
        number,
        paths,
        decoders=demo.decoders,
        workers=demo.workers,
        choose=answer,
        covers=CoverLookup(demo.library, demo.workers),
        station=STATION,
        now=clock.now,
    )
    for done, (read, outcomes) in enumerate(results, 1):
        demo.progress(done, len(paths))
        for outcome in outcomes:
            demo.write_line(f"  {read.path.name}  {_result_words(outcome)}")
    for line, text in enumerate(demo_scans.typed(demo.scans, serial), 1):
        scan = Scan(text, f"typed/{number}/{line}")
        outcome = book_scan(demo.library, number, scan, choose=answer, station=STATION, now=clock.now())
        demo.write_line(f"  typed   {_result_words(outcome)}")
    # The demonstration decides no query; at home one is decided before anything is called missing.
    why = demo_move.why_missing(box)
    _, missing = box_lifecycle.finish(demo.library, number, why=why, despite_queries=True, station=STATION)
    demo.write_line(f"  finished; missing: {', '.join(copy.accession for copy in missing) or 'nothing'}")


def _result_words(result: ScanResult) -> str:
    match result:
        case LabelScan():
            return f"{result.number}: {result.words}"
        case BookedBefore():
            return f"{result.scan.text}: was booked before"
        case Queued():
            return f"? query {result.query.id}: {result.scan.text or 'nothing read'}: {reasons_words(result.why)}"
        case Booked():
            return f"{result.copy.accession}  {whole_words(result.edition)} -> {result.advice.where}"


def _shelve(demo: Demo) -> None:
    """Put every unpacked copy where the tool says, one after the other, in the order in which they came out."""
    with demo.library.reading() as records:
        unpacked = [copy.accession for copy, _ in all_copies(records) if copy.state is CopyState.UNPACKED]
        seen = {copy: max(sightings_of(records, copy), key=lambda sighting: sighting.id).id for copy in unpacked}
    demo.write_line("")
    demo.write_line("The shelves, copy by copy")
    shelved = handled = 0
    for accession in sorted(unpacked, key=lambda copy: seen[copy]):
        try:
            _, room = put(demo.library, accession, station=STATION, now=clock.now())
        except RefusedError as refusal:
            demo.write_line(f"  {refusal}")
            continue
        shelved += 1
        handled += room.handled
        with demo.library.reading() as records:
            title = names_of(records, [accession])[accession]
        demo.write_line(f"  {title}: {' '.join(room.sentences)}")
    demo.write_line(f"Shelved {shelved} of {len(unpacked)} copies; {handled} times a book had to move to make room")


def _print(demo: Demo) -> None:
    demo.write_line("")
    demo.write_line("Papers")
    folder, today = demo.into / "papers", clock.today()
    with demo.library.reading() as records:
        references = [consignment.reference for consignment in records.all(Consignment)]
    for paper, name, summary, options in _papers(references):
        path = folder / name
        rendered = render(demo.library, paper, options, format_of(paper, path), on=today)
        save(rendered, path)
        demo.write_line(f"  {path}  {summary}")
        if rendered.report.missing:
            demo.write_line(f"    no font has {' '.join(rendered.report.missing)}: printed as a replacement sign")


def _papers(references: Sequence[str]) -> Iterator[tuple[Paper[Any], str, str, PaperOptions]]:
    """Yield each paper with the name of its file, what it is, and its options."""
    plain = (
        (registry.BOOKCASES, "bookcases.pdf", "every bookcase to scale, with its books as they stand"),
        (label_registry.SHELF_LABELS, "shelf-labels.pdf", "one for each shelf"),
        (label_registry.COPY_FLAGS, "copy-flags.pdf", "slips to be inserted, never stuck on"),
        (label_registry.BOX_LABELS, "box-labels.pdf", "one for each box"),
        (label_registry.FACE_LABELS, "box-labels-four-faces.pdf", "one sheet for each box, one label for each side"),
        (registry.PACKING_LIST, "packing-lists.pdf", "what is in each box"),
    )
    for paper, name, summary in plain:
        yield paper, name, summary, paper.defaults
    of_consignment: tuple[tuple[Paper[Any], str, str], ...] = (
        (registry.MASTER_LIST, "master-list", "all boxes of the consignment"),
        (registry.DISCREPANCIES, "discrepancies", "what did not arrive as it left"),
    )
    for listed, stem, summary in of_consignment:
        for reference in references:
            yield listed, f"{stem}-{_file_words(reference)}.pdf", summary, PaperOptions(reference=reference)
    for name, summary in (
        ("inventory.pdf", "every copy, its state and value"),
        ("inventory.xlsx", "the same as a spreadsheet"),
        ("inventory.csv", "the same as plain text"),
    ):
        yield registry.INVENTORY, name, summary, PaperOptions()


def _file_words(text: str) -> str:
    """Return what of a text any file system takes in a name."""
    return re.sub(r"[^\w-]+", "-", text).strip("-")
