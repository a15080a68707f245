"""Sets: which volumes are present, where each is, and what the loss of one volume costs.

Under a pair-and-set clause the insurer restores the set or pays its value before the loss less its value after, not the
whole set; other wordings pay a fair proportion of the whole. Both are computed; which applies depends on the policy.
If the set was not valued without the volume, the sum of the individual values of the other volumes is used instead, and
this is stated.
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
        of: number of volumes of the complete set; None if unknown, so that only gaps can be detected.
        gaps: volumes of which no copy is present.
        doubles: volumes of which there is more than one copy.
        boxed: the box that each volume is still packed in.
    """

    set: BookSet
    volumes: tuple[Volume, ...]
    of: int | None
    gaps: tuple[str, ...]
    doubles: tuple[str, ...]
    boxed: Mapping[str, str]

    @property
    def complete(self) -> bool | None:
        """Return whether every volume is present; None if no gap is found but the number of volumes is unknown."""
        if self.gaps:
            return False
        return None if self.of is None else True


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeLoss:
    """What the loss of one volume costs.

    Attributes:
        before, after: the value of the complete set, and without the volume.
        difference: what a pair-and-set clause pays.
        proportion: the share of the whole, by number of volumes.
        method: how `after` was obtained.
    """

    volume: str
    before: Decimal
    after: Decimal
    difference: Decimal
    proportion: Decimal
    method: str


def volume_number(volume: str) -> int | None:
    """Return the number of a volume, arabic or roman; None if its name contains no number.

    >>> volume_number("3"), volume_number("Vol. XIV"), volume_number("Atlas")
    (3, 14, None)
    """
    digits = re.search(r"\d+", volume)
    if digits:
        return int(digits.group())
    roman = re.search(r"\b[IVXLC]+\b", volume)
    if not roman:
        return None
    values = [ROMAN[letter] for letter in roman.group()]
    return sum(-v if any(w > v for w in values[n + 1 : n + 2]) else v for n, v in enumerate(values))


def set_state(book_set: BookSet, editions: Iterable[Edition], copies: Sequence[Copy]) -> SetState:
    """Return how complete a set is; a missing copy counts as not present."""
    ordered = sorted(editions, key=lambda e: (volume_number(e.volume) or 10**6, e.volume, e.id))
    by_edition = {edition.id: [c for c in copies if c.edition_id == edition.id] for edition in ordered}
    volumes = tuple(Volume(name=e.volume, title=e.title, copies=tuple(by_edition[e.id])) for e in ordered)
    present = Counter(v.name for v in volumes for c in v.copies if c.state is not CopyState.MISSING)
    numbers = {volume_number(name) for name in present} - {None}
    highest = book_set.volumes or max((volume_number(v.name) or 0 for v in volumes), default=0)
    gaps = [str(n) for n in range(1, highest + 1) if n not in numbers]
    gaps += [v.name or v.title for v in volumes if volume_number(v.name) is None and not present[v.name]]
    boxed = {v.name: c.box for v in volumes for c in v.copies if c.state is CopyState.PACKED and c.box}
    return SetState(
        set=book_set,
        volumes=volumes,
        of=book_set.volumes,
        gaps=tuple(gaps),
        doubles=tuple(name for name, count in present.items() if count > 1),
        boxed=boxed,
    )


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
        complete: value of the complete set.
        without: value of the set without this volume, if it was valued.
        singly: individual value of each volume, as far as valued.
        volumes: number of volumes of the set.
        currency: of all amounts.

    Returns:
        None if neither the set without the volume nor all its other volumes have been valued.
    """
    method = "valued with this volume missing"
    if without is None:
        others = [amount for name, amount in singly.items() if name != volume]
        if len(others) != volumes - 1:
            return None
        without = min(sum(others, Decimal()), complete)
        method = "the sum of the individual values of the other volumes"
    return VolumeLoss(
        volume=volume,
        before=complete,
        after=without,
        difference=complete - without,
        proportion=rounded(complete / volumes, currency),
        method=method,
    )
