"""A large plan applied in parts: each a short transaction and an entry of the ledger of its own.

One transaction of a million records would keep every other station from writing for minutes. The parts carry one
token in their requests (`PartOf`); undo takes them back together.

All or nothing: while they are applied, the library is marked with their token, and its owner has a lock that ends with
the process (`StoreEngine.applying`). A step that fails takes back the parts that were entered, and where the
process itself has ended, the next one that opens the library does so. Until the last part is entered, others see the
records of those before it.
"""

import logging
import re
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from intake.edges.store.engines.sqlite import prepare_for_many
from intake.edges.store.numbering import Key, change_with_keys, give_keys, makes_keys
from intake.edges.store.pending import prepare
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.edges.store.queries.lists import parts_of_plan, records_made_since
from intake.edges.store.queries.reversals import reversing_changes
from intake.edges.store.reader import LibraryReader
from intake.edges.store.staging import StagedPlan
from intake.errors import RefusedError
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Record

if TYPE_CHECKING:
    from intake.edges.store.library import Library

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

    def check(self, reader: LibraryReader) -> None:
        """Look whether the plan would still be the same.

        Raises:
            RefusedError: another station has made such a record since.
        """
        if records_made_since(reader, self.seq, self.kinds):
            why = "was changed by another station while the list was read, so nothing was imported"
            raise RefusedError("The library", why, "repeat the step")


TakeBackCheck = Callable[[LibraryReader, int, Sequence[Change]], object]

Check = Callable[[LibraryReader], None]
"""Looks under the writing lock whether what else a plan supposes still holds, and raises where it does not."""


@dataclass(frozen=True, slots=True)
class PlanChecks:
    """What a plan supposes beside the records that it alters or names.

    Attributes:
        first: before anything is altered.
        last: in the transaction of the last part, when all that the plan alters is altered.
    """

    first: Check | None = None
    last: Check | None = None


@dataclass(frozen=True, slots=True)
class AppliedPlan:
    """A plan that was applied.

    Attributes:
        entries: of the ledger, none where the plan changes nothing.
        keys: those that were given, by the provisional ones.
    """

    entries: tuple[int, ...]
    keys: Mapping[Key, Key] = field(default_factory=dict)


def apply_staged(library: "Library", action: Action, staged: StagedPlan, checks: PlanChecks) -> AppliedPlan:
    """Apply a plan, in one transaction if it is one lot, else in parts.

    Raises:
        RefusedError: another station changed what the plan was made from, or is applying a large plan itself; the
            library is as it was, but for what others have built on what was applied, which the message then names.
        StoreError: see `Library.writing`.
    """
    if staged.lots <= 1:
        steps = list(zip(staged, staged.kinds, strict=True))
        applied = [_apply_whole(library, replace(action, kind=kind or action.kind), lot, checks) for lot, kind in steps]
        return applied[0] if applied else AppliedPlan(())
    token = secrets.token_hex(8)
    with library.store.applying(token):
        keys: dict[Key, Key] = {}
        entries: list[int] = []
        try:
            for nth, lot in enumerate(staged, 1):
                kind = staged.kinds[nth - 1] or action.kind
                part = replace(action, kind=kind, request=PartOf(token, nth, staged.lots).text)
                check = PlanChecks(checks.first if nth == 1 else None, checks.last if nth == staged.lots else None)
                entries.append(_apply_part(library, part, lot, keys, check))
        except BaseException as error:
            _take_back_stopped(library, token, entries, action.station, error)
            raise
        return AppliedPlan(tuple(entries), keys)


def _take_back_stopped(
    library: "Library", token: str, entries: Sequence[int], station: str, stop: BaseException
) -> None:
    """Take back the parts that were entered before a plan was stopped.

    Raises:
        RefusedError: others have built on one of them meanwhile.
    """
    try:
        _take_back(library, token, secrets.token_hex(8), station)
    except RefusedError as error:
        why = (
            f"was stopped in the middle ({stop}), and its entries up to {entries[-1]} cannot all be taken back: {error}"
        )
        remedy = (
            "look at the latest entries, take back what was built on them, then 'intake undo' each that stands",
            "look at the latest entries, take back what was built on them, then each that stands",
        )
        raise RefusedError("The step", why, remedy) from stop


