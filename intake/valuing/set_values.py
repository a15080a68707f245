"""Which value of a set counts: its own, once, in place of its volumes'; or, with volumes missing, what is left of it.

A set is worth something other than its volumes one by one. Where all its volumes are there, its latest value as a
complete set counts, and the volumes' own values do not. Where volumes are missing, a value counts only if it was made
for the set without exactly these volumes; what the loss of a volume took is then the value before less the value after,
as a pair-and-set clause has it. In every other case the volumes count one by one, and the value of the set counts
nowhere: to share it out among the volumes would be a guess.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from intake.model.editions import BookSet, CopyState
from intake.model.valuations import Basis, SetValue
from intake.model.volumes import VolumeKey, split_volumes, volume_key
from intake.valuing.counting import counting_value, precedence
from intake.valuing.sets import SetState


class SetCounting(StrEnum):
    """How a set that has a value of its own enters a total."""

    WHOLE = "its own value"
    REST = "its own value without the missing volumes"
    SINGLY = "its volumes one by one"


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedSet:
    """A set that has a value of its own, and how it is counted.

    Attributes:
        gaps: the volumes of which no copy is there, lost or never owned.
        value: what counts for the copies that are there; None where they count one by one.
        before: with lost volumes, the value of the set before the loss, in the currency and on the basis of `value`.
        present: the copies that `value` stands for, one for each volume.
        lost: the copies of lost volumes that `before` less `value` stands for; none where they count by themselves.
        lost_singly: the copies of lost volumes that count by themselves, as there is no `before` to compare with.
        unused: where they count one by one, the value of the set that does not count.
        other_basis: whether that is because no value of the set is on the basis asked for.
    """

    book_set: BookSet
    how: SetCounting
    gaps: tuple[str, ...] = ()
    value: SetValue | None = None
    before: SetValue | None = None
    present: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    lost_singly: tuple[str, ...] = ()
    unused: SetValue | None = None
    other_basis: bool = False

    @property
    def loss(self) -> Decimal | None:
        """Return what the lost volumes took from the value of the set, never less than nothing; None if unknown."""
        if self.value is None or self.before is None:
            return None
        return max(self.before.amount - self.value.amount, Decimal())


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPart:
    """What a set that counts as a whole adds to a total: what is there, or what the lost volumes took.

    Attributes:
        lost: whether it is of the lost volumes.
        copies: the copies it stands for, whose own values are then in no total.
        own: the amount, in the currency of `value`.
        value: what counts for the copies that are there.
    """

    counted: CountedSet
    lost: bool
    copies: tuple[str, ...]
    own: Decimal
    value: SetValue


def set_parts(counted: CountedSet) -> Iterator[SetPart]:
    """Yield what a set adds to totals; nothing where its volumes count one by one."""
    value = counted.value
    if value is None:
        return
    yield SetPart(counted=counted, lost=False, copies=counted.present, own=value.amount, value=value)
    if counted.loss is not None and counted.lost:
        yield SetPart(counted=counted, lost=True, copies=counted.lost, own=counted.loss, value=value)


def count_set(state: SetState, values: Iterable[SetValue], basis: Basis | None = None) -> CountedSet | None:
    """Return how a set enters a total; None where it has no value of its own.

    Args:
        state: which copies of it there are, among those of the total.
        values: of the set, in any order.
        basis: the basis whose values count; None for the one that counts (`intake.valuing.counting`).
    """
    ordered = sorted(values, key=precedence)
    if not ordered:
        return None
    fitting = (value for value in ordered if basis is None or value.basis is basis)
    latest = {volume_keys(split_volumes(value.lacking)): value for value in fitting}
    present, lost = _copies_by_volume(state)
    gaps = volume_keys(state.gaps)
    value = latest.get(gaps) if present else None
    if value is None:
        whole = [one for one in ordered if not one.lacking]
        unused = latest.get(frozenset()) or (whole or ordered)[-1]
        return CountedSet(
            book_set=state.set, how=SetCounting.SINGLY, gaps=state.gaps, unused=unused, other_basis=not latest
        )
    before = latest.get(gaps.difference(lost)) if lost else None
    if before is not None and (before.currency, before.basis) != (value.currency, value.basis):
        before = None
    return CountedSet(
        book_set=state.set,
        how=SetCounting.REST if gaps else SetCounting.WHOLE,
        gaps=state.gaps,
        value=value,
        before=before,
        present=tuple(present.values()),
        lost=tuple(lost.values()) if before is not None else (),
        lost_singly=tuple(lost.values()) if before is None else (),
    )


def value_before_loss(state: SetState, values: Iterable[SetValue], lost: Collection[str]) -> SetValue | None:
    """Return the value that a set had before copies were lost: without just the volumes that were not there then.

    Args:
        state: which copies of it there are, now.
        values: of the set, in any order.
        lost: accession numbers of the copies.
    """
    volumes = {
        volume_key(volume.name or volume.title)
        for volume in state.volumes
        if any(copy.accession in lost for copy in volume.copies)
    }
    gaps = volume_keys(state.gaps) - volumes
    return counting_value(value for value in values if volume_keys(split_volumes(value.lacking)) == gaps)


def volume_keys(names: Iterable[str]) -> frozenset[VolumeKey]:
    """Return by what volumes are compared: "Vol. 2" and "2" are the same, and so is "II"."""
    return frozenset(volume_key(name) for name in names)


def _copies_by_volume(state: SetState) -> tuple[Mapping[VolumeKey, str], Mapping[VolumeKey, str]]:
    """Return one copy of each volume that is there, and one of each lost one; doubles count by themselves."""
    present: dict[VolumeKey, str] = {}
    lost: dict[VolumeKey, str] = {}
    for volume in state.volumes:
        key = volume_key(volume.name or volume.title)
        for copy in sorted(volume.copies, key=lambda copy: (len(copy.accession), copy.accession)):
            (lost if copy.state is CopyState.MISSING else present).setdefault(key, copy.accession)
    return present, {key: copy for key, copy in lost.items() if key not in present}
