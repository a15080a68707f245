"""Which recorded edition a row of a catalog means, and what the row changes of it.

An edition is known by the person's own key; where that is new or absent, by its number, add-on and volume. A row of the
same number and volume is the same edition if the title is like the recorded one, so that a corrected title does not
make a second edition; a title that is nothing like it is a question, as publishers have given one number twice. A row
with a new key and no number is an edition that has neither, if title, volume, contributors and year are the same.
"""

from collections.abc import Iterable, Sequence
from dataclasses import fields, replace
from difflib import SequenceMatcher
from operator import attrgetter

from intake.edges.exchange.outgoing import PLACEHOLDER
from intake.edges.store.queries.editions import editions_like
from intake.edges.store.queries.lists import changes_of_list, has_any
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.columns import merged
from intake.flow.lists.editions import ParsedEdition
from intake.flow.lists.lot_plan import LotPlan, SeenLines, UnlistedEdition
from intake.flow.lists.merged_editions import MergedEditions
from intake.flow.lists.reasons import BadRow, Facts, RowReason
from intake.flow.lists.repeated_editions import SaidEdition, SaidEditions
from intake.model.changes import ActionKind, Change, Provisional, made
from intake.model.editions import BookSet, Edition, title_key, whole_title_key

LIKE = 0.6
"""How like two titles are that are one title, corrected; common practice of `difflib`, no source."""

MOST_COMPARED = 500
"""Among more new editions of a list than this none is proposed as a correction: comparing takes too long."""

Identity = tuple[str, ...]


