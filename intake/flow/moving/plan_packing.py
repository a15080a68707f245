"""Plan which copy goes into which box, and book the plan: new boxes opened and copies packed, all or none."""

import time
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from intake.edges.store.library import Library
from intake.edges.store.parts import PlanChecks, apply_staged
from intake.edges.store.queries.boxes import open_boxes
from intake.edges.store.queries.copies import copies_to_pack, count_to_pack, open_box_contents
from intake.edges.store.queries.shelves import place_paths, shelves_in_order
from intake.edges.store.queries.values import latest_valuations_of
from intake.edges.store.reader import LibraryReader
from intake.edges.store.staging import StagedPlan
from intake.errors import RefusedError
from intake.flow.lookup.resolve import refuse_withdrawn
from intake.flow.lookup.wording import title_words
from intake.flow.moving.masses import Masses, of_collection
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change, Provisional, made, supposing
from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.model.packing import PackingRules
from intake.model.valuations import Valuation
from intake.packing.packing_plan import BegunBox, BoxKind, FilledBox, PackingPlan, PackItem
from intake.packing.plan_boxes import always, plan
from intake.units.counts import counted
from intake.units.language import term
from intake.units.quantities import parse_mass_g, parse_size_mm
from intake.weighing.plausible import contradicts

BOOK_BOX = BoxKind(name=term("book box"), inner_mm=(420.0, 330.0, 310.0), tare_g=900.0, limit_g=18_000.0)
"""What is planned with where the person names no box (common practice, no source)."""
AT_HAND = frozenset({CopyState.AT_HAND})
BATCH = 500
"""Copies that are read before the clock is asked again."""
STANDING = frozenset({CopyState.AT_HAND, CopyState.UNPACKED, CopyState.SHELVED})

READING, PLANNING = 0.4, 0.8
"""Parts of the given time after which reading and planning end; the rest is for laying out and printing."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, and what a person has to know of it.

    Attributes:
        titles: of each copy, by its number.
        set_titles: of each set, by its key in the plan.
        guessed: copies of which nothing that helps is known.
        masses: what was learned from the collection.
        left_out: copies that were not planned because the time was up.
        doubted: copies whose stated mass and size contradict each other; see `intake.weighing.plausible`.
    """

    plan: PackingPlan
    titles: Mapping[str, str]
    set_titles: Mapping[str, str]
    guessed: int
    masses: Masses
    left_out: int = 0
    doubted: tuple[str, ...] = ()


def read_kind(name: str, size: str, tare: str, limit: str, count: str) -> BoxKind:
    """Read a kind of box as typed; `count` is a number, or a hyphen for as many as are needed.

    Raises:
        UsageError: a quantity without a unit, or that is not one.
        RefusedError: the count is not a number, or is 0.
    """
    number = int(count) if count.isdigit() else None
    if number is None and count != "-":
        raise RefusedError(
            f"The count {count!r} of {name}", "is not a number", "write a hyphen for as many as are needed"
        )
    if number == 0:
        raise RefusedError(f"The count 0 of {name}", "leaves no box to fill", "leave that kind out, or write a hyphen")
    return BoxKind(
        name=name, inner_mm=parse_size_mm(size), tare_g=parse_mass_g(tare), limit_g=parse_mass_g(limit), count=number
    )


def parts_of_time(seconds: float) -> Callable[[float], Callable[[], bool]]:
    """Start the given time, and return what makes, for a part of it, the question whether that is not over yet."""
    begins = time.monotonic()
    return lambda part: lambda: time.monotonic() < begins + part * seconds


def plan_copies(
    records: LibraryReader,
    kinds: Sequence[BoxKind],
    *,
    states: Collection[CopyState] = AT_HAND,
    rules: PackingRules | None = None,
    going: Callable[[], bool],
    in_time: Callable[[], bool] | None = None,
    reading: Callable[[], bool] | None = None,
) -> Planned:
    """Plan the copies that are in no box; open boxes are filled up, closed ones left alone.

    Args:
        records: the library.
        kinds: the kinds of empty box available; none means book boxes of a common size.
        states: which copies are to be packed.
        rules: sets together, value spread.
        going: asked again and again; False ends the improvement.
        in_time: asked again and again; False ends the first plan too, and what was not planned by then is counted.
            None lets it come to its end.
        reading: asked again and again; False ends reading, and what was not read by then is counted among that.
    """
    in_time = in_time or always
    masses = of_collection(records)
    describe = _Describer(records, masses)
    begun = _begun_boxes(records, kinds, describe)
    items: list[PackItem] = []
    unread = 0
    rows = copies_to_pack(records, states)
    while copies := tuple(islice(rows, BATCH)):
        values = latest_valuations_of(records, [copy.accession for copy, _ in copies])
        items += [describe.item(copy, edition, values.get(copy.accession)) for copy, edition in copies]
        if reading is not None and not reading():
            unread = max(0, count_to_pack(records, states) - len(items))
            break
    packing_plan = plan(items, kinds or (BOOK_BOX,), begun=begun, rules=rules, going=going, in_time=in_time)
    return Planned(
        plan=packing_plan,
        titles=describe.titles,
        set_titles=describe.set_titles,
        guessed=describe.guessed,
        masses=masses,
        left_out=unread + packing_plan.not_reached,
        doubted=tuple(describe.doubted),
    )


