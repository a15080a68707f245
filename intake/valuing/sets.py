"""Sets: which volumes are present, where each is, and what the loss of one volume costs.

Under a pair-and-set clause the insurer restores the set or pays its value before the loss less its value after, not the
whole set; other wordings pay a fair proportion of the whole. Both are computed; which applies depends on the policy.
If the set was not valued without the volume, the sum of the individual values of the other volumes is used instead, and
this is stated. Where volumes are missing already, what a further one would cost is computed from what the set is worth
without them, and never from what it was worth complete.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from intake.model.currencies import rounded
from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.volumes import (
    Number,
    VolumeSpan,
    designation_like,
    is_unclear,
    is_year,
    overlapping,
    volume_numbers,
    volume_spans,
)
from intake.units.language import term

MOST_VOLUMES = 1000
"""Most volumes of one set whose gaps are listed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Volume:
    """One volume of a set and its copies."""

    name: str
    title: str
    copies: tuple[Copy, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetState:
    """How complete a set is.

    Attributes:
        of: number of volumes of the complete set; None if unknown, so that only gaps can be detected.
        gaps: volumes of which no copy is present.
        doubles: volumes of which there is more than one copy.
        boxed: the box that each volume is still packed in.
        overlaps: pairs of volumes present that hold the same number ("1-6" and "3").
        unclear: designations with figures that cannot be understood, so that nothing is said of their numbers.
    """

    set: BookSet
    volumes: tuple[Volume, ...]
    of: int | None
    gaps: tuple[str, ...]
    doubles: tuple[str, ...]
    boxed: Mapping[str, str]
    overlaps: tuple[tuple[str, str], ...] = ()
    unclear: tuple[str, ...] = ()

    @property
    def complete(self) -> bool | None:
        """Return whether every volume is present; None if no gap is found but the number of volumes is unknown.

        It is unknown too where a designation cannot be understood, or years stand for the numbers of volumes.
        """
        if self.gaps:
            return False
        by_years = any(is_year(number) for volume in self.volumes for number in volume_numbers(volume.name))
        return None if self.of is None or self.unclear or (by_years and self.size > self.of) else True

    @property
    def size(self) -> int:
        """Count the volumes of the complete set; a book of several counts as so many."""
        return max(self.of or 0, sum(volumes_in(volume.name) for volume in self.volumes))


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeLoss:
    """What the loss of one volume costs.

    Attributes:
        before, after: the value of the set as it is, complete or without the volumes that are missing, and without the
            volume too.
        difference: what a pair-and-set clause pays.
        proportion: the share of what is there, by number of volumes.
        method: how `after` was obtained.
    """

    volume: str
    before: Decimal
    after: Decimal
    difference: Decimal
    proportion: Decimal
    method: str


def volumes_in(designation: str) -> int:
    """Count the volumes that one book holds: six of "1-6", one of what names no number."""
    return max(1, len(volume_numbers(designation)))


def set_state(book_set: BookSet, editions: Iterable[Edition], copies: Sequence[Copy]) -> SetState:
    """Return how complete a set is; a missing copy counts as not present."""
    ordered = sorted(editions, key=_order)
    by_edition = {edition.id: [c for c in copies if c.edition_id == edition.id] for edition in ordered}
    volumes = tuple(Volume(name=e.volume, title=e.title, copies=tuple(by_edition[e.id])) for e in ordered)
    present = Counter(v.name for v in volumes for c in v.copies if c.state is not CopyState.MISSING)
    boxed = {v.name: c.box for v in volumes for c in v.copies if c.state is CopyState.PACKED and c.box}
    return SetState(
        set=book_set,
        volumes=volumes,
        of=book_set.volumes,
        gaps=tuple(_gaps(book_set, [volume.name for volume in volumes], present)),
        doubles=tuple(name for name, count in present.items() if count > 1),
        boxed=boxed,
        overlaps=overlapping(present),
        unclear=tuple(dict.fromkeys(volume.name for volume in volumes if is_unclear(volume.name))),
    )


def _order(edition: Edition) -> tuple[bool, tuple[Number, ...], str, int]:
    numbers = volume_numbers(edition.volume)
    return not numbers, numbers[:1], edition.volume, edition.id


def _gaps(book_set: BookSet, names: Sequence[str], present: Iterable[str]) -> Iterator[str]:
    """Yield what is not there: the numbers of the set in order, each as the set designates it, then named ones."""
    there = [span for name in present for span in volume_spans(name)]
    known: dict[Number, str] = {}
    for name in names:
        known.update(dict.fromkeys(volume_numbers(name), name))
    yielded: set[str] = set()
    for number in sorted({*known, *_expected(book_set, known)}):
        if any(span.overlaps(VolumeSpan(number, number)) for span in there):
            continue
        gap = known.get(number) or designation_like(number, names)
        if gap not in yielded:
            yielded.add(gap)
            yield gap
    yield from (name for name in names if not volume_numbers(name) and name not in set(present))


def _expected(book_set: BookSet, known: Iterable[Number]) -> Iterator[Number]:
    """Yield the numbers that a set must have, by how many it has and by those that are known.

    Volumes are counted from 1, years from the first known, parts and issues from 1 to the last known.
    """
    firsts = {number[0] for number in known}
    years = {first for first in firsts if is_year((first,))}
    highest = book_set.volumes or max(firsts - years, default=0)
    if not years or firsts - years:
        yield from ((nth,) for nth in range(1, min(highest, MOST_VOLUMES) + 1))
    if years:
        yield from ((year,) for year in range(min(years), max(years) + 1))
    last = {number[0]: 0 for number in known if len(number) > 1}
    for first, *parts in known:
        if parts:
            last[first] = max(last[first], parts[0])
    yield from ((first, nth) for first, highest_part in last.items() for nth in range(1, highest_part + 1))


def loss_of_volume(
    volume: str,
    *,
    complete: Decimal,
    without: Decimal | None,
    singly: Mapping[str, Decimal],
    volumes: int,
    currency: str,
) -> VolumeLoss | None:
    """Compute what the loss of one volume costs.

    Args:
        volume: the lost volume.
        complete: value of the set as it is, with the volumes that are there.
        without: value of the set without this volume too, if it was valued.
        singly: individual value of each volume that is there, as far as valued.
        volumes: number of volumes that are there; a book that holds several counts as so many.
        currency: of all amounts.

    Returns:
        None if neither the set without the volume nor all other volumes that are there have been valued.
    """
    method = term("valued with this volume missing")
    if without is None:
        others = {name: amount for name, amount in singly.items() if name != volume}
        if sum(map(volumes_in, others)) != volumes - volumes_in(volume):
            return None
        without = sum(others.values(), Decimal())
        method = term("the sum of the individual values of the other volumes")
        if without > complete:
            without = complete
            method = term("as the individual values of the other volumes add up to more")
    return VolumeLoss(
        volume=volume,
        before=complete,
        after=without,
        difference=complete - without,
        proportion=rounded(complete * volumes_in(volume) / volumes, currency),
        method=method,
    )
