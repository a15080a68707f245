"""What copies are worth together: by currency and basis as recorded, and in one currency on one day.

Every amount is converted by itself and rounded once to the decimals of the chosen currency, half away from zero; the
total is the sum of the rounded amounts, so that whoever adds the lines up finds the same. Copies without a value, and
values that no rate converts, are counted and named, never taken as nothing.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.model.valuations import Basis, Valuation
from intake.valuing.rates import Conversion, NoRate, RateTable, converted

ROUNDING = "Each amount is converted by itself and rounded once, half away from zero; totals add the rounded amounts."


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """One copy's value in the chosen currency; `amount` is None where there is none, and `why` says so."""

    copy: str
    valuation: Valuation | None
    amount: Decimal | None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Total:
    """Values in one currency on one day.

    Attributes:
        worths: one for each copy asked for, in their order.
        rates: in words, each rate that was used.
        unvalued: copies that have no valuation.
        unconverted: copies whose valuation no rate converts.
    """

    currency: str
    on: date
    amount: Decimal
    counted: int
    worths: tuple[Worth, ...]
    rates: tuple[str, ...]
    unvalued: tuple[str, ...]
    unconverted: tuple[str, ...]


def latest(valuations: Iterable[Valuation], basis: Basis | None = None) -> dict[str, Valuation]:
    """Return the latest valuation of each copy, on one basis or on any; of one day's, the one recorded last."""
    found: dict[str, Valuation] = {}
    for one in valuations:
        held = found.get(one.copy)
        if (basis is None or one.basis is basis) and (held is None or (one.on, one.id) > (held.on, held.id)):
            found[one.copy] = one
    return found


def total(
    copies: Iterable[str], values: Mapping[str, Valuation], table: RateTable, *, currency: str, on: date
) -> Total:
    """Add up what copies are worth.

    Args:
        copies: accession numbers.
        values: the valuation that counts for each.
        table: the rates.
        currency: ISO 4217 code of the total.
        on: the day of the rates.
    """
    found: dict[str, Conversion | NoRate] = {}
    worths: list[Worth] = []
    for copy in copies:
        value = values.get(copy)
        if value is None:
            worths.append(Worth(copy=copy, valuation=None, amount=None, why="no value recorded"))
            continue
        if value.currency not in found:
            found[value.currency] = table.conversion(value.currency, currency, on)
        way = found[value.currency]
        if isinstance(way, NoRate):
            worths.append(Worth(copy=copy, valuation=value, amount=None, why=way.why))
        else:
            worths.append(Worth(copy=copy, valuation=value, amount=converted(value.amount, way)))
    amounts = [worth.amount for worth in worths if worth.amount is not None]
    return Total(
        currency=currency,
        on=on,
        amount=sum(amounts, Decimal()),
        counted=len(amounts),
        worths=tuple(worths),
        rates=tuple(dict.fromkeys(way.words for way in found.values() if isinstance(way, Conversion) and way.words)),
        unvalued=tuple(worth.copy for worth in worths if worth.valuation is None),
        unconverted=tuple(worth.copy for worth in worths if worth.valuation and worth.amount is None),
    )


def as_recorded(valuations: Iterable[Valuation]) -> dict[tuple[str, Basis], tuple[Decimal, int]]:
    """Add valuations up by currency and basis, converting nothing: (sum, how many)."""
    sums: dict[tuple[str, Basis], list[Decimal]] = defaultdict(list)
    for one in valuations:
        sums[one.currency, one.basis].append(one.amount)
    return {key: (sum(amounts, Decimal()), len(amounts)) for key, amounts in sorted(sums.items())}