class EditionPlanner:
    """Plans a catalog; the sets it names are made where the library has none of that title.

    Args:
        reader: of the library as it is.
        file: the name of the list's file, by which its earlier imports are known.
    """

    def __init__(self, reader: LibraryReader, file: str) -> None:
        self._reader = reader
        self._file = file
        self._new = Provisional()
        self._has_editions = has_any(reader, Edition)
        self._set_ids = {book_set.title: book_set.id for book_set in reader.all(BookSet)}
        self._set_titles = {number: title for title, number in self._set_ids.items()}
        self._merged = MergedEditions(reader)
        self._lines = SeenLines()
        self._without_keys = SeenLines()
        self._said = SaidEditions()
        self._claimed: set[int] = set()
        self._meant_by_merged: set[int] = set()
        self._unnamed: list[tuple[int, Edition]] = []
        self._deferred: dict[int, Edition] = {}

    def plan(self, rows: Iterable[tuple[int, ParsedEdition]]) -> LotPlan:
        """Plan the next rows; those that contradict an earlier row are bad."""
        lot = LotPlan()
        listed = list(rows)
        known = _Recorded(self._stored([edition for _, (edition, _) in listed]), self._claimed)
        for line, (edition, set_title) in listed:
            if (earlier := self._lines.earlier(_identity(edition), line)) is not None:
                self._take_again(line, earlier, (edition, set_title), lot)
                continue
            self._said[line] = SaidEdition(edition, set_title)
            if not known.has_key(edition.key) and (stays := self._merged.of_row(edition)) is not None:
                self._take_merged(line, edition, stays, lot)
                continue
            set_id, changes = self._set(set_title)
            row = edition if set_id is None else replace(edition, set_id=set_id)
            lot.changes += changes
            before = known.take(row)
            if before is None and row.key and row.number:
                self._note_alike(line, edition, set_title, lot)
            if before is None and (before := known.take_described(row)) is not None and PLACEHOLDER.fullmatch(row.key):
                row = replace(row, key="")
            if before is None and row.number and not row.key and known.of_number(row):
                self._deferred[line] = row
            else:
                self._book(line, before, row, lot)
        self._said.put_away()
        return lot

    def finish(self) -> LotPlan:
        """Plan the rows whose number is recorded with other titles: only now is it known which of these are left.

        The editions that an earlier import of the list made and that no row means are named.
        """
        lot = LotPlan()
        known = _Recorded(self._stored(list(self._deferred.values())), self._claimed)
        for line, row in self._deferred.items():
            others = known.of_number(row)
            like = [edition for edition in others if _are_like(edition.title, row.title)]
            if len(like) > 1:
                keys = ", ".join(edition.key or f"{edition.title} {edition.volume}".strip() for edition in like)
                facts: Facts = {"text": row.number or "", "count": len(like), "keys": keys}
                lot.bad.append(BadRow(line, RowReason.EDITION_AMBIGUOUS, facts))
            elif like:
                known.claim(like[0])
                self._book(line, like[0], row, lot)
            elif others:
                other = {"number": row.number or "", "title": others[0].title}
                lot.bad.append(BadRow(line, RowReason.NUMBER_OF_ANOTHER_TITLE, other))
            else:
                self._book(line, None, row, lot)
        lot.unlisted_editions = self._unlisted()
        return lot

    def _take_again(self, line: int, earlier: int, row: ParsedEdition, lot: LotPlan) -> None:
        """Take a row of an edition that an earlier row named: it may say more of it, and nothing else."""
        before = self._said[earlier]
        if (bad := before.contradicting(line, earlier, *row)) is not None:
            lot.bad.append(bad)
            return
        lot.repeated.append((line, earlier))
        edition, set_title = row
        if set_title:
            set_id, changes = self._set(set_title)
            lot.changes += changes
            edition = replace(edition, set_id=set_id)
        self._said[earlier] = after = before.with_row(edition, set_title)
        if earlier in self._deferred:
            self._deferred[earlier] = merged(self._deferred[earlier], edition, keep=("id", "key"))
        elif before.planned != after.planned:
            lot.book(line, edition.title, (Change(before.planned, after.planned),))
            lot.rows[-1] = replace(lot.rows[-1], of_set="" if before.set_title else set_title)

    def _take_merged(self, line: int, row: Edition, stays: Edition, lot: LotPlan) -> None:
        """Take a row of an edition that was merged: what holds of the one that stays was settled then."""
        self._meant_by_merged.add(stays.id)
        differs = merged(stays, row, keep=("id", "key", "set_id")) != stays
        told = self._merged.told(line, [row.key or row.number or row.title], stays)
        lot.merged += (replace(one, is_left=differs) for one in told)
        lot.book(line, row.title, ())

    def _note_alike(self, line: int, edition: Edition, set_title: str, lot: LotPlan) -> None:
        """Note a new edition that an earlier row describes too, under another key."""
        said = repr((_BESIDES_KEY(edition), set_title))
        if (earlier := self._without_keys.earlier((said,), line)) is not None:
            lot.alike.append((line, earlier))

    def _unlisted(self) -> tuple[UnlistedEdition, ...]:
        changes = changes_of_list(self._reader, ActionKind.IMPORT_EDITIONS, self._file, (Edition,))
        made_before = {int(change.key) for change in changes if change.before is None}
        left = self._reader.get_many(Edition, sorted(made_before - self._claimed - self._meant_by_merged))
        unlisted: list[UnlistedEdition] = []
        for edition in sorted(left.values(), key=lambda edition: edition.id):
            name = edition.key or edition.number or ""
            found = None if name or len(self._unnamed) > MOST_COMPARED else self._correction_of(edition)
            unlisted.append(UnlistedEdition(name, edition.title, found))
        return tuple(unlisted)

    def _correction_of(self, edition: Edition) -> tuple[int, str] | None:
        """Return the line and title of the one new edition without key and number that may be meant; None if none."""
        like = [(line, row.title) for line, row in self._unnamed if _may_be_corrected(edition, row)]
        return like[0] if len(like) == 1 else None

    def _book(self, line: int, before: Edition | None, row: Edition, lot: LotPlan) -> None:
        if before is None and not row.key and not row.number and len(self._unnamed) <= MOST_COMPARED:
            self._unnamed.append((line, row))
        row = row if before is not None else replace(row, id=self._new.id())
        planned = lot.take(line, row.title, before, row, keep=("id",))
        self._said[line] = replace(self._said[line], planned=planned)
        if row.set_id is not None and (before is None or before.set_id != row.set_id):
            lot.rows[-1] = replace(lot.rows[-1], of_set=self._set_titles[row.set_id])

    def _stored(self, parsed: Sequence[Edition]) -> tuple[Edition, ...]:
        """Return the editions of the library that a row may mean; none of a new library, which need not be asked."""
        if not self._has_editions:
            return ()
        return editions_like(
            self._reader,
            keys=[edition.key for edition in parsed if edition.key],
            numbers=[edition.number for edition in parsed if edition.number],
            titles=[edition.title for edition in parsed if not edition.number],
        )

    def _set(self, title: str) -> tuple[int | None, Sequence[Change]]:
        """Return the id of a set, and what makes it where it is new."""
        if not title:
            return None, ()
        if title in self._set_ids:
            return self._set_ids[title], ()
        book_set = BookSet(id=self._new.id(), title=title)
        self._set_ids[title], self._set_titles[book_set.id] = book_set.id, title
        return book_set.id, made(book_set)


