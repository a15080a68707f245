"""A photograph of shelves compared with the record, in words.

A row is the shelf whose label was read below it; a row without one is the shelf that the person names, or the one under
the row before. Nothing is changed but the sightings, and those only when asked for.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import copies_on_shelves, place_path, place_paths, places_in
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_shelf
from intake.flow.lookup.wording import path_words, title_words, where_each_is
from intake.flow.shelves.shelf_state import double_positions, read_shelves
from intake.identifiers.own import split
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.model.places import Place
from intake.model.readings import Reading
from intake.model.sightings import ReadingMethod, Sighting
from intake.shelving.check import ReadRow, ShelfCheck, check_row, read_rows
from intake.units.advice import advice


@dataclass(frozen=True, slots=True)
class ShelfReport:
    """One shelf of a photograph, in words.

    Attributes:
        where: the shelf, from the room down.
        diagnosis: the copies in place, misplaced, missing and foreign, by number.
        sentences: one for each copy that is not in place, with what to do.
    """

    where: str
    diagnosis: ShelfCheck
    sentences: tuple[str, ...]


def check_shelves(
    reader: LibraryReader, readings: Iterable[Reading], *, shelf_text: str = ""
) -> tuple[ShelfReport, ...]:
    """Compare a photograph with the record.

    Args:
        reader: the library.
        readings: of the picture.
        shelf_text: the shelf that the upper row shows, as the person names it.

    Raises:
        RefusedError: no symbol was read, no shelf is named by label or person, the label is another shelf's, or one row
            shows the labels of two shelves.
    """
    named = find_shelf(reader, shelf_text) if shelf_text else None
    rows = read_rows((reading for reading in readings if reading.accepted), is_shelf=_is_shelf)
    if not rows:
        raise RefusedError("The photograph", "shows no label that could be read", "go nearer or give more light")
    reports = []
    above: Place | None = None
    for nth, row in enumerate(rows):
        shelf = _shelf_of(reader, row, named if nth == 0 else None, above)
        reports.append(report_row(reader, shelf, row))
        above = shelf
    return tuple(reports)


def note_sightings(
    library: Library, reports: Sequence[ShelfReport], *, picture: str | None, station: str, now: datetime
) -> int:
    """Record a sighting of every copy seen, with the shelf it was seen on; return how many."""
    seen = [(copy, report.diagnosis.shelf) for report in reports for copy in _seen(report.diagnosis)]
    with library.reading() as reader:
        copies = reader.get_many(Copy, [copy for copy, _ in seen])
    new = Provisional()
    sightings = [
        Sighting(
            id=new.id(),
            copy=copy,
            at=now,
            station=station,
            place=shelf,
            methods=ReadingMethod.SHELF_CHECK.value,
            picture=picture,
        )
        for copy, shelf in seen
        if copy in copies
    ]
    if sightings:
        subject = ", ".join(report.diagnosis.shelf for report in reports)
        library.apply(Action(ActionKind.CHECK_SHELF, subject, station), made(*sightings))
    return len(sightings)


def _seen(row: ShelfCheck) -> tuple[str, ...]:
    return (*row.in_place, *(misplaced.copy for misplaced in row.misplaced), *row.foreign)


def _is_shelf(number: str) -> bool:
    parts = split(number)
    return parts is not None and parts[0] is OwnKind.PLACE


def _shelf_of(reader: LibraryReader, row: ReadRow, named: Place | None, above: Place | None) -> Place:
    """Return the shelf that a row shows."""
    if len(row.shelves) > 1:
        shown = " and ".join(row.shelves)
        raise RefusedError("The photograph", f"shows {shown} side by side", "take one bookcase at a time")
    if row.shelves:
        labelled = find_shelf(reader, row.shelves[0])
        if named is not None and named != labelled:
            why = f"shows {path_words(place_path(reader, labelled))}, not {path_words(place_path(reader, named))}"
            raise RefusedError("The photograph", why, f"name {labelled.number}, or take the other shelf")
        return labelled
    if named is not None:
        return named
    if above is not None:
        return _under(reader, above)
    raise RefusedError(
        "The photograph",
        "shows no shelf label",
        advice("name the shelf of its upper row with --shelf", "name the shelf of its upper row"),
    )


def _under(reader: LibraryReader, shelf: Place) -> Place:
    siblings = list(places_in(reader, shelf.parent))
    below = siblings[siblings.index(shelf) + 1 :]
    if not below:
        why = f"shows more rows than there are shelves under {path_words(place_path(reader, shelf))}"
        raise RefusedError(
            "The photograph",
            why,
            advice("name the shelf of its upper row with --shelf", "name the shelf of its upper row"),
        )
    return below[0]


def report_row(reader: LibraryReader, place: Place, row: ReadRow) -> ShelfReport:
    """Compare one row with the record of a shelf."""
    (shelf,) = read_shelves(reader, [place])
    recorded = [copy.accession for copy, _ in shelf.standing]
    seen = [copy for copy in reader.get_many(Copy, row.numbers).values() if copy.state is CopyState.SHELVED]
    homes = {copy.accession: copy.place for copy in seen if copy.place is not None and copy.place != place.number}
    others = copies_on_shelves(reader, set(homes.values()))
    order = {number: [copy.accession for copy, _ in pairs] for number, pairs in others.items()}
    diagnosis = check_row(place.number, row.numbers, recorded=recorded, homes=homes, order=order)
    _refuse_another(reader, place, row, diagnosis, homes)
    sentences = (*double_positions(shelf), *_sentences(reader, diagnosis))
    return ShelfReport(path_words(shelf.path), diagnosis, sentences)


def _refuse_another(
    reader: LibraryReader, place: Place, row: ReadRow, diagnosis: ShelfCheck, homes: Mapping[str, str]
) -> None:
    """Refuse a row of which nothing belongs here and most belongs to one other shelf."""
    if row.shelves or len(diagnosis.foreign) + len(homes) < len(row.numbers) or not homes:
        return
    places = list(homes.values())
    likely = max(places, key=places.count)
    if places.count(likely) * 2 > len(row.numbers):
        paths = place_paths(reader, [place.number, likely])
        why = f"shows nothing of {path_words(paths[place.number])}, but books of {path_words(paths[likely])}"
        raise RefusedError("The photograph", why, f"name {likely} if that is the shelf")


def _sentences(reader: LibraryReader, diagnosis: ShelfCheck) -> list[str]:
    behind = [misplaced.behind for misplaced in diagnosis.misplaced if misplaced.behind]
    name = names_of(reader, (*_seen(diagnosis), *diagnosis.missing, *behind))
    homes = place_paths(reader, {misplaced.home for misplaced in diagnosis.misplaced})
    sentences: list[str] = []
    for misplaced in diagnosis.misplaced:
        where = f"right after {name[misplaced.behind]}" if misplaced.behind else "to the front"
        elsewhere = misplaced.home != diagnosis.shelf and misplaced.home in homes
        target = f"to {path_words(homes[misplaced.home])}, " if elsewhere else ""
        sentences.append(f"Misplaced: {name[misplaced.copy]}. Move it {target}{where}.")
    turned = "was not seen; its label may be turned away"
    sentences += [f"Missing: {name[missing]} {turned}." for missing in diagnosis.missing]
    return sentences + _foreign_sentences(reader, diagnosis.foreign, name)


def _foreign_sentences(reader: LibraryReader, numbers: Sequence[str], name: Mapping[str, str]) -> list[str]:
    copies = reader.get_many(Copy, numbers)
    where = where_each_is(reader, copies.values())
    sentences: list[str] = []
    for number in numbers:
        copy = copies.get(number)
        if copy is None:
            sentences.append(f"Foreign: {number} is in no record.")
        else:
            state = ", ".join(filter(None, (copy.state, where[number])))
            sentences.append(f"Foreign: {name[number]} is recorded as {state}, on no shelf.")
    return sentences


def names_of(reader: LibraryReader, numbers: Collection[str]) -> dict[str, str]:
    """Write the number of each copy with its title; the number alone where no copy has it."""
    copies = reader.get_many(Copy, numbers)
    editions = reader.get_many(Edition, [copy.edition_id for copy in copies.values()])
    titles = {copy.accession: title_words(editions[copy.edition_id]) for copy in copies.values()}
    return {number: f"{number} '{titles[number]}'" if number in titles else number for number in numbers}
