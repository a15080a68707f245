"""Sets: what they are worth as a whole, how complete they are, how they count in totals, what a lost volume costs."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import editions_of_set
from intake.edges.store.queries.values import (
    copies_in_sets,
    editions_in_sets,
    latest_valuations_of,
    values_of_sets,
)
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.values.exchange_rates import rate_table
from intake.flow.values.figures import Figure, checked
from intake.model.changes import Action, ActionKind, Provisional, made, supposing
from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.valuations import Basis, SetValue, Valuation
from intake.model.volumes import VolumeKey, split_volumes, volume_key
from intake.units.counts import counted
from intake.valuing.counting import counting_value
from intake.valuing.rates import MissingRate, RateTable
from intake.valuing.set_values import CountedSet, count_set, volume_keys
from intake.valuing.sets import SetState, Volume, VolumeLoss, loss_of_volume, set_state, volumes_in
from intake.valuing.totals import total_value


def value_set(
    library: Library, set_id: int, figure: Figure, *, lacking: str = "", station: str, today: date
) -> SetValue:
    """Record what a set is worth as a whole, or without some of its volumes.

    Args:
        library: which.
        set_id: of the set.
        figure: the value.
        lacking: the volumes that are missing, separated by commas; empty for the complete set.
        station: who does it.
        today: no value may be of a later day.

    Raises:
        RefusedError: the set does not exist, has no such volume, or would be without every volume that it has.
        UsageError: a volume is named twice; or see `checked`.
    """
    stated = checked(figure, today)
    with library.reading() as records:
        book_set = find_set(records, set_id)
        missing = _missing_volumes(book_set, editions_of_set(records, set_id), lacking)
    value = SetValue(
        id=Provisional().id(),
        set_id=book_set.id,
        amount=stated.amount,
        currency=stated.currency,
        on=stated.on,
        basis=stated.basis,
        lacking=missing,
        source=stated.source,
        note=stated.note,
    )
    applied = library.apply(
        Action(ActionKind.VALUE_SET, f"set {set_id}", station), (*made(value), *supposing(book_set))
    )
    return replace(value, id=applied.key(value.id))


def _missing_volumes(book_set: BookSet, editions: Iterable[Edition], text: str) -> str:
    """Return the missing volumes of a set as they are recorded: each once, in the order of the set."""
    # A volume between those that are known belongs to the set too, though no copy of it was ever there.
    known = tuple(editions)
    names = (*set_state(book_set, known, ()).gaps, *(edition.volume or edition.title for edition in known))
    volumes = {volume_key(name): name for name in names if name}
    whole_name = volume_key(text) if text in volumes.values() else None
    keys = [whole_name] if whole_name is not None else [volume_key(name) for name in split_volumes(text)]
    for key, name in zip(keys, split_volumes(text), strict=False):
        if key not in volumes:
            named = ", ".join(volumes.values()) or "none of its volumes has a number"
            raise RefusedError(
                f"Set {book_set.id}", f"has no volume {name!r}", f"name some of these: {named}", field="lacking"
            )
        if keys.count(key) > 1:
            raise UsageError(f"Volume {name!r}", "is named twice", "name each missing volume once", field="lacking")
    if keys and len(keys) >= len(volumes):
        why = f"has {counted(len(volumes), 'volume')}, and all of them would be missing"
        raise RefusedError(f"Set {book_set.id}", why, "name fewer missing volumes", field="lacking")
    return ", ".join(name for key, name in volumes.items() if key in keys)


def find_set(records: LibraryReader, set_id: int) -> BookSet:
    """Return a set.

    Raises:
        RefusedError: the set does not exist.
    """
    book_set = records.get(BookSet, set_id)
    if book_set is None:
        raise RefusedError(
            f"Set {set_id}", "is not in this library", "look at the list of sets for its number", field="set"
        )
    return book_set


def set_states(
    records: LibraryReader, set_ids: Collection[int] | None = None, *, copies: Iterable[Copy] | None = None
) -> tuple[SetState, ...]:
    """Return for every set, or for these, how complete it is and where its volumes are.

    Args:
        records: the library.
        set_ids: of the sets; None for all.
        copies: all copies in sets, where they were read already.
    """
    by_edition: dict[int, list[Copy]] = defaultdict(list)
    for copy in copies_in_sets(records) if copies is None else copies:
        by_edition[copy.edition_id].append(copy)
    return _states(records, by_edition, set_ids)


def counted_sets(
    records: LibraryReader, copies: Iterable[Copy] | None = None, *, basis: Basis | None = None
) -> tuple[CountedSet, ...]:
    """Return how each set that has a value of its own counts in a total.

    Args:
        records: the library.
        copies: those of the total; a volume of which none is among them is taken as missing. None for all copies.
        basis: the basis whose values count; None for the one that counts.
    """
    values: dict[int, list[SetValue]] = defaultdict(list)
    for value in values_of_sets(records):
        values[value.set_id].append(value)
    if not values:
        return ()
    by_edition: dict[int, list[Copy]] = defaultdict(list)
    for copy in copies_in_sets(records) if copies is None else copies:
        by_edition[copy.edition_id].append(copy)
    here = (state for state in _states(records, by_edition, values) if any(volume.copies for volume in state.volumes))
    counted = (count_set(state, values[state.set.id], basis) for state in here)
    return tuple(one for one in counted if one is not None)


def _states(
    records: LibraryReader, copies: Mapping[int, Sequence[Copy]], set_ids: Collection[int] | None = None
) -> tuple[SetState, ...]:
    """Return how complete these sets are, or all, by the copies of their editions."""
    editions: dict[int, list[Edition]] = defaultdict(list)
    for edition in editions_in_sets(records):
        editions[edition.set_id or 0].append(edition)
    return tuple(
        set_state(book_set, editions[book_set.id], [c for e in editions[book_set.id] for c in copies.get(e.id, ())])
        for book_set in records.all(BookSet)
        if set_ids is None or book_set.id in set_ids
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SetLosses:
    """What a set is worth as it is, and what the loss of each volume that is there costs.

    Attributes:
        whole: the value of the set without the volumes that are missing, or of the complete set; where the set was not
            valued without just those, that of the complete set, and nothing can be said.
        gaps: the volumes that are missing already.
        losses: of the volumes of which that can be said.
        unknown: the volumes of which it cannot.
        missing: the rates without which the volumes' own values cannot be converted into the currency of the set.
    """

    whole: SetValue
    gaps: tuple[str, ...]
    losses: tuple[VolumeLoss, ...]
    unknown: tuple[str, ...]
    missing: tuple[MissingRate, ...]


def losses_of_one(records: LibraryReader, of_set: SetState, *, on: date) -> SetLosses | None:
    """Compute, volume by volume, what the loss of a further one costs; None where it has no value of its own."""
    return losses_by_set(records, [of_set], on=on).get(of_set.set.id)


def losses_by_set(records: LibraryReader, states: Sequence[SetState], *, on: date) -> dict[int, SetLosses]:
    """Compute for each of these sets, volume by volume, what the loss of one costs, at the rates of a day.

    Returns:
        By the set's id; a set that has no value, neither complete nor as it is, is left out.
    """
    values: dict[int, list[SetValue]] = defaultdict(list)
    for value in values_of_sets(records, [state.set.id for state in states]):
        values[value.set_id].append(value)
    valued = [
        (state, of_set)
        for state in states
        if (of_set := values[state.set.id])
        and (any(not value.lacking for value in of_set) or _value_without(of_set, volume_keys(state.gaps)))
    ]
    volumes = [copy.accession for state, _ in valued for volume in state.volumes for copy in volume.copies]
    singles = latest_valuations_of(records, volumes)
    currencies = {value.currency for _, of_set in valued for value in of_set}
    currencies |= {value.currency for value in singles.values()}
    table = rate_table(records, currencies, on=on) if currencies else RateTable(())
    return {state.set.id: _losses(state, of_set, singles, table, on) for state, of_set in valued}


def _losses(
    of_set: SetState, values: Sequence[SetValue], singles: Mapping[str, Valuation], table: RateTable, on: date
) -> SetLosses:
    gaps = volume_keys(of_set.gaps)
    whole = _value_without(values, gaps)
    if whole is None:
        named = tuple(volume.name for volume in of_set.volumes if volume.name and volume_key(volume.name) not in gaps)
        complete = next(value for value in reversed(values) if not value.lacking)
        return SetLosses(whole=complete, gaps=of_set.gaps, losses=(), unknown=named, missing=())
    here = [volume for volume in of_set.volumes if volume_key(volume.name) not in gaps]
    singly, missing = _singly(here, singles, table, whole.currency, on)
    alike = [value for value in values if (value.currency, value.basis) == (whole.currency, whole.basis)]
    losses: list[VolumeLoss] = []
    unknown: list[str] = []
    for volume in here:
        if not volume.name:  # a slipcase or an index without a number: no value of the set can leave it out by name
            continue
        without = _value_without(alike, gaps | {volume_key(volume.name)})
        loss = loss_of_volume(
            volume.name,
            complete=whole.amount,
            without=without.amount if without else None,
            singly=singly,
            volumes=sum(map(volumes_in, {each.name for each in here})),
            currency=whole.currency,
        )
        if loss is None:
            unknown.append(volume.name)
        else:
            losses.append(loss)
    return SetLosses(whole=whole, gaps=of_set.gaps, losses=tuple(losses), unknown=tuple(unknown), missing=missing)


def _value_without(values: Sequence[SetValue], gaps: Collection[VolumeKey]) -> SetValue | None:
    """Return the value of a set that counts for it without just these volumes."""
    return counting_value(value for value in values if volume_keys(split_volumes(value.lacking)) == gaps)


def _singly(
    volumes: Iterable[Volume], singles: Mapping[str, Valuation], table: RateTable, currency: str, on: date
) -> tuple[dict[str, Decimal], tuple[MissingRate, ...]]:
    """Return what each volume is worth by itself, where that is known, and the rates that are missing for more."""
    there = {
        volume.name: [copy.accession for copy in volume.copies if copy.state is not CopyState.MISSING]
        for volume in volumes
    }
    copies = [copy for of_volume in there.values() for copy in of_volume]
    added = total_value(copies, singles, table, currency=currency, on=on)
    amounts = {worth.copy: worth.amount for worth in added.worths if worth.amount is not None}
    known = {name: [amounts[copy] for copy in of_volume if copy in amounts] for name, of_volume in there.items()}
    return {name: max(worth) for name, worth in known.items() if worth}, added.missing
