"""Sets of which a consignment lost volumes: which are incomplete now, and by how much they fell in value.

A carrier is asked for the volumes that it lost, each at its own value. What the loss took from the value of the whole
set, which a policy with a pair-and-set clause looks at, stands beside it and is in no sum against the carrier.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from intake.edges.store.queries.copies import CopyPair
from intake.edges.store.queries.values import copies_in_sets
from intake.edges.store.reader import LibraryReader
from intake.flow.moving.losses import DAMAGED, ConsignmentValues, Loss
from intake.flow.values.value_sets import counted_sets
from intake.identifiers.own import serial_of
from intake.model.editions import BookSet, Copy, CopyState
from intake.model.valuations import SetValue
from intake.valuing.rates import NoRate, convert_amount
from intake.valuing.set_values import CountedSet


@dataclass(frozen=True, slots=True, kw_only=True)
class SetFall:
    """What the loss of volumes took from the value of a set.

    Attributes:
        volumes: the lost copies.
        before: its value before the loss.
        after: its value as it is now, in the currency of `before`; where nobody valued the set without just the volumes
            that are missing now, the sum of the individual values of those that are left (`by_singles`). None where
            these are not all known, or where what is stated cannot be compared.
        stated: the value that was stated for the set as it is now; None where nobody valued it.
        why: why `stated` cannot be converted into the currency of `before`; empty where it can.
    """

    set_id: int
    title: str
    volumes: tuple[str, ...]
    before: SetValue
    after: Decimal | None = None
    by_singles: bool = False
    stated: SetValue | None = None
    why: str = ""

    @property
    def fall(self) -> Decimal | None:
        """Return the difference, in the currency of both; None where the value after the loss is not known."""
        return None if self.after is None else max(self.before.amount - self.after, Decimal())


def before_loss(contents: Iterable[CopyPair]) -> tuple[Copy, ...]:
    """Return the copies of a consignment as they were before the loss: all there."""
    return tuple(replace(copy, state=CopyState.PACKED) for copy, _ in contents)


def falls_of_sets(
    records: LibraryReader, contents: Sequence[CopyPair], losses: Iterable[Loss], values: ConsignmentValues
) -> tuple[SetFall, ...]:
    """Return what the loss took from each set that has a value of its own, among the copies of a consignment."""
    gone = _gone(losses)
    of_set = {copy.accession: edition.set_id for copy, edition in contents}
    broken = {of_set[copy] for copy in gone} - {None}
    if not broken:
        return ()
    after = [replace(copy, state=CopyState.MISSING) if copy.accession in gone else copy for copy, _ in contents]
    now = {counted.book_set.id: counted for counted in counted_sets(records, after)}
    falls = []
    for was in counted_sets(records, before_loss(contents)):
        set_id = was.book_set.id
        if set_id in broken and was.value is not None:
            volumes = tuple(copy for copy in gone if of_set[copy] == set_id)
            left = _left_of_each_volume(was, contents, gone)
            falls.append(
                _fall(was.value, was.book_set, volumes, now.get(set_id), values, _worth_singly(left, was.value, values))
            )
    return tuple(falls)


def _left_of_each_volume(was: CountedSet, contents: Sequence[CopyPair], gone: Collection[str]) -> list[list[str]]:
    """Return the copies that are left of each volume that was there before; none for a lost volume."""
    volumes = {copy.edition_id for copy, _ in contents if copy.accession in was.present}
    return [
        [
            copy.accession
            for copy, _ in contents
            if copy.edition_id == volume and copy.accession not in gone and copy.state is not CopyState.MISSING
        ]
        for volume in volumes
    ]


def _worth_singly(left: Iterable[Sequence[str]], before: SetValue, values: ConsignmentValues) -> Decimal | None:
    """Return what the volumes that are left are worth one by one, at most the value before; None if not all known."""
    total = Decimal()
    for copies in filter(None, left):
        known = [worth for copy in copies if (worth := values.worth_in(copy, before.currency)) is not None]
        if not known:
            return None
        total += max(known)
    return min(total, before.amount)


def _fall(
    before: SetValue,
    book_set: BookSet,
    volumes: tuple[str, ...],
    now: CountedSet | None,
    values: ConsignmentValues,
    singly: Decimal | None,
) -> SetFall:
    """Return the fall of a set; the owner's own value of what is left is never replaced by the sum of its volumes."""
    stated = now.value if now is not None else None
    after, why = singly, ""
    if stated is not None:
        after, why = _in_currency_of(before, stated, values)
    return SetFall(
        set_id=book_set.id,
        title=book_set.title,
        volumes=volumes,
        before=before,
        after=after,
        by_singles=stated is None and after is not None,
        stated=stated,
        why=why,
    )


def _in_currency_of(before: SetValue, stated: SetValue, values: ConsignmentValues) -> tuple[Decimal | None, str]:
    """Return a later value in the currency of an earlier one on the same basis; else None, and a missing rate."""
    conversion = values.table.conversion(stated.currency, before.currency, values.on)
    if isinstance(conversion, NoRate):
        return None, conversion.why
    return (convert_amount(stated.amount, conversion) if stated.basis is before.basis else None), ""


def set_volumes(contents: Iterable[CopyPair], losses: Iterable[Loss]) -> tuple[str, ...]:
    """Return the losses that are volumes of a set."""
    lost = {loss.copy for loss in losses}
    return tuple(copy.accession for copy, edition in contents if copy.accession in lost and edition.set_id is not None)


def boxes_of_incomplete_sets(
    records: LibraryReader, contents: Sequence[CopyPair], losses: Iterable[Loss]
) -> tuple[str, ...]:
    """Return the boxes in which the other volumes of a set travelled that lacks a volume now, in their order.

    A volume that is only damaged, or of which another copy is there, leaves its set complete. Of doubles the first copy
    is the one that belongs to the set.
    """
    gone = _gone(losses)
    lost = {edition.id: edition.set_id for copy, edition in contents if copy.accession in gone and edition.set_id}
    if not lost:
        return ()
    there = {
        copy.edition_id
        for copy in copies_in_sets(records)
        if copy.state is not CopyState.MISSING and copy.accession not in gone
    }
    incomplete = {set_id for edition, set_id in lost.items() if edition not in there}
    firsts: dict[int, str] = {}
    for copy, edition in sorted(contents, key=lambda pair: serial_of(pair[0].accession)):
        if edition.set_id in incomplete and copy.accession not in gone and copy.state is not CopyState.MISSING:
            firsts.setdefault(edition.id, copy.box or "")
    return tuple(sorted(set(firsts.values()), key=serial_of))


def _gone(losses: Iterable[Loss]) -> Collection[str]:
    return dict.fromkeys(loss.copy for loss in losses if loss.what != DAMAGED)
