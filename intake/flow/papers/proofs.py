"""What a list claims, made from the records; and the same as it was at an earlier entry of the ledger.

What the entries up to that one tell are the records of that day: nothing but the ledger is needed to say what a list of
that day should have said, and a table that was altered by hand has no part in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from intake.edges.store.queries.ledger_entries import latest_entries, ledger_head
from intake.edges.store.queries.replay import records_told
from intake.edges.store.reader import LibraryReader
from intake.errors import UsageError
from intake.model.boxes import Box
from intake.model.editions import Copy, CopyState, Edition
from intake.model.schedules import Proof, ProofTotal
from intake.model.valuations import Basis, Rate, Valuation
from intake.valuing.proof import LATEST
from intake.valuing.rates import RateTable
from intake.valuing.totals import latest_valuations, sums_as_recorded, total_value

ALL = "all"
DECIDING: tuple[type[Copy | Valuation | Box | Rate | Edition], ...] = (Copy, Valuation, Box, Rate, Edition)
"""The kinds of record that decide what a list says."""


@dataclass(slots=True)
class ProofRecords:
    """The records that decide what a list says, by key."""

    copies: dict[str, Copy] = field(default_factory=dict)
    valuations: dict[int, Valuation] = field(default_factory=dict)
    boxes: dict[str, Box] = field(default_factory=dict)
    rates: dict[str, Rate] = field(default_factory=dict)
    editions: dict[int, Edition] = field(default_factory=dict)

    def put(self, record: object) -> None:
        """Hold a record, if it is of a kind that decides."""
        match record:
            case Copy() if record.state is not CopyState.WITHDRAWN:
                self.copies[record.accession] = record
            case Valuation():
                self.valuations[record.id] = record
            case Box():
                self.boxes[record.number] = record
            case Rate():
                self.rates[record.key] = record
            case Edition():
                self.editions[record.id] = record


def held_at(records: LibraryReader, seq: int | None = None) -> ProofRecords:
    """Return the records as the ledger left them with an entry, the latest for None; no table of records is asked.

    Raises:
        StoreError: what the ledger tells cannot be read.
    """
    held = ProofRecords()
    for kind in DECIDING:
        for record in records_told(records, kind, seq):
            held.put(record)
    return held


def over(amount: Decimal, currency: str, on: date) -> str:
    """Return the scope of the copies that are each worth more than an amount, at the rates of a day."""
    return f"over {currency} {amount:f} at {on.isoformat()}"


def in_scope(held: ProofRecords, scope: str, values: dict[str, Valuation]) -> list[str]:
    """Return the copies that a list of this scope is of.

    Raises:
        UsageError: the scope is none that is known.
    """
    what, _, name = scope.partition(" ")
    if scope == ALL:
        return sorted(held.copies)
    if what == "copy":
        return [name] if name in held.copies else []
    if what == "consignment":
        boxes = {box.number for box in held.boxes.values() if box.consignment == name}
        return sorted(copy.accession for copy in held.copies.values() if copy.box in boxes)
    if what == "over":
        currency, limit, _, day = name.split(" ")
        on = date.fromisoformat(day)
        added = total_value(sorted(held.copies), values, RateTable(held.rates.values()), currency=currency, on=on)
        return [one.copy for one in added.worths if one.amount is not None and one.amount > Decimal(limit)]
    raise UsageError(
        f"The proof's scope {scope!r}", "is not one that is known", "check it with the version that made it"
    )


def values_in(held: ProofRecords, basis: str) -> dict[str, Valuation]:
    """Return the valuation that counts for each copy, by what a proof says of it."""
    if basis == LATEST:
        return {value.copy: value for value in sorted(held.valuations.values(), key=lambda value: (value.on, value.id))}
    return latest_valuations(held.valuations.values(), Basis(basis) if basis else None)


def claim(held: ProofRecords, *, purpose: str, scope: str, basis: str = "", on: date, entry: tuple[int, str]) -> Proof:
    """Return what a list of this scope claims; see `in_scope`, `values_in` and `claim_of`."""
    values = values_in(held, basis)
    copies = in_scope(held, scope, values)
    valued = [values[copy] for copy in copies if copy in values]
    return claim_of(len(copies), valued, purpose=purpose, scope=scope, basis=basis, on=on, entry=entry)


def claim_of(
    copies: int,
    values: Sequence[Valuation],
    *,
    purpose: str,
    scope: str,
    basis: str = "",
    on: date,
    entry: tuple[int, str],
) -> Proof:
    """Return what a list claims.

    Args:
        copies: how many it lists.
        values: those of the copies that have one.
        purpose: what kind of list it is.
        scope: see `in_scope`.
        basis: which values count, see `Proof.basis`.
        on: the day of the list.
        entry: number and digest of the last ledger entry.
    """
    return Proof(
        purpose=purpose,
        on=on,
        scope=scope,
        basis=basis,
        copies=copies,
        unvalued=copies - len(values),
        totals=tuple(
            ProofTotal(currency=currency, basis=one.value, amount=amount, count=count)
            for (currency, one), (amount, count) in sums_as_recorded(values).items()
        ),
        seq=entry[0],
        head=entry[1],
    )


def entry_now(records: LibraryReader) -> tuple[int, str]:
    """Return number and digest of the last ledger entry."""
    newest = latest_entries(records, limit=1)
    return (newest[0].seq, newest[0].digest) if newest else (0, ledger_head(records))
