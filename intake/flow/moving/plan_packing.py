"""Plan which copy goes into which box, and book the plan: new boxes opened and copies packed in one transaction."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import place_paths, shelves_in_order
from intake.edges.store.queries.values import latest_valuations
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import new_number
from intake.flow.lookup.wording import title_words
from intake.flow.moving.masses import Masses, of_collection
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, made
from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.packing.packing_plan import BegunBox, BoxKind, FilledBox, PackingPlan, PackingRules, PackItem
from intake.packing.plan_boxes import plan
from intake.units.quantities import parse_mass_g, parse_size_mm

BOOK_BOX = BoxKind(name="book box", inner_mm=(420.0, 330.0, 310.0), tare_g=900.0, limit_g=18_000.0)
"""What is planned with where the person names no box (common practice, no source)."""
AT_HAND = frozenset({CopyState.AT_HAND})
STANDING = frozenset({CopyState.AT_HAND, CopyState.UNPACKED, CopyState.SHELVED})


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, and what a person has to know of it.

    Attributes:
        titles: of each copy, by its number.
        set_titles: of each set, by its key in the plan.
        guessed: copies of which nothing that helps is known.
        masses: what was learned from the collection.
    """

    plan: PackingPlan
    titles: Mapping[str, str]
    set_titles: Mapping[str, str]
    guessed: int
    masses: Masses


def read_kind(name: str, size: str, tare: str, limit: str, count: str) -> BoxKind:
    """Read a kind of box as typed; `count` is a number, or a hyphen for as many as are needed.

    Raises:
        UsageError: a quantity without a unit, or that is not one.
    """
    number = int(count) if count.isdigit() else None
    if number is None and count != "-":
        raise RefusedError(f"The count {count!r} of {name}", "is no number", "write a hyphen for as many as are needed")
    return BoxKind(
        name=name, inner_mm=parse_size_mm(size), tare_g=parse_mass_g(tare), limit_g=parse_mass_g(limit), count=number
    )


def plan_copies(
    records: LibraryReader,
    kinds: Sequence[BoxKind],
    *,
    states: Collection[CopyState] = AT_HAND,
    rules: PackingRules | None = None,
    going: Callable[[], bool],
) -> Planned:
    """Plan the copies that are in no box; open boxes are filled up, closed ones left alone.

    Args:
        records: the library.
        kinds: boxes at hand; none means book boxes of a common size.
        states: which copies are to be packed.
        rules: sets together, value spread.
        going: asked again and again; False ends the improvement.
    """
    masses = of_collection(records)
    pairs = list(all_copies(records))
    desk = _Desk(records, masses)
    begun = [
        BegunBox(
            number=box.number,
            kind=_kind_of(box, kinds),
            room=box.room,
            items=tuple(desk.item(copy, edition, box.room) for copy, edition in pairs if _lies_in(copy, box.number)),
        )
        for box in list_boxes(records)
        if box.state is BoxState.OPEN
    ]
    inside = {item.key for box in begun for item in box.items}
    items = [
        desk.item(copy, edition) for copy, edition in pairs if copy.state in states and copy.accession not in inside
    ]
    made_plan = plan(items, kinds or (BOOK_BOX,), begun=begun, rules=rules, going=going)
    return Planned(made_plan, desk.titles, desk.set_titles, desk.guessed, masses)


def book(library: Library, planned: Planned, *, station: str) -> tuple[tuple[str, ...], LedgerEntry]:
    """Open the boxes of a plan and pack the copies into them, in one transaction.

    Returns:
        The numbers of the boxes, in the order of the plan, and the ledger entry.

    Raises:
        RefusedError: the plan holds nothing, or a copy is no longer where the plan supposes.
    """
    if not planned.plan.boxes:
        raise RefusedError("The plan", "holds no box", "record copies that are at hand first")
    with library.writing() as work:
        changes: list[Change] = []
        numbers: list[str] = []
        for box in planned.plan.boxes:
            number = box.number or new_number(work, OwnKind.BOX)
            numbers.append(number)
            if not box.number:
                changes += made(_new_box(number, box))
            for item in box.items:
                copy = work.get(Copy, item.key)
                if copy is None or (copy.state is CopyState.PACKED and copy.box != number):
                    raise RefusedError(f"Copy {item.key}", "was packed meanwhile", "plan again")
                packed = replace(copy, state=CopyState.PACKED, box=number, place=None, position=None)
                changes.append(Change(copy, packed))
        entry = work.apply(Action(ActionKind.BOOK_PACKING_PLAN, f"{len(numbers)} boxes", station), changes).entry
        return tuple(numbers), entry


class _Desk:
    """Turns copies into items, and remembers the words for them."""

    def __init__(self, records: LibraryReader, masses: Masses) -> None:
        self._masses = masses
        self._values = latest_valuations(records)
        self._rooms = rooms_by_subject(records)
        self._sets = {held.id: held.title for held in records.all(BookSet)}
        self.titles: dict[str, str] = {}
        self.set_titles: dict[str, str] = {}
        self.guessed = 0

    def item(self, copy: Copy, edition: Edition, room: str | None = None) -> PackItem:
        body = self._masses.of(edition)
        value = self._values.get(copy.accession)
        self.guessed += body.mass_g is self._masses.middle
        self.titles[copy.accession] = title_words(edition)
        key = str(edition.set_id) if edition.set_id is not None else ""
        if edition.set_id is not None:
            self.set_titles[key] = self._sets.get(edition.set_id, "")
        return PackItem(
            key=copy.accession,
            mass_g=body.mass_g.mean,
            size_mm=body.size_mm,
            set_key=key,
            order=(int(edition.volume) if edition.volume.isdigit() else 0, edition.volume),
            room=self._rooms.get(edition.subject, "") if room is None else room,
            value=float(value.amount) if value else 0.0,
            currency=value.currency if value else "",
        )


def rooms_by_subject(records: LibraryReader) -> dict[str, str]:
    """Return the room where each subject has its first shelf."""
    rooms: dict[str, str] = {}
    paths = place_paths(records)
    for shelf in shelves_in_order(records):
        if shelf.subject:
            rooms.setdefault(shelf.subject, paths[shelf.number].room)
    return rooms


def _lies_in(copy: Copy, number: str) -> bool:
    return copy.box == number and copy.state is CopyState.PACKED


def _kind_of(box: Box, kinds: Sequence[BoxKind]) -> BoxKind:
    """Return the kind of an open box: as recorded, and where that is not all, as the first kind named."""
    like = next((kind for kind in kinds if kind.name == box.kind), (*kinds, BOOK_BOX)[0])
    tare = box.tare_g or like.tare_g
    return replace(like, name=box.kind or like.name, inner_mm=box.inner_mm or like.inner_mm, tare_g=tare, count=1)


def _new_box(number: str, box: FilledBox) -> Box:
    length, width, height = box.kind.inner_mm
    return Box(
        number=number,
        room=box.room,
        kind=box.kind.name,
        tare_g=box.kind.tare_g,
        length_mm=length,
        width_mm=width,
        height_mm=height,
    )
