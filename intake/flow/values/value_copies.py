"""Values recorded, added up, and reviewed: which are old, which are unlike the rest, which copies have none."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.edges.store.library import Library
from intake.edges.store.records import Records
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.resolve import find_copy
from intake.flow.values.exchange_rates import currency_code, rate_table
from intake.model.changes import Action, made
from intake.model.currencies import decimals
from intake.model.editions import BookSet, Copy, Edition
from intake.model.valuations import Basis, SetValue, Valuation
from intake.valuing.insurance import valuations_older_than
from intake.valuing.likeness import CopyTraits, Outlier, ValueRange, estimate_ranges, find_outliers
from intake.valuing.sets import SetState, VolumeLoss, loss_of_volume, set_state
from intake.valuing.totals import ValueTotal, latest_valuations, total_value


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
        raise UsageError(f"Value {amount}", "is not an amount from 0 on", "give an amount such as 120.00")
    if -int(amount.normalize().as_tuple().exponent) > decimals(currency):
        why = f"has more than the {decimals(currency)} decimals of {currency}"
        raise UsageError(f"Value {amount}", why, "look for a misplaced point")
    if figure.on > today:
        raise UsageError(f"The day {figure.on.isoformat()}", "is yet to come", "give the day on which the value held")
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
        RefusedError: there is no such copy.
        UsageError: see `checked`.
    """
    said = checked(figure, today)
    with library.writing() as work:
        copy = find_copy(work, copy_text)
        valuation = Valuation(
            id=work.new_id(Valuation),
            copy=copy.accession,
            amount=said.amount,
            currency=said.currency,
            on=said.on,
            basis=said.basis,
            source=said.source,
            note=said.note,
        )
        work.apply(Action("value copy", copy.accession, station), made(valuation))
        unlike = find_outliers(kin_of(work, worth(work, said.currency, on=today)))
    return valuation, next((one for one in unlike if one.copy == copy.accession), None)


def value_set(
    library: Library, set_id: int, figure: Figure, *, lacking: str = "", station: str, today: date
) -> SetValue:
    """Record what a set is worth as a whole, or with volumes lacking.

    Raises:
        RefusedError: there is no such set.
        UsageError: see `checked`.
    """
    said = checked(figure, today)
    with library.writing() as work:
        book_set = find_set(work, set_id)
        value = SetValue(
            id=work.new_id(SetValue),
            set_id=book_set.id,
            amount=said.amount,
            currency=said.currency,
            on=said.on,
            basis=said.basis,
            lacking=lacking,
            source=said.source,
            note=said.note,
        )
        work.apply(Action("value set", f"set {set_id}", station), made(value))
    return value


def find_set(records: Records, set_id: int) -> BookSet:
    """Return a set.

    Raises:
        RefusedError: there is no such set.
    """
    book_set = records.set(set_id)
    if book_set is None:
        raise RefusedError(f"Set {set_id}", "is not in this library", "list the sets with 'intake sets'")
    return book_set


def worth(records: Records, currency: str, *, on: date, basis: Basis | None = None) -> ValueTotal:
    """Add up what all copies are worth, in one currency on one day.

    Raises:
        UsageError: the currency is none.
    """
    code = currency_code(currency)
    values = latest_valuations(records.valuations(), basis)
    table = rate_table(records, {code, *(value.currency for value in values.values())})
    return total_value(records.accessions(), values, table, currency=code, on=on)


def kin_of(records: Records, added: ValueTotal) -> list[CopyTraits]:
    """Return what each copy may have in common with others, with its value in the currency of a total."""
    amounts = {one.copy: one.amount for one in added.worths}
    return [kin(copy, edition, amounts.get(copy.accession)) for copy, edition in records.copies()]


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


def review(records: Records, currency: str, *, on: date, years: int) -> Review:
    """Look for values older than so many years, values unlike the rest, and copies without a value."""
    added = worth(records, currency, on=on)
    all_kin = kin_of(records, added)
    estimates, alone = estimate_ranges(all_kin, added.currency)
    old = valuations_older_than(latest_valuations(records.valuations()).values(), years=years, on=on)
    return Review(added=added, old=old, unlike=find_outliers(all_kin), estimates=estimates, alone=alone)


def set_states(records: Records) -> tuple[SetState, ...]:
    """Say of every set how complete it is and where its volumes are."""
    out: list[SetState] = []
    for book_set in records.sets():
        editions = records.editions_of_set(book_set.id)
        out.append(set_state(book_set, editions, records.copies_of([edition.id for edition in editions])))
    return tuple(out)


def losses_of_one(records: Records, held: SetState, *, today: date) -> tuple[SetValue, tuple[VolumeLoss, ...]] | None:
    """Reckon, volume by volume, what the loss of one costs; None where nobody has valued the complete set."""
    values = [value for value in records.set_values() if value.set_id == held.set.id]
    whole = next((value for value in reversed(values) if not value.lacking), None)
    if whole is None:
        return None
    singles = worth(records, whole.currency, on=today)
    amounts = {one.copy: one.amount for one in singles.worths}
    singly: dict[str, Decimal] = {}
    for volume in held.volumes:
        known = [amount for copy in volume.copies if (amount := amounts.get(copy.accession)) is not None]
        if known:
            singly[volume.name] = max(known)
    out: list[VolumeLoss] = []
    for volume in held.volumes:
        of_this = [v for v in values if v.lacking == volume.name and v.currency == whole.currency]
        loss = loss_of_volume(
            volume.name,
            complete=whole.amount,
            without=of_this[-1].amount if of_this else None,
            singly=singly,
            volumes=held.of or len(held.volumes),
            currency=whole.currency,
        )
        if loss is not None:
            out.append(loss)
    return whole, tuple(out)
