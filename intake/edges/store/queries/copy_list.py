"""Pages of the lists of copies and of editions."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import ColumnElement, and_, case, func, or_, select

from intake.edges.store.fetching import COLUMNS
from intake.edges.store.queries.copies import BY_NUMBER, CopyPair, pairs_of, select_pairs
from intake.edges.store.queries.withdrawals import is_held
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values, state_of
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy, CopyState, Edition

_COPY, _EDITION = TABLES[Copy].c, TABLES[Edition].c


@dataclass(frozen=True, slots=True)
class CopyChoice:
    """Which copies of the collection a list is of.

    Attributes:
        copies: only these, or those in one of the places; None for any.
        places: boxes or shelves.
        state: only those in this state; None for any, but not what was withdrawn.
    """

    copies: Collection[str] | None = None
    places: Collection[str] = ()
    state: CopyState | None = None

    def condition(self, *, with_state: bool = True) -> ColumnElement[bool]:
        """Return the condition that a copy is one of them."""
        state = _COPY.state == self.state.value if with_state and self.state is not None else is_held()
        if self.copies is None:
            return state
        named = or_(_COPY.accession.in_(self.copies), _COPY.box.in_(self.places), _COPY.place.in_(self.places))
        return and_(state, named)


def count_copies_by_state(reader: LibraryReader, choice: CopyChoice) -> dict[CopyState, int]:
    """Count the copies by state that are chosen but for their state; those that were withdrawn are left out."""
    counted = select(_COPY.state, func.count()).where(choice.condition(with_state=False)).group_by(_COPY.state)
    return {state_of(CopyState, state, "A copy"): count for state, count in reader.connection.execute(counted)}


def copy_page(
    reader: LibraryReader, choice: CopyChoice, begin: int, count: int, *, by_state: bool = False
) -> tuple[CopyPair, ...]:
    """Return some copies with their editions, by number, or by state and number: `count` after the first `begin`."""
    stages = case({state.value: nth for nth, state in enumerate(CopyState)}, value=_COPY.state, else_=len(CopyState))
    selected = select_pairs(choice.condition()).order_by(None).order_by(*((stages,) if by_state else ()), *BY_NUMBER)
    return tuple(pairs_of(reader, selected.offset(begin).limit(count)))


def edition_page(reader: LibraryReader, begin: int, count: int) -> tuple[Edition, ...]:
    """Return some editions by their titles: `count` after the first `begin`."""
    statement = select(*COLUMNS[Edition]).order_by(_EDITION.title_key, _EDITION.id).offset(begin).limit(count)
    return tuple(from_values(Edition, tuple(row)) for row in reader.connection.execute(statement))
