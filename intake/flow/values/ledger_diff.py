"""Which copies of a list are not today as they were, in value, state, damage or description, and since which entries.

A change that was undone since is left out.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, fields

from intake.model.boxes import Discrepancy, DiscrepancyKind
from intake.model.changes import Change, Record
from intake.model.condition import ConditionReport, CopyPicture
from intake.model.currencies import amount_text
from intake.model.editions import Copy, Edition, Printing
from intake.model.valuations import Valuation

Later = Sequence[tuple[int, Change]]
"""Changes with the numbers of their entries, oldest first."""


@dataclass(frozen=True, slots=True)
class CopyChange:
    """What has changed of one copy, and the ledger's entries that changed it."""

    copy: str
    words: tuple[str, ...]
    entries: tuple[int, ...]


def changes_of(
    copies: Collection[tuple[str, int]],
    later: Later,
    values: tuple[dict[str, Valuation], dict[str, Valuation]],
) -> tuple[CopyChange, ...]:
    """Return what has changed of each of these copies.

    Args:
        copies: accession numbers, each with the id of its edition.
        later: the changes of the ledger since the list was made.
        values: the valuation that counts for each copy, then and now.
    """
    of_edition: dict[int, list[str]] = defaultdict(list)
    for copy, edition in copies:
        of_edition[edition].append(copy)
    listed = {copy for copy, _ in copies}
    entries: dict[str, set[int]] = defaultdict(set)
    for seq, change in later:
        for copy in listed.intersection(_touched(change, of_edition)):
            entries[copy].add(seq)
    words: dict[str, list[str]] = defaultdict(list)
    for copy in entries:
        was, is_now = (valuations.get(copy) for valuations in values)
        if was != is_now:
            words[copy].append(f"value {_value_words(was)}, now {_value_words(is_now)}")
    for record, before, after in _net(later):
        for copy in entries.keys() & set(_touched(Change(None, record), of_edition)):
            words[copy] += _changed_words(record, before, after)
    return tuple(
        CopyChange(copy, tuple(changes), tuple(sorted(entries[copy]))) for copy, changes in words.items() if changes
    )


def _touched(change: Change, of_edition: dict[int, list[str]]) -> Iterable[str]:
    record = change.after or change.before
    match record:
        case Copy():
            return [record.accession]
        case Valuation() | ConditionReport() | CopyPicture():
            return [record.copy]
        case Discrepancy(kind=DiscrepancyKind.DAMAGED):  # what is missing has a state that says so
            return [record.copy]
        case Edition():
            return of_edition.get(record.id, ())
        case Printing():
            return of_edition.get(record.edition_id, ())
    return ()


def _net(later: Later) -> Iterator[tuple[Record, Record | None, Record | None]]:
    """Yield each copy, edition and discrepancy with its first and its last state, where they differ."""
    first: dict[tuple[type, str | int], Record | None] = {}
    last: dict[tuple[type, str | int], tuple[Record, Record | None]] = {}
    for _, change in later:
        record = change.after or change.before
        if isinstance(record, Copy | Edition | Discrepancy):
            key = (type(record), record.accession if isinstance(record, Copy) else record.id)
            first.setdefault(key, change.before)
            last[key] = (record, change.after)
    for key, before in first.items():
        record, after = last[key]
        if before != after:
            yield record, before, after


def _changed_words(record: Record, before: Record | None, after: Record | None) -> Iterator[str]:
    if isinstance(record, Discrepancy):
        was, is_now = (one.reason if isinstance(one, Discrepancy) else None for one in (before, after))
        yield f"damage {_plain(was)}, now {_plain(is_now)}"
    elif isinstance(record, Copy):
        yield from _field_words(before, after, "")
    elif before is not None and after is not None:  # of an edition that is new its copy is new, and says so
        yield from _field_words(before, after, "edition's ")


def _field_words(before: Record | None, after: Record | None, of: str) -> Iterator[str]:
    if before is None or after is None:
        yield "new since" if before is None else "no longer recorded"
        return
    for field in fields(before):
        was, is_now = getattr(before, field.name), getattr(after, field.name)
        if was != is_now:
            yield f"{of}{field.name.replace('_', ' ')} {_plain(was)}, now {_plain(is_now)}"


def _plain(value: object) -> str:
    if isinstance(value, tuple):
        return "; ".join(map(str, value)) or "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value) if value not in (None, "") else "none"


def _value_words(value: Valuation | None) -> str:
    if value is None:
        return "none"
    return f"{amount_text(value.amount, value.currency)} ({value.basis}, {value.on.isoformat()})"
