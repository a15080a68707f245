"""Which picture shows the cover of an edition or of a copy."""

from collections.abc import Collection
from typing import Any

from sqlalchemy import ColumnElement, Select, case, select

from intake.edges.store.fetching import in_lots
from intake.edges.store.queries.withdrawals import is_held
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import TABLES
from intake.model.condition import CopyPicture
from intake.model.editions import Copy

_COPY, _SHOWN = TABLES[Copy].c, TABLES[CopyPicture].c


def covers_of_editions(reader: LibraryReader, editions: Collection[int]) -> dict[int, str]:
    """Return for each of these editions that has one the SHA-256 of a photograph of a copy, see `covers_of_copies`."""
    covers: dict[int, str] = {}
    for lot in in_lots(dict.fromkeys(editions)):
        for edition, sha256 in reader.connection.execute(_photographs(_COPY.edition_id.in_(lot), _COPY.edition_id)):
            covers.setdefault(edition, sha256)
    return covers


def covers_of_copies(reader: LibraryReader, copies: Collection[str]) -> dict[str, str]:
    """Return for each of these copies that has one the SHA-256 of the photograph of it that shows it best.

    That is the first one taken of the copy by itself, which belongs to no report of damage; where there is none, the
    first of a report. The picture in which its symbol was read shows the back, and is none.
    """
    covers: dict[str, str] = {}
    for lot in in_lots(dict.fromkeys(copies)):
        for copy, sha256 in reader.connection.execute(_photographs(_COPY.accession.in_(lot), _COPY.accession)):
            covers.setdefault(copy, sha256)
    return covers


def _photographs(where: ColumnElement[bool], of: ColumnElement[Any]) -> Select[Any]:
    damage_last = case((_SHOWN.report.is_(None), 0), else_=1)
    joined = TABLES[CopyPicture].join(TABLES[Copy], _COPY.accession == _SHOWN.copy)
    statement = select(of, _SHOWN.picture).select_from(joined).where(where, is_held())
    return statement.order_by(damage_last, _SHOWN.id)
