"""The rows of a catalog that name an edition which an earlier row named: a row for each copy, as people keep lists.

An empty cell says nothing, so that such rows add to each other; only two cells that say otherwise contradict.
"""

import pickle
from collections.abc import Iterator
from dataclasses import dataclass, fields

from intake.flow.lists.columns import merged
from intake.flow.lists.lot_plan import COLUMN_OF
from intake.flow.lists.reasons import BadRow, RowReason, bad_row_of
from intake.model.editions import Edition

_NOT_SAID = (None, "", ())
_IDS = ("id", "set_id")


@dataclass(frozen=True, slots=True)
class SaidEdition:
    """What the rows of one edition say together.

    Attributes:
        edition: with ids that are 0.
        set_title: of its set, empty for none.
        planned: the record as it will be; None where there is none of these rows' own yet.
    """

    edition: Edition
    set_title: str
    planned: Edition | None = None

    def contradicting(self, line: int, earlier: int, edition: Edition, set_title: str) -> BadRow | None:
        """Return what is wrong with a row that says otherwise, with each of its cells; None if nothing is."""
        differing = ((name, text, other) for name, text, other in self._cells(edition, set_title) if text != other)
        faults = [
            BadRow(line, RowReason.SAME_EDITION, {"earlier": earlier, "field": name, "text": text, "other": other})
            for name, text, other in differing
        ]
        return bad_row_of(faults) if faults else None

    def with_row(self, edition: Edition, set_title: str) -> "SaidEdition":
        """Return what the rows say together with one more, which contradicts none of them."""
        planned = None if self.planned is None else merged(self.planned, edition, keep=("id", "key"))
        return SaidEdition(merged(self.edition, edition), self.set_title or set_title, planned)

    def _cells(self, edition: Edition, set_title: str) -> Iterator[tuple[str, str, str]]:
        """Yield the column, the text of a row and that of the rows before it where both say something."""
        named = (one.name for one in fields(Edition) if one.name not in _IDS)
        pairs = [(name, getattr(edition, name), getattr(self.edition, name)) for name in named]
        for name, here, there in (*pairs, ("set", set_title, self.set_title)):
            if here not in _NOT_SAID and there not in _NOT_SAID:
                yield COLUMN_OF.get(name, name), _text(here), _text(there)


class SaidEditions:
    """What each edition's rows say, by its first line, in little memory: about 300 bytes for each."""

    def __init__(self) -> None:
        self._packed: dict[int, bytes] = {}
        self._open: dict[int, SaidEdition] = {}

    def __setitem__(self, line: int, said: SaidEdition) -> None:
        """Keep what the rows of the edition of a first line say."""
        self._open[line] = said

    def __getitem__(self, line: int) -> SaidEdition:
        """Return what they say."""
        if line in self._open:
            return self._open[line]
        return SaidEdition(*pickle.loads(self._packed[line]))  # noqa: S301 - of this process alone

    def put_away(self) -> None:
        """Pack what was kept or altered since this was last asked for: once for each lot of rows."""
        for line, said in self._open.items():
            self._packed[line] = pickle.dumps((said.edition, said.set_title, said.planned), pickle.HIGHEST_PROTOCOL)
        self._open.clear()


def _text(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return "; ".join(value) if isinstance(value, tuple) else str(value)
