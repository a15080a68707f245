"""What an export asks the library: editions lot by lot in the order of their making, and names that mean several."""

from sqlalchemy import func, select

from intake.edges.store.fetching import COLUMNS
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import Edition

_EDITION = TABLES[Edition].c


def editions_after(reader: LibraryReader, edition_id: int, limit: int) -> tuple[Edition, ...]:
    """Return the next editions by id."""
    statement = select(*COLUMNS[Edition]).where(_EDITION.id > edition_id).order_by(_EDITION.id).limit(limit)
    return tuple(from_values(Edition, tuple(row)) for row in reader.connection.execute(statement))


def shared_numbers(reader: LibraryReader) -> frozenset[str]:
    """Return the numbers, without add-ons, that more than one edition carries."""
    statement = select(_EDITION.number).where(_EDITION.number.is_not(None))
    return frozenset(reader.connection.scalars(statement.group_by(_EDITION.number).having(func.count() > 1)))
