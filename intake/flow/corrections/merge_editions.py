"""Two records of one edition become one: copies, printings and the place in a set come under the one that stays."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace

from intake.edges.store.queries.copies import copies_ever_of_editions
from intake.edges.store.queries.lists import printings_of_editions
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.corrections.correction_plan import CorrectionPlan
from intake.flow.corrections.field_values import field_named
from intake.flow.lookup.resolve import find_edition
from intake.flow.lookup.wording import edition_field_words, plain_value_words, whole_words
from intake.model.changes import Action, ActionKind, Change, supposing
from intake.model.edition_names import merge_subject, subject_of
from intake.model.editions import BookSet, Edition, Printing
from intake.units.advice import advice
from intake.units.counts import counted

MERGED_FIELDS = tuple(field.name for field in fields(Edition) if field.name != "id")

EITHER = {"statement": "edition", "set_id": "set"}
"""How the columns of a list call fields that the record calls otherwise."""

BOOKS_APART = ("number", "add_on", "volume")
"""Fields in which records of one edition agree: where both say something else, they are of two books."""


@dataclass(frozen=True, slots=True)
class FieldMerge:
    """A field in which two records differ.

    Attributes:
        kept, other: the values of the edition that stays, and of the one that is merged into it.
        other_wins: whether the second becomes the value: where the first is empty, or the person takes it.
    """

    field: str
    kept: object
    other: object
    other_wins: bool

    @property
    def value(self) -> object:
        """Return the value that wins."""
        return self.other if self.other_wins else self.kept


def merge_fields(kept: Edition, other: Edition, take: Iterable[str] = ()) -> tuple[FieldMerge, ...]:
    """Compare two records of one edition, field by field.

    Returns:
        The fields in which they differ, with what wins: the value of the edition that stays unless it is empty, or
        the field is among those to `take` from the other.

    >>> one, two = Edition(id=1, title="Ferns", year=1990), Edition(id=2, title="Ferns!", pages=90)
    >>> [(merge.field, merge.value) for merge in merge_fields(one, two, take=["title"])]
    [('title', 'Ferns!'), ('year', 1990), ('pages', 90)]
    """
    taken = set(take)
    differing: list[FieldMerge] = []
    for name in MERGED_FIELDS:
        mine, theirs = getattr(kept, name), getattr(other, name)
        if mine != theirs:
            wins = not _is_empty(theirs) and (_is_empty(mine) or name in taken)
            differing.append(FieldMerge(name, mine, theirs, wins))
    return tuple(differing)


def _is_empty(value: object) -> bool:
    return value in (None, "", ())


def plan_edition_merge(
    reader: LibraryReader,
    other_text: str | Edition,
    kept_text: str | Edition,
    *,
    take: Iterable[str] = (),
    despite: bool = False,
    note: str = "",
    station: str,
) -> CorrectionPlan:
    """Plan that one edition is merged into another, whose record stays.

    Copies keep their numbers, valuations and history, and belong to the edition that stays; so do the printings, of
    which those that are the same become one.

    Args:
        reader: of the library.
        other_text: the edition that is merged and then taken away, or its key, number or title.
        kept_text: the edition that stays, likewise.
        take: the fields of which the value of the first wins, although the second has one.
        despite: merge them although number, add-on or volume say that they are two books.
        note: why, for the ledger.
        station: who does it.

    Raises:
        RefusedError: an edition does not exist, both are one, or they contradict each other.
        UsageError: a field that is none.
    """
    other, kept = (
        text if isinstance(text, Edition) else find_edition(reader, text) for text in (other_text, kept_text)
    )
    if other.id == kept.id:
        raise RefusedError(f"Edition {subject_of(kept)}", "is one and the same", "name two editions")
    differing = merge_fields(kept, other, _attributes(take))
    if not despite:
        _refuse_two_books(differing, kept, other)
    winning = {merge.field: merge.value for merge in differing}
    merged = replace(kept, **winning)  # type: ignore[arg-type] # each is the value of that field of an edition
    printings, same = _merge_printings(reader, kept, other)
    copies = copies_ever_of_editions(reader, [other.id])
    moved = [
        Change(
            copy,
            replace(copy, edition_id=kept.id, printing_id=same.get(copy.printing_id or 0, copy.printing_id)),
        )
        for copy in copies
    ]
    whole = (Change(kept, merged),) if merged != kept else supposing(kept)
    action = Action(ActionKind.MERGE_EDITIONS, merge_subject(other, kept), station, note=note)
    changes = (*whole, *printings, *moved, Change(other, None))
    return CorrectionPlan(action=action, changes=changes, remarks=_remarks(reader, kept, other, differing, len(copies)))


def _attributes(names: Iterable[str]) -> list[str]:
    known = [EITHER.get(field, field) for field in MERGED_FIELDS]
    of_record = {called: field for field, called in EITHER.items()}
    return [of_record.get(field := field_named(name, known), field) for name in names]


def _refuse_two_books(differing: Iterable[FieldMerge], kept: Edition, other: Edition) -> None:
    for merge in differing:
        if merge.field in BOOKS_APART and not _is_empty(merge.kept) and not _is_empty(merge.other):
            field = edition_field_words(merge.field)
            why = f"have different {field}s, {merge.other} and {merge.kept}, so that their copies are different books"
            remedy = advice(
                "correct the wrong one first, or merge them all the same with --despite", "correct the wrong one first"
            )
            raise RefusedError(f"Editions {subject_of(other)} and {subject_of(kept)}", why, remedy)


def _merge_printings(reader: LibraryReader, kept: Edition, other: Edition) -> tuple[tuple[Change, ...], dict[int, int]]:
    """Return what becomes of the printings of the other edition, and which become one of the first's."""
    every = printings_of_editions(reader, [kept.id, other.id])
    own = {printing.id: printing for printing in every if printing.edition_id == kept.id}
    changes: list[Change] = []
    same: dict[int, int] = {}
    for printing in every:
        if printing.edition_id != other.id:
            continue
        twin = next((candidate for candidate in own.values() if _is_same(candidate, printing)), None)
        if twin is None:
            changes.append(Change(printing, replace(printing, edition_id=kept.id)))
            continue
        same[printing.id] = twin.id
        own[twin.id] = filled = _filled(twin, printing)
        changes += [Change(twin, filled), Change(printing, None)]
    return tuple(changes), same


