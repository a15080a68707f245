"""A place for a copy: the shelf it belongs to, what has to move to make room for it, and the booking of both.

A copy belongs to the shelves on which its set stands, else to those of its subject, else to those of no subject, and on
them to its place in the person's order. Room is kept for volumes of its set that are on no shelf yet, as long as that
moves no more books than there are such volumes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import isqrt

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import PlaceNode, accessions_on_shelves
from intake.edges.store.reader import LibraryReader
from intake.errors import ChangedMeanwhileError, RefusedError
from intake.flow.lookup.handling_words import heavy_words
from intake.flow.lookup.resolve import find_copy, refuse_withdrawn
from intake.flow.shelves.gaps import ShelfSequence, gap, lines, with_gaps
from intake.flow.shelves.load_words import excess_words
from intake.flow.shelves.near_shelves import NearShelves, Search, ShelvesNeeded, run_together
from intake.flow.shelves.shelf_layout import plan_layout
from intake.flow.shelves.shelf_state import Pair, Shelf, as_book, double_positions
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Provisional, made, supposing
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import Place
from intake.model.shelving import Book
from intake.model.sightings import ReadingMethod, Sighting
from intake.shelving.excess import find_excess
from intake.shelving.instructions import room_sentences
from intake.shelving.make_room import REACH, FilledShelf, RoomPlan, find_slot, make_room
from intake.shelving.order import SortKey

STANDS = "It stands there already."
CLOSE = 6
"""Shelves to each side of a place that are considered first."""


@dataclass(frozen=True, slots=True)
class Room:
    """Where a copy goes.

    Attributes:
        shelf: None where there is no room for it anywhere.
        reason: why that shelf, or why none.
        sentences: the moves, in order.
        remarks: one sentence each.
        layout: the copies that will stand on each shelf that changes, from the left, by the shelf's number.
        handled: how many books have to be moved for it.
        row: the books of that shelf from the left once it stands there, kept room included.
        at: its own index among them.
    """

    shelf: Shelf | None
    reason: str
    sentences: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    layout: tuple[tuple[str, tuple[str, ...]], ...] = ()
    handled: int = 0
    row: tuple[Book, ...] = ()
    at: int | None = None


def find_room(reader: LibraryReader, copy: Copy, edition: Edition) -> Room:
    """Find the place of a copy and the smallest shift that makes room for it."""
    (room,) = find_rooms(reader, [(copy, edition)])
    return room


def find_rooms(reader: LibraryReader, pairs: Sequence[Pair]) -> list[Room]:
    """Find the place of each copy as if it were the only one, in a few statements for all."""
    if not pairs:
        return []
    return rooms_near(NearShelves(reader, [edition for _, edition in pairs]), pairs)


def rooms_near(near: NearShelves, pairs: Sequence[Pair]) -> list[Room]:
    """Find the place of each copy, as `find_rooms` does, with what was read of the shelves and sets before."""
    return run_together([_search(near, copy, edition) for copy, edition in pairs], near)


def _search(near: NearShelves, copy: Copy, edition: Edition) -> Search[Room]:
    reasons: list[str] = []
    for places, reason in near.zones(edition, copy):
        room = Room(None, f"{reason}: the width of {_names(places)} is not known")
        centre = yield from _centre(near, places, edition)
        for reach in (CLOSE, REACH):
            around = places if centre is None else places[max(0, centre - reach) : centre + reach + 1]
            yield ShelvesNeeded(whole=[place.number for place in around])
            shelves = [shelf for shelf in near.shelves(around) if shelf.space is not None]
            if shelves:
                room = _room_on(near, shelves, (copy, edition), reason)
            # A shift that reaches beyond the shelves looked at has to handle a book on each of them, as a rule.
            if centre is None or (room.shelf is not None and room.handled <= CLOSE):
                break
        if room.shelf is not None:
            return room
        reasons.append(room.reason)
    why = "; ".join(reasons) or near.why_no_zone(edition)
    here = near.shelf_of(copy)
    heavy = heavy_words([as_book(copy, edition)])
    if here is None:
        return Room(None, why, remarks=heavy)
    yield ShelvesNeeded(whole=[here.number])
    return _staying(copy, near.shelves([here])[0], why, heavy)


def _staying(copy: Copy, shelf: Shelf, why: str, heavy: Sequence[str]) -> Room:
    """Leave a copy that no shelf has room for where it stands, and say what that shelf lacks."""
    return Room(
        shelf=shelf,
        reason=f"no shelf has room for it: {why}",
        sentences=(STANDS,),
        remarks=(*(excess_words(excess, shelf.name) for excess in find_excess(shelf.place, shelf.books)), *heavy),
        layout=((shelf.place.number, tuple(stands.accession for stands, _ in shelf.standing)),),
        row=shelf.books,
        at=next((nth for nth, (stands, _) in enumerate(shelf.standing) if stands.accession == copy.accession), None),
    )


def _centre(near: NearShelves, places: Sequence[PlaceNode], edition: Edition) -> Search[int | None]:
    """Find the shelf in whose order a book belongs by the first copies: of some shelves, then of those in between.

    None where the shelves are so few that all are looked at.
    """
    if len(places) <= 2 * CLOSE + 1:
        return None
    key = near.filing.key(edition)
    begin, step = 0, isqrt(len(places))
    some = places[::step]
    yield ShelvesNeeded(first=[place.number for place in some])
    nth, _ = find_slot([near.first_key(place.number) for place in some], key)
    begin = max(0, (nth - 1) * step)
    between = places[begin : (nth + 1) * step]
    yield ShelvesNeeded(first=[place.number for place in between])
    nth, _ = find_slot([near.first_key(place.number) for place in between], key)
    return begin + nth


def put(library: Library, copy_text: str, *, station: str, now: datetime) -> tuple[Copy, Room]:
    """Book that a copy was put where `find_room` says, and that the books were shifted as it says.

    Raises:
        RefusedError: the copy does not exist, it is still packed, or there is no room for it.
    """
    with library.reading() as reader:
        copy = find_copy(reader, copy_text)
        check_unpacked(copy)
        edition = reader.get(Edition, copy.edition_id)
        room = find_room(reader, copy, edition) if edition else Room(None, "its edition is gone")
        if room.shelf is None:
            why = f"does not fit anywhere: {room.reason}"
            raise RefusedError(f"Copy {copy.accession}", why, "make or clear a shelf for it", field="copy")
        changes = plan_layout(reader, room.layout)
    (shelved,), _ = apply_shelving(library, [copy], room.shelf.place, changes, station=station, now=now)
    return shelved, room


def apply_shelving(
    library: Library,
    copies: Sequence[Copy],
    shelf: Place,
    changes: Sequence[Change],
    *,
    station: str,
    now: datetime,
    request: str | None = None,
) -> tuple[tuple[Copy, ...], LedgerEntry]:
    """Apply the plan that puts copies on a shelf, with the sighting of each.

    Returns:
        The copies as they are then, and the entry of the ledger; that of the first time where a request came twice.

    Raises:
        ChangedMeanwhileError: see `refuse_if_joined`.
    """
    new = Provisional()
    sightings = (
        Sighting(
            id=new.id(),
            copy=copy.accession,
            at=now,
            station=station,
            place=shelf.number,
            methods=ReadingMethod.TYPED.value,
        )
        for copy in copies
    )
    action = Action(ActionKind.SHELVE_COPY, ", ".join(copy.accession for copy in copies), station, request)
    plan = (*changes, *supposing(shelf), *made(*sightings))
    applied = library.apply(action, plan, lambda reader: refuse_if_joined(reader, changes))
    after = {record.accession: record for change in changes if isinstance(record := change.after, Copy)}
    return tuple(after[copy.accession] for copy in copies), applied.entry


def refuse_if_joined(reader: LibraryReader, changes: Sequence[Change]) -> None:
    """Refuse a plan of shelves on one of which a copy stands that the plan does not know.

    A plan supposes that the copies it knows are as they were; this supposes that none came to stand beside them.

    Raises:
        ChangedMeanwhileError: another station has put a copy there since the plan was made.
    """
    planned = [record for change in changes if isinstance(record := change.after, Copy)]
    known = {copy.accession for copy in planned}
    for shelf, accession in accessions_on_shelves(reader, {copy.place for copy in planned if copy.place}):
        if accession not in known:
            why = "was changed meanwhile by another station, so nothing was booked"
            raise ChangedMeanwhileError(f"Shelf {shelf}", why, "look at it again and repeat the step")


def check_unpacked(copy: Copy) -> None:
    """Refuse a copy that lies in a box, or was withdrawn.

    Raises:
        RefusedError: with the step that is missing.
    """
    refuse_withdrawn(copy)
    if copy.state is CopyState.PACKED:
        why = f"is recorded as packed in box {copy.box}"
        raise RefusedError(f"Copy {copy.accession}", why, "unpack it from that box first", field="copy")


def _room_on(near: NearShelves, shelves: Sequence[Shelf], pair: Pair, reason: str) -> Room:
    """Find the place among the shelves of one zone, as if the copy stood nowhere yet."""
    copy, edition = pair
    filing = near.filing
    bare = lines(shelves, filing, leaving_out=copy.accession)
    keeping, to_come = with_gaps(near.to_come(shelves, edition), shelves, bare, edition, filing)
    book = as_book(copy, edition)
    key = filing.key(edition)
    new = (
        *(gap(volume) for volume in to_come if filing.key(volume) < key),
        book,
        *(gap(volume) for volume in to_come if filing.key(volume) > key),
    )
    tries = ((keeping, new), (keeping, (book,)), (bare, (book,)))
    plans = [_plan(shelves, candidate, with_room, filing.key(edition)) for candidate, with_room in tries]
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
        remarks.append(f"Its thickness was not measured and is estimated at {book.thickness_mm:.0f} mm.")
    moved = (other for shift in plan.shifts for other in shift.books if other.copy)
    remarks += heavy_words((book, *moved))
    if to_come and nth > 0:
        remarks.append(f"No room could be kept for volumes of its set that are on no shelf yet ({len(to_come)}).")
    layout = tuple(
        (shelves[index].place.number, tuple(other.copy for other in books if other.copy))
        for index, books in plan.filled.items()
    )
    target = shelves[plan.target]
    row = plan.filled.get(plan.target, (*plan.before, book, *plan.after))
    stands = layout == ((target.place.number, tuple(other.accession for other, _ in target.standing)),)
    return Room(
        shelf=target,
        reason=reason,
        sentences=(STANDS,) if stands else room_sentences(plan, filled, tries[nth][1]),
        remarks=tuple(remarks),
        layout=layout,
        handled=plan.handled,
        row=row,
        at=row.index(book),
    )


def _plan(
    shelves: Sequence[Shelf], standing: Sequence[ShelfSequence], new: Sequence[Book], key: SortKey
) -> RoomPlan | None:
    return make_room(_filled(shelves, standing), new, find_slot([line.keys for line in standing], key))


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
    free = max(shelf.space.width_mm - sum(other.thickness_mm for other in shelf.books) for shelf in filled)
    if free >= book.thickness_mm:
        return f"up to {free:.0f} mm are free, but no shift of books that keeps their order makes room for it"
    return f"all full, at most {max(free, 0):.0f} mm free where it needs {book.thickness_mm:.0f} mm"


def _names(places: Sequence[PlaceNode]) -> str:
    named = ", ".join(place.number for place in places[:5])
    return named if len(places) <= 5 else f"{named} and {len(places) - 5} more"
