"""What one lot of rows changes: what every planner of a list returns."""

import hashlib
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import Generic, Protocol, TypeVar

from intake.flow.lists.columns import RecordType, merged
from intake.flow.lists.reasons import BadRow
from intake.model.changes import Change

RowType_contra = TypeVar("RowType_contra", contravariant=True)


@dataclass(slots=True)
class LotPlan:
    """What a lot of rows changes, the rows of it that cannot be used, and the count of those that change nothing."""

    changes: list[Change] = field(default_factory=list)
    bad: list[BadRow] = field(default_factory=list)
    unchanged: int = 0

    def take(self, before: RecordType | None, row: RecordType, keep: Collection[str] = ()) -> None:
        """Plan a row: a new record, or the new values of a stored one, except the fields in `keep`."""
        after = row if before is None else merged(before, row, keep)
        if after == before:
            self.unchanged += 1
        else:
            self.changes.append(Change(before, after))


class ListPlanner(Protocol, Generic[RowType_contra]):
    """Plans one list, lot by lot; it remembers what earlier lots have planned, and writes nothing."""

    def plan(self, rows: Iterable[tuple[int, RowType_contra]]) -> LotPlan:
        """Plan the next rows of the list."""

    def finish(self) -> LotPlan:
        """Plan what depends on the whole list, after its last row."""


class SeenLines:
    """The lines on which things of a list were named first, in little memory: a million of them take about 150 MB.

    A thing is kept as 16 bytes of its BLAKE2b digest (RFC 7693); two of a million are taken for one with a chance of
    about 1 to 10 to the power of 27.
    """

    def __init__(self) -> None:
        self._lines: dict[bytes, int] = {}

    def earlier(self, thing: Iterable[str], line: int) -> int | None:
        """Return the line that named a thing before this one; None where this is the first."""
        texts = "\0".join(thing).encode(errors="surrogatepass")
        first = self._lines.setdefault(hashlib.blake2b(texts, digest_size=16).digest(), line)
        return None if first == line else first
