"""Values recorded, added up, and reviewed: which are old, which are unlike the rest, which copies have none."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_accessions, all_copies
from intake.edges.store.queries.editions import editions_of_set
from intake.edges.store.queries.values import (
    copies_in_sets,
    editions_in_sets,
    latest_valuations,
    latest_valuations_of,
    values_of_sets,
)
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.resolve import find_copy
from intake.flow.values.exchange_rates import currency_code, rate_table
from intake.flow.values.like_copies import question_about
from intake.model.changes import Action, ActionKind, Provisional, made, supposing
from intake.model.currencies import decimals
from intake.model.editions import BookSet, Copy, Edition
from intake.model.valuations import Basis, SetValue, Valuation
from intake.valuing import totals
from intake.valuing.insurance import valuations_older_than
from intake.valuing.likeness import CopyTraits, Outlier, ValueRange, estimate_ranges, find_outliers
from intake.valuing.rates import RateTable
from intake.valuing.sets import SetState, VolumeLoss, loss_of_volume, set_state
from intake.valuing.totals import ValueTotal, total_value


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """An amount as a person states it, for a copy or a set."""

    amount: Decimal
    currency: str
    on: date
    basis: Basis
    source: str = ""
    note: str = ""


def checked(figure: Figure, today: date) -> Figure:
    """Return a figure with its currency in capitals.

    Raises:
        UsageError: a currency that is none, an amount that is negative or finer than its currency, a day to come.
    """
    currency = currency_code(figure.currency)
    amount = figure.amount
    if not amount.is_finite() or amount < 0:
        raise UsageError(f"Value {amount}", "is not an amount", "give an amount such as 120.00")
    if -int(amount.normalize().as_tuple().exponent) > decimals(currency):
        why = f"has more than the {decimals(currency)} decimals of {currency}"
        raise UsageError(f"Value {amount}", why, "check the decimal point")
    if figure.on > today:
        raise UsageError(f"The day {figure.on.isoformat()}", "is in the future", "give the day of the valuation")
    return Figure(
        amount=amount,
        currency=currency,
        on=figure.on,
        basis=figure.basis,
        source=figure.source,
        note=figure.note,
    )


def value_copy(
    library: Library, copy_text: str, figure: Figure, *, station: str, today: date
) -> tuple[Valuation, Outlier | None]:
    """Record one more value of a copy.

    Returns:
        The valuation, and the question to ask where it is unlike the values of like copies.

    Raises:
        RefusedError: the copy does not exist.
        UsageError: see `checked`.
    """
    stated = checked(figure, today)
    with library.reading() as records:
        copy = find_copy(records, copy_text)
    valuation = Valuation(
        id=Provisional().id(),
        copy=copy.accession,
        amount=stated.amount,
        currency=stated.currency,
        on=stated.on,
        basis=stated.basis,
        source=stated.source,
        note=stated.note,
    )
    action = Action(ActionKind.VALUE_COPY, copy.accession, station)
    applied = library.apply(action, (*made(valuation), *supposing(copy)))
    with library.reading() as records:
        unlike = question_about(records, copy, stated.currency, on=today)
    return replace(valuation, id=applied.key(valuation.id)), unlike


def value_set(
    library: Library, set_id: int, figure: Figure, *, lacking: str = "", station: str, today: date
) -> SetValue:
    """Record what a set is worth as a whole, or without some of its volumes.

    Raises:
        RefusedError: the set does not exist, or has no such volume.
        UsageError: see `checked`.
    """
    stated = checked(figure, today)
    with library.reading() as records:
        book_set = find_set(records, set_id)
        volumes = [edition.volume for edition in editions_of_set(records, set_id) if edition.volume]
    if lacking and lacking not in volumes:
        known = ", ".join(dict.fromkeys(volumes)) or "none of its volumes has a number"
        raise RefusedError(f"Set {set_id}", f"has no volume {lacking!r}", f"name one of these: {known}")
    value = SetValue(
        id=Provisional().id(),
        set_id=book_set.id,
        amount=stated.amount,
        currency=stated.currency,
        on=stated.on,
        basis=stated.basis,
        lacking=lacking,
        source=stated.source,
        note=stated.note,
    )
    applied = library.apply(
        Action(ActionKind.VALUE_SET, f"set {set_id}", station), (*made(value), *supposing(book_set))
    )
    return replace(value, id=applied.key(value.id))


def find_set(records: LibraryReader, set_id: int) -> BookSet:
    """Return a set.

    Raises:
        RefusedError: the set does not exist.
    """
    book_set = records.get(BookSet, set_id)
    if book_set is None:
        raise RefusedError(f"Set {set_id}", "is not in this library", "look at the list of sets for its number")
    return book_set


def worth(records: LibraryReader, currency: str, *, on: date, basis: Basis | None = None) -> ValueTotal:
    """Add up what all copies are worth, in one currency on one day.

    Raises:
        UsageError: the currency is none.
    """
    code = currency_code(currency)
    values = latest_valuations(records, basis)
    table = rate_table(records, {code, *(value.currency for value in values.values())}, on=on)
    return total_value(all_accessions(records), values, table, currency=code, on=on)


def kin(copy: Copy, edition: Edition, amount: Decimal | None) -> CopyTraits:
    """Return what a copy may have in common with others."""
    return CopyTraits(
        copy=copy.accession,
        edition=edition.id,
        printing=copy.printing_id,
        set=edition.set_id,
        subject=edition.subject,
        amount=amount,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """What a person should look at again.

    Attributes:
        estimates: a range for each copy without a value that like copies give one.
        alone: copies without a value and without enough like them.
    """

    added: ValueTotal
    old: tuple[Valuation, ...]
    unlike: tuple[Outlier, ...]
    estimates: dict[str, ValueRange]
    alone: tuple[str, ...]


def review(records: LibraryReader, currency: str, *, on: date, years: int) -> Review:
    """Look for values older than so many years, values unlike the rest, and copies without a value."""
    code = currency_code(currency)
    values = latest_valuations(records)
    pairs = tuple(all_copies(records))
    table = rate_table(records, {code, *(value.currency for value in values.values())}, on=on)
    added = total_value([copy.accession for copy, _ in pairs], values, table, currency=code, on=on)
    amounts = [worth.amount for worth in added.worths]
    all_kin = [kin(copy, edition, amount) for (copy, edition), amount in zip(pairs, amounts, strict=True)]
    estimates, alone = estimate_ranges(all_kin, code)
    old = valuations_older_than(values.values(), years=years, on=on)
    return Review(added=added, old=old, unlike=find_outliers(all_kin), estimates=estimates, alone=alone)


def set_states(records: LibraryReader) -> tuple[SetState, ...]:
    """Return for every set how complete it is and where its volumes are."""
    editions: dict[int, list[Edition]] = defaultdict(list)
    for edition in editions_in_sets(records):
        editions[edition.set_id or 0].append(edition)
    copies: dict[int, list[Copy]] = defaultdict(list)
    for copy in copies_in_sets(records):
        copies[copy.edition_id].append(copy)
    return tuple(
        set_state(book_set, volumes, [copy for volume in volumes for copy in copies[volume.id]])
        for book_set in records.all(BookSet)
        for volumes in (editions[book_set.id],)
    )


SetLosses = tuple[SetValue, tuple[VolumeLoss, ...]]
"""What a complete set is worth, and what the loss of each of its volumes costs."""


def losses_of_one(records: LibraryReader, of_set: SetState, *, today: date) -> SetLosses | None:
    """Compute, volume by volume, what the loss of one costs; None where the complete set has no value."""
    return losses_by_set(records, [of_set], today=today).get(of_set.set.id)


def losses_by_set(records: LibraryReader, states: Sequence[SetState], *, today: date) -> dict[int, SetLosses]:
    """Compute for each of these sets, volume by volume, what the loss of one costs.

    Returns:
        By the set's id; a set whose complete form has no value is left out.
    """
    values: dict[int, list[SetValue]] = defaultdict(list)
    for value in values_of_sets(records, [state.set.id for state in states]):
        values[value.set_id].append(value)
    valued = [
        (state, values[state.set.id]) for state in states if any(not value.lacking for value in values[state.set.id])
    ]
    volumes = [copy.accession for state, _ in valued for volume in state.volumes for copy in volume.copies]
    singles = latest_valuations_of(records, volumes)
    currencies = {value.currency for _, of_set in valued for value in of_set}
    currencies |= {value.currency for value in singles.values()}
    table = rate_table(records, currencies, on=today) if currencies else RateTable(())
    return {state.set.id: _losses(state, of_set, singles, table, today) for state, of_set in valued}


def _losses(
    of_set: SetState, values: Sequence[SetValue], singles: Mapping[str, Valuation], table: RateTable, today: date
) -> SetLosses:
    whole = next(value for value in reversed(values) if not value.lacking)
    copies = [copy.accession for volume in of_set.volumes for copy in volume.copies]
    added = total_value(copies, singles, table, currency=whole.currency, on=today)
    amounts = {worth.copy: worth.amount for worth in added.worths}
    singly: dict[str, Decimal] = {}
    for volume in of_set.volumes:
        known = [amount for copy in volume.copies if (amount := amounts.get(copy.accession)) is not None]
        if known:
            singly[volume.name] = max(known)
    losses: list[VolumeLoss] = []
    for volume in of_set.volumes:
        if not volume.name:  # a slipcase or an index without a number: no value of the set can leave it out by name
            continue
        without = [value for value in values if value.lacking == volume.name and value.currency == whole.currency]
        loss = loss_of_volume(
            volume.name,
            complete=whole.amount,
            without=without[-1].amount if without else None,
            singly=singly,
            volumes=of_set.size,
            currency=whole.currency,
        )
        if loss is not None:
            losses.append(loss)
    return whole, tuple(losses)


ROUNDING = totals.ROUNDING


def recorded_sums(added: ValueTotal) -> dict[tuple[str, Basis], tuple[Decimal, int]]:
    """Return the sum and the count of the values of a total, by the currency and the basis they were recorded in."""
    return totals.sums_as_recorded(worth.valuation for worth in added.worths if worth.valuation is not None)
