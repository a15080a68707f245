"""What of a consignment is missing or damaged, what it is worth, and what is at risk.

Every copy is in one loss at most, whether it has a value or not. Amounts are converted one by one, each rounded once.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.edges.store.queries.copies import CopyPair
from intake.edges.store.queries.values import latest_valuations_listed
from intake.edges.store.reader import LibraryReader
from intake.flow.values.exchange_rates import rate_table
from intake.model.editions import CopyState
from intake.model.moving_papers import DiscrepancyLine
from intake.model.valuations import Basis, Valuation
from intake.valuing.rates import Conversion, NoRate, RateTable, convert_amount

NOT_ARRIVED = "in a box that has not arrived"


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """One copy that is missing or damaged.

    Attributes:
        what: missing, damaged, or that its box has not arrived.
        recorded: amount as valued, in `currency`, on `basis`; None where no value is recorded.
        amount: in the currency of the calculation; None where it has no value, or cannot be converted for `why`.
    """

    copy: str
    box: str
    what: str
    recorded: Decimal | None = None
    currency: str = ""
    basis: Basis | None = None
    amount: Decimal | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AtRisk:
    """The value of everything in a consignment before the loss; `unknown` copies have none in the currency."""

    amount: Decimal
    copies: int
    unknown: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsignmentValues:
    """The latest value of each copy of a consignment, and the rates that convert them into one currency on a day."""

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
            amount=amount,
            why=why,
        )

    def rates_used(self) -> tuple[str, ...]:
        """Return each rate by which a value was converted, in words with its day."""
        currencies = sorted({value.currency for value in self.values.values()})
        conversions = (self.table.conversion(code, self.currency, self.on) for code in currencies)
        return tuple(dict.fromkeys(used.words for used in conversions if isinstance(used, Conversion) and used.words))


def values_of_consignment(
    records: LibraryReader, reference: str, *, currency: str, unit: str, on: date
) -> ConsignmentValues:
    """Read the values of a consignment's copies, with the rates of their currencies and of a regime's unit."""
    values = latest_valuations_listed(records, reference)
    wanted = {currency, unit or currency, *(value.currency for value in values.values())}
    return ConsignmentValues(values=values, table=rate_table(records, wanted, on=on), currency=currency, on=on)


def list_losses(
    lines: Iterable[DiscrepancyLine],
    contents: Iterable[CopyPair],
    values: ConsignmentValues,
    *,
    awaited: Collection[str] = (),
) -> tuple[Loss, ...]:
    """Return the losses.

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
    return tuple(losses.values())


def value_at_risk(contents: Iterable[CopyPair], losses: Iterable[Loss], values: ConsignmentValues) -> AtRisk:
    """Return the value of all copies of a consignment, those that are lost included."""
    all_copies = dict.fromkeys([*(copy.accession for copy, _ in contents), *(loss.copy for loss in losses)])
    amounts = [values.loss_of(copy, "", "").amount for copy in all_copies]
    known = [amount for amount in amounts if amount is not None]
    return AtRisk(amount=sum(known, Decimal(0)), copies=len(amounts), unknown=len(amounts) - len(known))
