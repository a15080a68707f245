"""A plan of any size, kept outside the library until it is applied: compressed lots in a file without a name.

Nothing of it is in the library, so that dropping it undoes nothing. The file is gone with the process.
"""

import json
import tempfile
import zlib
from collections import Counter
from collections.abc import Collection, Iterator
from types import TracebackType
from typing import BinaryIO, Self, cast

from intake.edges.store.rows import KINDS, from_plain, key_of, table_name, to_plain
from intake.errors import FileError, RefusedError
from intake.model.changes import ActionKind, Change, Record, is_provisional

LOT = 500
"""Changes in a lot, which one transaction applies: less than a tenth of a second of the processor under the writing
lock (`tests/benchmarks/longest_turn.py`), so that stations that scan need not wait long on a busy machine either."""


class StagedPlan:
    """The changes of a plan in their order, lot by lot; use it in a `with` statement.

    Attributes:
        made: count of the records that are new, by what they are.
        altered: count of the records that say something new, by what they are; none that the plan itself makes.
        kinds: for each lot, what its entry of the ledger says was done; None for what the whole plan does.
    """

    def __init__(self) -> None:
        self.made: Counter[type[Record]] = Counter()
        self.altered: Counter[type[Record]] = Counter()
        self.kinds: list[ActionKind | None] = []
        self._latest: list[Change] = []
        self._file: BinaryIO | None = None
        self._sizes: list[int] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, _kind: type[BaseException] | None, _error: BaseException | None, _at: TracebackType | None
    ) -> None:
        if self._file is not None:
            self._file.close()

    @property
    def lots(self) -> int:
        """Return the count of the lots."""
        return len(self.kinds)

    def add(self, changes: Collection[Change], kind: ActionKind | None = None, *, together: bool = False) -> None:
        """Add the next changes of the plan.

        Args:
            changes: in their order.
            together: put them into one lot, so that nobody sees, or alters, a part of them.
            kind: what their own entries of the ledger say was done, where that is not what the whole plan does.

        Raises:
            FileError: the system's folder for temporary files is full.
            RefusedError: a value that cannot be stored.
        """
        if together and self._latest and len(self._latest) + len(changes) > LOT:
            self._put_away()
        for change in changes:
            is_full = len(self._latest) >= LOT and not together
            if is_full or (self._latest and self.kinds[-1] is not kind):
                self._put_away()
            if not self._latest:
                self.kinds.append(kind)
            self._latest.append(change)
        self.count(changes)

    def count(self, changes: Collection[Change]) -> None:
        """Count changes that are not to be applied, and need not be kept; several of one record are one."""
        counted: set[tuple[type[Record], int | str]] = set()
        for change in changes:
            record = change.before if change.after is None else change.after
            if record is None or change.before == change.after:
                continue
            key = key_of(record)
            is_made_here = change.before is not None and is_provisional(key)
            if not is_made_here and (type(record), key) not in counted:
                counted.add((type(record), key))
                (self.made if change.before is None else self.altered)[type(record)] += 1

    def __iter__(self) -> Iterator[list[Change]]:
        """Yield the lots in the order of the plan."""
        if self._file is not None:
            self._file.seek(0)
            for size in self._sizes:
                yield [_read(entry) for entry in json.loads(zlib.decompress(self._file.read(size)))]
        if self._latest:
            yield self._latest

    def _put_away(self) -> None:
        try:
            lot = zlib.compress(json.dumps([_write(change) for change in self._latest]).encode(), 1)
        except ValueError as error:
            raise RefusedError("The list", f"has a value that cannot be stored ({error})", "correct it") from error
        try:
            if self._file is None:
                self._file = cast("BinaryIO", tempfile.TemporaryFile(prefix="intake-"))  # noqa: SIM115 - closed at exit
            self._file.write(lot)
        except OSError as error:
            where = "The system's folder for temporary files"
            raise FileError(where, f"cannot be written ({error.strerror})", "make room") from error
        self._sizes.append(len(lot))
        self._latest = []


def _write(change: Change) -> tuple[str, object, object]:
    record = change.before if change.after is None else change.after
    if record is None:
        raise ValueError("a change of nothing into nothing")
    before, after = (None if record is None else to_plain(record) for record in (change.before, change.after))
    return table_name(type(record)), before, after


def _read(entry: tuple[str, dict[str, object] | None, dict[str, object] | None]) -> Change:
    kind = KINDS[entry[0]]

    def record(plain: dict[str, object] | None) -> Record | None:
        return None if plain is None else from_plain(kind, plain)

    return Change(record(entry[1]), record(entry[2]))
