"""A large plan applied in parts: each a short transaction and an entry of the ledger of its own.

One transaction of a million records would keep every other station from writing for minutes. The parts carry one
token in their requests (`PartOf`); undo takes them back together.

All or nothing: while they are applied, a file in the folder `incoming` of the library bears their token, and its owner
has a lock on it that ends with the process. A step that fails takes back the parts that were entered, and where the
process itself has ended, the next one that opens the library does so. Until the last part is entered, others see the
records of those before it.
"""

import logging
import re
import secrets
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from intake.edges.store.numbering import Key, change_with_keys, give_keys
from intake.edges.store.pending import prepare
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.edges.store.queries.lists import parts_of_plan, records_made_since
from intake.edges.store.queries.reversals import reversing_changes
from intake.edges.store.reader import LibraryReader
from intake.edges.store.sqlite import prepare_for_many
from intake.edges.store.staging import StagedPlan
from intake.errors import RefusedError, StoreError
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Record

if TYPE_CHECKING:
    from intake.edges.store.library import Library

INCOMING = "incoming"

_LOG = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class PartOf:
    """Which part of which plan an entry of the ledger is; its text is the request of that entry.

    >>> PartOf.read(PartOf("5f0c", 3, 12).text)
    PartOf(token='5f0c', nth=3, of=12)
    """

    token: str
    nth: int
    of: int

    @property
    def text(self) -> str:
        """Write it as a request."""
        return f"part:{self.token}:{self.nth}:{self.of}"

    @classmethod
    def read(cls, request: str | None) -> "PartOf | None":
        """Read a request; None where it is not that of a part."""
        match = re.fullmatch("part:([0-9a-f]+):([0-9]+):([0-9]+)", request or "")
        return cls(match[1], int(match[2]), int(match[3])) if match else None


@dataclass(frozen=True, slots=True)
class PlanBasis:
    """What a plan was made from.

    Attributes:
        seq: the last entry of the ledger at that moment.
        kinds: the kinds of records that it looked for; where one was made since, the plan might be another.
    """

    seq: int
    kinds: Sequence[type[Record]]


def apply_staged(library: "Library", action: Action, staged: StagedPlan, basis: PlanBasis) -> tuple[int, ...]:
    """Apply a plan, in one transaction if it is one lot, else in parts.

    Returns:
        The entries of the ledger, none where the plan changes nothing.

    Raises:
        RefusedError: another station changed what the plan was made from, or is applying a large plan itself; the
            library is as it was.
        StoreError: see `Library.writing`.
    """
    if staged.lots <= 1:
        steps = zip(staged, staged.kinds, strict=True)
        return tuple(
            _apply_whole(library, replace(action, kind=kind or action.kind), lot, basis) for lot, kind in steps
        )
    token = secrets.token_hex(8)
    with _incoming(library.folder, token):
        keys: dict[Key, Key] = {}
        entries: list[int] = []
        try:
            for nth, lot in enumerate(staged, 1):
                kind = staged.kinds[nth - 1] or action.kind
                part = replace(action, kind=kind, request=PartOf(token, nth, staged.lots).text)
                entries.append(_apply_part(library, part, lot, keys, None if entries else basis))
        except BaseException:
            _take_back(library, token, secrets.token_hex(8), action.station)
            raise
        return tuple(entries)


def _apply_whole(library: "Library", action: Action, lot: Sequence[Change], basis: PlanBasis) -> int:
    with library.writing(action.station) as writer:
        _refuse_if_outdated(writer, basis)
        return writer.apply(action, lot).entry.seq


def _apply_part(
    library: "Library", action: Action, lot: Sequence[Change], keys: dict[Key, Key], basis: PlanBasis | None
) -> int:
    """Apply one part; everything that needs no lock is done before the lock is taken.

    Args:
        library: where to.
        action: with the request of this part.
        lot: its changes.
        keys: those that earlier parts were given; this part's are added.
        basis: what to compare with the library, where this is the first part.
    """
    with library.writing(action.station) as writer:
        if basis is not None:
            _refuse_if_outdated(writer, basis)
        keys |= give_keys(writer.connection, lot)
    pending = prepare(change_with_keys(change, keys) for change in lot)
    with library.writing(action.station) as writer:
        prepare_for_many(writer.connection)
        return writer.apply_prepared(action, pending).entry.seq


