"""A photograph of shelves held against the record, said in words.

A row is the shelf whose label was read below it; a row without one is the shelf that the person names, or the one under
the row before. Nothing is changed but the sightings, and those only when asked for.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import copies_on_shelves, places_in
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_shelf, place_name
from intake.flow.lookup.wording import title_words, where_words
from intake.flow.shelves.shelf_state import double_positions, read_shelves
from intake.identifiers.own import split
from intake.model.changes import Action, ActionKind, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.model.places import Place
from intake.model.readings import Reading
from intake.model.sightings import Sighting
from intake.shelving.check import ReadRow, ShelfCheck, check, read_rows


@dataclass(frozen=True, slots=True)
class ShelfReport:
    """One shelf of a photograph, in words.

    Attributes:
        where: the shelf, from the room down.
        found: the diagnosis in numbers.
        sentences: one for each copy that is not in place, with what to do.
    """

    where: str
    found: ShelfCheck
    sentences: tuple[str, ...]


def check_shelves(
    records: LibraryReader, readings: Iterable[Reading], *, shelf_text: str = ""
) -> tuple[ShelfReport, ...]:
    """Hold a photograph against the record.

    Args:
        records: the library.
        readings: of the picture.
        shelf_text: the shelf that the upper row shows, as the person says.

    Raises:
        RefusedError: no symbol was read, no shelf is named by label or person, the label is another shelf's, or one row
            shows the labels of two shelves.
    """
    told = find_shelf(records, shelf_text) if shelf_text else None
    rows = read_rows((one for one in readings if one.accepted), is_shelf=_is_shelf)
    if not rows:
        raise RefusedError("The photograph", "shows no label that could be read", "go nearer or give more light")
    reports = []
    above: Place | None = None
    for nth, row in enumerate(rows):
        shelf = _shelf_of(records, row, told if nth == 0 else None, above)
        reports.append(report_row(records, shelf, row))
        above = shelf
    return tuple(reports)


def note_sightings(
    library: Library, reports: Sequence[ShelfReport], *, picture: str | None, station: str, now: datetime
) -> int:
    """Enter every copy that was seen, with the shelf it was seen on; return how many."""
    with library.writing() as work:
        sightings = [
            Sighting(id=work.new_id(Sighting), copy=copy, at=now, station=station, place=report.found.shelf,
                     methods="shelf check", picture=picture)
            for report in reports
            for copy in (*report.found.in_place, *(one.copy for one in report.found.misplaced), *report.found.foreign)
            if work.get(Copy, copy) is not None
        ]  # fmt: skip
        if sightings:
            subject = ", ".join(report.found.shelf for report in reports)
            work.apply(Action(ActionKind.CHECK_SHELF, subject, station), made(*sightings))
    return len(sightings)


def _is_shelf(number: str) -> bool:
    parts = split(number)
    return parts is not None and parts[0] is OwnKind.PLACE


def _shelf_of(records: LibraryReader, row: ReadRow, told: Place | None, above: Place | None) -> Place:
    """Return the shelf that a row shows."""
    if len(row.shelves) > 1:
        shown = " and ".join(row.shelves)
        raise RefusedError("The photograph", f"shows {shown} side by side", "take one bookcase at a time")
    if row.shelves:
        labelled = find_shelf(records, row.shelves[0])
        if told is not None and told != labelled:
            why = f"shows {place_name(records, labelled)}, not {place_name(records, told)}"
            raise RefusedError("The photograph", why, f"name {labelled.number}, or take the other shelf")
        return labelled
    if told is not None:
        return told
    if above is not None:
        return _under(records, above)
    raise RefusedError("The photograph", "shows no shelf label", "name the shelf of its upper row with --shelf")


def _under(records: LibraryReader, shelf: Place) -> Place:
    siblings = list(places_in(records, shelf.parent))
    below = siblings[siblings.index(shelf) + 1 :]
    if not below:
        why = f"shows more rows than there are shelves under {place_name(records, shelf)}"
        raise RefusedError("The photograph", why, "name the shelf of its upper row with --shelf")
    return below[0]


def report_row(records: LibraryReader, place: Place, row: ReadRow) -> ShelfReport:
    """Hold one row against the record of a shelf."""
    (shelf,) = read_shelves(records, [place])
    recorded = [copy.accession for copy, _ in shelf.standing]
    homes: dict[str, str] = {}
    for number in row.numbers:
        copy = records.get(Copy, number)
        if copy is not None and copy.place not in (None, place.number) and copy.state is CopyState.SHELVED:
            homes[number] = copy.place or ""
    others = copies_on_shelves(records, set(homes.values()))
    order = {number: [copy.accession for copy, _ in pairs] for number, pairs in others.items()}
    found = check(place.number, row.numbers, recorded=recorded, homes=homes, order=order)
    _refuse_another(records, place, row, found, homes)
    sentences = (*double_positions(shelf), *_sentences(records, found))
    return ShelfReport(place_name(records, place), found, sentences)


def _refuse_another(
    records: LibraryReader, place: Place, row: ReadRow, found: ShelfCheck, homes: dict[str, str]
) -> None:
    """Refuse a row of which nothing belongs here and most belongs to one other shelf."""
    if row.shelves or len(found.foreign) + len(homes) < len(row.numbers) or not homes:
        return
    counts = {home: list(homes.values()).count(home) for home in homes.values()}
    likely = max(counts, key=lambda home: counts[home])
    other = records.get(Place, likely)
    if other is not None and counts[likely] * 2 > len(row.numbers):
        why = f"shows nothing of {place_name(records, place)}, but books of {place_name(records, other)}"
        raise RefusedError("The photograph", why, f"name {other.number} if that is the shelf")


def _sentences(records: LibraryReader, found: ShelfCheck) -> list[str]:
    said = []
    for one in found.misplaced:
        what = called(records, one.copy)
        where = f"right after {called(records, one.behind)}" if one.behind else "to the front"
        home = records.get(Place, one.home)
        target = "" if one.home == found.shelf or home is None else f"to {place_name(records, home)}, "
        said.append(f"Misplaced: {what}. Move it {target}{where}.")
    said += [f"Missing: {called(records, copy)} was not seen; its label may be turned away." for copy in found.missing]
    for number in found.foreign:
        copy = records.get(Copy, number)
        if copy is None:
            said.append(f"Foreign: {number} is in no record.")
        else:
            where = where_words(records, copy)
            state = f"{copy.state}, {where}" if where else copy.state
            said.append(f"Foreign: {called(records, number)} is recorded as {state}, on no shelf.")
    return said


def called(records: LibraryReader, number: str) -> str:
    """Write a copy's number with its title."""
    copy = records.get(Copy, number)
    edition = records.get(Edition, copy.edition_id) if copy else None
    return f"{number} '{title_words(edition)}'" if edition else number
