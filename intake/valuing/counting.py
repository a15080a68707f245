"""Which of the values that were recorded of one copy, or of one set, counts.

- Where a basis is asked for, the latest value on it; of one day's, the one recorded last.
- Where none is, the latest valuation: a replacement, market or agreed value, whichever is of the latest day. What was
  paid is no valuation (it tells what it cost, not what it would cost now), so that a purchase price counts only where
  there is no valuation, however late it was entered; and it stays in a subtotal of its own.

`intake.edges.store.queries.values.is_latest` asks the database by the same rule. Which basis is insured is for the
policy to say; the rule itself is common practice, no source.
"""

from collections.abc import Iterable
from datetime import date
from typing import TypeVar

from intake.model.valuations import Basis, SetValue, Valuation

Value = TypeVar("Value", Valuation, SetValue)


def precedence(value: Valuation | SetValue) -> tuple[bool, date, int]:
    """Return by what the values of one copy or set are ordered, where no basis is asked for; the highest counts."""
    return value.basis is not Basis.PURCHASE, value.on, value.id


def counting_value(values: Iterable[Value], basis: Basis | None = None) -> Value | None:
    """Return which of the values of one copy or set counts; None where none is on the basis asked for."""
    fitting = (value for value in values if basis is None or value.basis is basis)
    return max(fitting, key=precedence, default=None)


def counted_until(values: Iterable[Value], day: date | None) -> Value | None:
    """Return which value counted on a day: one of that day or before it; where there is none, the one that counts now.

    Args:
        values: of one copy or set.
        day: None for now.
    """
    recorded = list(values)
    until = [value for value in recorded if day is None or value.on <= day]
    return counting_value(until or recorded)


def latest_by_basis(values: Iterable[Value]) -> dict[Basis, Value]:
    """Return the latest of the values of one copy or set on each basis that has any, in the order of the bases."""
    listed = list(values)
    found = ((basis, counting_value(listed, basis)) for basis in Basis)
    return {basis: value for basis, value in found if value is not None}
