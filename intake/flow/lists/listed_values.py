"""The value that a row states of a copy: recorded already, or a new valuation."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from intake.flow.lists.copies import ListedValue
from intake.model.changes import Change, Provisional, made
from intake.model.valuations import Valuation


def value_changes(
    value: ListedValue,
    accession: str,
    recorded: Sequence[Valuation],
    *,
    listed_before: int | None,
    new: Provisional,
    today: date,
) -> tuple[Change, ...]:
    """Return what records the value of a row.

    A value is recorded already if the copy has one of the same amount, currency and basis: of the same day where the
    row names one; else the latest on that basis, or the one that the same list gave before, whatever was recorded
    since. Then only its source may be new.

    Args:
        value: of the row.
        accession: the copy.
        recorded: all its valuations, in the order in which they were recorded.
        listed_before: the id of the last valuation that the same list made of the copy.
        new: gives the key of a new one.
        today: the day of a value that names none.
    """
    of_basis = [one for one in recorded if one.basis is value.basis]
    latest = max(of_basis, key=lambda one: (one.on, one.id), default=None)
    same = [
        one
        for one in of_basis
        if (one.amount, one.currency) == (value.amount, value.currency)
        and (one.on == value.on if value.on is not None else one is latest or one.id == listed_before)
    ]
    if not same:
        valuation = Valuation(
            id=new.id(),
            copy=accession,
            amount=value.amount,
            currency=value.currency,
            on=value.on or today,
            basis=value.basis,
            source=value.source,
        )
        return made(valuation)
    if value.source in {"", *(one.source for one in same)}:
        return ()
    return (Change(same[-1], replace(same[-1], source=value.source)),)
