"""What copies and sets were valued at, and the rates of exchange."""

from collections.abc import Iterable

from sqlalchemy import func, select

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.valuations import Basis, Rate, SetValue, Valuation

_VALUATION = TABLES[Valuation].c


_RATE = TABLES[Rate].c


def valuations_of(reader: LibraryReader, accession: str) -> tuple[Valuation, ...]:
    """Return the valuations of a copy, oldest first."""
    found = fetch(reader.connection, Valuation, _VALUATION.copy == accession)
    return tuple(sorted(found, key=lambda valuation: (valuation.on, valuation.id)))


def latest_valuations(reader: LibraryReader, basis: Basis | None = None) -> dict[str, Valuation]:
    """Return the latest valuation of each copy that has one, on one basis or on any, by accession number."""
    rank = func.row_number().over(partition_by=_VALUATION.copy, order_by=(_VALUATION.on.desc(), _VALUATION.id.desc()))
    ranked = select(*COLUMNS[Valuation], rank.label("rank"))
    if basis is not None:
        ranked = ranked.where(_VALUATION.basis == basis.value)
    inner = ranked.subquery()
    wanted = select(*(inner.c[column.name] for column in COLUMNS[Valuation])).where(inner.c.rank == 1)
    found = (from_values(Valuation, tuple(row)) for row in reader.connection.execute(wanted))
    return {valuation.copy: valuation for valuation in found}


def values_of_sets(reader: LibraryReader) -> tuple[SetValue, ...]:
    """Return the values of sets, oldest first."""
    found = fetch(reader.connection, SetValue)
    return tuple(sorted(found, key=lambda value: (value.on, value.id)))


def rates_of(reader: LibraryReader, currencies: Iterable[str] | None = None) -> tuple[Rate, ...]:
    """Return the rates of these currencies, or all, by day."""
    if currencies is None:
        return fetch(reader.connection, Rate)
    return tuple(sorted(fetch_any(reader.connection, Rate, _RATE.currency, currencies), key=lambda rate: rate.key))


def latest_valuations_of(reader: LibraryReader, accessions: Iterable[str]) -> dict[str, Valuation]:
    """Return the latest valuation of each of these copies that has one."""
    found = fetch_any(reader.connection, Valuation, TABLES[Valuation].c.copy, accessions)
    return {held.copy: held for held in sorted(found, key=lambda held: (held.on, held.id))}
