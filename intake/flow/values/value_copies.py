"""Values recorded, added up, and reviewed: which are old, which are unlike the rest, which copies have none."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_accessions, all_copies
from intake.edges.store.queries.values import latest_valuations, lost_copies, values_of_sets
from intake.edges.store.reader import LibraryReader
from intake.errors import UsageError
from intake.flow.lookup.resolve import find_copy, refuse_withdrawn
from intake.flow.values.exchange_rates import currency_code, rate_table
from intake.flow.values.figures import Figure, checked
from intake.flow.values.like_copies import question_about
from intake.flow.values.value_sets import counted_sets
from intake.model.changes import Action, ActionKind, Provisional, made, supposing
from intake.model.editions import Copy, CopyState, Edition
from intake.model.valuations import Basis, Valuation
from intake.valuing import totals
from intake.valuing.insurance import valuations_older_than
from intake.valuing.likeness import CopyTraits, Outlier, ValueRange, estimate_ranges, find_outliers
from intake.valuing.set_values import CountedSet
from intake.valuing.totals import ValueTotal, total_value


def plan_value(
    records: LibraryReader, copy_text: str, figure: Figure, *, today: date
) -> tuple[Copy, Valuation, Outlier | None]:
    """Plan one more value of a copy.

    Returns:
        The copy, the valuation, and the question to ask where it is unlike the values of like copies.

    Raises:
        RefusedError: the copy does not exist, or was withdrawn.
        UsageError: see `checked`.
    """
    stated = checked(figure, today)
    copy = find_copy(records, copy_text)
    refuse_withdrawn(copy)
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
    return copy, valuation, question_about(records, copy, valuation, on=today)


def value_copy(
    library: Library, copy_text: str, figure: Figure, *, station: str, today: date
) -> tuple[Valuation, Outlier | None]:
    """Record one more value of a copy; see `plan_value`."""
    with library.reading() as records:
        copy, valuation, unlike = plan_value(records, copy_text, figure, today=today)
    return record_value(library, copy, valuation, station=station), unlike


def record_value(library: Library, copy: Copy, planned: Valuation, *, station: str) -> Valuation:
    """Record a value that was planned, supposing that the copy is as it was then; returns it with its number."""
    action = Action(ActionKind.VALUE_COPY, copy.accession, station)
    applied = library.apply(action, (*made(planned), *supposing(copy)))
    return replace(planned, id=applied.key(planned.id))


def currency_missing(records: LibraryReader) -> UsageError:
    """Return the error for a total of which nobody said the currency: it names those in which values are recorded."""
    of_copies = {value.currency for value in latest_valuations(records).values()}
    found = sorted(of_copies | {value.currency for value in values_of_sets(records)})
    why = f"is not named; values are recorded in {', '.join(found)}" if found else "is not named"
    return UsageError("The currency of the total", why, f"write its three letters, such as {(*found, 'EUR')[0]}")


def worth(records: LibraryReader, currency: str, *, on: date, basis: Basis | None = None) -> ValueTotal:
    """Add up what all copies are worth, in one currency at the rates of one day.

    Raises:
        UsageError: the currency is none.
    """
    return total_of_copies(
        records,
        all_accessions(records),
        latest_valuations(records, basis),
        lost_copies(records),
        counted_sets(records, basis=basis),
        currency=currency,
        on=on,
    )


def total_of_copies(
    records: LibraryReader,
    copies: Sequence[str],
    values: Mapping[str, Valuation],
    lost: Collection[str],
    sets: Sequence[CountedSet],
    *,
    currency: str,
    on: date,
) -> ValueTotal:
    """Add up what these copies are worth, with the rates that the library has for that day.

    Args:
        records: the library.
        copies: accession numbers.
        values: the valuation to use for each.
        lost: those of them that are lost.
        sets: how the sets among them count.
        currency: of the total, a code of ISO 4217.
        on: the day of the rates.

    Raises:
        UsageError: ISO 4217 has no such currency.
    """
    code = currency_code(currency)
    currencies = {code, *(value.currency for value in values.values())}
    currencies |= {counted.value.currency for counted in sets if counted.value is not None}
    table = rate_table(records, currencies, on=on)
    return total_value(copies, values, table, currency=code, on=on, lost=lost, sets=sets)


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


def unvalued_ranges(
    alike: Sequence[CopyTraits], added: ValueTotal, asked: Collection[str]
) -> tuple[dict[str, ValueRange], tuple[str, ...]]:
    """Return a range for those of the asked copies that like copies give one, and those without enough like them.

    A copy that has a value which cannot be converted is not estimated.
    """
    estimates, alone = estimate_ranges(alike, added.currency)
    wanted = set(asked)
    return (
        {copy: estimate for copy, estimate in estimates.items() if copy in wanted},
        tuple(copy for copy in alone if copy in wanted),
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
    pairs = tuple(all_copies(records))
    copies = [copy for copy, _ in pairs]
    held = {copy.accession for copy in copies}
    values = {copy: value for copy, value in latest_valuations(records).items() if copy in held}
    lost = {copy.accession for copy in copies if copy.state is CopyState.MISSING}
    sets = counted_sets(records, copies)
    accessions = [copy.accession for copy in copies]
    added = total_of_copies(records, accessions, values, lost, sets, currency=currency, on=on)
    amounts = [worth.amount for worth in added.worths]
    all_kin = [kin(copy, edition, amount) for (copy, edition), amount in zip(pairs, amounts, strict=True)]
    estimates, alone = unvalued_ranges(all_kin, added, added.unvalued)
    old = valuations_older_than(values.values(), years=years, on=on)
    return Review(added=added, old=old, unlike=find_outliers(all_kin), estimates=estimates, alone=alone)


ROUNDING = totals.ROUNDING