def _begun_boxes(records: LibraryReader, kinds: Sequence[BoxKind], describe: "_Describer") -> list[BegunBox]:
    contents: dict[str, list[PackItem]] = {}
    boxes = {box.number: box for box in open_boxes(records)}
    pairs = open_box_contents(records)
    values = latest_valuations_of(records, [copy.accession for copy, _ in pairs])
    for copy, edition in pairs:
        number = copy.box or ""
        item = describe.item(copy, edition, values.get(copy.accession), room=boxes[number].room)
        contents.setdefault(number, []).append(item)
    return [
        BegunBox(number=number, kind=_kind_of(box, kinds), room=box.room, items=tuple(contents.get(number, ())))
        for number, box in boxes.items()
    ]


def book(library: Library, planned: Planned, *, station: str) -> tuple[tuple[str, ...], int]:
    """Open the boxes of a plan and pack the copies into them, all or none, box by box in parts where it is much.

    Returns:
        The numbers of the boxes, in the order of the plan, and the last entry of the ledger.

    Raises:
        RefusedError: the plan is empty, or a copy is no longer where the plan supposes.
    """
    if not planned.plan.boxes:
        raise RefusedError(
            "The plan", "has no boxes: no copy is waiting to be packed", "record the copies to be packed first"
        )
    new = Provisional()
    numbers = [box.number or new.number(OwnKind.BOX) for box in planned.plan.boxes]
    placed = list(zip(numbers, planned.plan.boxes, strict=True))
    with library.reading() as records:
        begun = records.get_many(Box, (box.number for box in planned.plan.boxes if box.number))
        copies = records.get_many(Copy, (item.key for _, box in placed for item in box.items))
    action = Action(ActionKind.BOOK_PACKING_PLAN, counted(len(numbers), "box", "boxes"), station)
    with StagedPlan() as staged:
        for number, box in placed:
            # A box and what goes into it are booked together: nobody closes one that is half filled.
            staged.add(_filling(number, box, begun, copies), together=True)
        applied = apply_staged(library, action, staged, PlanChecks())
    return tuple(str(applied.keys.get(number, number)) for number in numbers), applied.entries[-1]


def _filling(
    number: str, box: FilledBox, begun: Mapping[int | str, Box], copies: Mapping[int | str, Copy]
) -> tuple[Change, ...]:
    """Return what is booked for one box of a plan.

    Args:
        number: of the box, provisional where it is new.
        box: as planned.
        begun: the boxes that are open already.
        copies: those of the plan, as they are now.

    Raises:
        RefusedError: the box is gone, or a copy is no longer where the plan supposes.
    """
    if box.number and box.number not in begun:
        raise RefusedError(f"Box {box.number}", "is no longer in the library", "plan again")
    changes = list(supposing(begun[box.number]) if box.number else made(_new_box(number, box)))
    for item in box.items:
        copy = copies.get(item.key)
        if copy is None or (copy.state is CopyState.PACKED and copy.box != number):
            raise RefusedError(f"Copy {item.key}", "was packed meanwhile", "plan again")
        refuse_withdrawn(copy)
        packed = replace(copy, state=CopyState.PACKED, box=number, place=None, position=None)
        changes.append(Change(copy, packed))
    return tuple(changes)


class _Describer:
    """Turns copies into items, and remembers the words for them."""

    def __init__(self, records: LibraryReader, masses: Masses) -> None:
        self._masses = masses
        self._rooms = rooms_by_subject(records)
        self._sets = {book_set.id: book_set.title for book_set in records.all(BookSet)}
        self.titles: dict[str, str] = {}
        self.set_titles: dict[str, str] = {}
        self.guessed = 0
        self.doubted: list[str] = []

    def item(self, copy: Copy, edition: Edition, value: Valuation | None, *, room: str | None = None) -> PackItem:
        body = self._masses.of(edition)
        self.guessed += body.mass_g is self._masses.middle
        if contradicts(edition):
            self.doubted.append(copy.accession)
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
