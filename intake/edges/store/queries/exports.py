"""What an export asks the library: editions lot by lot, names that mean several, and counts of what it leaves out."""

from sqlalchemy import func, select

from intake.edges.store.fetching import COLUMNS
from intake.edges.store.queries.values import is_latest
from intake.edges.store.queries.withdrawals import is_held
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy, Edition
from intake.model.valuations import Valuation

_EDITION, _VALUATION = TABLES[Edition].c, TABLES[Valuation].c


def editions_after(reader: LibraryReader, edition_id: int, limit: int) -> tuple[Edition, ...]:
    """Return the next editions by id."""
    statement = select(*COLUMNS[Edition]).where(_EDITION.id > edition_id).order_by(_EDITION.id).limit(limit)
    return tuple(from_values(Edition, tuple(row)) for row in reader.connection.execute(statement))


def count_withdrawn(reader: LibraryReader) -> int:
    """Count the copies that were withdrawn, which no list of copies has."""
    return reader.connection.scalar(select(func.count()).select_from(TABLES[Copy]).where(~is_held())) or 0


def count_outdated_values(reader: LibraryReader) -> int:
    """Count the valuations of copies of the collection beside the one of each that counts."""
    of_held = _VALUATION.copy.in_(select(TABLES[Copy].c.accession).where(is_held()))
    return reader.connection.scalar(select(func.count()).where(of_held, ~is_latest())) or 0


def shared_numbers(reader: LibraryReader) -> frozenset[str]:
    """Return the numbers, without add-ons, that more than one edition carries."""
    statement = select(_EDITION.number).where(_EDITION.number.is_not(None))
    return frozenset(reader.connection.scalars(statement.group_by(_EDITION.number).having(func.count() > 1)))
