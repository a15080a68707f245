"""What copies are worth in one currency on one day, and what that comes to: what is at risk, and what is lost.

This is the one definition of a copy's worth in another currency; every list and total takes it from here.

- Every amount is converted by itself and rounded once to the decimals of the chosen currency, half away from zero; a
  total is the sum of the rounded amounts, so that adding up the lines gives the same result.
- What has no rate stays in its own currency, in a subtotal of its own, with the rate that is missing. Copies without a
  value are listed. Nothing is taken as zero.
- Lost copies are not at risk: they have totals of their own.
- Each basis has a subtotal of its own, for a purchase price and a replacement value say different things.
- A set that is counted as a whole stands once in place of its volumes (`intake.valuing.set_values`).
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.model.valuations import Basis, CountedAmount, Subtotal, Valuation, add_up
from intake.units.language import say, term
from intake.valuing.counting import counting_value
from intake.valuing.rates import Conversion, MissingRate, NoRate, RateTable, convert_amount
from intake.valuing.set_values import CountedSet, SetPart, set_parts

ROUNDING = term(
    "Each amount is converted by itself and rounded once, half away from zero; totals add the rounded amounts."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What one copy is worth by itself.

    Attributes:
        valuation: as recorded; None where there is none.
        amount: in the chosen currency; None where it has no value, or no rate.
        missing: the rates without which its value cannot be converted.
        lost: whether it is known to be lost.
        in_set: the id of the set in whose value it is counted; this amount is then in no total.
    """

    copy: str
    valuation: Valuation | None
    amount: Decimal | None
    missing: tuple[MissingRate, ...] = ()
    lost: bool = False
    in_set: int | None = None

    @property
    def why(self) -> str:
        """Return in words why there is no amount; empty where there is one."""
        if self.amount is not None:
            return ""
        if self.valuation is None:
            return say("no value recorded")
        return "; ".join(rate.why for rate in self.missing)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetWorth:
    """What a set, or what its lost volumes took from it, is worth in the chosen currency; see `Worth`."""

    part: SetPart
    amount: Decimal | None
    missing: tuple[MissingRate, ...] = ()

    @property
    def set_id(self) -> int:
        """Return the id of the set."""
        return self.part.counted.book_set.id


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTotal:
    """What is at risk, or what is lost.

    Attributes:
        currency: the chosen one.
        copies: how many copies this part has, valued or not.
        subtotals: by basis, those in the chosen currency first, then those that could not be converted.
        unvalued: copies without a value.
    """

    currency: str
    copies: int
    subtotals: tuple[Subtotal, ...]
    unvalued: tuple[str, ...]

    @property
    def converted(self) -> tuple[Subtotal, ...]:
        """Return the subtotals in the chosen currency, one for each basis."""
        return tuple(one for one in self.subtotals if one.currency == self.currency)

    @property
    def unconverted(self) -> tuple[Subtotal, ...]:
        """Return the subtotals in other currencies, which `amount` leaves out."""
        return tuple(one for one in self.subtotals if one.currency != self.currency)

    @property
    def amount(self) -> Decimal:
        """Return the sum in the chosen currency, of all bases: to be shown with a line for each of them."""
        return sum((one.amount for one in self.converted), Decimal())

    @property
    def whole(self) -> bool:
        """Return whether `amount` leaves nothing out."""
        return not self.unvalued and not self.unconverted


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueTotal:
    """Values in one currency on one day.

    Attributes:
        worths: one for each copy requested, in the same order.
        sets: the sets that count in place of their volumes, and what lost volumes took from them.
        singly: sets that have a value of their own which does not count here.
        rates: each rate that was used, in words.
        missing: each rate that is missing, once.
    """

    currency: str
    on: date
    worths: tuple[Worth, ...]
    sets: tuple[SetWorth, ...]
    singly: tuple[CountedSet, ...]
    at_risk: PartTotal
    lost: PartTotal
    rates: tuple[str, ...]
    missing: tuple[MissingRate, ...]

    @property
    def unconverted(self) -> tuple[str, ...]:
        """Return the copies whose own value cannot be converted and counts by itself."""
        return tuple(one.copy for one in self.worths if one.missing and one.in_set is None)

    @property
    def unvalued(self) -> tuple[str, ...]:
        """Return the copies without a value, lost ones too."""
        return (*self.at_risk.unvalued, *self.lost.unvalued)


def latest_valuations(valuations: Iterable[Valuation], basis: Basis | None = None) -> dict[str, Valuation]:
    """Return the valuation that counts for each copy, on one basis or on any; see `intake.valuing.counting`."""
    by_copy: dict[str, list[Valuation]] = defaultdict(list)
    for valuation in valuations:
        by_copy[valuation.copy].append(valuation)
    found = ((copy, counting_value(values, basis)) for copy, values in by_copy.items())
    return {copy: value for copy, value in found if value is not None}