def _apply_whole(library: "Library", action: Action, lot: Sequence[Change], checks: PlanChecks) -> AppliedPlan:
    with library.writing(action.station) as writer:
        if checks.first is not None:
            checks.first(writer)
        applied = writer.apply(action, lot)
        if checks.last is not None:
            checks.last(writer)
        return AppliedPlan((applied.entry.seq,), applied.keys)


def _apply_part(
    library: "Library", action: Action, lot: Sequence[Change], keys: dict[Key, Key], checks: PlanChecks
) -> int:
    """Apply one part; everything that needs no lock is done before the lock is taken.

    Args:
        library: where to.
        action: with the request of this part.
        lot: its changes.
        keys: those that earlier parts were given; this part's are added.
        checks: those of this part.
    """
    if makes_keys(lot) or checks.first is not None:
        with library.writing(action.station) as writer:
            if checks.first is not None:
                checks.first(writer)
            keys |= give_keys(writer.connection, lot)
    pending = prepare(change_with_keys(change, keys) for change in lot)
    with library.writing(action.station) as writer:
        prepare_for_many(writer.connection)
        seq = writer.apply_prepared(action, pending).entry.seq
        if checks.last is not None:
            checks.last(writer)
        return seq


def take_back_plan(
    library: "Library", token: str, station: str, check: TakeBackCheck | None = None
) -> tuple[LedgerEntry, ...]:
    """Take back those parts of a plan that stand, the last first; the entries that do it are one plan again.

    Args:
        library: where.
        token: of the plan.
        station: who does it.
        check: looks at each part, with the changes that take it back, and raises where it must stand.

    Returns:
        The entries that did it, none where no part stands.

    Raises:
        RefusedError: something that a part has made is in use since, or another station is applying a large plan; the
            library is as it was.
    """
    own = secrets.token_hex(8)
    with library.store.applying(own):
        try:
            return _take_back(library, token, own, station, check)
        except BaseException:
            _take_back(library, own, secrets.token_hex(8), station)
            raise


def _take_back(
    library: "Library", token: str, own: str, station: str, check: TakeBackCheck | None = None
) -> tuple[LedgerEntry, ...]:
    """Take back the standing parts of one plan as the parts of another."""
    with library.reading() as reader:
        standing = sorted(parts_of_plan(reader, token), reverse=True)
    parts = (PartOf(own, nth, len(standing)) for nth in range(1, len(standing) + 1))
    return tuple(_take_back_part(library, seq, part, station, check) for seq, part in zip(standing, parts, strict=True))


def _take_back_part(
    library: "Library", seq: int, part: PartOf, station: str, check: TakeBackCheck | None
) -> LedgerEntry:
    with library.writing(station) as writer:
        changes = reversing_changes(writer, seq)
        if check is not None:
            check(writer, seq, changes)
        (done,) = latest_entries(writer, 1, before=seq + 1)
        action = Action(ActionKind.UNDO, done.action.subject, station, request=part.text, undoes=seq)
        return writer.apply(action, changes).entry


def take_back_unfinished(library: "Library", station: str) -> None:
    """Take back the plans that a process left unfinished when it ended while applying them in parts."""
    with library.store.unfinished() as tokens:
        for token in tokens:
            with library.reading() as reader:
                parts = parts_of_plan(reader, token)
                standing = latest_entries(reader, 1, before=max(parts) + 1) if parts else ()
            of = PartOf.read(standing[0].action.request) if standing else None
            if of is not None and of.nth < of.of:
                _take_back_or_warn(library, standing[0], token, station)


def _take_back_or_warn(library: "Library", last: LedgerEntry, token: str, station: str) -> None:
    name = last.action.subject
    try:
        taken = _take_back(library, token, secrets.token_hex(8), station)
    except RefusedError as error:
        _LOG.warning("A long step (%s) was cut off, and what it entered cannot be taken back: %s", name, error)
    else:
        _LOG.warning("A long step (%s) was cut off; its %d parts were taken back: do it again", name, len(taken))
