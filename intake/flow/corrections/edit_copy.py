"""The record of a copy is corrected: fields get other values or are emptied, and a withdrawn copy is brought back."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace

from intake.edges.exchange.outgoing import JACKET, NO_JACKET
from intake.edges.store.queries.editions import printings_of
from intake.edges.store.queries.withdrawals import withdrawals_of
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.corrections.correction_plan import CorrectionPlan
from intake.flow.corrections.field_values import cells_of, typed_and_emptied, usage_error
from intake.flow.lists.columns import word
from intake.flow.lists.reasons import CellError
from intake.flow.lists.written_words import grade_read, jacket_read
from intake.flow.lookup.resolve import find_copy, find_edition
from intake.flow.lookup.wording import title_words
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, CopyState, Covering, Edition, Finish, Grade, Sewing
from intake.units.advice import advice

WITHDRAWN = "withdrawn"
"""What is cleared to bring a copy back."""

_TEXTS = ("condition", "note", "why", "signed", "limitation", "shelfmark")
_WORDS = {"sewing": Sewing, "covering": Covering, "finish": Finish}
_TRUTHS = ("wrapped", "slipcase", "kept")

COPY_FIELDS = ("edition", "printing", "grade", "jacket", *_WORDS, *_TRUTHS, *_TEXTS)
"""The fields that may be corrected; where a copy is, is moved (`intake.flow.corrections.move_copies`)."""


def plan_copy_edit(
    reader: LibraryReader,
    copy_text: str,
    *,
    values: Iterable[str] = (),
    clear: Iterable[str] = (),
    note: str = "",
    station: str,
) -> CorrectionPlan:
    """Plan the correction of a copy.

    Args:
        reader: of the library.
        copy_text: its own number, or the key or number of an edition with one copy.
        values: the new values, each as FIELD=VALUE (`COPY_FIELDS`).
        clear: the fields to empty; 'withdrawn' brings the copy back into the collection.
        note: why, for the ledger.
        station: who does it.

    Raises:
        UsageError: a field or a value that is none.
        RefusedError: the copy does not exist, is not withdrawn and would be brought back, or its edition has no
            printing of that number.
    """
    before = find_copy(reader, copy_text)
    typed, emptied = typed_and_emptied(values, clear, COPY_FIELDS, emptied_too=(WITHDRAWN,))
    if "edition" in emptied:
        raise UsageError(
            "The edition of a copy", "cannot be emptied", advice("name another with --set edition=KEY", "name another")
        )
    after = copy_with_values(reader, _emptied(before, emptied - {WITHDRAWN}), typed)
    changes: list[Change] = []
    remarks = _remarks(before, after)
    if WITHDRAWN in emptied:
        after, withdrawal = _back(reader, after)
        changes.append(withdrawal)
        remarks = (*remarks, f"Copy {after.accession} is {after.state} again; its place on a shelf is not kept.")
    changes.append(Change(before, after))
    action = Action(ActionKind.EDIT_COPY, before.accession, station, note=note)
    return CorrectionPlan(action=action, changes=tuple(changes), remarks=remarks)


def copy_with_values(reader: LibraryReader, copy: Copy, typed: Mapping[str, str]) -> Copy:
    """Return a copy with values as typed, by field of `COPY_FIELDS`.

    Raises:
        UsageError: a value that is none.
        RefusedError: there is no such edition, or it has no such printing.
    """
    try:
        return _identified(reader, _described(copy, typed), typed)
    except CellError as error:
        raise usage_error(error) from error


def _described(copy: Copy, typed: Mapping[str, str]) -> Copy:
    cells = cells_of(typed)
    values: dict[str, object] = {field: typed[field] for field in _TEXTS if field in typed}
    values |= {field: word(kind, typed[field], field) for field, kind in _WORDS.items() if field in typed}
    values |= {field: cells.yes(field) for field in _TRUTHS if field in typed}
    if "grade" in typed:
        values["grade"] = _as_in_lists(typed["grade"], "grade", grade_read)
    if "jacket" in typed:
        read = jacket_read(typed["jacket"])
        none = read == NO_JACKET
        graded = not none and read != JACKET
        values["jacket"] = _as_in_lists(typed["jacket"], "jacket", jacket_read) if graded else None
        values["has_jacket"] = not none
    return replace(copy, **values)  # type: ignore[arg-type] # each was read as its field's own kind


def _as_in_lists(text: str, field: str, read: Callable[[str], str | None]) -> Grade:
    """Return the grade that a word or its letters mean, as lists understand them ("VG+").

    Raises:
        CellError: it is none.
    """
    return word(Grade, read(text) or text, field)


def _identified(reader: LibraryReader, copy: Copy, typed: Mapping[str, str]) -> Copy:
    if "edition" in typed:
        edition = find_edition(reader, typed["edition"])
        if edition.id != copy.edition_id:
            copy = replace(copy, edition_id=edition.id, printing_id=None)
    ordinal = cells_of(typed).whole("printing")
    if ordinal is None:
        return copy
    printing = next((one for one in printings_of(reader, copy.edition_id) if one.ordinal == ordinal), None)
    if printing is None:
        of = reader.get(Edition, copy.edition_id)
        name = f"Printing {ordinal} of '{title_words(of)}'" if of else f"Printing {ordinal}"
        remedy = advice(
            "read its number line with 'intake condition record COPY --number-line', which records it",
            "write its number line on the page of the copy, which records it",
        )
        raise RefusedError(name, "is not recorded", remedy)
    return replace(copy, printing_id=printing.id)


def _emptied(copy: Copy, fields: Collection[str]) -> Copy:
    blank = Copy(accession=copy.accession, edition_id=copy.edition_id)
    names = {"printing_id" if field == "printing" else field for field in fields}
    if "jacket" in names:
        names.add("has_jacket")
    return replace(copy, **{name: getattr(blank, name) for name in names})


def _back(reader: LibraryReader, copy: Copy) -> tuple[Copy, Change]:
    """Return a withdrawn copy as it is once it is here again, and what takes its withdrawal away."""
    withdrawal = withdrawals_of(reader, [copy.accession]).get(copy.accession)
    if withdrawal is None:
        raise RefusedError(f"Copy {copy.accession}", f"is not withdrawn but {copy.state}", "look it up", field="copy")
    state = {CopyState.SHELVED: CopyState.UNPACKED, CopyState.PACKED: CopyState.AT_HAND}.get(
        withdrawal.was, withdrawal.was
    )
    if state is CopyState.UNPACKED and copy.box is None:
        state = CopyState.AT_HAND
    box = None if withdrawal.was is CopyState.PACKED else copy.box
    return replace(copy, state=state, box=box), Change(withdrawal, None)


def _remarks(before: Copy, after: Copy) -> tuple[str, ...]:
    remarks = []
    if after.edition_id != before.edition_id and before.printing_id is not None and after.printing_id is None:
        remarks.append("Its printing was one of the other edition, and is not known any more.")
    described = ("grade", "jacket", "has_jacket", "wrapped", "condition")
    if any(getattr(before, name) != getattr(after, name) for name in described):
        remarks.append(
            advice(
                "Condition reports stay as they were made; a new inspection is 'intake condition record'.",
                "Condition reports stay as they were made; a new inspection is on the page of the copy.",
            )
        )
    if after.why and after.why != before.why and not after.kept:
        remarks.append(
            advice(
                "The note alone does not keep it from being proposed to go: --set kept=yes does.",
                "The note alone does not keep it from being proposed to go: 'Never to go' does.",
            )
        )
    return tuple(remarks)
