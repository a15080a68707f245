"""What lists said of records, and which editions were merged, as a folder of all records carries it over.

The ledger tells it entry by entry; the folder has it once for each list and record: what the list said last of each
field of which it ever said something.
"""

import json
from collections.abc import Collection, Iterator

from intake.edges.store.chain import ChangeText, canonical
from intake.edges.store.queries.lists import LIST_STEPS, change_texts_of_list, imported_lists
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import KINDS, key_of, read_plain, table_name
from intake.model.changes import Record
from intake.model.earlier import EarlierListing, EarlierMerge
from intake.model.valuations import Valuation

VALUATION = table_name(Valuation)


def carried_listings(reader: LibraryReader) -> Iterator[EarlierListing]:
    """Yield what each list said of each record, list by list, numbered.

    The records are in the order in which the list first named them; then come the values, the last one last, as it is
    what the list says that a copy is worth.
    """
    number = 0
    for action, file in imported_lists(reader):
        records: dict[tuple[str, str], ChangeText] = {}
        values: dict[tuple[str, str], ChangeText] = {}
        for change in change_texts_of_list(reader, action, file):
            key = (change.table, change.key)
            if change.table != VALUATION:
                records[key] = joined(records.get(key), change)
            else:
                values[key] = joined(values.pop(key, None), change)
        for text in (*records.values(), *values.values()):
            if text.after is not None:
                number += 1
                yield EarlierListing(
                    id=number,
                    step=action.value,
                    file=file,
                    record_table=text.table,
                    record_key=text.key,
                    before=text.before,
                    after=text.after,
                )


def joined(earlier: ChangeText | None, later: ChangeText) -> ChangeText:
    """Return what two imports said of a record as what one would have said.

    >>> first = ChangeText("copy", "A1-59", None, '{"box":"1","note":""}')
    >>> joined(first, ChangeText("copy", "A1-59", '{"box":"2","note":""}', '{"box":"2","note":"torn"}')).after
    '{"box":"1","note":"torn"}'
    """
    if earlier is None or earlier.after is None or later.after is None or later.before is None:
        return later
    said, known = json.loads(later.after), json.loads(later.before)
    anew = {name: value for name, value in said.items() if name not in known or known[name] != value}
    before_after = json.loads(earlier.after)
    if earlier.before is None:
        return ChangeText(later.table, later.key, None, canonical({**before_after, **anew}))
    first = json.loads(earlier.before)
    kept = [
        name for name, value in before_after.items() if name not in anew and (name not in first or first[name] != value)
    ]
    after = {**said, **{name: before_after[name] for name in kept}}
    unsaid = {name: value for name, value in after.items() if name not in anew and name not in kept}
    was = {name: known[name] for name in anew if name in known}
    was |= {name: first[name] for name in kept if name in first}
    return ChangeText(later.table, later.key, canonical({**unsaid, **was}), canonical(after))


def odd_field(record: Record, editions: Collection[int | str]) -> str | None:
    """Return the field of a record carried over that no export can have written so; None where there is none.

    Args:
        record: of any kind.
        editions: the ids of those that the folder has.
    """
    if isinstance(record, EarlierMerge):
        # One that stays means itself; another that is there is merged into none.
        return "edition" if record.edition != record.into and record.edition in editions else None
    return _odd_field(record) if isinstance(record, EarlierListing) else None


def _odd_field(listing: EarlierListing) -> str | None:
    kind = KINDS.get(listing.record_table)
    if listing.step not in LIST_STEPS:
        return "step"
    if kind is None:
        return "record_table"
    texts = {"after": listing.after, "before": listing.before}
    for name, text in texts.items():
        if text is None:
            continue
        if not ChangeText(listing.record_table, listing.record_key, None, text).is_canonical():
            return name
        try:
            record = read_plain(kind, json.loads(text))
        except (TypeError, ValueError, ArithmeticError):
            return name
        if str(key_of(record)) != listing.record_key:
            return "record_key"
    return None
