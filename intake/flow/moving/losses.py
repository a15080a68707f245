"""What of a consignment is missing or damaged, what it is worth, and what is at risk.

Every copy is in one loss at most, whether it has a value or not. Amounts are converted one by one, each rounded once.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.edges.store.queries.copies import CopyPair
from intake.edges.store.queries.values import values_of_sets
from intake.edges.store.reader import LibraryReader
from intake.flow.values.exchange_rates import rate_table
from intake.flow.values.value_sets import counted_sets
from intake.identifiers.own import serial_of
from intake.model.boxes import DiscrepancyKind
from intake.model.editions import Copy, CopyState
from intake.model.moving_papers import DiscrepancyLine
from intake.model.valuations import Basis, Valuation
from intake.units.language import term
from intake.valuing.rates import Conversion, NoRate, RateTable, convert_amount
from intake.valuing.set_values import CountedSet
from intake.valuing.totals import SetWorth, total_value

NOT_ARRIVED = term("in a box that has not arrived")
DAMAGED = DiscrepancyKind.DAMAGED.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """One copy that is missing or damaged.

    Attributes:
        what: missing, damaged, or that its box has not arrived.
        recorded: amount as valued, in `currency`, on `basis`, on the day `valued_on`; None where no value is recorded.
        amount: in the currency of the calculation; None where it has no value, or cannot be converted for `why`.
    """

    copy: str
    box: str
    what: str
    recorded: Decimal | None = None
    currency: str = ""
    basis: Basis | None = None
    valued_on: date | None = None
    amount: Decimal | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AtRisk:
    """The value of everything in a consignment before the loss, a set that was valued as a whole once.

    Attributes:
        unknown: how many copies have no value in the currency, alone or in a set.
        sets: the sets that count with their own value, in place of their volumes' own.
        singly: sets that have a value of their own which does not count, as their volumes did not all travel here.
    """

    amount: Decimal
    copies: int
    unknown: int
    sets: tuple[SetWorth, ...] = ()
    singly: tuple[CountedSet, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsignmentValues:
    """The value of each copy of a consignment that makes its loss, and the rates that convert them on a day."""

    values: Mapping[str, Valuation]
    table: RateTable
    currency: str
    on: date

    def loss_of(self, copy: str, box: str, what: str) -> Loss:
        """Return the loss of one copy, in its own currency and converted."""
        value = self.values.get(copy)
        if value is None:
            return Loss(copy=copy, box=box, what=what)
        conversion = self.table.conversion(value.currency, self.currency, self.on)
        amount, why = None, ""
        if isinstance(conversion, NoRate):
            why = conversion.why
        else:
            amount = convert_amount(value.amount, conversion)
        return Loss(
            copy=copy,
            box=box,
            what=what,
            recorded=value.amount,
            currency=value.currency,
            basis=value.basis,
            valued_on=value.on,
            amount=amount,
            why=why,
        )

    def worth_in(self, copy: str, currency: str) -> Decimal | None:
        """Return what a copy is worth in a currency, such as that of its set; None where it is not known."""
        value = self.values.get(copy)
        if value is None:
            return None
        conversion = self.table.conversion(value.currency, currency, self.on)
        return None if isinstance(conversion, NoRate) else convert_amount(value.amount, conversion)

    def rates_used(self, of_sets: Iterable[str] = ()) -> tuple[str, ...]:
        """Return each rate by which a value was converted, in words with its day; also those of sets' currencies."""
        currencies = sorted({*(value.currency for value in self.values.values()), *of_sets})
        conversions = (self.table.conversion(code, self.currency, self.on) for code in currencies)
        used = (rate for one in conversions if isinstance(one, Conversion) for rate in one.rates)
        return tuple(dict.fromkeys(used))


def with_rates(
    records: LibraryReader, values: Mapping[str, Valuation], *, currency: str, unit: str, on: date
) -> ConsignmentValues:
    """Return the values of a consignment's copies with the rates of their currencies and of a regime's unit."""
    of_sets = (value.currency for value in values_of_sets(records))
    wanted = {currency, unit or currency, *(value.currency for value in values.values()), *of_sets}
    table = rate_table(records, wanted, on=on)
    return ConsignmentValues(values=values, table=table, currency=currency, on=on)


def list_losses(
    lines: Iterable[DiscrepancyLine],
    contents: Iterable[CopyPair],
    values: ConsignmentValues,
    *,
    awaited: Collection[str] = (),
) -> tuple[Loss, ...]:
    """Return the losses, box by box.

    Args:
        lines: what is missing or damaged now.
        contents: the copies of the consignment.
        values: what they are worth.
        awaited: boxes that have not arrived and count as lost.
    """
    losses: dict[str, Loss] = {}
    for line in lines:
        losses.setdefault(line.number, values.loss_of(line.number, line.box, line.what))
    for copy, _ in contents:
        if copy.box in awaited and copy.state is CopyState.PACKED:
            losses.setdefault(copy.accession, values.loss_of(copy.accession, copy.box or "", NOT_ARRIVED))
    return tuple(sorted(losses.values(), key=lambda loss: [serial_of(number) for number in (loss.box, loss.copy)]))


def value_at_risk(records: LibraryReader, copies: Iterable[Copy], values: ConsignmentValues) -> AtRisk:
    """Return the value of the copies of a consignment, as a total of values has it.

    Args:
        records: the library.
        copies: all that travelled, those that are lost as they were before.
        values: what they are worth.
    """
    travelled = tuple(copies)
    total = total_value(
        [copy.accession for copy in travelled],
        values.values,
        values.table,
        currency=values.currency,
        on=values.on,
        sets=counted_sets(records, travelled),
    )
    at_risk = total.at_risk
    unknown = len(at_risk.unvalued) + sum(one.copies for one in at_risk.unconverted)
    return AtRisk(amount=at_risk.amount, copies=at_risk.copies, unknown=unknown, sets=total.sets, singly=total.singly)
