"""Shelves made ready to be drawn, with the room kept for volumes to come; and drawings of them for a screen."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from intake.documents.bookcases import lay_out_screen
from intake.edges import fonts, svg
from intake.edges.store.queries.editions import volumes_to_come
from intake.edges.store.queries.papers import shelves_of_bookcases
from intake.edges.store.reader import LibraryReader
from intake.flow.shelves.gaps import ShelfSequence, lines, sets_on, with_gaps
from intake.flow.shelves.shelf_overview import free_words
from intake.flow.shelves.shelf_state import Filing, Shelf, read_shelves
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import Place, PlaceKind
from intake.model.shelving import DrawnBookcase, DrawnShelf, Space
from intake.units.counts import counted

UNMEASURED_MM = 1000.0
"""Width at which a shelf is drawn that was not measured."""
UNMEASURED = "width not measured"


@dataclass(frozen=True, slots=True)
class ShelfInWords:
    """What the drawing of a shelf shows, in words: how many stand there, what is free, what room is kept for."""

    number: str
    name: str
    words: str


@dataclass(frozen=True, slots=True)
class CaseDrawing:
    """Shelves as SVG, and each of them in words."""

    drawing: str
    shelves: tuple[ShelfInWords, ...]
    kept: bool
    estimated: bool


def drawn_shelves(
    shelves: Sequence[Shelf], packed: Iterable[Edition], filing: Filing, notes: Mapping[str, str]
) -> tuple[tuple[DrawnShelf, ...], Sequence[ShelfSequence]]:
    """Return shelves as they are drawn, and their books with the room kept among them.

    Args:
        shelves: of one bookcase, from the top.
        packed: volumes of sets that are on no shelf yet.
        filing: the rule of order.
        notes: what is written beside each shelf, by its number.
    """
    sequences, _ = with_gaps(packed, shelves, lines(shelves, filing), None, filing)
    drawn = tuple(
        DrawnShelf(
            space=replace(shelf.space or Space(shelf=number, width_mm=UNMEASURED_MM), name=shelf.place.name),
            books=sequence.books,
            board_mm=shelf.place.board_mm,
            note=notes.get(number, number),
        )
        for shelf, sequence in zip(shelves, sequences, strict=True)
        for number in (shelf.place.number,)
    )
    return drawn, sequences


def draw_case(reader: LibraryReader, case: Place, *, marked: Iterable[str] = ()) -> CaseDrawing:
    """Draw a whole bookcase, with some copies pointed at."""
    return draw_shelves(reader, shelves_of_bookcases(reader, [case.number])[case.number], marked=marked)


def draw_shelves(reader: LibraryReader, places: Sequence[Place], *, marked: Iterable[str] = ()) -> CaseDrawing:
    """Draw some shelves of one bookcase, from the top, with some copies pointed at; nothing where there is none."""
    if not places:
        return CaseDrawing("", (), kept=False, estimated=False)
    filing = Filing(reader)
    shelves = read_shelves(reader, places)
    drawn, sequences = drawn_shelves(shelves, volumes_to_come(reader, sets_on(shelves)), filing, {})
    told = tuple(_in_words(shelf, sequence) for shelf, sequence in zip(shelves, sequences, strict=True))
    pointed = frozenset(marked)
    case = DrawnBookcase(name="", number="", shelves=drawn, marked=pointed)
    title = ". ".join((*_pointed_words(shelves, pointed), *(f"{shelf.name}: {shelf.words}" for shelf in told)))
    books = [book for sequence in sequences for book in sequence.books]
    return CaseDrawing(
        svg.draw(lay_out_screen(case, measure=fonts.measure), title=title),
        told,
        kept=any(not book.copy for book in books),
        estimated=any(book.copy and book.estimated for book in books),
    )


def place_drawn(reader: LibraryReader, copy: Copy) -> tuple[Place | None, CaseDrawing]:
    """Draw the shelf that a copy stands on, with the copy pointed at; nothing where it stands on none."""
    place = reader.get(Place, copy.place) if copy.place is not None else None
    is_there = place is not None and place.kind is PlaceKind.SHELF and copy.state is not CopyState.MISSING
    return place, draw_shelves(reader, [place] if place is not None and is_there else [], marked=[copy.accession])


def _in_words(shelf: Shelf, sequence: ShelfSequence) -> ShelfInWords:
    books = counted(len(shelf.standing), "book")
    if shelf.space is None:
        room = UNMEASURED
    else:
        room = free_words(shelf.space.width_mm - sum(book.thickness_mm for book in sequence.books if book.copy))
    kept = f", room kept for {counted(sequence.kept, 'volume')} to come" if sequence.kept else ""
    return ShelfInWords(shelf.place.number, shelf.name, f"{books}, {room}{kept}")


def _pointed_words(shelves: Iterable[Shelf], marked: frozenset[str]) -> Iterable[str]:
    for shelf in shelves:
        for nth, (copy, _) in enumerate(shelf.standing, 1):
            if copy.accession in marked:
                yield f"Copy {copy.accession} is number {nth} of {len(shelf.standing)} from the left on {shelf.name}"
