"""What happened: the entries of the ledger, in words.

The parts of one large plan (`intake.edges.store.parts`) are one step for a person, and are told as one line.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import groupby

from intake.edges.store.parts import PartOf
from intake.edges.store.queries.ledger_entries import actions_of, history_of_copy, latest_entries
from intake.edges.store.queries.reversals import altered_since, undone
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.action_words import action_words, subject_words
from intake.flow.lookup.wording import copy_field_words, field_value_words, printing_ordinal_words
from intake.model.changes import Action, ActionKind, LedgerEntry, RowChange
from intake.model.condition import Occasion
from intake.model.currencies import amount_text
from intake.model.editions import Printing
from intake.units.language import say
from intake.units.local_forms import day_text, moment_text
from intake.valuing.condition import defect_words

VALUES = "valuation"
"""The table of values in the ledger."""
OWN_WORDS = frozenset({"state", "grade", "jacket", "sewing", "covering", "finish"})
"""The fields of a copy that hold a word of the program, not of a person."""
WHY = "why"
"""The field in which a person notes why a copy is kept."""


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One step of the ledger, in words.

    Attributes:
        seq: number of its entry, of the last one where the step was entered in parts.
        first: number of the first of its entries.
        changed: what it changed of the copy that was asked about, and what was noted with it.
        standing: why it cannot be taken back now, such as 'taken back by entry 44'; empty where it can.
    """

    seq: int
    first: int
    when: str
    station: str
    what: str
    subject: str
    changed: str = ""
    standing: str = ""

    @property
    def entries(self) -> str:
        """Return the number of its entry, or the first and the last."""
        return str(self.seq) if self.first == self.seq else f"{self.first}–{self.seq}"


@dataclass(frozen=True, slots=True)
class History:
    """The latest steps, newest first.

    Attributes:
        older: the number before which the next older entries begin; None where nothing is older.
    """

    lines: tuple[HistoryLine, ...]
    older: int | None


def latest_history(
    records: LibraryReader, limit: int, before: int | None = None, *, about: tuple[str, str] | None = None
) -> History:
    """Return the latest steps of the ledger, newest first.

    Args:
        records: of the library.
        limit: how many steps at most.
        before: only entries with a lower number.
        about: table and key of a record: only entries that are about it.
    """
    lines: list[HistoryLine] = []
    steps = _steps(_backwards(records, limit + 1, before, about))
    for entries in steps:
        if len(lines) == limit:
            return History(_with_standing(records, lines), entries[0].seq + 1)
        last = _line(entries[0])
        lines.append(replace(last, first=entries[-1].seq))
    return History(_with_standing(records, lines), None)


def _with_standing(records: LibraryReader, lines: Iterable[HistoryLine]) -> tuple[HistoryLine, ...]:
    """Name what an undo took back, and say of each line whether it can be taken back."""
    lines = list(lines)
    reversals = undone(records)
    since = altered_since(records, (line.seq for line in lines), reversals)
    taken_back = actions_of(records, (reversals.undoes[line.seq] for line in lines if line.seq in reversals.undoes))

    def complete(line: HistoryLine) -> HistoryLine:
        standing = ""
        if later := reversals.later(line.seq):
            standing = f"{'taken back' if len(later) % 2 else 'done again'} by entry {later[-1]}"
        elif line.seq in since:
            standing = f"cannot be taken back alone: entry {since[line.seq][0]} was built on it"
        action = taken_back.get(reversals.undoes.get(line.seq, 0))
        if action is None:
            return replace(line, standing=standing)
        subject = f"entry {reversals.undoes[line.seq]}: {action_words(action)}, {subject_words(action)}"
        return replace(line, standing=standing, subject=subject)

    return tuple(map(complete, lines))


def history_of_step(records: LibraryReader, seq: int) -> HistoryLine | None:
    """Return one entry as a line; None where the ledger has no such entry."""
    entry = next(iter(latest_entries(records, 1, before=seq + 1)), None)
    return _with_standing(records, [_line(entry)])[0] if entry is not None and entry.seq == seq else None


