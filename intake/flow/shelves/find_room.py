"""A place for the copy in the hand: the shelf it belongs to, what has to move to let it in, and the booking of both.

A copy belongs to the shelves on which its set stands, else to those of its subject, else to those of no subject, and on
them to its place in the person's order. Room is kept for volumes of its set that are still in boxes, as long as that
moves no more books than there are such volumes.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import editions_of_set
from intake.edges.store.queries.shelves import first_copies_on, shelves_in_order
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_copy
from intake.flow.shelves.gaps import ShelfSequence, gap, lines, with_gaps
from intake.flow.shelves.shelf_state import Filing, Shelf, as_book, double_positions, read_shelves
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import Place, PlaceKind
from intake.model.shelving import Book
from intake.model.sightings import Sighting
from intake.shelving.instructions import room_sentences
from intake.shelving.make_room import REACH, FilledShelf, RoomPlan, make_room, slot
from intake.shelving.order import SortKey

CLOSE = 6
"""Shelves to each side of a place that are looked at first."""


@dataclass(frozen=True, slots=True)
class Room:
    """Where a copy goes.

    Attributes:
        shelf: None where there is no room for it anywhere.
        reason: why that shelf, or why none.
        sentences: what to do with the hands, in order.
        remarks: what else is worth knowing; one sentence each.
        layout: the copies that will stand on each shelf that changes, from the left, by the shelf's number.
        handled: how many books have to be moved for it.
    """

    shelf: Shelf | None
    reason: str
    sentences: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    layout: tuple[tuple[str, tuple[str, ...]], ...] = ()
    handled: int = 0


def find_room(records: LibraryReader, copy: Copy, edition: Edition) -> Room:
    """Find the place of a copy and the smallest shift that lets it in."""
    order = [place for place in shelves_in_order(records) if place.kind is PlaceKind.SHELF]
    filing = Filing(records)
    reasons = []
    for places, reason in _zones(records, edition, order):
        found = Room(None, f"{reason}: no width is known of {_names(places)}")
        for near in _near(records, places, edition, filing):
            shelves = [shelf for shelf in read_shelves(records, near, order=order) if shelf.space is not None]
            if shelves:
                found = _room_on(records, shelves, copy, edition, (filing, reason))
            # A shift that reaches beyond the shelves looked at has to handle a book on each of them, as a rule.
            if found.shelf is not None and found.handled <= CLOSE:
                break
        if found.shelf is not None:
            return found
        reasons.append(found.reason)
    return Room(None, "; ".join(reasons) or "no shelf is known")


def _near(
    records: LibraryReader, places: Sequence[Place], edition: Edition, filing: Filing
) -> Iterator[Sequence[Place]]:
    """Yield the shelves round the place of a book, first a few and then as many as a shift may reach over."""
    if len(places) > 2 * CLOSE + 1:
        first = first_copies_on(records, (place.number for place in places))
        keys = [[filing.key(first[place.number][1])] if place.number in first else [] for place in places]
        centre, _ = slot(keys, filing.key(edition))
        for reach in (CLOSE, REACH):
            yield places[max(0, centre - reach) : centre + reach + 1]
    else:
        yield places


def put(library: Library, copy_text: str, *, station: str, now: datetime) -> tuple[Copy, Room]:
    """Book that a copy was put where `find_room` says, and that the books were shifted as it says.

    Raises:
        RefusedError: no such copy, it is still packed, or there is no room for it.
    """
    with library.writing() as work:
        copy = find_copy(work, copy_text)
        check_unpacked(copy)
        edition = work.get(Edition, copy.edition_id)
        room = find_room(work, copy, edition) if edition else Room(None, "its edition is gone")
        if room.shelf is None:
            raise RefusedError(
                f"Copy {copy.accession}", f"finds no room: {room.reason}", "make or clear a shelf for it"
            )
        changes = plan_layout(work, room.layout)
        shelved = next(change.after for change in changes if _is(change.after, copy.accession))
        sighting = Sighting(
            id=work.new_id(Sighting),
            copy=copy.accession,
            at=now,
            station=station,
            place=room.shelf.place.number,
            methods="typed",
        )
        work.apply(Action(ActionKind.SHELVE_COPY, copy.accession, station), (*changes, *made(sighting)))
        assert isinstance(shelved, Copy)  # noqa: S101 - _is said so
        return shelved, room


def check_unpacked(copy: Copy) -> None:
    """Refuse a copy that lies in a box.

    Raises:
        RefusedError: with the step that is missing.
    """
    if copy.state is CopyState.PACKED:
        raise RefusedError(
            f"Copy {copy.accession}", f"is recorded as lying in box {copy.box}", "unpack it from that box first"
        )


def plan_layout(records: LibraryReader, layout: Iterable[tuple[str, Sequence[str]]]) -> tuple[Change, ...]:
    """Plan that these copies stand on these shelves from the left; copies that stand so already are left alone."""
    changes: list[Change] = []
    for number, accessions in layout:
        shelf = records.get(Place, number)
        if shelf is None:
            continue
        mark = shelfmark(records, shelf)
        for position, accession in enumerate(accessions, 1):
            before = records.get(Copy, accession)
            if before is None:
                continue
            after = replace(before, state=CopyState.SHELVED, place=number, position=position, shelfmark=mark)
            if after != before:
                changes.append(Change(before, after))
    return tuple(changes)


def shelfmark(records: LibraryReader, shelf: Place) -> str:
    """Write the mark that a label carries: the bookcase's name and the shelf's ("A 3")."""
    bookcase = records.get(Place, shelf.parent) if shelf.parent else None
    return f"{bookcase.name} {shelf.name}" if bookcase else shelf.name


def _is(record: object, accession: str) -> bool:
    return isinstance(record, Copy) and record.accession == accession


def _zones(records: LibraryReader, edition: Edition, shelves: Sequence[Place]) -> list[tuple[list[Place], str]]:
    """List the shelves a copy may stand on, the best first, each with the reason."""
    by_number = {shelf.number: shelf for shelf in shelves}
    zones: list[tuple[list[Place], str]] = []
    if edition.set_id is not None:
        siblings = [other.id for other in editions_of_set(records, edition.set_id)]
        stood = [by_number[copy.place] for copy in copies_of_editions(records, siblings) if copy.place in by_number]
        subjects = [shelf.subject for shelf in stood]
        if subjects:
            usual = max(dict.fromkeys(subjects), key=subjects.count)
            zones.append(([s for s in shelves if s.subject == usual], "other volumes of its set stand there"))
    own = [shelf for shelf in shelves if edition.subject and _same(shelf.subject, edition.subject)]
    zones.append((own, f"shelf of {edition.subject!r}"))
    zones.append(([shelf for shelf in shelves if not shelf.subject], "a shelf for any subject with room"))
    return [(places, reason) for places, reason in zones if places]


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


def _room_on(
    records: LibraryReader, shelves: Sequence[Shelf], copy: Copy, edition: Edition, by: tuple[Filing, str]
) -> Room:
    """Find the place among the shelves of one zone, as if the copy stood nowhere yet."""
    filing, reason = by
    bare = lines(shelves, filing, leaving_out=copy.accession)
    keeping, to_come = with_gaps(records, shelves, bare, edition, filing)
    book = as_book(copy, edition)
    key = filing.key(edition)
    new = (
        *(gap(volume) for volume in to_come if filing.key(volume) < key),
        book,
        *(gap(volume) for volume in to_come if filing.key(volume) > key),
    )
    tries = ((keeping, new), (keeping, (book,)), (bare, (book,)))
    plans = [_plan(shelves, each, with_room, filing.key(edition)) for each, with_room in tries]
    least = plans[-1]
    if least is None:
        return Room(None, f"{reason}: {_why_not(shelves, bare, book)}")
    # Room for volumes to come may cost as many moves as it will save: one for each of them.
    worth = (len(to_come) + keeping[least.target].kept, keeping[least.target].kept, 0)
    nth = next(n for n, plan in enumerate(plans) if plan is not None and plan.handled <= least.handled + worth[n])
    plan = plans[nth] or least
    filled = _filled(shelves, tries[nth][0])
    remarks = [sentence for shelf in shelves for sentence in double_positions(shelf)]
    if "thickness" in book.estimated:
        remarks.append(f"Nobody measured it: {book.thickness_mm:.0f} mm are reckoned for its thickness.")
    if to_come and nth > 0:
        remarks.append(f"No room could be kept for volumes of its set that are still in boxes ({len(to_come)}).")
    return Room(
        shelf=shelves[plan.target],
        reason=reason,
        sentences=room_sentences(plan, filled, tries[nth][1]),
        remarks=tuple(remarks),
        layout=tuple(
            (shelves[index].place.number, tuple(one.copy for one in books if one.copy))
            for index, books in plan.filled.items()
        ),
        handled=plan.handled,
    )


def _plan(
    shelves: Sequence[Shelf], standing: Sequence[ShelfSequence], new: Sequence[Book], key: SortKey
) -> RoomPlan | None:
    return make_room(_filled(shelves, standing), new, slot([line.keys for line in standing], key))


def _filled(shelves: Sequence[Shelf], standing: Sequence[ShelfSequence]) -> list[FilledShelf]:
    return [
        FilledShelf(shelf.space, line.books)
        for shelf, line in zip(shelves, standing, strict=True)
        if shelf.space is not None
    ]


def _why_not(shelves: Sequence[Shelf], bare: Sequence[ShelfSequence], book: Book) -> str:
    filled = _filled(shelves, bare)
    if not any(shelf.space.takes(book) for shelf in filled):
        return f"it is too large for each ({book.height_mm:.0f} mm high, {book.depth_mm:.0f} mm deep)"
    free = max(shelf.space.width_mm - sum(one.thickness_mm for one in shelf.books) for shelf in filled)
    return f"all full, at most {max(free, 0):.0f} mm free where it needs {book.thickness_mm:.0f} mm"


def _names(places: Sequence[Place]) -> str:
    return ", ".join(place.number for place in places[:5])
