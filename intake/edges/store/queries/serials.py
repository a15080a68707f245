"""Which editions state that they collect parts of serials."""

from sqlalchemy import select

from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import TABLES
from intake.model.editions import Edition

_EDITION = TABLES[Edition].c


def collecting_editions(reader: LibraryReader) -> dict[int, str]:
    """Return what each edition states that it collects, by id, for those that state anything; one statement."""
    statement = select(_EDITION.id, _EDITION.collects).where(_EDITION.collects > "").order_by(_EDITION.id)
    return dict(map(tuple, reader.connection.execute(statement)))
