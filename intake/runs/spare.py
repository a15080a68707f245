"""Which copies could go together: every part they have stays in a copy that is kept, and the most shelf is freed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from intake.runs.cover_solver import SECONDS, CoverRow, least_sum
from intake.runs.coverage import coverage
from intake.runs.spans import Spans, count, difference, intersection

PER_MM = 10
"""Thicknesses are compared in tenths of a millimetre."""


@dataclass(frozen=True, slots=True)
class HeldVolume:
    """A copy that is held.

    Attributes:
        places: its parts of each serial, by the serial's key.
        thickness_mm: what it takes of a shelf; None where unknown, which frees nothing that is known.
        may_go: False for a copy that is signed, numbered or marked as kept.
        stands: whether it may stand for a copy that goes, for it is of the format preferred.
        halves: places of issues of which it may have some and not all. It stands for no other copy in these, but for
            those of its edition, which have the same of them; and a copy with the whole issue stands for it.
        edition: what it is a copy of.
    """

    copy: str
    places: Mapping[str, Spans]
    thickness_mm: float | None
    may_go: bool
    stands: bool = True
    halves: Mapping[str, Spans] = field(default_factory=dict)
    edition: str = ""


@dataclass(frozen=True, slots=True)
class SpareVolume:
    """A copy that could go, and the copies that stay and have its parts between them, those with most first."""

    copy: str
    also_in: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SpareChoice:
    """Copies that can go together.

    Attributes:
        freed_mm: of shelf, by the thicknesses that are known.
        proved: that no other choice frees more.
        bound_mm: what no choice can free more than.
    """

    volumes: tuple[SpareVolume, ...]
    freed_mm: float
    proved: bool
    bound_mm: float


def spare(volumes: Sequence[HeldVolume], seconds: float = SECONDS) -> SpareChoice:
    """Choose the copies that can go together and free the most; among those, the most copies.

    Never both of two that stand for each other: of the copies that have a part, at least one stays.
    """
    with_parts = [volume for volume in _told_apart(volumes) if any(volume.places.values())]
    candidates, rows = _rows(with_parts)
    if not candidates:
        return SpareChoice((), 0.0, proved=True, bound_mm=0.0)
    freed = [-round((with_parts[nth].thickness_mm or 0.0) * PER_MM) for nth in candidates]
    first = least_sum(freed, rows, seconds)
    if first is None:
        return SpareChoice((), 0.0, proved=False, bound_mm=-sum(freed) / PER_MM)
    kept = CoverRow({nth: weight for nth, weight in enumerate(freed) if weight}, most=first.total)
    chosen = (least_sum([-1] * len(candidates), [*rows, kept], seconds) or first).chosen
    going = {nth for nth, gone in zip(candidates, chosen, strict=True) if gone}
    staying = [volume for nth, volume in enumerate(with_parts) if nth not in going and volume.stands]
    spares = tuple(SpareVolume(with_parts[nth].copy, _also_in(with_parts[nth], staying)) for nth in sorted(going))
    return SpareChoice(spares, -first.total / PER_MM, proved=first.proved, bound_mm=-first.bound / PER_MM)


def _told_apart(volumes: Sequence[HeldVolume]) -> list[HeldVolume]:
    """Return the volumes with what each edition has of issues that it may not have whole as parts by themselves.

    These are also in every volume that has the whole issue, so that of the copies that have such a part one stays.
    """
    halves: dict[str, dict[str, Spans]] = {}
    for volume in volumes:
        for serial, spans in volume.halves.items():
            if spans:
                halves.setdefault(serial, {})[volume.edition] = spans
    return [
        replace(
            volume,
            places={
                **{_part_name(serial): spans for serial, spans in volume.places.items()},
                **{
                    _part_name(serial, edition): spans
                    if edition == volume.edition
                    else intersection(volume.places.get(serial, ()), spans)
                    for serial in {*volume.places, *volume.halves}
                    for edition, spans in halves.get(serial, {}).items()
                },
            },
        )
        for volume in volumes
    ]


def _part_name(serial: str, edition: str = "") -> str:
    """Return what tells whole issues of a serial from what an edition has of others; no title has a line break."""
    return f"{serial}\n{edition}"


def _rows(volumes: Sequence[HeldVolume]) -> tuple[list[int], list[CoverRow]]:
    """Return the copies that could go, and for each stretch of parts that not all who have it go."""
    serials = sorted({serial for volume in volumes for serial in volume.places})
    groups = {
        frozenset(map(int, stretch.volumes))
        for serial in serials
        for stretch in coverage({str(nth): volume.places.get(serial, ()) for nth, volume in enumerate(volumes)})
    }
    standing = {group: frozenset(nth for nth in group if volumes[nth].stands) for group in groups}
    needed = {nth for group, stand in standing.items() for nth in group if not stand - {nth}}
    candidates = [nth for nth, volume in enumerate(volumes) if volume.may_go and nth not in needed]
    column = {nth: at for at, nth in enumerate(candidates)}
    rows = [
        CoverRow({column[nth]: 1 for nth in stand}, most=len(stand) - 1)
        for stand in set(standing.values())
        if stand and stand <= column.keys()
    ]
    return candidates, rows


def _also_in(gone: HeldVolume, staying: Sequence[HeldVolume]) -> tuple[str, ...]:
    """Return copies that stay and have all its parts: the one with most of what is still needed, again and again."""
    needed = {serial: spans for serial, spans in gone.places.items() if spans}
    chosen: list[str] = []
    while needed:
        best = max(staying, key=lambda volume: _common(needed, volume))
        if not _common(needed, best):
            break
        chosen.append(best.copy)
        left = {serial: difference(spans, best.places.get(serial, ())) for serial, spans in needed.items()}
        needed = {serial: spans for serial, spans in left.items() if spans}
    return tuple(chosen)


def _common(needed: Mapping[str, Spans], volume: HeldVolume) -> int:
    return sum(count(intersection(spans, volume.places.get(serial, ()))) for serial, spans in needed.items())
