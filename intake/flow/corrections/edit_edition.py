"""The record of an edition is corrected: fields get other values, or are emptied."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from intake.edges.store.queries.editions import editions_by_number, editions_like
from intake.edges.store.queries.names import set_of_title
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError, about_field
from intake.flow.corrections.correction_plan import CorrectionPlan
from intake.flow.corrections.field_values import cells_of, typed_and_emptied, usage_error
from intake.flow.lists.columns import CellFault
from intake.flow.lists.editions import EDITION_COLUMNS, parse_edition
from intake.flow.lookup.resolve import find_edition
from intake.flow.lookup.wording import whole_words
from intake.model.changes import Action, ActionKind, Change, Provisional, made
from intake.model.edition_names import subject_of
from intake.model.editions import BookSet, Edition
from intake.units.advice import advice
from intake.units.amounts import parse_amount

EDITION_FIELDS = tuple(column.field for column in EDITION_COLUMNS)
"""The fields that may be corrected, as the columns of a list of editions are called."""

_ATTRIBUTES = {"edition": "statement", "set": "set_id"}
"""Fields whose column has another name than the record."""


_PRICE = frozenset({"price", "currency"})
"""Neither stands without the other."""


def plan_edition_edit(
    reader: LibraryReader,
    edition_text: str,
    *,
    values: Iterable[str] = (),
    clear: Iterable[str] = (),
    note: str = "",
    station: str,
) -> CorrectionPlan:
    """Plan the correction of an edition.

    Args:
        reader: of the library.
        edition_text: its key or number, as typed.
        values: the new values, each as FIELD=VALUE (`EDITION_FIELDS`).
        clear: the fields to empty.
        note: why, for the ledger.
        station: who does it.

    Raises:
        UsageError: a field or a value that is none.
        RefusedError: the edition does not exist, or another has the key already.
    """
    before = find_edition(reader, edition_text)
    typed, emptied = typed_and_emptied(values, clear, EDITION_FIELDS)
    return plan_edition_values(reader, before, typed, emptied, note=note, station=station)


def plan_edition_values(
    reader: LibraryReader,
    before: Edition,
    typed: Mapping[str, str],
    emptied: Collection[str],
    *,
    note: str = "",
    station: str,
) -> CorrectionPlan:
    """Plan the correction of an edition whose fields, as in `EDITION_FIELDS`, get values or are emptied.

    Raises:
        UsageError: a value that is none; its field is told.
        RefusedError: another edition has the key already.
    """
    if "title" in emptied:
        with about_field("title"):
            raise UsageError("The title", "cannot be emptied", "an edition needs one: give it another")
    with about_field("year"):
        _check_year(typed.get("year", ""))
    after, new_sets = _with_values(reader, _emptied(before, emptied), typed)
    with about_field("key"):
        _refuse_taken_key(reader, before, after)
    action = Action(ActionKind.EDIT_EDITION, subject_of(before), station, note=note)
    changes = (*new_sets, *((Change(before, after),) if after != before else ()))
    return CorrectionPlan(action=action, changes=changes, remarks=_remarks(reader, before, after))


def _check_year(text: str) -> None:
    if text and not re.fullmatch("[0-9]{1,4}", text):
        raise UsageError(f"The year '{text}'", "is not a number of at most four digits", "correct it")


def _emptied(edition: Edition, fields: Collection[str]) -> Edition:
    blank = Edition(id=edition.id, title=edition.title)
    names = {_ATTRIBUTES.get(field, field) for field in fields}
    if "number" in names:
        names.add("add_on")  # which distinguishes issues of one number
    if names & _PRICE:
        names |= _PRICE
    return replace(edition, **{name: getattr(blank, name) for name in names})


def _with_values(
    reader: LibraryReader, edition: Edition, typed: Mapping[str, str]
) -> tuple[Edition, tuple[Change, ...]]:
    """Return the edition with the values typed, and what makes a set that there is not yet."""
    cells = {"title": edition.title, **typed, **_price_cells(edition, typed)}
    if "add_on" in typed and "number" not in typed and edition.number:
        cells["number"] = edition.number
    faults: list[CellFault] = []
    read, set_title = parse_edition(cells_of(cells, faults))
    for field, error in faults:
        with about_field(field):
            raise usage_error(error) from error
    given = {_ATTRIBUTES.get(field, field) for field in typed} - {"set_id"}
    if "number" in typed:
        given.add("add_on")
    if given & _PRICE:
        given |= _PRICE
    after = replace(edition, **{name: getattr(read, name) for name in given})
    if not set_title:
        return after, ()
    book_set = set_of_title(reader, set_title)
    if book_set is not None:
        return replace(after, set_id=book_set.id), ()
    new_set = BookSet(id=Provisional().id(), title=set_title)
    return replace(after, set_id=new_set.id), made(new_set)


def _price_cells(edition: Edition, typed: Mapping[str, str]) -> dict[str, str]:
    """Return price and currency, one of them as it was where only the other is typed; nothing where none is.

    Raises:
        UsageError: an amount that is none, or one without the other.
    """
    cells = {field: typed[field] for field in _PRICE & typed.keys()}
    if cells.get("price"):
        with about_field("price"):
            cells["price"] = str(parse_amount(cells["price"]))
    if cells and edition.price is not None:
        cells = {"price": str(edition.price), "currency": edition.currency, **cells}
    if "price" in cells and "currency" not in cells:
        raise UsageError(
            "A price", "has no currency beside it", advice("give both, with --set currency=EUR too", "give both")
        )
    if "currency" in cells and "price" not in cells:
        raise UsageError(
            "A currency", "has no price beside it", advice("give both, with --set price=12.50 too", "give both")
        )
    return cells


def _refuse_taken_key(reader: LibraryReader, before: Edition, after: Edition) -> None:
    if not after.key or after.key == before.key:
        return
    for other in editions_like(reader, keys=[after.key]):
        if other.id != before.id:
            why = f"is that of '{whole_words(other)}' already"
            remedy = advice(
                "choose another, or merge the two with 'intake edition merge'", "choose another, or merge the two"
            )
            raise RefusedError(f"The key {after.key!r}", why, remedy)


def _remarks(reader: LibraryReader, before: Edition, after: Edition) -> tuple[str, ...]:
    remarks: list[str] = []
    if after.number and (after.number, after.add_on) != (before.number, before.add_on):
        same = editions_by_number(reader, after.number, after.add_on)
        others = [other for other in same if other.id != before.id and other.add_on == after.add_on]
        remarks += [f"The same number is that of '{whole_words(other)}' ({subject_of(other)}) too." for other in others]
    if before.key and not after.key:
        remarks.append(f"Lists that name it by its key {before.key!r} do not find it any more.")
    if before.volume and after.volume == before.volume and before.set_id is not None and after.set_id is None:
        remarks.append(f"Its volume, {before.volume}, stays: empty it too if it is of no set.")
    return tuple(remarks)
