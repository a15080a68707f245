"""What several volumes cover of a line of places: how often, what is missing, what each alone has, where it ends."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.runs.spans import Span, Spans, difference, intersection, spans_of


@dataclass(frozen=True, slots=True)
class CoveredStretch:
    """Places from `first` to `last` that the same volumes have, named by their keys in order; never none."""

    first: int
    last: int
    volumes: tuple[str, ...]


def coverage(volumes: Mapping[str, Spans]) -> tuple[CoveredStretch, ...]:
    """Return which volumes have which places, by one sweep over all ends.

    >>> [(one.first, one.last, one.volumes) for one in coverage({"a": ((0, 4),), "b": ((3, 6),)})]
    [(0, 2, ('a',)), (3, 4, ('a', 'b')), (5, 6, ('b',))]
    """
    begin: dict[int, list[str]] = {}
    end: dict[int, list[str]] = {}
    for key, spans in volumes.items():
        for first, last in spans:
            begin.setdefault(first, []).append(key)
            end.setdefault(last + 1, []).append(key)
    current: set[str] = set()
    stretches: list[CoveredStretch] = []
    cuts = sorted({*begin, *end})
    for nth, place in enumerate(cuts):
        current.difference_update(end.get(place, ()))
        current.update(begin.get(place, ()))
        if current:
            stretches.append(CoveredStretch(place, cuts[nth + 1] - 1, tuple(sorted(current))))
    return tuple(stretches)


def missing(covered_places: Spans, lines: Spans) -> Spans:
    """Return the gaps, cut where one line ends and the next begins."""
    return difference(lines, covered_places)


def longest_stretch(covered_places: Spans, lines: Spans) -> Span | None:
    """Return the longest unbroken stretch on one line, the first of several; None where nothing is covered."""
    return max(intersection(lines, covered_places), key=lambda stretch: stretch[1] - stretch[0], default=None)


def alone(volumes: Mapping[str, Spans]) -> dict[str, Spans]:
    """Return the places that each volume has and no other one; volumes without any are left out.

    >>> alone({"a": ((0, 4),), "b": ((3, 6),), "c": ((4, 4),)})
    {'a': ((0, 2),), 'b': ((5, 6),)}
    """
    places: dict[str, list[Span]] = {}
    for stretch in coverage(volumes):
        if len(stretch.volumes) == 1:
            places.setdefault(stretch.volumes[0], []).append((stretch.first, stretch.last))
    return {key: spans_of(spans) for key, spans in places.items()}


def places_after(spans: Spans, lines: Spans) -> tuple[tuple[int, int | None], ...]:
    """Return where a volume breaks off, and the place that follows; None where the line ends there."""
    broken: list[tuple[int, int | None]] = []
    for line in lines:
        for _, last in intersection((line,), spans):
            broken.append((last, last + 1 if last < line[1] else None))
    return tuple(broken)


@dataclass(frozen=True, slots=True)
class VolumeRead:
    """Places to read in one volume before it is put down: spans without what is not held."""

    volume: str
    places: Spans


def fewest_changes(volumes: Mapping[str, Spans], rank: Sequence[str] = ()) -> tuple[VolumeRead, ...]:
    """Return an order to read everything once, place by place, with the fewest changes of volume.

    From each place on, the volume that goes on furthest is taken: another choice changes no later and leaves no more
    choice. Places that no volume has are passed over, which is no change by itself.

    Args:
        volumes: the places of each.
        rank: the keys from the most to the least preferred, for volumes that go equally far.
    """
    stretches = coverage(volumes)
    order = {key: nth for nth, key in enumerate(rank)}
    reaches = _reaches(stretches)
    reads: list[VolumeRead] = []
    at = 0
    while at < len(stretches):
        key = min(stretches[at].volumes, key=lambda key: (-reaches[at][key], order.get(key, len(order)), key))
        until = reaches[at][key]
        read = spans_of((stretch.first, stretch.last) for stretch in stretches[at : until + 1])
        reads.append(VolumeRead(key, read))
        at = until + 1
    return tuple(reads)


def _reaches(stretches: Sequence[CoveredStretch]) -> list[dict[str, int]]:
    """Return, for each stretch and each volume that has it, the last stretch up to which the volume has all."""
    reaches: list[dict[str, int]] = []
    following: dict[str, int] = {}
    for nth in range(len(stretches) - 1, -1, -1):
        following = {key: following.get(key, nth) for key in stretches[nth].volumes}
        reaches.append(following)
    return reaches[::-1]
