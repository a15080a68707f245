"""Copies that no list named are recorded by hand."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.corrections.correction_plan import CorrectionPlan
from intake.flow.corrections.edit_copy import COPY_FIELDS, copy_with_values
from intake.flow.corrections.field_values import typed_values
from intake.flow.corrections.move_copies import ToShelf, plan_onto_shelf
from intake.flow.lookup.resolve import find_box, find_edition, own_number
from intake.flow.lookup.wording import title_words
from intake.model.boxes import BoxState
from intake.model.changes import Action, ActionKind, Provisional, made, supposing
from intake.model.editions import Copy, CopyState
from intake.model.identifiers import OwnKind
from intake.units.counts import counted, noun

MOST = 1000
"""Copies of one edition added at once; more is a slip of the finger."""


def plan_added_copies(
    reader: LibraryReader,
    edition_text: str,
    *,
    count: int = 1,
    number: str = "",
    box_text: str = "",
    shelf: ToShelf | None = None,
    values: Iterable[str] = (),
    now: datetime,
    station: str,
) -> CorrectionPlan:
    """Plan new copies of an edition, at hand, in an open box or on a shelf.

    Args:
        reader: of the library.
        edition_text: key or number of the edition.
        count: how many, from 1 to `MOST`.
        number: the own number of a single copy; empty takes the next free one.
        box_text: the open box that they lie in; empty for none.
        shelf: where they stand; None for nowhere.
        values: what is known of each, as FIELD=VALUE (`COPY_FIELDS` but for the edition).
        now: when they are seen on the shelf, in UTC.
        station: who does it.

    Raises:
        RefusedError: the edition, the box or the shelf does not exist, the box is not open, or the number is taken.
        UsageError: a value that is none, or one number for several copies.
    """
    edition = find_edition(reader, edition_text)
    if box_text and shelf is not None:
        raise UsageError("A new copy", "is in a box or on a shelf", "name one of the two")
    if not 1 <= count <= MOST:
        raise UsageError(f"The count {count}", f"is not one from 1 to {MOST}", "give another", field="count")
    typed = typed_values(values, [field for field in COPY_FIELDS if field != "edition"])
    copy = copy_with_values(reader, Copy(accession="", edition_id=edition.id), typed)
    supposed = supposing(edition)
    if box_text:
        box = find_box(reader, box_text)
        if box.state is not BoxState.OPEN:
            raise RefusedError(f"Box {box.number}", f"is {box.state}", "name an open box", field="box")
        copy = replace(copy, state=CopyState.PACKED, box=box.number)
        supposed = (*supposed, *supposing(box))
    new = Provisional()
    if number:
        if count > 1:
            raise UsageError(
                "One number",
                f"cannot be that of {count} copies",
                "add them one by one, or give no number",
                field="number",
            )
        numbers = [_free_number(reader, number)]
    else:
        numbers = [new.number(OwnKind.COPY) for _ in range(count)]
    copies = [replace(copy, accession=own) for own in numbers]
    action = Action(
        ActionKind.ADD_COPIES,
        numbers[0] if count == 1 else f"{count} of {edition.key or edition.number or edition.title}",
        station,
    )
    remark = f"{counted(count, 'copy', 'copies')} of '{title_words(edition)}' {noun(count, 'is', 'are')} new."
    if shelf is not None:
        on_shelf = plan_onto_shelf(reader, copies, shelf, action, now, are_new=True)
        return replace(on_shelf, changes=(*supposed, *on_shelf.changes), remarks=(remark, *on_shelf.remarks))
    return CorrectionPlan(action=action, changes=(*supposed, *made(*copies)), remarks=(remark,))


def _free_number(reader: LibraryReader, text: str) -> str:
    number = own_number(text, OwnKind.COPY)
    if reader.get(Copy, number) is not None:
        raise RefusedError(
            f"Copy {number}", "is in the library already", "give another number, or none", field="number"
        )
    return number
