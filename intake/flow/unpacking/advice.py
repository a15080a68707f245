"""Advice on the copy in a person's hand: where it goes and what is special about it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from intake.edges.store.queries.copies import copies_in_state
from intake.edges.store.queries.shelves import count_unshelved
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.handling_words import DAMP_BOOK, TIGHT_BINDING, WRAPPED
from intake.flow.lookup.wording import path_words, volume_is, volume_words
from intake.flow.runs.edition_view import collects_lines
from intake.flow.shelves.find_room import Room, find_rooms, rooms_near
from intake.flow.shelves.near_shelves import NearShelves
from intake.flow.shelves.shelf_state import as_book
from intake.model.boxes import Box, CartonState
from intake.model.editions import SEEN, Copy, CopyState, Edition
from intake.weighing.paper import CASE, binding_of


@dataclass(frozen=True, slots=True)
class Advice:
    """Where a copy goes, and remarks on it.

    Attributes:
        shelf: number of the suggested shelf; None where none is suitable or known.
        where: its name from the room down, and why that one.
        remarks: one sentence each.
        steps: how to put it there, one sentence each.
        room: the same as data.
    """

    shelf: str | None
    where: str
    remarks: tuple[str, ...]
    steps: tuple[str, ...]
    room: Room


def advise(reader: LibraryReader, copy: Copy, edition: Edition, opened: Box | None = None) -> Advice:
    """Return where a copy goes, and what is special about it; `opened` is its box, where that was read already."""
    near = NearShelves(reader, [edition])
    (room,) = rooms_near(near, [(copy, edition)])
    remarks = (
        *_wet_remarks(reader, copy, opened),
        *room.remarks,
        *collects_lines(reader, edition),
        *_remarks(near, copy, edition),
    )
    shelf = None if room.shelf is None else room.shelf.place.number
    return Advice(shelf, room_words(room), remarks, room.sentences, room)


def room_words(room: Room) -> str:
    """Write where a copy goes, and why there; or why it goes nowhere."""
    if room.shelf is None:
        return f"no shelf is found for it ({room.reason})"
    return f"{path_words(room.shelf.path)} ({room.reason})"


def goes_words(copy: Copy, advice: Advice) -> str:
    """Write in a sentence where a copy goes, or why it goes nowhere; one on a shelf goes nowhere else by that."""
    if copy.state is CopyState.SHELVED:
        return "It stands on a shelf already, and stays there."
    return f"It goes to {advice.where}." if advice.shelf else f"{advice.where[:1].upper()}{advice.where[1:]}."


def _wet_remarks(reader: LibraryReader, copy: Copy, opened: Box | None) -> tuple[str, ...]:
    """Return what to mind before a copy is shelved whose box came wet: the place that is named is for a dry book."""
    if not copy.box or copy.state is CopyState.SHELVED:
        return ()
    box = opened if opened is not None and opened.number == copy.box else reader.get(Box, copy.box)
    return (f"Box {box.number} came wet. {DAMP_BOOK}",) if box and box.carton is CartonState.WET else ()


def _remarks(near: NearShelves, copy: Copy, edition: Edition) -> tuple[str, ...]:
    remarks: list[str] = []
    if edition.set_id is not None:
        remarks += _set_remarks(near, edition, edition.set_id)
    if copy.wrapped:
        remarks.append(WRAPPED)
        if binding_of(edition.binding) is CASE:
            remarks.append(TIGHT_BINDING)
    if copy.grade is None:
        remarks.append("Not yet inspected.")
    return tuple(remarks)


def _set_remarks(near: NearShelves, edition: Edition, set_id: int) -> list[str]:
    """Write where the other volumes of the set are."""
    title = near.filing.set_titles.get(set_id, edition.title)
    remarks = [f"{volume_words(edition)} of the set '{title}'."] if edition.volume else []
    volumes: dict[int, list[tuple[Copy, Edition]]] = {}
    for copy, volume in near.copies_of_set(edition):
        if volume.id != edition.id:
            volumes.setdefault(volume.id, []).append((copy, volume))
    for pairs in volumes.values():
        remarks += _volume_remarks([copy for copy, _ in pairs], pairs[0][1])
    return remarks


def _volume_remarks(copies: Sequence[Copy], volume: Edition) -> list[str]:
    """Write where a volume is that stands on no shelf; of one that has come out, what else there is of it."""
    states = {copy.state for copy in copies}
    out = not states.isdisjoint(SEEN)
    remarks = []
    if CopyState.UNPACKED in states and CopyState.SHELVED not in states:
        remarks.append(f"{volume_is(volume)} out of the box and on no shelf yet.")
    subject = f"Another copy of {volume_words(volume)} is" if out else volume_is(volume)
    remarks += [f"{subject} still in box {copy.box}." for copy in copies if copy.state is CopyState.PACKED]
    return remarks + [f"{subject} missing." for copy in copies if copy.state is CopyState.MISSING]


SHOWN = 12
"""Unpacked copies that are shown with their places; the next ones follow when these are shelved."""


@dataclass(frozen=True, slots=True)
class WaitingCopies:
    """The unpacked copies that are on no shelf yet, the first of them with their places.

    Attributes:
        places: the copy, its edition, and where it goes, each as if it were the next.
        total: how many wait.
        after: by copy, the one that goes to the same shelf and leaves it no room; its place is found anew then.
    """

    places: tuple[tuple[Copy, Edition, Room], ...]
    total: int
    after: Mapping[str, str] = field(default_factory=dict)


def waiting_copies(reader: LibraryReader) -> WaitingCopies:
    """Find places for the first unpacked copies that are on no shelf yet, each as if it were the only one."""
    pairs = copies_in_state(reader, CopyState.UNPACKED, SHOWN)
    rooms = find_rooms(reader, pairs)
    total = count_unshelved(reader) if len(pairs) == SHOWN else len(pairs)
    places = tuple((*pair, room) for pair, room in zip(pairs, rooms, strict=True))
    return WaitingCopies(places, total, _after_others(places))


def _after_others(places: Sequence[tuple[Copy, Edition, Room]]) -> dict[str, str]:
    """Return of each copy that does not fit once those before it stand on its shelf the last of them."""
    taken: dict[str, tuple[float, str]] = {}
    after: dict[str, str] = {}
    for copy, edition, room in places:
        if room.shelf is None or room.shelf.space is None:
            continue
        shelf, thickness = room.shelf.place.number, as_book(copy, edition).thickness_mm
        free = room.shelf.space.width_mm - sum(book.thickness_mm for book in room.shelf.books)
        used, last = taken.get(shelf, (0.0, ""))
        if last and used + thickness > free:
            after[copy.accession] = last
        else:
            taken[shelf] = used + thickness, copy.accession
    return after