def _refuse_if_outdated(reader: LibraryReader, basis: PlanBasis) -> None:
    if records_made_since(reader, basis.seq, basis.kinds):
        why = "was changed by another station while the list was read, so nothing was imported"
        raise RefusedError("The library", why, "repeat the step")


def take_back_plan(library: "Library", token: str, station: str) -> tuple[LedgerEntry, ...]:
    """Take back those parts of a plan that stand, the last first; the entries that do it are one plan again.

    Returns:
        The entries that did it, none where no part stands.

    Raises:
        RefusedError: something that a part has made is in use since, or another station is applying a large plan; the
            library is as it was.
    """
    own = secrets.token_hex(8)
    with _incoming(library.folder, own):
        try:
            return _take_back(library, token, own, station)
        except BaseException:
            _take_back(library, own, secrets.token_hex(8), station)
            raise


def _take_back(library: "Library", token: str, own: str, station: str) -> tuple[LedgerEntry, ...]:
    """Take back the standing parts of one plan as the parts of another."""
    with library.reading() as reader:
        standing = sorted(parts_of_plan(reader, token), reverse=True)
    parts = (PartOf(own, nth, len(standing)) for nth in range(1, len(standing) + 1))
    return tuple(_take_back_part(library, seq, part, station) for seq, part in zip(standing, parts, strict=True))


def _take_back_part(library: "Library", seq: int, part: PartOf, station: str) -> LedgerEntry:
    with library.writing(station) as writer:
        changes = reversing_changes(writer, seq)
        (done,) = latest_entries(writer, 1, before=seq + 1)
        action = Action(ActionKind.UNDO, done.action.subject, station, request=part.text, undoes=seq)
        return writer.apply(action, changes).entry


def take_back_unfinished(library: "Library", station: str) -> None:
    """Take back the plans that a process left unfinished when it ended while applying them in parts."""
    for path in sorted((library.folder / INCOMING).glob("*.sqlite3")):
        with _lock(path) as locked:
            if not locked:
                continue  # its owner is at work
            with library.reading() as reader:
                parts = parts_of_plan(reader, path.stem)
                standing = latest_entries(reader, 1, before=max(parts) + 1) if parts else ()
            of = PartOf.read(standing[0].action.request) if standing else None
            if of is not None and of.nth < of.of:
                _take_back_or_warn(library, standing[0], path.stem, station)
        _remove(path)


def _take_back_or_warn(library: "Library", last: LedgerEntry, token: str, station: str) -> None:
    name = last.action.subject
    try:
        taken = _take_back(library, token, secrets.token_hex(8), station)
    except RefusedError as error:
        _LOG.warning("The import of %s was cut off, and what it entered cannot be taken back: %s", name, error)
    else:
        _LOG.warning("The import of %s was cut off; its %d parts were taken back: import it again", name, len(taken))


@contextmanager
def _incoming(folder: Path, token: str) -> Iterator[None]:
    """Mark that a plan is being applied in parts, for as long as this process lives.

    Raises:
        RefusedError: another plan is being applied in parts.
        StoreError: the folder cannot be written.
    """
    own = folder / INCOMING / f"{token}.sqlite3"
    cannot = StoreError(f"The folder {own.parent}", "cannot be written", "make it writable, or make room on the disk")
    try:
        own.parent.mkdir(exist_ok=True)
    except OSError as error:
        raise cannot from error
    for other in own.parent.glob("*.sqlite3"):
        with _lock(other) as ended:
            if not ended:
                raise RefusedError(
                    "Another large list", "is being imported just now", "wait until it is done, then repeat the step"
                )
    try:
        with _lock(own) as locked:
            if not locked:
                raise cannot
            yield
    finally:
        _remove(own)


@contextmanager
def _lock(path: Path) -> Iterator[bool]:
    """Lock a file until the end of the block or of the process; False where another process has it."""
    with closing(sqlite3.connect(path, timeout=0, isolation_level=None)) as connection:
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError:
            yield False
        else:
            yield True


def _remove(path: Path) -> None:
    with suppress(OSError):  # where it stays, the next process finds every part entered, or none, and removes it
        path.unlink(missing_ok=True)
        path.parent.rmdir()