_OF_PRINTING = ("ordinal", "year", "number_line", "points")


def _is_same(one: Printing, two: Printing) -> bool:
    """Return whether two printings are one: something that they both state is the same, and nothing differs."""
    stated = [
        (getattr(one, name), getattr(two, name))
        for name in _OF_PRINTING
        if not _is_empty(getattr(one, name)) and not _is_empty(getattr(two, name))
    ]
    identifies = (one.ordinal, one.number_line) != (None, "") and (
        (one.ordinal is not None and one.ordinal == two.ordinal)
        or (bool(one.number_line) and one.number_line == two.number_line)
    )
    return identifies and all(mine == theirs for mine, theirs in stated)


def _filled(one: Printing, two: Printing) -> Printing:
    empty = [name for name in _OF_PRINTING if _is_empty(getattr(one, name))]
    return replace(one, **{name: getattr(two, name) for name in empty})


def _remarks(
    reader: LibraryReader, kept: Edition, other: Edition, differing: Sequence[FieldMerge], copies: int
) -> tuple[str, ...]:
    sets = reader.get_many(BookSet, [number for number in (kept.set_id, other.set_id) if number is not None])

    def value(merge: FieldMerge, of: object) -> str:
        if merge.field == "set_id" and isinstance(of, int):
            return f"'{sets[of].title}'"
        return plain_value_words(of)

    one, into = (f"'{whole_words(edition)}' ({subject_of(edition)})" for edition in (other, kept))
    remarks = [f"{one} is merged into {into}, with {counted(copies, 'copy', 'copies')}."]
    for merge in differing:
        winner, loser = value(merge, merge.value), value(merge, merge.kept if merge.other_wins else merge.other)
        remarks.append(f"{edition_field_words(merge.field)}: {winner} wins over {loser}.")
    key = next((merge for merge in differing if merge.field == "key"), None)
    lost = (key.kept if key.other_wins else key.other) if key else ""
    if lost:
        remarks.append(f"The key {lost!r} goes: a list that still has it means the edition that stays.")
    return tuple(remarks)
