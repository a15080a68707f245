"""A correction before it is made: what would change, in words, and how it is applied as one entry of the ledger."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from functools import partial

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.reader import LibraryReader
from intake.flow.corrections.record_words import record_facts, record_field_words, record_name
from intake.flow.lookup.wording import (
    copy_field_words,
    path_words,
    plain_value_words,
    printing_ordinal_words,
    title_words,
    withdrawal_words,
)
from intake.flow.shelves.find_room import refuse_if_joined
from intake.model.changes import Action, Applied, Change, Record, is_provisional
from intake.model.editions import BookSet, Copy, Edition, Printing
from intake.model.sightings import Sighting
from intake.model.valuations import SetValue, Valuation
from intake.model.withdrawals import Withdrawal


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionPlan:
    """One correction, not yet made.

    Attributes:
        changes: what it changes, with provisional keys; also what it only supposes.
        remarks: what else a person should know before it is made; one sentence each.
        onto_shelf: copies come to stand on a shelf, so that nothing else may have come to stand there meanwhile.
    """

    action: Action
    changes: tuple[Change, ...]
    remarks: tuple[str, ...] = ()
    onto_shelf: bool = False

    @property
    def is_empty(self) -> bool:
        """Return whether the library is so already."""
        return all(change.before == change.after for change in self.changes)


def apply_correction(library: Library, plan: CorrectionPlan) -> Applied | None:
    """Make a correction, as one entry of the ledger that can be taken back; None where there is nothing to change.

    Raises:
        RefusedError: something that the plan is about was changed since it was made; nothing was changed.
    """
    if plan.is_empty:
        return None
    check = partial(refuse_if_joined, changes=plan.changes) if plan.onto_shelf else None
    return library.apply(plan.action, plan.changes, check)


def plan_lines(reader: LibraryReader, plan: CorrectionPlan) -> tuple[str, ...]:
    """Write what a plan changes: a line for each record, and under it one for each field, before and after."""
    changes = [change for change in plan.changes if change.before != change.after]
    names = _Names(reader, plan.changes)
    return tuple(line for change in changes for line in _lines(change, names))


class _Names:
    """The names of the records that changed ones, or ones that a plan only supposes, refer to, read together."""

    def __init__(self, reader: LibraryReader, changes: Sequence[Change]) -> None:
        records = [record for change in changes for record in (change.before, change.after) if record is not None]
        copies = [record for record in records if isinstance(record, Copy)]
        own_printings = [record for record in records if isinstance(record, Printing)]
        own_editions = [record for record in records if isinstance(record, Edition)]
        self.editions_of = {copy.accession: copy.edition_id for copy in copies}
        edition_ids = {copy.edition_id for copy in copies} | {printing.edition_id for printing in own_printings}
        self.editions = reader.get_many(Edition, edition_ids) | {edition.id: edition for edition in own_editions}
        set_ids = {edition.set_id for edition in own_editions if edition.set_id is not None}
        own_sets = [record for record in records if isinstance(record, BookSet)]
        self.sets = reader.get_many(BookSet, set_ids) | {book_set.id: book_set for book_set in own_sets}
        printing_ids = {copy.printing_id for copy in copies if copy.printing_id is not None}
        self.printings = reader.get_many(Printing, printing_ids) | {row.id: row for row in own_printings}
        self.paths = place_paths(reader, [copy.place for copy in copies if copy.place])

    def title(self, edition_id: int) -> str:
        """Return the title of an edition."""
        edition = self.editions.get(edition_id)
        return f"'{title_words(edition)}'" if edition else "another edition"

    def value(self, field: str, value: object) -> str:
        """Write the value of a field; a reference by the name of what it refers to."""
        if field == "edition_id" and isinstance(value, int):
            return self.title(value)
        if field == "set_id" and isinstance(value, int):
            return f"'{self.sets[value].title}'" if value in self.sets else "another set"
        if field == "printing_id" and isinstance(value, int):
            return printing_ordinal_words(self.printings[value]) if value in self.printings else "another"
        if field == "place" and isinstance(value, str):
            return path_words(self.paths[value]) if value in self.paths else value
        return plain_value_words(value)


def _lines(change: Change, names: _Names) -> Iterator[str]:
    record = change.after if change.after is not None else change.before
    if record is None or isinstance(record, Withdrawal):
        yield from _withdrawal_lines(change)
        return
    if isinstance(record, Sighting):
        yield f"Copy {record.copy} is recorded as seen there."
        return
    name = _name(record, names)
    if change.before is None:
        yield f"{name[:1].upper()}{name[1:]} is made."
        yield from record_facts(record)
    elif change.after is None:
        yield f"{name[:1].upper()}{name[1:]} is taken away."
    else:
        yield f"{name[:1].upper()}{name[1:]}:"
        for field in fields(change.before):
            before, after = getattr(change.before, field.name), getattr(change.after, field.name)
            if before != after:
                was, is_now = names.value(field.name, before), names.value(field.name, after)
                yield f"  {_field_words(record, field.name)}: {was} → {is_now}"


def _withdrawal_lines(change: Change) -> Iterator[str]:
    before, after = change.before, change.after
    if isinstance(after, Withdrawal):
        was = f" (before: {withdrawal_words(before)})" if isinstance(before, Withdrawal) else ""
        yield f"Copy {after.copy} leaves the collection: {withdrawal_words(after)}{was}."
    elif isinstance(before, Withdrawal):
        yield f"Copy {before.copy} is not withdrawn any more ({withdrawal_words(before)})."


def _field_words(record: Record, field: str) -> str:
    return copy_field_words(field) if isinstance(record, Copy) else record_field_words(field)


def _name(record: Record, names: _Names) -> str:
    match record:
        case Valuation() if record.copy in names.editions_of:
            return f"{record_name(record).removesuffix(',')}, for {names.title(names.editions_of[record.copy])},"
        case SetValue() if record.set_id in names.sets:
            return f"{record_name(record).removesuffix(',')}, for '{names.sets[record.set_id].title}',"
        case Copy():
            number = "a new copy" if is_provisional(record.accession) else f"copy {record.accession}"
            return f"{number} of {names.title(record.edition_id)}"
        case Edition():
            return f"edition {names.title(record.id)}" + (f" ({record.key})" if record.key else "")
        case Printing():
            return f"printing {printing_ordinal_words(record)} of {names.title(record.edition_id)}"
        case BookSet():
            return f"the set '{record.title}'"
    return record_name(record)