def total_value(
    copies: Iterable[str],
    values: Mapping[str, Valuation],
    table: RateTable,
    *,
    currency: str,
    on: date,
    lost: Collection[str] = (),
    sets: Iterable[CountedSet] = (),
) -> ValueTotal:
    """Add up what copies are worth.

    Args:
        copies: accession numbers.
        values: the valuation to use for each.
        table: the rates.
        currency: ISO 4217 code of the total.
        on: the day of the rates.
        lost: those of the copies that are lost.
        sets: the sets among the copies that have a value of their own.
    """
    converter = _Converter(table, currency, on)
    every = tuple(sets)
    set_worths = tuple(_set_worth(part, converter) for counted in every for part in set_parts(counted))
    in_sets = {copy: worth.set_id for worth in set_worths for copy in worth.part.copies}
    worths = tuple(
        _worth(copy, values.get(copy), converter, lost=copy in lost, in_set=in_sets.get(copy)) for copy in copies
    )
    return ValueTotal(
        currency=currency,
        on=on,
        worths=worths,
        sets=set_worths,
        singly=tuple(counted for counted in every if counted.value is None),
        at_risk=_part(worths, set_worths, currency, lost=False),
        lost=_part(worths, set_worths, currency, lost=True),
        rates=converter.rates,
        missing=converter.missing,
    )


def sums_as_recorded(valuations: Iterable[Valuation]) -> dict[tuple[str, Basis], tuple[Decimal, int]]:
    """Return (sum, number of valuations) by currency and basis, without conversion."""
    sums: dict[tuple[str, Basis], list[Decimal]] = defaultdict(list)
    for valuation in valuations:
        sums[valuation.currency, valuation.basis].append(valuation.amount)
    return {key: (sum(amounts, Decimal()), len(amounts)) for key, amounts in sorted(sums.items())}


class _Converter:
    """Converts into one currency on one day, and remembers which rates it used and which it missed."""

    def __init__(self, table: RateTable, currency: str, on: date) -> None:
        self._table, self._currency, self._on = table, currency, on
        self._conversions: dict[str, Conversion | NoRate] = {}

    def convert(self, amount: Decimal, currency: str) -> tuple[Decimal | None, tuple[MissingRate, ...]]:
        if currency not in self._conversions:
            self._conversions[currency] = self._table.conversion(currency, self._currency, self._on)
        conversion = self._conversions[currency]
        if isinstance(conversion, NoRate):
            return None, conversion.missing
        return convert_amount(amount, conversion), ()

    @property
    def rates(self) -> tuple[str, ...]:
        used = (rate for one in self._conversions.values() if isinstance(one, Conversion) for rate in one.rates)
        return tuple(dict.fromkeys(used))

    @property
    def missing(self) -> tuple[MissingRate, ...]:
        failed = (one.missing for one in self._conversions.values() if isinstance(one, NoRate))
        return tuple(dict.fromkeys(rate for missing in failed for rate in missing))


def _worth(copy: str, value: Valuation | None, converter: _Converter, *, lost: bool, in_set: int | None) -> Worth:
    amount, missing = (None, ()) if value is None else converter.convert(value.amount, value.currency)
    return Worth(copy=copy, valuation=value, amount=amount, missing=missing, lost=lost, in_set=in_set)


def _set_worth(part: SetPart, converter: _Converter) -> SetWorth:
    amount, missing = converter.convert(part.own, part.value.currency)
    return SetWorth(part=part, amount=amount, missing=missing)


def _part(worths: Iterable[Worth], sets: Iterable[SetWorth], currency: str, *, lost: bool) -> PartTotal:
    """Add up the copies and the sets that are at risk, or those that are lost."""
    here = [worth for worth in worths if worth.lost is lost]
    amounts = [
        CountedAmount(amount=worth.valuation.amount, currency=worth.valuation.currency, basis=worth.valuation.basis)
        if worth.amount is None
        else CountedAmount(amount=worth.amount, currency=currency, basis=worth.valuation.basis)
        for worth in here
        if worth.valuation is not None and worth.in_set is None
    ]
    amounts += [
        CountedAmount(
            amount=one.part.own if one.amount is None else one.amount,
            currency=one.part.value.currency if one.amount is None else currency,
            basis=one.part.value.basis,
            copies=len(one.part.copies),
            is_set=True,
        )
        for one in sets
        if one.part.lost is lost
    ]
    return PartTotal(
        currency=currency,
        copies=len(here),
        subtotals=add_up(amounts, first=currency),
        unvalued=tuple(worth.copy for worth in here if worth.valuation is None and worth.in_set is None),
    )
