"""The editions and copies of some sets."""

from collections import defaultdict
from collections.abc import Collection

from sqlalchemy import select

from intake.edges.store.fetching import COLUMNS, fetch_any, in_lots
from intake.edges.store.queries.withdrawals import is_held
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy, Edition

_COPY, _EDITION = TABLES[Copy].c, TABLES[Edition].c


def editions_of_sets(reader: LibraryReader, sets: Collection[int]) -> dict[int, list[Edition]]:
    """Return the editions of each of these sets that has any."""
    editions: dict[int, list[Edition]] = defaultdict(list)
    for edition in fetch_any(reader.connection, Edition, _EDITION.set_id, sets):
        editions[edition.set_id or 0].append(edition)
    return editions


def copies_of_sets_held(reader: LibraryReader, sets: Collection[int]) -> dict[int, list[Copy]]:
    """Return the copies of each of these sets that are of the collection, missing ones too."""
    copies: dict[int, list[Copy]] = defaultdict(list)
    joined = TABLES[Copy].join(TABLES[Edition], _COPY.edition_id == _EDITION.id)
    statement = select(_EDITION.set_id, *COLUMNS[Copy]).select_from(joined).order_by(_COPY.accession)
    for lot in in_lots(dict.fromkeys(sets)):
        for row in map(tuple, reader.connection.execute(statement.where(is_held(), _EDITION.set_id.in_(lot)))):
            copies[row[0]].append(from_values(Copy, row[1:]))
    return copies
