"""What an entry of the ledger changed, in words: a line for each record, made, taken away, or altered by fields."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from intake.edges.store.queries.entry_changes import changes_of_steps, count_changes
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import KINDS, kind_words
from intake.flow.lookup.wording import copy_field_words, edition_field_words, field_value_words, title_words
from intake.model.changes import RowChange
from intake.model.currencies import amount_text
from intake.model.editions import BookSet, Edition

FIRST = 3
"""Changes of a step that stand in the list; its own page has all of them."""
_UNSAID = frozenset({"id", "title_key", "words"})
_AMOUNTS = frozenset({"amount"})
_NAMES_EDITION = frozenset({"edition_id"})

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class StepChanges:
    """What a step changed: the lines of the first changes asked for, and how many changes there are."""

    lines: tuple[str, ...] = ()
    total: int = 0

    @property
    def more(self) -> int:
        """Return how many changes have no line."""
        return self.total - len(self.lines)


def step_changes(
    reader: LibraryReader, steps: Sequence[Span], *, begin: int = 0, count: int = FIRST, values: bool = True
) -> dict[int, StepChanges]:
    """Return what each of these steps changed, by the number of its last entry; a few statements for all.

    Args:
        reader: of the library.
        steps: the first and the last entry of each.
        begin: how many changes of each are left out at the beginning.
        count: most lines for each.
        values: whether amounts are told.
    """
    totals = count_changes(reader, steps)
    changes = changes_of_steps(reader, steps, begin, count)
    titles = _titles(reader, [change for of_step in changes.values() for change in of_step])
    return {
        last: StepChanges(
            tuple(_line(change, titles, values=values) for change in changes.get(last, ())), totals.get(last, 0)
        )
        for _, last in steps
    }


def _titles(reader: LibraryReader, changes: Iterable[RowChange]) -> dict[object, str]:
    """Return the titles of the editions that these changes name, and of the sets that values name, as they are now."""
    ids = {int(change.key) for change in changes if change.table == "edition" and change.key.isdecimal()}
    plains = (plain for change in changes for plain in (change.before, change.after) if plain)
    ids |= {plain["edition_id"] for plain in plains if isinstance(plain.get("edition_id"), int)}  # type: ignore[misc]
    titles: dict[object, str] = {
        key: f"'{title_words(edition)}'" for key, edition in reader.get_many(Edition, ids).items()
    }
    values = (change.after or change.before or {} for change in changes if change.table == "setvalue")
    sets = {number for value in values if isinstance(number := value.get("set_id"), int)}
    return titles | {("set", key): f"'{one.title}'" for key, one in reader.get_many(BookSet, sets).items()}


def _line(change: RowChange, titles: dict[object, str], *, values: bool) -> str:
    name = _name(change, titles, values=values)
    if change.before is None:
        return f"{name} {_made_words(change)}"
    if change.after is None:
        return f"{name} is taken away"
    hidden = _UNSAID if values else _UNSAID | _AMOUNTS
    return f"{name}: {'; '.join(_altered(change, titles, hidden)) or 'nothing that is shown'}"


def _name(change: RowChange, titles: dict[object, str], *, values: bool) -> str:
    kind = KINDS.get(change.table)
    word = kind_words(kind) if kind is not None else change.table.replace("_", " ").capitalize()
    plain = change.after or change.before or {}
    if change.table == "edition":
        return f"Edition {titles.get(int(change.key) if change.key.isdecimal() else 0) or repr(plain.get('title'))}"
    if change.table == "picture":
        return "A picture"
    if change.table in _WORTH:
        return _worth_name(change.table, plain, titles, values=values)
    if plain.get("copy") and change.table != "query":
        return f"{_SPOKEN.get(change.table, word)} of copy {plain['copy']}"
    named = plain.get("title") or plain.get("name")
    shown = f"'{named}'" if named and change.table in _NAMED else change.key
    return f"{_SPOKEN.get(change.table, word)} {shown}"


def _worth_name(table: str, plain: Mapping[str, object], titles: Mapping[object, str], *, values: bool) -> str:
    """Return the name of a value or a rate, with its figure: by it a person tells one from another."""
    if table == "rate":
        return f"Rate of {plain.get('on')}, {plain.get('base')} 1 = {plain.get('currency')} {plain.get('per_base')}"
    amount = f"{amount_text(Decimal(str(plain.get('amount'))), str(plain.get('currency')))} " if values else ""
    named = titles.get(("set", plain.get("set_id")), "")
    of = f"copy {plain.get('copy')}" if table == "valuation" else f"set {plain.get('set_id')} {named}".rstrip()
    return f"Value of {of}, {amount}({plain.get('basis')}, {plain.get('on')})"


_WORTH = frozenset({"valuation", "setvalue", "rate"})
_SPOKEN = {
    "boxpicture": "Photograph of a box",
    "conditionreport": "Condition report",
    "copypicture": "Photograph",
    "discrepancy": "Discrepancy",
    "printed": "The printed label of",
    "ordering": "The order of",
}


_NAMED = frozenset({"book_set", "serial"})
_THINGS = frozenset({"edition", "copy", "box", "place", "book_set", "printing"})


def _made_words(change: RowChange) -> str:
    after = change.after or {}
    if change.table == "sighting":
        where = after.get("box") or after.get("place")
        return f"recorded, in {where}" if where else "recorded"
    if change.table == "query":
        return f"waits: {after.get('number') or 'nothing read'}"
    return "is made" if change.table in _THINGS else "is recorded"


def _altered(change: RowChange, titles: dict[object, str], unsaid: Collection[str]) -> Iterator[str]:
    before, after = change.before or {}, change.after or {}
    for name in (*after, *(name for name in before if name not in after)):
        was, is_now = before.get(name), after.get(name)
        if was != is_now and name not in unsaid:
            words = copy_field_words(name) if change.table == "copy" else edition_field_words(name)
            yield f"{words}: {_value(name, was, titles)} → {_value(name, is_now, titles)}"


def _value(name: str, value: object, titles: dict[object, str]) -> str:
    if name in _NAMES_EDITION and value in titles:
        return titles[value]
    if isinstance(value, list | tuple):
        return "; ".join(map(str, value)) or "none"
    return f"{value:g}" if isinstance(value, float) else field_value_words(value)
