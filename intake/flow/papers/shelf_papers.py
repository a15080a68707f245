"""Drawings of bookcases to scale, with their books as they stand."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.documents import bookcases
from intake.edges import fonts
from intake.edges.store.queries.editions import volumes_to_come
from intake.edges.store.queries.papers import list_bookcases, shelves_of_bookcases
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import own_number
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource
from intake.flow.shelves.draw_bookcase import drawn_shelves
from intake.flow.shelves.gaps import ShelfSequence, sets_on
from intake.flow.shelves.load_words import (
    ANCHOR,
    ENGINEER,
    SAG_BASIS,
    TOP_HEAVY,
    floor_cautions,
    floor_loads_words,
    floor_words,
    shelves_cautions,
)
from intake.flow.shelves.shelf_loads import CaseReport, weigh_shelves
from intake.flow.shelves.shelf_state import Filing
from intake.model.editions import Edition
from intake.model.identifiers import OwnKind
from intake.model.pages import Page
from intake.model.places import Place, PlaceKind
from intake.model.shelving import DrawnBookcase
from intake.units.convert import kg_text
from intake.units.language import say, term

KEPT = term("Grey: room that is kept for volumes that are on no shelf yet.")
ESTIMATED = term("A stroke across the foot of a book: one of its sizes, or its mass, is estimated.")


@dataclass(frozen=True, slots=True)
class Drawings:
    """The bookcases to draw; the title is of all of them."""

    title: str
    bookcases: tuple[DrawnBookcase, ...]


def gather_bookcases(source: PaperSource, options: PaperOptions) -> Drawings:
    """Gather the books on each bookcase, and the room that is kept for volumes to come.

    Raises:
        RefusedError: there is no such bookcase, or one that is named has no shelves.
    """
    reader = source.reader
    known = list_bookcases(reader)
    chosen = [find_bookcase(reader, text, known) for text in options.bookcases]
    cases = list(dict.fromkeys(chosen or known))
    shelves = shelves_of_bookcases(reader, [case.number for case in cases])
    for case in chosen:
        if not shelves[case.number]:
            raise RefusedError(f"Bookcase {case.number}", "has no shelves", "make or import some first")
    reports = {_case_of(report): report for report in weigh_shelves(reader, [s for of in shelves.values() for s in of])}
    filing = Filing(reader)
    sets = sets_on(shelf for report in reports.values() for shelf, _ in report.shelves)
    packed = volumes_to_come(reader, sets)
    drawn = tuple(_drawn(case, reports[case.number], packed, filing) for case in cases if case.number in reports)
    title = say("Bookcase {name}", name=cases[0].name) if len(chosen) == 1 else say("Bookcases")
    return Drawings(title, drawn)


def lay_out_bookcases(drawings: Drawings, options: PaperOptions) -> PaperPages:
    """Draw each bookcase on a page of its own."""
    pages: list[Page] = []
    for drawn in drawings.bookcases:
        pages += bookcases.lay_out(drawn, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=drawings.title, pages=pages)


def find_bookcase(reader: LibraryReader, text: str, known: Sequence[Place]) -> Place:
    """Return the bookcase that a number, or a name that only one has, means.

    Args:
        reader: of the library at one moment.
        text: as typed.
        known: every bookcase of the library.

    Raises:
        RefusedError: there is no such place, it is no bookcase, or several have the name.
    """
    named = [place for place in known if place.name.casefold() == text.strip().casefold()]
    if len(named) == 1:
        return named[0]
    if named:
        numbers = ", ".join(place.number for place in named)
        raise RefusedError(f"Bookcase {text!r}", f"is the name of {len(named)}", f"name one of {numbers}")
    number = own_number(text, OwnKind.PLACE)
    place = reader.get(Place, number)
    if place is None:
        raise RefusedError(
            f"Place {number}",
            "is not in this library",
            ("list the places with 'intake place list'", "look at the list of shelves"),
        )
    if place.kind is not PlaceKind.BOOKCASE:
        raise RefusedError(f"Place {number}", f"is a {place.kind}, not a bookcase", "name the bookcase it is in")
    return place


def _case_of(report: CaseReport) -> str:
    return report.shelves[0][0].place.parent or ""


def _drawn(case: Place, report: CaseReport, packed: Sequence[Edition], filing: Filing) -> DrawnBookcase:
    """Return what is drawn of a bookcase."""
    notes = {
        shelf.place.number: f"{shelf.place.number}  {kg_text(load.mass_g)}"
        for shelf, load in report.shelves
        if load.mass_g
    }
    shelves, sequences = drawn_shelves([shelf for shelf, _ in report.shelves], packed, filing, notes)
    return DrawnBookcase(name=report.name, number=case.number, shelves=shelves, notes=_notes(report, sequences))


def _notes(report: CaseReport, sequences: Sequence[ShelfSequence]) -> tuple[str, ...]:
    """Return what is said below the drawing: signs, loads and what they rest on, cautions."""
    books = [book for sequence in sequences for book in sequence.books if book.copy]
    sags = any(load.sag_mm for _, load in report.loads)
    return (
        *([say(KEPT)] if any(sequence.kept for sequence in sequences) else []),
        *([say(ESTIMATED)] if any(book.estimated for book in books) else []),
        f"{floor_words(report.load)} {say(ANCHOR)}",
        *shelves_cautions(report.loads),
        *([say(SAG_BASIS)] if sags else []),
        *floor_cautions(report.load),
        *([say(TOP_HEAVY)] if report.top_heavy else []),
        f"{floor_loads_words()} {say(ENGINEER)}",
    )
