"""Which edition a list means that still has the key, number or title of one that was merged into another.

The ledger knows: a merge takes away one edition, and alters the one that stays or brings copies or printings under it.
Where it did neither, the entry names both of them. Of merges in the library from whose records this one was made, it
has a record of each (`EarlierMerge`).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from intake.edges.store.queries.editions import editions_like
from intake.edges.store.queries.merges import merges
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_plain, table_name
from intake.flow.lists.lot_plan import MergedName
from intake.model.changes import RowChange
from intake.model.earlier import EarlierMerge
from intake.model.edition_names import merge_subject
from intake.model.editions import Edition, whole_title_key

EDITION = table_name(Edition)


class MergedEditions:
    """The editions that were merged into others, and into which.

    Args:
        reader: of the library.

    Attributes:
        names: each name under which a list may have one of them, and which edition it is today, oldest first; numbered.
    """

    def __init__(self, reader: LibraryReader) -> None:
        self._reader = reader
        self._into: dict[int, int] = {}
        self._away: list[Edition] = []
        for earlier in reader.all(EarlierMerge):
            self._away.append(earlier.away)
            if earlier.edition != earlier.into:
                self._into[earlier.edition] = earlier.into
        every = [(away, *merge) for merge in merges(reader) if (away := _taken_away(merge[1])) is not None]
        gone = [away for away, _, _ in every]
        for away, subject, changes in every:
            self._add(away, subject, changes, gone)
        kept = reader.get_many(Edition, {self.now(edition.id) for edition in self._away})
        self._of_row: dict[tuple[str, ...], Edition] = {}
        self._of_name: dict[str, Edition] = {}
        self.names: list[EarlierMerge] = []
        for edition in self._away:
            stays = kept.get(self.now(edition.id))
            if stays is not None:
                self.names.append(_name(len(self.names) + 1, edition, stays))
                self._of_name |= dict.fromkeys(filter(None, (edition.key, edition.number, edition.title)), stays)
                self._of_row |= dict.fromkeys((_identity(edition), _identity(replace(edition, key=""))), stays)

    def now(self, edition_id: int) -> int:
        """Return the id of the edition that one is today: its own, or that into which it was merged at last."""
        while edition_id in self._into:
            edition_id = self._into[edition_id]
        return edition_id

    def named(self, name: str) -> Edition | None:
        """Return the edition into which that of a key, a number or a title was merged; None if there was none."""
        return self._of_name.get(name)

    def told(self, line: int, names: Iterable[str], edition: Edition) -> list[MergedName]:
        """Return those names of a row by which it means an edition into which theirs was merged."""
        called = edition.key or edition.number or edition.title
        own = (edition.key, edition.number)
        return [MergedName(line, name, called) for name in names if name not in own and self.named(name) == edition]

    def of_row(self, row: Edition) -> Edition | None:
        """Return the edition into which was merged what a row of a catalog names; None if there was none."""
        return self._of_row.get(_identity(row))

    def _add(self, away: Edition, subject: str, changes: Sequence[RowChange], gone: Sequence[Edition]) -> None:
        into = _into(away.id, changes) or self._of_subject(away, subject, gone)
        if into is not None:
            self._into[away.id] = into
            self._away.append(away)
        # The edition that stays may have taken the other's key for its own.
        self._away += (
            from_plain(Edition, change.before)
            for change in changes
            if change.table == EDITION and change.before and change.after and _key(change.before) != _key(change.after)
        )

    def _of_subject(self, away: Edition, subject: str, gone: Sequence[Edition]) -> int | None:
        name = subject.removeprefix(merge_subject(away, None))
        ids = [int(name)] if name.isdecimal() else []
        named = {*editions_like(self._reader, keys=[name], numbers=[name]), *gone}
        named |= set(self._reader.get_many(Edition, ids).values())
        of_entry = [one for one in named if merge_subject(away, one) == subject]
        return of_entry[0].id if len(of_entry) == 1 else None


def _name(number: int, away: Edition, stays: Edition) -> EarlierMerge:
    return EarlierMerge(
        id=number,
        edition=away.id,
        into=stays.id,
        key=away.key,
        number=away.number,
        add_on=away.add_on,
        title=away.title,
        volume=away.volume,
    )


def _taken_away(changes: Iterable[RowChange]) -> Edition | None:
    """Return the edition that a merge took away."""
    gone = (change.before for change in changes if change.table == EDITION and change.after is None)
    return next((from_plain(Edition, plain) for plain in gone if plain is not None), None)


def _key(plain: Mapping[str, object]) -> str:
    return str(plain.get("key") or "")


def _identity(edition: Edition) -> tuple[str, ...]:
    """Return what a row names an edition by: its key alone; else its number or title, and its volume."""
    if edition.key:
        return ("key", edition.key)
    return (edition.number or whole_title_key(edition.title), edition.add_on or "", edition.volume)


def _into(away: int, changes: Iterable[RowChange]) -> int | None:
    """Return the edition that a merge altered, or under which it brought a copy or a printing; None if neither."""
    for change in changes:
        if change.after is None:
            continue
        into = change.key if change.table == EDITION else change.after.get("edition_id")
        if into is not None and int(str(into)) != away:
            return int(str(into))
    return None
