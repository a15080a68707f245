"""The copies that valued lists are of: each with its edition, where it is and its latest value, read together once."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.papers import contents_of_consignment, latest_valuations_in
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.queries.values import latest_valuations
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import path_words
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperSource
from intake.flow.papers.proofs import ALL, claim_of, entry_now
from intake.flow.values.exchange_rates import currency_code, rate_table
from intake.identifiers.own import serial_of
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import PlacePath
from intake.model.valuations import Basis, Valuation
from intake.valuing import proof
from intake.valuing.totals import ValueTotal, total_value


@dataclass(frozen=True, slots=True)
class GroupName:
    """What a group of a list is called; those of copies that belong to no group of their own come last."""

    name: str
    last: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ValuedCopy:
    """One copy with what every valued list says of it.

    Attributes:
        where: its place from the room down, or its box and state.
        room: the group it belongs to where copies are grouped by room.
        value: as last recorded; None where it never was.
    """

    copy: Copy
    edition: Edition
    where: str
    room: GroupName
    value: Valuation | None


def valued_copies(
    reader: LibraryReader, *, basis: Basis | None = None, reference: str | None = None
) -> tuple[ValuedCopy, ...]:
    """Return all copies, or those that the boxes of a consignment list, in the order of their numbers.

    Args:
        reader: of the library at one moment.
        basis: the basis whose latest values count; None for the latest on any.
        reference: of the consignment, for which a basis is not asked; None for all copies.
    """
    if reference is None:
        pairs: Iterable[tuple[Copy, Edition]] = all_copies(reader)
        values = latest_valuations(reader, basis)
    else:
        pairs = contents_of_consignment(reader, reference)
        values = latest_valuations_in(reader, reference)
    paths = place_paths(reader)
    return tuple(
        ValuedCopy(
            copy=copy,
            edition=edition,
            where=_where(copy, paths),
            room=_room(copy, paths),
            value=values.get(copy.accession),
        )
        for copy, edition in sorted(pairs, key=lambda pair: serial_of(pair[0].accession))
    )


def total_of(reader: LibraryReader, copies: Sequence[ValuedCopy], *, currency: str, on: date) -> ValueTotal:
    """Add up what copies are worth in a currency at the rates of a day.

    Raises:
        UsageError: ISO 4217 has no such currency.
    """
    code = currency_code(currency)
    values = {one.copy.accession: one.value for one in copies if one.value is not None}
    table = rate_table(reader, {code, *(value.currency for value in values.values())}, on=on)
    return total_value([one.copy.accession for one in copies], values, table, currency=code, on=on)


def proof_of(
    source: PaperSource,
    purpose: str,
    copies: Sequence[ValuedCopy],
    scope: str = ALL,
    *,
    basis: Basis | None = None,
) -> str:
    """Return the words of the proof of a list that is made now of these copies.

    Args:
        source: of the list.
        purpose: what kind of list it is.
        copies: all that are in the scope.
        scope: see `intake.flow.papers.proofs.in_scope`.
        basis: the basis whose latest values count; None for the latest on any.
    """
    values = [one.value for one in copies if one.value is not None]
    entry = entry_now(source.reader)
    claimed = claim_of(len(copies), values, purpose=purpose, scope=scope, basis=basis, on=source.on, entry=entry)
    return proof.to_text(claimed)


def rates_day(source: PaperSource, options: PaperOptions) -> date:
    """Return the day of the rates: as chosen, else the day of the paper."""
    return options.rates_on or source.on


def _where(copy: Copy, paths: Mapping[str, PlacePath]) -> str:
    path = paths.get(copy.place or "")
    if path is not None:
        return path_words(path)
    return f"box {copy.box}, {copy.state}" if copy.box else str(copy.state)


def _room(copy: Copy, paths: Mapping[str, PlacePath]) -> GroupName:
    path = paths.get(copy.place or "")
    if path is not None:
        return GroupName(path.room)
    if copy.state is CopyState.MISSING:
        return GroupName("Not found since the move", last=True)
    return GroupName(f"In box {copy.box}") if copy.box else GroupName("Not placed", last=True)
