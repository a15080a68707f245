"""Labels of shelves and copies, all or only what changed, and the drawing of a bookcase."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from intake.documents import bookcases, labels
from intake.edges import fonts, pdf, svg, templates
from intake.edges.atomic_write import write_whole
from intake.edges.store.library import Library
from intake.edges.store.queries.editions import volumes_in_boxes
from intake.edges.store.queries.shelves import places_in
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.resolve import known_own_number
from intake.flow.papers import paper_contents, shelf_labels
from intake.flow.papers.printing import LabelStock
from intake.flow.shelves.gaps import lines, sets_on, with_gaps
from intake.flow.shelves.shelf_loads import CaseReport, weigh_shelves
from intake.flow.shelves.shelf_state import Filing
from intake.model.editions import Copy
from intake.model.identifiers import OwnKind
from intake.model.pages import Page, PrintReport
from intake.model.papers import A4_MM, LabelContent, LabelUse
from intake.model.places import Place, PlaceKind
from intake.model.shelving import DrawnBookcase, DrawnShelf, Space
from intake.shelving.loads import ANCHOR
from intake.units.convert import kg_text

SPINE_TEMPLATE = "a4-15x9"
TITLES = {LabelUse.SHELF: "Shelf labels", LabelUse.FLAG: "Copy flags", LabelUse.SPINE: "Spine labels"}
KEPT = "Grey: room that is kept for volumes still in boxes."
UNMEASURED_MM = 1000.0
"""Width at which a shelf is drawn that nobody measured."""


def print_labels(
    library: Library,
    use: LabelUse,
    things: Sequence[Place] | Sequence[Copy],
    on: LabelStock,
    path: Path,
    *,
    only_changed: bool,
    station: str,
) -> tuple[PrintReport | None, int]:
    """Print labels of shelves or copies, and remember what they said.

    Args:
        library: where they are looked up and remembered.
        use: what they are for.
        things: the shelves or copies.
        on: template and first label.
        path: the PDF file.
        only_changed: leave out those that say what they said when last printed.
        station: who prints.

    Returns:
        What became of the file, None where nothing changed and none was written; and how many labels it has.
    """
    with library.reading() as records:
        contents = _contents(records, use, things)
        if only_changed:
            contents = shelf_labels.changed(records, use, contents)
            if not contents:
                return None, 0
    if not contents:
        raise RefusedError(str(path), "would have no page, because nothing was chosen", "choose what to print")
    pages = labels.lay_out(templates.read(on.template, use), contents, start=on.start, measure=fonts.measure)
    report = pdf.save(pages, path, title=TITLES[use])
    shelf_labels.note_printed(library, use, contents, station=station)
    return report, len(contents)


def draw_bookcase(records: LibraryReader, bookcase_text: str, path: Path) -> PrintReport:
    """Draw a bookcase to scale with its books, as .pdf or .svg.

    Raises:
        UsageError: the file's name ends otherwise.
        RefusedError: there is no such bookcase, or it has no shelves.
    """
    case = find_bookcase(records, bookcase_text)
    (page,) = bookcase_pages(records, case)
    title = f"Bookcase {case.name}"
    suffix = path.suffix.casefold()
    if suffix == ".svg":
        write_whole(path, svg.draw(page, title=title).encode())
        return PrintReport(pages=1)
    if suffix != ".pdf":
        raise UsageError(str(path), "does not say what kind of file it is to be", "end its name in .pdf or .svg")
    return pdf.save([page], path, title=title)


def print_bookcases(records: LibraryReader, path: Path) -> PrintReport:
    """Draw every bookcase that has shelves, a page each, as PDF."""
    cases = [
        place for place in records.all(Place) if place.kind is PlaceKind.BOOKCASE and places_in(records, place.number)
    ]
    return pdf.save([page for case in cases for page in bookcase_pages(records, case)], path, title="Bookcases")


def bookcase_pages(records: LibraryReader, case: Place) -> list[Page]:
    """Return the page with the drawing of a bookcase."""
    reports = weigh_shelves(records, places_in(records, case.number))
    if not reports:
        raise RefusedError(f"Bookcase {case.number}", "has no shelves", "make or import some first")
    return bookcases.lay_out(_drawn(records, case, reports[0]), measure=fonts.measure, paper_mm=A4_MM)


def find_bookcase(records: LibraryReader, text: str) -> Place:
    """Return the bookcase that a number, or a name that only one has, means.

    Raises:
        RefusedError: there is no such place, it is no bookcase, or several have the name.
    """
    cases = [place for place in records.all(Place) if place.kind is PlaceKind.BOOKCASE]
    named = [place for place in cases if place.name.casefold() == text.strip().casefold()]
    if len(named) == 1:
        return named[0]
    if named:
        numbers = ", ".join(place.number for place in named)
        raise RefusedError(f"Bookcase {text!r}", f"is the name of {len(named)}", f"name one of {numbers}")
    number = known_own_number(records, text, OwnKind.PLACE)
    place = records.get(Place, number)
    if place is None:
        raise RefusedError(f"Place {number}", "is not in this library", "list the places with 'intake place list'")
    if place.kind is not PlaceKind.BOOKCASE:
        raise RefusedError(f"Place {number}", f"is a {place.kind}, not a bookcase", "name the bookcase it is in")
    return place


def _contents(records: LibraryReader, use: LabelUse, things: Sequence[Place] | Sequence[Copy]) -> list[LabelContent]:
    shelves = [thing for thing in things if isinstance(thing, Place)]
    copies = [thing for thing in things if isinstance(thing, Copy)]
    if use is LabelUse.SHELF:
        return shelf_labels.shelf_labels(records, shelves)
    if use is LabelUse.SPINE:
        return shelf_labels.spine_labels(records, copies)
    return paper_contents.copy_flags(records, copies)


def _drawn(records: LibraryReader, case: Place, report: CaseReport) -> DrawnBookcase:
    """Return what is drawn, with the room that is kept for volumes in boxes."""
    filing = Filing(records)
    own = [shelf for shelf, _ in report.shelves]
    stand, _ = with_gaps(volumes_in_boxes(records, sets_on(own)), own, lines(own, filing), None, filing)
    shelves = tuple(
        DrawnShelf(
            space=replace(shelf.space or Space(shelf=number, width_mm=UNMEASURED_MM), name=shelf.place.name),
            books=line.books,
            board_mm=shelf.place.board_mm,
            note=f"{number}  {kg_text(load.mass_g)}" if load.mass_g else number,
        )
        for (shelf, load), line in zip(report.shelves, stand, strict=True)
        for number in (shelf.place.number,)
    )
    cautions = [f"{shelf.name}: {caution}" for shelf, load in report.shelves for caution in load.cautions]
    kept = [KEPT] if any(line.kept for line in stand) else []
    notes = (f"Books and bookcase: {kg_text(report.load.mass_g)}. {ANCHOR}", *kept, *report.load.cautions, *cautions)
    return DrawnBookcase(name=report.name, number=case.number, shelves=shelves, notes=notes)