def copy_history(
    records: LibraryReader, accession: str, *, values: bool = True, why: bool = True
) -> tuple[HistoryLine, ...]:
    """Return every step that changed one copy or recorded something about it, oldest first.

    Args:
        records: of the library.
        accession: the copy's own number.
        values: whether amounts are told.
        why: whether the words are told in which it is noted why the copy is kept, or only that these were altered.
    """
    entries = history_of_copy(records, accession)
    ids = {change.after.get("printing_id") for entry in entries for change in entry.changes if change.after}
    ids |= {change.before.get("printing_id") for entry in entries for change in entry.changes if change.before}
    printings = records.get_many(Printing, [number for number in ids if isinstance(number, int)])
    names = {number: printing_ordinal_words(printing) for number, printing in printings.items()}
    lines = (replace(_line(entry), changed=_changed(entry, names, values=values, why=why)) for entry in entries)
    return _with_standing(records, lines)


def _changed(entry: LedgerEntry, printings: Mapping[int | str, str], *, values: bool, why: bool) -> str:
    told = (change for change in entry.changes if values or change.table != VALUES)
    words = [words for change in told for words in _words(change, printings, why=why)]
    return "; ".join(filter(None, (*words, _note_words(entry.action))))


def _note_words(action: Action) -> str:
    """Write what was noted with a step; with a condition report that is the program's own word, its occasion."""
    own = action.kind is ActionKind.REPORT_CONDITION and action.note in list(Occasion)
    return say(action.note) if own else action.note


def _backwards(
    records: LibraryReader, lot: int, before: int | None, about: tuple[str, str] | None
) -> Iterator[LedgerEntry]:
    """Yield the entries of the ledger from the newest, fetched by the lot."""
    while entries := latest_entries(records, lot, before=before, about=about):
        yield from entries
        before = entries[-1].seq


def _steps(entries: Iterable[LedgerEntry]) -> Iterator[list[LedgerEntry]]:
    """Put the parts of one plan together."""

    def step(entry: LedgerEntry) -> str | int:
        part = PartOf.read(entry.action.request)
        return part.token if part else entry.seq

    for _, parts in groupby(entries, key=step):
        yield list(parts)


def _line(entry: LedgerEntry) -> HistoryLine:
    action = entry.action
    when = moment_text(entry.at, seconds=True)
    return HistoryLine(entry.seq, entry.seq, when, action.station, action_words(action), subject_words(action))


def _words(change: RowChange, printings: Mapping[int | str, str], *, why: bool) -> Iterator[str]:
    """Yield what was altered of a copy, a field at a time, nothing for one that was made or taken away; and values."""
    if change.table == VALUES:
        yield _value_words(change)
        return
    if change.before is None or change.after is None:
        return
    for name, value in change.after.items():
        was = change.before.get(name)
        if was != value and name == WHY and not why:
            yield say("{field}: altered", field=copy_field_words(name))
        elif was != value:
            before, after = (
                printings.get(one, say("another"))
                if name == "printing_id" and isinstance(one, int)
                else _value_of(name, one)
                for one in (was, value)
            )
            yield f"{copy_field_words(name)}: {before} → {after}"


def _value_of(field: str, value: object) -> str:
    """Write the value of a field of a copy: words of the program's own in the language of what is being made."""
    words = field_value_words(value)
    if field == "condition":
        return defect_words(words)
    return say(words) if field in OWN_WORDS and isinstance(value, str) and value else words


def _value_words(change: RowChange) -> str:
    """Write that a value was recorded, altered or taken back; several stand side by side."""
    words = [_recorded(value) for value in (change.before, change.after) if value is not None]
    if change.before is None:
        return say("new value {value}", value=words[-1])
    if change.after is None:
        return say("value {value} taken back", value=words[0])
    return say("value {values}", values=" → ".join(words))


def _recorded(value: Mapping[str, object]) -> str:
    amount, currency = str(value["amount"]), str(value["currency"])
    return say(
        "{amount} ({basis}, on {day})",
        amount=amount_text(Decimal(amount), currency),
        basis=say(str(value["basis"])),
        day=day_text(date.fromisoformat(str(value["on"]))),
    )