class _Recorded:
    """The recorded editions that rows may mean, each for one row.

    Args:
        editions: that have a key, a number or a title of the rows.
        claimed: the ids of those that rows of earlier lots meant; further ones are added.
    """

    def __init__(self, editions: Iterable[Edition], claimed: set[int]) -> None:
        self._by_identity: dict[Identity, list[Edition]] = {}
        self._by_number: dict[Identity, list[Edition]] = {}
        self._unnamed: dict[tuple[object, ...], list[Edition]] = {}
        self._claimed = claimed
        for edition in sorted(editions, key=lambda edition: bool(edition.key)):
            for identity in _identities(edition):
                self._by_identity.setdefault(identity, []).append(edition)
            if edition.number:
                self._by_number.setdefault(_number(edition), []).append(edition)
            elif not edition.key:
                self._unnamed.setdefault(_description(edition), []).append(edition)

    def has_key(self, key: str) -> bool:
        """Return whether a recorded edition has a key."""
        return ("key", key) in self._by_identity

    def take(self, row: Edition) -> Edition | None:
        """Return the edition that a row means without doubt, by its key or its number and title; None if none."""
        for identity in _identities(row):
            for edition in self._by_identity.get(identity, ()):
                # Two keys are two editions, whatever else they share.
                if edition.id not in self._claimed and (not row.key or edition.key in ("", row.key)):
                    self.claim(edition)
                    return edition
        return None

    def take_described(self, row: Edition) -> Edition | None:
        """Return the one edition without key and number that a row of a new key and no number describes, or None."""
        if row.number or not row.key:
            return None
        unnamed = [edition for edition in self._unnamed.get(_description(row), ()) if edition.id not in self._claimed]
        if len(unnamed) != 1:
            return None
        self.claim(unnamed[0])
        return unnamed[0]

    def claim(self, edition: Edition) -> None:
        """Mark an edition as meant by a row."""
        self._claimed.add(edition.id)

    def of_number(self, row: Edition) -> list[Edition]:
        """Return the editions of a row's number and add-on that no row means yet, but those of another volume."""
        return [
            edition
            for edition in self._by_number.get(_number(row), ())
            if edition.id not in self._claimed and (edition.volume == row.volume or "" in (edition.volume, row.volume))
        ]


_BESIDES_KEY = attrgetter(*(field.name for field in fields(Edition) if field.name != "key"))


def _description(edition: Edition) -> tuple[object, ...]:
    return (whole_title_key(edition.title), edition.volume, edition.contributors, edition.year)


def _number(edition: Edition) -> Identity:
    return (edition.number or "", edition.add_on or "")


def _identity(edition: Edition) -> Identity:
    return _identities(edition)[0]


def _identities(edition: Edition) -> tuple[Identity, ...]:
    """Return what an edition is known by, the surest first: its key, then its number with title and volume.

    An edition without a number is known by its title only where it has no key.
    """
    by_number = (edition.number or "", edition.add_on or "", title_key(edition.title), edition.volume)
    if not edition.key:
        return (by_number,)
    return (("key", edition.key), by_number) if edition.number else (("key", edition.key),)


def _may_be_corrected(recorded: Edition, row: Edition) -> bool:
    """Return whether a row may be a recorded edition with a corrected title, or with the same author and year."""
    same_book = bool(row.contributors) and (row.contributors, row.year) == (recorded.contributors, recorded.year)
    return recorded.volume == row.volume and (same_book or _are_like(recorded.title, row.title))


def _are_like(recorded: str, listed: str) -> bool:
    return SequenceMatcher(None, whole_title_key(recorded), whole_title_key(listed), autojunk=False).ratio() >= LIKE
