"""Total values of copies: by currency and basis as recorded, and in one currency on one day.

Every amount is converted by itself and rounded once to the decimals of the chosen currency, half away from zero; the
total is the sum of the rounded amounts, so that adding up the lines gives the same result. Copies without a value, and
values that cannot be converted, are counted and listed, never taken as zero.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.model.valuations import Basis, Valuation
from intake.valuing.rates import Conversion, NoRate, RateTable, convert_amount

ROUNDING = "Each amount is converted by itself and rounded once, half away from zero; totals add the rounded amounts."


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """One copy's value in the chosen currency; where `amount` is None, `why` is the reason."""

    copy: str
    valuation: Valuation | None
    amount: Decimal | None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueTotal:
    """Values in one currency on one day.

    Attributes:
        worths: one for each copy requested, in the same order.
        rates: each rate that was used, in words.
        unvalued: copies that have no valuation.
        unconverted: copies whose valuation cannot be converted.
    """

    currency: str
    on: date
    amount: Decimal
    counted: int
    worths: tuple[Worth, ...]
    rates: tuple[str, ...]
    unvalued: tuple[str, ...]
    unconverted: tuple[str, ...]


def latest_valuations(valuations: Iterable[Valuation], basis: Basis | None = None) -> dict[str, Valuation]:
    """Return the latest valuation of each copy, on one basis or on any; of the same day, the one recorded last."""
    by_copy: dict[str, Valuation] = {}
    for valuation in valuations:
        earlier = by_copy.get(valuation.copy)
        is_later = earlier is None or (valuation.on, valuation.id) > (earlier.on, earlier.id)
        if (basis is None or valuation.basis is basis) and is_later:
            by_copy[valuation.copy] = valuation
    return by_copy


def total_value(
    copies: Iterable[str], values: Mapping[str, Valuation], table: RateTable, *, currency: str, on: date
) -> ValueTotal:
    """Add up what copies are worth.

    Args:
        copies: accession numbers.
        values: the valuation to use for each.
        table: the rates.
        currency: ISO 4217 code of the total.
        on: the day of the rates.
    """
    conversions: dict[str, Conversion | NoRate] = {}
    worths: list[Worth] = []
    for copy in copies:
        value = values.get(copy)
        if value is None:
            worths.append(Worth(copy=copy, valuation=None, amount=None, why="no value recorded"))
            continue
        if value.currency not in conversions:
            conversions[value.currency] = table.conversion(value.currency, currency, on)
        conversion = conversions[value.currency]
        if isinstance(conversion, NoRate):
            worths.append(Worth(copy=copy, valuation=value, amount=None, why=conversion.why))
        else:
            worths.append(Worth(copy=copy, valuation=value, amount=convert_amount(value.amount, conversion)))
    amounts = [worth.amount for worth in worths if worth.amount is not None]
    return ValueTotal(
        currency=currency,
        on=on,
        amount=sum(amounts, Decimal()),
        counted=len(amounts),
        worths=tuple(worths),
        rates=tuple(
            dict.fromkeys(used.words for used in conversions.values() if isinstance(used, Conversion) and used.words)
        ),
        unvalued=tuple(worth.copy for worth in worths if worth.valuation is None),
        unconverted=tuple(worth.copy for worth in worths if worth.valuation and worth.amount is None),
    )


def sums_as_recorded(valuations: Iterable[Valuation]) -> dict[tuple[str, Basis], tuple[Decimal, int]]:
    """Return (sum, number of valuations) by currency and basis, without conversion."""
    sums: dict[tuple[str, Basis], list[Decimal]] = defaultdict(list)
    for valuation in valuations:
        sums[valuation.currency, valuation.basis].append(valuation.amount)
    return {key: (sum(amounts, Decimal()), len(amounts)) for key, amounts in sorted(sums.items())}
