"""The value that a row states of a copy: recorded already, or a new valuation; and whether it counts."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date

from intake.flow.lists.copies import ListedValue
from intake.flow.lists.lot_plan import LeftCell, OutdatedValue
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

    A value is recorded already if the last one of its basis is the same, of its day where the row names one; or if the
    same list gave it before, whatever was recorded since. Then only its source may be new. An amount that was replaced
    and comes back is a new valuation, since the one that it had replaced counts no longer.

    Args:
        value: of the row.
        accession: the copy.
        recorded: all its valuations, in the order in which they were recorded.
        listed_before: the id of the last valuation on that basis that the same list made of the copy.
        new: gives the key of a new one.
        today: the day of a value that names none.
    """
    alike = [one for one in recorded if one.basis is value.basis and (value.on is None or one.on == value.on)]
    latest = max(alike, key=lambda one: (one.on, one.id), default=None)
    same = [
        one
        for one in alike
        if (one.amount, one.currency) == (value.amount, value.currency) and (one is latest or one.id == listed_before)
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


def instead_of(
    value: ListedValue, recorded: Sequence[Valuation], changes: Sequence[Change], *, listed: Collection[int]
) -> LeftCell | OutdatedValue | None:
    """Return why another value of its basis counts than that of a row; None where it counts itself.

    Args:
        value: of the row.
        recorded: all valuations of its copy.
        changes: what records the value.
        listed: the ids of the valuations that the same list made last.
    """
    latest = max((one for one in recorded if one.basis is value.basis), key=lambda one: (one.on, one.id), default=None)
    if latest is None or (latest.amount, latest.currency) == (value.amount, value.currency):
        return None
    if not changes and latest.id not in listed and listed:
        return LeftCell("value", f"{latest.currency} {latest.amount}", f"{value.currency} {value.amount}")
    if value.on is not None and latest.on > value.on:
        return OutdatedValue(value.amount, value.currency, value.on, latest)
    return None
