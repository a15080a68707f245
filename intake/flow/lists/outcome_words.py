"""The sentences that a person is shown of what a list changes, row by row, and which boxes a consignment gets."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from enum import StrEnum

from intake.flow.lists.lot_plan import RowOutcome
from intake.model.boxes import Box
from intake.model.changes import Change, Record, is_provisional
from intake.model.condition import ConditionReport
from intake.model.currencies import amount_text
from intake.model.editions import BookSet, Copy
from intake.model.valuations import Valuation
from intake.units.advice import advice
from intake.units.counts import counted

NAMED_BOXES = 24


def outcome_words(outcome: RowOutcome) -> str:
    """Write what a row changes.

    >>> from intake.model.boxes import Box
    >>> box = Box(number="B2-47")
    >>> outcome_words(RowOutcome(4, "B2-47", (Change(box, Box(number="B2-47", room="Study")),)))
    "B2-47: box B2-47: room none -> 'Study'"
    >>> outcome_words(RowOutcome(5, "B2-47", ()))
    'B2-47: unchanged'
    """
    changes = [_change_words(change) for change in outcome.changes] or ["unchanged"]
    changes += [f"of the set {outcome.of_set!r}"] if outcome.of_set else []
    left = [
        f"{cell.field} stays {_value_words(cell.recorded)}, recorded since, though the list says "
        f"{_value_words(cell.listed)} as before"
        for cell in outcome.notes.left
    ]
    return f"{outcome.name}: {'; '.join([*changes, *left])}"


def overwritten_sentences(outcome: RowOutcome) -> list[str]:
    """Write which cells of a row take the place of what was recorded since the list was last imported.

    >>> from intake.flow.lists.lot_plan import CellNotes, LeftCell
    >>> cell = LeftCell("condition", "mended", "torn badly")
    >>> overwritten_sentences(RowOutcome(5, "Ferns", (), CellNotes(overwritten=(cell,))))
    ["Ferns: condition 'mended', recorded since the list was last imported, gives way to 'torn badly'"]
    """
    since = "recorded since the list was last imported, gives way to"
    return [
        f"{outcome.name}: {cell.field} {_value_words(cell.recorded)}, {since} {_value_words(cell.listed)}"
        for cell in outcome.notes.overwritten
    ]


def emptied_sentence(emptied: Mapping[str, int]) -> str:
    """Write how many cells are empty where something is recorded, by column.

    >>> emptied_sentence({"condition": 2, "value": 1})
    '3 empty cells: what is recorded stays (condition 2, value 1)'
    """
    by_column = ", ".join(f"{column} {count}" for column, count in emptied.items())
    return f"{counted(sum(emptied.values()), 'empty cell')}: what is recorded stays ({by_column})"


def record_counts(counts: Mapping[type[Record], int]) -> str:
    """Write how many records there are of each kind.

    >>> record_counts({BookSet: 2, Valuation: 1}), record_counts({})
    ('2 sets and 1 value', 'nothing')
    """
    words = [counted(count, _noun(kind), _PLURALS.get(kind, "")) for kind, count in counts.items() if count]
    *first, last = words or ["nothing"]
    return f"{', '.join(first)} and {last}" if first else last


_NOUNS: dict[type[Record], str] = {BookSet: "set", ConditionReport: "condition report", Valuation: "value"}
_PLURALS: dict[type[Record], str] = {Copy: "copies", Box: "boxes"}
_ALONE = {"state", "basis", "on"}
"""Fields whose values say what they are."""
_NUMBERS = {"box"}
"""Fields that hold a number of the library's own, which needs no quotation marks."""
_SILENT = {"id", "edition_id", "copy", "set_id", "printing_id", "parent", "position"}
"""Fields that are references or orders of the library's own: another record of the row, or its name, says it."""


def _change_words(change: Change) -> str:
    record = change.after or change.before
    if record is None:
        return ""
    noun = _noun(type(record))
    key = getattr(record, fields(record)[0].name)
    name = f"{noun} {key}" if isinstance(key, str) and not is_provisional(key) else noun
    if change.before is None:
        said = _new_words(record, key)
        return f"new {name}" + (f" ({', '.join(said)})" if said else "")
    before, after = dict(_said(change.before, all_fields=True)), dict(_said(record, all_fields=True))
    differ = [
        f"{field} {_value_words(old)} -> {_value_words(after[field])}"
        for field, old in before.items()
        if after[field] != old
    ]
    return f"{name}: {', '.join(differ) or 'altered'}"


def _new_words(record: Record, key: object) -> list[str]:
    """Return what is said of a new record besides its key; what names itself stands alone."""
    said = {field: value for field, value in _said(record) if value != key}
    words: list[str] = []
    if isinstance(record, Valuation):
        words.append(amount_text(record.amount, record.currency))
        said = {field: value for field, value in said.items() if field not in ("amount", "currency")}
    for field, value in said.items():
        name = "" if field in _ALONE else f"{field} "
        words.append(name + (str(value) if field in _ALONE or field in _NUMBERS else _value_words(value)))
    return words


def _noun(kind: type[Record]) -> str:
    return _NOUNS.get(kind, kind.__name__.lower())


def _said(record: Record, *, all_fields: bool = False) -> list[tuple[str, object]]:
    named = ((field.name, getattr(record, field.name), field.default) for field in fields(record))
    return [
        (name, value)
        for name, value, default in named
        if name not in _SILENT and (all_fields or value not in (default, None, "", ()))
    ]


def _value_words(value: object) -> str:
    if value in (None, "", ()):
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, tuple):
        return repr("; ".join(value))
    return repr(value) if isinstance(value, str) and not isinstance(value, StrEnum) else str(value)


def consigned_sentence(reference: str, boxes: Sequence[str], *, dry_run: bool) -> str:
    """Write which boxes a list puts into a consignment; of none, how to put some in."""
    if not boxes:
        how = advice(f"with 'intake consign add {reference} BOX …'", "put them into it on the page of the consignment")
        return f"This list puts no box into {reference}: name them in the column 'boxes', or {how}."
    more = f" and {len(boxes) - NAMED_BOXES} more" if len(boxes) > NAMED_BOXES else ""
    shown = ", ".join(boxes[:NAMED_BOXES]) + more
    return f"{reference} {'would get' if dry_run else 'got'} {counted(len(boxes), 'box', 'boxes')}: {shown}."
