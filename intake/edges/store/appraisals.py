"""Questions about condition, photographs, values of sets and rates; and what the ledger changed since an entry."""

from collections.abc import Iterable, Iterator

from sqlalchemy import select

from intake.edges.store.arrivals import Arrivals
from intake.edges.store.chain import ChangeText
from intake.edges.store.fetching import fetch, fetch_any, fetch_one
from intake.edges.store.history import row_change
from intake.edges.store.rows import KINDS, from_plain
from intake.edges.store.tables import TABLES, ledger_change
from intake.model.changes import Change
from intake.model.condition import ConditionReport, CopyPicture
from intake.model.editions import Copy, Printing
from intake.model.sightings import Picture
from intake.model.valuations import Rate, SetValue, Valuation

_COPY = TABLES[Copy].c
_RATE = TABLES[Rate].c


class Appraisals(Arrivals):
    """What the library knows of the state and the value of its copies."""

    def accessions(self) -> tuple[str, ...]:
        """Return the number of every copy."""
        return tuple(self._connection.scalars(select(_COPY.accession).order_by(_COPY.accession)))

    def valuations(self) -> tuple[Valuation, ...]:
        """Return every valuation."""
        return fetch(self._connection, Valuation)

    def condition_reports(self, accession: str | None = None) -> tuple[ConditionReport, ...]:
        """Return the condition reports of a copy, or all."""
        where = [] if accession is None else [TABLES[ConditionReport].c.copy == accession]
        return fetch(self._connection, ConditionReport, *where)

    def copy_pictures(self, accession: str | None = None) -> tuple[CopyPicture, ...]:
        """Return the photographs of a copy, or of all copies."""
        where = [] if accession is None else [TABLES[CopyPicture].c.copy == accession]
        return fetch(self._connection, CopyPicture, *where)

    def pictures(self, sha256s: Iterable[str]) -> dict[str, Picture]:
        """Return the records of these pictures by their SHA-256."""
        found = fetch_any(self._connection, Picture, TABLES[Picture].c.sha256, sha256s)
        return {picture.sha256: picture for picture in found}

    def printings(self) -> tuple[Printing, ...]:
        """Return every printing."""
        return fetch(self._connection, Printing)

    def set_values(self) -> tuple[SetValue, ...]:
        """Return the values of sets, oldest first."""
        found = fetch(self._connection, SetValue)
        return tuple(sorted(found, key=lambda value: (value.on, value.id)))

    def rate(self, key: str) -> Rate | None:
        """Return a rate by its key (see `intake.model.valuations.rate_key`)."""
        return fetch_one(self._connection, Rate, key)

    def rates(self, currencies: Iterable[str] | None = None) -> tuple[Rate, ...]:
        """Return the rates of these currencies, or all, by day."""
        if currencies is None:
            return fetch(self._connection, Rate)
        return tuple(sorted(fetch_any(self._connection, Rate, _RATE.currency, currencies), key=lambda rate: rate.key))

    def rates_by_key(self, keys: Iterable[str]) -> dict[str, Rate]:
        """Return the rates that have these keys."""
        return {rate.key: rate for rate in fetch_any(self._connection, Rate, _RATE.key, keys)}

    def changes_since(self, seq: int) -> Iterator[tuple[int, Change]]:
        """Yield every change after an entry of the ledger, with the number of its own entry, oldest first."""
        column = ledger_change.c
        wanted = select(column.seq, column.record_table, column.record_key, column.before, column.after)
        wanted = wanted.where(column.seq > seq).order_by(column.seq, column.nth)
        for row in self._connection.execute(wanted.execution_options(yield_per=1000)):
            told = row_change(ChangeText(row.record_table, row.record_key, row.before, row.after))
            kind = KINDS[told.table]
            before = None if told.before is None else from_plain(kind, told.before)
            after = None if told.after is None else from_plain(kind, told.after)
            yield row.seq, Change(before, after)
