"""Sets: which volumes are there, where each is, and what the loss of one costs.

Under a pair-and-set clause the insurer restores the set or pays its value before the loss less its value after, not the
whole set; other wordings pay a fair proportion of the whole. Both are shown; which holds is the policy's to say. Where
nobody valued the set with the volume lacking, the sum of what the other volumes are worth singly stands in for it,
and says so.
"""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from intake.model.currencies import rounded
from intake.model.editions import BookSet, Copy, CopyState, Edition

ROMAN = {"I": 1, "V": 5, "X": 10, "L": 50, "C": 100}


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
        of: how many volumes it should have; None where nobody said, so that only gaps can be seen.
        gaps: volumes that no present copy is of.
        doubles: volumes of which there is more than one.
        boxed: volume -> the box in which it still lies.
    """

    set: BookSet
    volumes: tuple[Volume, ...]
    of: int | None
    gaps: tuple[str, ...]
    doubles: tuple[str, ...]
    boxed: Mapping[str, str]

    @property
    def complete(self) -> bool | None:
        """Tell whether every volume is there; None where nobody said how many there should be and none lacks."""
        if self.gaps:
            return False
        return None if self.of is None else True


@dataclass(frozen=True, slots=True, kw_only=True)
class LossOfOne:
    """What the loss of one volume costs.

    Attributes:
        before, after: the set's value complete, and without the volume.
        difference: what pair-and-set pays.
        proportion: the fair share of the whole, by number of volumes.
        reckoned: how `after` was found.
    """

    volume: str
    before: Decimal
    after: Decimal
    difference: Decimal
    proportion: Decimal
    reckoned: str


def number_of(volume: str) -> int | None:
    """Return the number of a volume, arabic or roman; None where its name is no number.

    >>> number_of("3"), number_of("Vol. XIV"), number_of("Atlas")
    (3, 14, None)
    """
    found = re.search(r"\d+", volume)
    if found:
        return int(found.group())
    roman = re.search(r"\b[IVXLC]+\b", volume)
    if not roman:
        return None
    values = [ROMAN[letter] for letter in roman.group()]
    return sum(-v if any(w > v for w in values[n + 1 : n + 2]) else v for n, v in enumerate(values))


def state(book_set: BookSet, editions: Iterable[Edition], copies: Sequence[Copy]) -> SetState:
    """Say how complete a set is; a copy that is missing counts as not there."""
    ordered = sorted(editions, key=lambda e: (number_of(e.volume) or 10**6, e.volume, e.id))
    by_edition = {edition.id: [c for c in copies if c.edition_id == edition.id] for edition in ordered}
    volumes = tuple(Volume(name=e.volume, title=e.title, copies=tuple(by_edition[e.id])) for e in ordered)
    present = Counter(v.name for v in volumes for c in v.copies if c.state is not CopyState.MISSING)
    numbers = {number_of(name) for name in present} - {None}
    highest = book_set.volumes or max((number_of(v.name) or 0 for v in volumes), default=0)
    gaps = [str(n) for n in range(1, highest + 1) if n not in numbers]
    gaps += [v.name for v in volumes if number_of(v.name) is None and not present[v.name]]
    boxed = {v.name: c.box for v in volumes for c in v.copies if c.state is CopyState.PACKED and c.box}
    return SetState(
        set=book_set,
        volumes=volumes,
        of=book_set.volumes,
        gaps=tuple(gaps),
        doubles=tuple(name for name, count in present.items() if count > 1),
        boxed=boxed,
    )


def loss_of_one(
    volume: str,
    *,
    complete: Decimal,
    lacking: Decimal | None,
    singly: Mapping[str, Decimal],
    volumes: int,
    currency: str,
) -> LossOfOne | None:
    """Reckon what the loss of one volume costs.

    Args:
        volume: which is lost.
        complete: value of the whole set.
        lacking: value of the set without this volume, where somebody put one on it.
        singly: what each volume is worth by itself, as far as valued.
        volumes: how many the set has.
        currency: of all amounts.

    Returns:
        None where neither the set without the volume nor all its other volumes have been valued.
    """
    reckoned = "valued with this volume lacking"
    if lacking is None:
        others = [amount for name, amount in singly.items() if name != volume]
        if len(others) != volumes - 1:
            return None
        lacking = min(sum(others, Decimal()), complete)
        reckoned = "the sum of the other volumes singly"
    return LossOfOne(
        volume=volume,
        before=complete,
        after=lacking,
        difference=complete - lacking,
        proportion=rounded(complete / volumes, currency),
        reckoned=reckoned,
    )
