"""Copies are recorded as somewhere else: in another box, on another shelf, or at hand; all of them or none."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from intake.edges.store.queries.shelves import copies_on_shelves
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.corrections.correction_plan import CorrectionPlan
from intake.flow.corrections.leaving_boxes import refuse_in_box
from intake.flow.lookup.resolve import find_box, find_copy, find_shelf, refuse_withdrawn
from intake.flow.shelves.load_words import excess_words
from intake.flow.shelves.shelf_layout import plan_layout
from intake.flow.shelves.shelf_state import Pair, as_book
from intake.flow.shelves.shelve_copy import excess_of, row_with
from intake.model.boxes import BoxState
from intake.model.changes import Action, ActionKind, Change, Provisional, made, supposing
from intake.model.editions import Copy, CopyState, Edition
from intake.model.sightings import ReadingMethod, Sighting


@dataclass(frozen=True, slots=True)
class ToBox:
    """Into this open box, as typed."""

    box: str


@dataclass(frozen=True, slots=True)
class ToShelf:
    """Onto this shelf, as typed; `behind` names a copy on it, else each takes its place in the person's order."""

    shelf: str
    behind: str = ""


@dataclass(frozen=True, slots=True)
class ToHand:
    """Out of its box or off its shelf."""


Target = ToBox | ToShelf | ToHand


def plan_move(
    reader: LibraryReader,
    copy_texts: Sequence[str],
    target: Target,
    *,
    despite_box: bool = False,
    now: datetime,
    station: str,
) -> CorrectionPlan:
    """Plan that copies are somewhere else, by the rules of packing and shelving.

    Args:
        reader: of the library.
        copy_texts: the copies, by their own numbers, or by the key or number of an edition with one copy.
        target: where they are.
        despite_box: a copy that is recorded as packed in a closed box is not in it.
        now: when it is seen there, in UTC.
        station: who does it.

    Raises:
        RefusedError: a copy does not exist, is named twice, was withdrawn or lies in a closed box; or the box is not
            open, or the shelf is none.
    """
    copies: list[Copy] = []
    for text in copy_texts:
        copy = find_copy(reader, text)
        refuse_withdrawn(copy)
        refuse_in_box(reader, copy, despite_box=despite_box)
        if copy in copies:
            raise RefusedError(f"Copy {copy.accession}", "is named twice", "name it once", field="copy")
        copies.append(copy)
    action = Action(ActionKind.MOVE_COPIES, ", ".join(copy.accession for copy in copies), station)
    match target:
        case ToBox(box_text):
            return CorrectionPlan(action=action, changes=_into_box(reader, copies, box_text))
        case ToShelf():
            return plan_onto_shelf(reader, copies, target, action, now)
    return CorrectionPlan(action=action, changes=tuple(Change(copy, _at_hand(copy)) for copy in copies))


def _into_box(reader: LibraryReader, copies: Sequence[Copy], box_text: str) -> tuple[Change, ...]:
    box = find_box(reader, box_text)
    if box.state is not BoxState.OPEN:
        raise RefusedError(f"Box {box.number}", f"is {box.state}", "name an open box", field="box")
    packed = (replace(copy, state=CopyState.PACKED, box=box.number, place=None, position=None) for copy in copies)
    return (*(Change(*pair) for pair in zip(copies, packed, strict=True)), *supposing(box))


def _at_hand(copy: Copy) -> Copy:
    """Return a copy that stands and lies nowhere; one that travelled stays unpacked from the box that it came in."""
    travelled = copy.state is not CopyState.PACKED and copy.box is not None
    return replace(
        copy,
        state=CopyState.UNPACKED if travelled else CopyState.AT_HAND,
        box=copy.box if travelled else None,
        place=None,
        position=None,
    )


def plan_onto_shelf(
    reader: LibraryReader,
    copies: Sequence[Copy],
    target: ToShelf,
    action: Action,
    now: datetime,
    *,
    are_new: bool = False,
) -> CorrectionPlan:
    """Plan that copies stand on a shelf and were seen there.

    Args:
        reader: of the library.
        copies: the copies.
        target: the shelf, and behind which copy.
        action: whose station sees them.
        now: when, in UTC.
        are_new: whether the plan makes the copies.

    Raises:
        RefusedError: the shelf is none, or the copy to stand behind is not on it.
    """
    shelf = find_shelf(reader, target.shelf)
    own = {copy.accession: copy for copy in copies}
    editions = reader.get_many(Edition, [copy.edition_id for copy in copies])
    pairs: list[Pair] = [(copy, editions[copy.edition_id]) for copy in copies]
    standing = copies_on_shelves(reader, [shelf.number])[shelf.number]
    others = [pair for pair in standing if pair[0].accession not in own]
    new_copies = copies if are_new else ()
    row = row_with(reader, pairs, shelf, others, target.behind)
    layout = [_without_box(change) for change in plan_layout(reader, [(shelf.number, row)], new=new_copies)]
    new = Provisional()
    sightings = (
        Sighting(
            id=new.id(),
            copy=accession,
            at=now,
            station=action.station,
            place=shelf.number,
            methods=ReadingMethod.TYPED.value,
        )
        for accession in own
    )
    mark = next(change.after.shelfmark for change in layout if isinstance(change.after, Copy))
    excess = excess_of(shelf, [as_book(*pair) for pair in pairs], [as_book(*pair) for pair in others])
    return CorrectionPlan(
        action=action,
        changes=(*layout, *supposing(shelf), *made(*sightings)),
        remarks=tuple(excess_words(one, mark) for one in excess),
        onto_shelf=True,
    )


def _without_box(change: Change) -> Change:
    """Return the change of a copy that comes out of the box it is packed in: it has not travelled in it."""
    before, after = change.before, change.after
    if isinstance(before, Copy) and isinstance(after, Copy) and before.state is CopyState.PACKED:
        return Change(before, replace(after, box=None))
    return change
