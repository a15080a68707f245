"""What earlier imports of the same list made, so that a corrected list is told from a library that has changed since.

A list is the same as an earlier one if its file has the same name; the ledger keeps it. For each copy, the cells are
those that the list last said: what is still so in the list leaves alone what was recorded since, for example at an
inspection.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from decimal import Decimal

from intake.edges.store.queries.lists import changes_of_list
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.merged_editions import MergedEditions
from intake.model.changes import ActionKind, RowChange
from intake.model.editions import Copy
from intake.model.valuations import Valuation

DESCRIBING = ("printing_id", "grade", "jacket", "has_jacket", "wrapped", "condition", "note", "kept", "why")
"""The fields of a copy that describe it and that a list may say."""
LISTED = ("box", *DESCRIBING)
_UNSAID = {one.name: one.default for one in fields(Copy) if one.name in LISTED}
"""What a copy has of fields that an entry of the ledger does not name, as it is older than these."""

ListedWorth = tuple[Decimal, str, str]
"""The amount, currency and basis of a value."""


@dataclass(slots=True)
class SaidBefore:
    """A copy that an earlier import of the list made.

    Attributes:
        cells: what the list last said of each field in `LISTED`, as plain values.
        value_ids: the last valuation that the list made of it, by basis.
        worth: what the last of all says.
    """

    edition_id: int
    cells: tuple[object, ...]
    value_ids: dict[str, int] = field(default_factory=dict)
    worth: ListedWorth | None = None

    def said(self, name: str, value: object) -> bool:
        """Return whether the list said the same of a field before."""
        return self.cells[LISTED.index(name)] == value


class EarlierImport:
    """The copies that earlier imports of a list made, in the order in which it named them.

    Args:
        reader: of the library.
        file: the name of the list's file.
        merged: the editions that were merged since.
    """

    def __init__(self, reader: LibraryReader, file: str, merged: MergedEditions) -> None:
        self._reader = reader
        self._merged = merged
        self.copies: dict[str, SaidBefore] = {}
        self._by_edition: dict[int, list[str]] = {}
        self._not_made: dict[str, SaidBefore] = {}
        self._by_content: dict[tuple[int, tuple[object, ...], ListedWorth | None], list[str]] = {}
        for change in changes_of_list(reader, ActionKind.IMPORT_COPIES, file, (Copy, Valuation)):
            self._add(change)
        for accession, listed in self.copies.items():
            self._by_edition.setdefault(listed.edition_id, []).append(accession)
            content = (listed.edition_id, listed.cells, listed.worth)
            self._by_content.setdefault(content, []).append(accession)

    def saying(self, edition_id: int, cells: tuple[object, ...], worth: ListedWorth | None) -> Sequence[str]:
        """Return the copies of an edition of which the list said just this, in the order in which it named them."""
        return self._by_content.get((edition_id, cells, worth), ())

    def names(self, edition_id: int) -> bool:
        """Return whether a copy of this edition was made by an earlier import."""
        return edition_id in self._by_edition

    def of(self, accession: str) -> SaidBefore | None:
        """Return what the list said of a copy before, None if nothing."""
        return self.copies.get(accession) or self._not_made.get(accession)

    def remaining(self, claimed: Mapping[str, int]) -> dict[str, Copy]:
        """Return the copies that an earlier import made, that still exist, and that no row of this one means."""
        stored = self._reader.get_many(Copy, (accession for accession in self.copies if accession not in claimed))
        return {accession: copy for accession in self.copies if isinstance(copy := stored.get(accession), Copy)}

    def _add(self, change: RowChange) -> None:
        after = change.after
        if after is None:
            return
        if change.table == "valuation":
            if (listed := self.of(str(after["copy"]))) is not None:
                listed.worth = (Decimal(str(after["amount"])), str(after["currency"]), str(after["basis"]))
                listed.value_ids[listed.worth[2]] = int(change.key)
            return
        cells = _cells(after)
        edition_id = after["edition_id"]
        if isinstance(edition_id, int):
            edition_id = self._merged.now(edition_id)
        if change.before is None and isinstance(edition_id, int):
            self.copies[change.key] = SaidBefore(edition_id, cells)
        elif change.before is not None and isinstance(edition_id, int):
            earlier = self.of(change.key)
            known = earlier.cells if earlier is not None else (None,) * len(LISTED)
            said = tuple(
                new if new != before else old
                for new, before, old in zip(cells, _cells(change.before), known, strict=True)
            )
            if earlier is not None:
                earlier.cells = said
            else:
                self._not_made[change.key] = SaidBefore(edition_id, said)


def _cells(plain: Mapping[str, object]) -> tuple[object, ...]:
    """Return what the fields in `LISTED` were in an entry of the ledger.

    >>> _cells({"box": "1", "has_jacket": True, "note": "a gift"})
    ('1', None, None, None, True, False, '', 'a gift', False, '')
    """
    return tuple(plain.get(name, _UNSAID[name]) for name in LISTED)
