"""Which editions state that they collect parts of serials."""

from sqlalchemy import select

from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import TABLES
from intake.model.editions import Edition

_EDITION = TABLES[Edition].c


def collecting_editions(reader: LibraryReader) -> tuple[tuple[int, str], ...]:
    """Return what each edition states that it collects, for those that state anything, by id; one statement."""
    statement = select(_EDITION.id, _EDITION.collects).where(_EDITION.collects > "").order_by(_EDITION.id)
    return tuple((edition_id, collects) for edition_id, collects in reader.connection.execute(statement))
