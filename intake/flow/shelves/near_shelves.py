"""The facts about shelves that finding room needs, read for many copies together.

A search for room says which shelves it has to see before it goes on; what several searches ask for at one time is read
in a few statements, however many they are and however many shelves there are.
"""

from collections.abc import Collection, Generator, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from intake.edges.store.queries.editions import volumes_to_come
from intake.edges.store.queries.shelves import PlaceNode, copies_of_sets, first_copies_on, place_nodes
from intake.edges.store.reader import LibraryReader
from intake.flow.shelves.gaps import sets_on
from intake.flow.shelves.shelf_state import Filing, Pair, Shelf, ShelfOrder, shelves_of
from intake.model.editions import Copy, CopyState, Edition
from intake.shelving.order import SortKey

Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True)
class ShelvesNeeded:
    """What a search has to see: of some shelves all that stands there, of others the first copy."""

    whole: Collection[str] = ()
    first: Collection[str] = ()


Search = Generator[ShelvesNeeded, None, Answer]
"""A search that yields what it has to see, and then goes on."""


class NearShelves:
    """The order of the shelves and the rule of order, and of the shelves themselves what was asked for so far.

    Attributes:
        filing: the rule of order.
        to_come: the volumes on no shelf yet, in boxes or out of them, of every set that stands on a shelf seen so far,
            or that a copy is of.
    """

    def __init__(self, reader: LibraryReader, editions: Iterable[Edition]) -> None:
        self._reader = reader
        self.filing = Filing(reader)
        self._order = ShelfOrder(place_nodes(reader))
        self._sets = {edition.set_id for edition in editions if edition.set_id is not None}
        self._copies_of_sets = copies_of_sets(reader, self._sets)
        self._by_subject: dict[str, list[PlaceNode]] = {}
        for shelf in self._order.shelves:
            self._by_subject.setdefault(folded(shelf.subject), []).append(shelf)
        self._shelves: dict[str, Shelf] = {}
        self._first: dict[str, SortKey | None] = {}
        self._to_come = {set_id: self._coming(set_id) for set_id in self._sets}

    def copies_of_set(self, edition: Edition) -> list[Pair]:
        """Return all copies of the set of an edition that was asked about; none where it is of no set."""
        own = edition.set_id
        return [] if own is None else [pair for pair in self._copies_of_sets if pair[1].set_id == own]

    def _coming(self, set_id: int) -> list[Edition]:
        own = [(copy, edition) for copy, edition in self._copies_of_sets if edition.set_id == set_id]
        stand = {edition for copy, edition in own if copy.state is CopyState.SHELVED}
        come = (edition for copy, edition in own if copy.state in (CopyState.PACKED, CopyState.UNPACKED))
        return [edition for edition in dict.fromkeys(come) if edition not in stand]

    def zones(self, edition: Edition, copy: Copy | None = None) -> list[tuple[list[PlaceNode], str]]:
        """List the shelves a copy may stand on, the best first, each with the reason; itself it is no reason."""
        zones: list[tuple[list[PlaceNode], str]] = []
        standing = (other for other, _ in self.copies_of_set(edition) if other.place is not None and other != copy)
        numbers = [copy.place or "" for copy in sorted(standing, key=lambda copy: copy.accession)]
        subjects = [self._order.node(number).subject for number in numbers if number in self._order]
        if subjects:
            usual = max(dict.fromkeys(subjects), key=subjects.count)
            like = [shelf for shelf in self._by_subject[folded(usual)] if shelf.subject == usual]
            zones.append((like, "other volumes of its set stand on this shelf or on one like it"))
        if subject := self.filing.subject(edition):
            of_set = "" if subject == edition.subject else ", as the first volume of its set"
            zones.append((self._by_subject.get(folded(subject), []), f"shelf of {subject!r}{of_set}"))
        zones.append((self._by_subject.get("", []), "a shelf for any subject"))
        return [(places, reason) for places, reason in zones if places]

    def why_no_zone(self, edition: Edition) -> str:
        """Return why there is no shelf at all that a copy may stand on, and what can be done."""
        if not self._by_subject:
            return "no shelf is known"
        if edition.subject:
            why = f"no shelf is for {edition.subject!r} or for any subject"
            return f"{why}: choose a shelf yourself, or give the book another subject"
        why = "every shelf is kept for a subject, and the book has none"
        return f"{why}: choose a shelf yourself, or give the book a subject"

    def shelf_of(self, copy: Copy) -> PlaceNode | None:
        """Return the shelf that a copy stands on; None where it stands on none."""
        return self._order.node(copy.place) if copy.place is not None and copy.place in self._order else None

    def first_key(self, number: str) -> list[SortKey]:
        """Return the key of the first copy on a shelf that was asked for; nothing where it is empty."""
        key = self._first[number]
        return [] if key is None else [key]

    def shelves(self, places: Iterable[PlaceNode]) -> list[Shelf]:
        """Return shelves that were asked for."""
        return [self._shelves[place.number] for place in places]

    def to_come(self, shelves: Iterable[Shelf], edition: Edition) -> list[Edition]:
        """Return the volumes on no shelf yet of the sets on these shelves and of the edition's own."""
        sets = sorted(sets_on(shelves) | ({edition.set_id} if edition.set_id is not None else set()))
        return [volume for set_id in sets for volume in self._to_come[set_id]]

    def read(self, needs: Sequence[ShelvesNeeded]) -> None:
        """Read what is asked for and was not read before."""
        first = {number for need in needs for number in need.first} - self._first.keys()
        if first:
            copies = first_copies_on(self._reader, first)
            keys = {number: self.filing.key(edition) for number, (_, edition) in copies.items()}
            self._first |= {number: keys.get(number) for number in first}
        whole = {number for need in needs for number in need.whole} - self._shelves.keys()
        if whole:
            shelves = shelves_of(self._reader, self._order, whole)
            self._shelves |= {shelf.place.number: shelf for shelf in shelves}
            self._read_coming(sets_on(shelves) | self._sets)

    def _read_coming(self, sets: set[int]) -> None:
        new = sets - self._to_come.keys()
        if new:
            self._to_come |= {set_id: [] for set_id in new}
            for volume in volumes_to_come(self._reader, new):
                self._to_come[volume.set_id or 0].append(volume)


def run_together(searches: Sequence[Search[Answer]], near: NearShelves) -> list[Answer]:
    """Run searches side by side, so that what they ask for at one time is read at one time; return their answers."""
    answers: dict[int, Answer] = {}
    waiting = dict(enumerate(searches))
    while waiting:
        needs: list[ShelvesNeeded] = []
        for nth, search in list(waiting.items()):
            try:
                needs.append(next(search))
            except StopIteration as end:
                answers[nth] = end.value
                del waiting[nth]
        near.read(needs)
    return [answers[nth] for nth in range(len(searches))]


def folded(subject: str) -> str:
    """Fold a subject so that its case does not matter."""
    return subject.strip().casefold()
