"""What copies and sets were valued at, and the rates of exchange.

Which valuation of a copy counts is decided by the rule of `intake.valuing.counting`; `is_latest` asks for it.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, and_, case, exists, func, or_, select, true

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any, in_lots
from intake.edges.store.queries.withdrawals import is_held
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy, CopyState, Edition
from intake.model.valuations import Basis, Rate, SetValue, Valuation

_VALUATION, _COPY, _EDITION, _RATE = TABLES[Valuation].c, TABLES[Copy].c, TABLES[Edition].c, TABLES[Rate].c


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """What copies have in common with one of them: all that is not None; nothing named means the whole collection."""

    edition_id: int | None = None
    printing_id: int | None = None
    set_id: int | None = None
    subject: str | None = None

    @property
    def is_narrow(self) -> bool:
        """Return whether only a few copies can have it in common: those of a printing, an edition or a set."""
        return any(value is not None for value in (self.edition_id, self.printing_id, self.set_id))


def is_latest(basis: Basis | None = None) -> ColumnElement[bool]:
    """Return the condition that a valuation counts for its copy, on one basis or on any."""
    other = TABLES[Valuation].alias("other")
    after = or_(other.c.on > _VALUATION.on, and_(other.c.on == _VALUATION.on, other.c.id > _VALUATION.id))
    same = other.c.copy == _VALUATION.copy
    if basis is not None:
        return and_(_VALUATION.basis == basis.value, ~exists().where(same, other.c.basis == basis.value, after))
    is_price, other_is_value = _VALUATION.basis == Basis.PURCHASE.value, other.c.basis != Basis.PURCHASE.value
    counts_before = or_(and_(is_price, other_is_value), and_(after, or_(is_price, other_is_value)))
    return ~exists().where(same, counts_before)


def valuations_of(reader: LibraryReader, accession: str) -> tuple[Valuation, ...]:
    """Return the valuations of a copy, oldest first."""
    valuations = fetch(reader.connection, Valuation, _VALUATION.copy == accession)
    return tuple(sorted(valuations, key=lambda valuation: (valuation.on, valuation.id)))


def latest_valuations(reader: LibraryReader, basis: Basis | None = None) -> dict[str, Valuation]:
    """Return the latest valuation of each copy that has one, on one basis or on any, by accession number."""
    return {valuation.copy: valuation for valuation in fetch(reader.connection, Valuation, is_latest(basis))}


def latest_valuations_of(reader: LibraryReader, accessions: Iterable[str]) -> dict[str, Valuation]:
    """Return the latest valuation of each of these copies that has one."""
    return {
        valuation.copy: valuation
        for lot in in_lots(dict.fromkeys(accessions))
        for valuation in fetch(reader.connection, Valuation, _VALUATION.copy.in_(lot), is_latest())
    }


def valuations_by_copy(reader: LibraryReader, accessions: Iterable[str]) -> dict[str, list[Valuation]]:
    """Return all valuations of each of these copies that has any."""
    found: dict[str, list[Valuation]] = defaultdict(list)
    for valuation in fetch_any(reader.connection, Valuation, _VALUATION.copy, accessions):
        found[valuation.copy].append(valuation)
    return found


def peer_valuations(reader: LibraryReader, shared: Shared, *, besides: str, limit: int) -> tuple[Valuation, ...]:
    """Return the latest valuations of the copies that are like one of them, those recorded last first.

    Args:
        reader: of the library.
        shared: what the copies have in common.
        besides: the accession number of the one copy, which is left out.
        limit: how many at most.
    """
    conditions = (
        (_COPY.edition_id, shared.edition_id),
        (_COPY.printing_id, shared.printing_id),
        (_EDITION.set_id, shared.set_id),
        (_EDITION.subject, shared.subject),
    )
    joined = TABLES[Copy].join(TABLES[Edition], _EDITION.id == _COPY.edition_id)
    alike = [column == value for column, value in conditions if value is not None]
    is_peer: ColumnElement[bool] = true()
    if shared.is_narrow:
        is_peer = _VALUATION.copy.in_(select(_COPY.accession).select_from(joined).where(*alike))
    elif alike:
        # Of a subject there are many: the latest valuations are tried one by one until there are enough.
        is_peer = exists().select_from(joined).where(_COPY.accession == _VALUATION.copy, *alike)
    peers = (
        select(*COLUMNS[Valuation])
        .where(is_peer, _VALUATION.copy != besides, is_latest())
        .order_by(_VALUATION.id.desc())
        .limit(limit)
    )
    return tuple(from_values(Valuation, tuple(row)) for row in reader.connection.execute(peers))


def values_of_sets(reader: LibraryReader, set_ids: Iterable[int] | None = None) -> tuple[SetValue, ...]:
    """Return the values of these sets, or of all, oldest first."""
    if set_ids is None:
        values = fetch(reader.connection, SetValue)
    else:
        values = fetch_any(reader.connection, SetValue, TABLES[SetValue].c.set_id, set_ids)
    return tuple(sorted(values, key=lambda value: (value.on, value.id)))


def editions_in_sets(reader: LibraryReader) -> tuple[Edition, ...]:
    """Return every edition that belongs to a set."""
    return fetch(reader.connection, Edition, _EDITION.set_id.is_not(None))


def copies_in_sets(reader: LibraryReader) -> tuple[Copy, ...]:
    """Return every copy of the collection whose edition belongs to a set."""
    in_a_set = select(_EDITION.id).where(_EDITION.set_id.is_not(None))
    return fetch(reader.connection, Copy, is_held(), _COPY.edition_id.in_(in_a_set))


def lost_copies(reader: LibraryReader) -> frozenset[str]:
    """Return the accession numbers of the copies that are recorded as missing."""
    lost = select(_COPY.accession).where(_COPY.state == CopyState.MISSING.value)
    return frozenset(reader.connection.execute(lost).scalars())


def rates_of(reader: LibraryReader, currencies: Iterable[str] | None = None) -> tuple[Rate, ...]:
    """Return the rates of these currencies, or all, by day."""
    if currencies is None:
        return fetch(reader.connection, Rate)
    return tuple(sorted(fetch_any(reader.connection, Rate, _RATE.currency, currencies), key=lambda rate: rate.key))


def rates_with(reader: LibraryReader, currency: str) -> tuple[Rate, ...]:
    """Return the rates of a currency and those of others in which one of it is given, by day."""
    either = or_(_RATE.currency == currency, _RATE.base == currency)
    return tuple(sorted(fetch(reader.connection, Rate, either), key=lambda rate: rate.key))


def rates_between(reader: LibraryReader, first: date, last: date) -> dict[str, Rate]:
    """Return the rates from one day to another, both included, by key."""
    between = _RATE.on.between(first.isoformat(), last.isoformat())
    return {rate.key: rate for rate in fetch(reader.connection, Rate, between)}


def rates_for_day(reader: LibraryReader, currencies: Iterable[str], on: date) -> tuple[Rate, ...]:
    """Return what has to be known to convert between these currencies on a day.

    That is for each base the last rate of that day or before it, and the first of all, which shows from when on there
    are rates. The rates of one base in another count too: a conversion may have to go through both.
    """
    bases = select(_RATE.base).distinct()
    until = case((_RATE.on <= on.isoformat(), _RATE.on))
    days = (
        select(_RATE.base, _RATE.currency, func.min(_RATE.on).label("first"), func.max(until).label("last"))
        .where(or_(_RATE.currency.in_(sorted(set(currencies))), _RATE.currency.in_(bases)))
        .group_by(_RATE.base, _RATE.currency)
        .subquery()
    )
    same = and_(days.c.base == _RATE.base, days.c.currency == _RATE.currency)
    rates = (
        select(*COLUMNS[Rate])
        .join(days, and_(same, or_(_RATE.on == days.c.first, _RATE.on == days.c.last)))
        .order_by(_RATE.key)
    )
    return tuple(from_values(Rate, tuple(row)) for row in reader.connection.execute(rates))
