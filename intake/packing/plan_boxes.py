"""Plan which copy goes into which box: first-fit decreasing, then local improvement, with a lower bound beside it.

Sets are kept whole where a box can hold them (else in as few parts as a greedy cut gives, in the order of their
volumes), a box goes to one room, no box holds too much of the value, and each box is laid out in piles. The greedy plan
is first-fit decreasing by mass (Johnson 1973), which is often at the bound already; what it leaves is improved by
`intake.packing.improve`. At the end each box becomes the smallest kind that holds its contents. Takes no account of
how a pile stands while it is being built.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from intake.errors import UsageError
from intake.packing import bounds
from intake.packing.filling import Bin, Block, FirstFit, block_of
from intake.packing.improve import improve
from intake.packing.packing_plan import BegunBox, BoxKind, FilledBox, LeftOver, PackingPlan, PackingRules, PackItem
from intake.packing.piles import fits

QUARTER, HALF = 0.25, 0.5
"""Of the value, in one box (common practice, no source)."""


def always() -> bool:
    """Set no limit to the time."""
    return True


def plan(
    items: Sequence[PackItem],
    kinds: Sequence[BoxKind],
    *,
    begun: Sequence[BegunBox] = (),
    rules: PackingRules | None = None,
    going: Callable[[], bool] = always,
    in_time: Callable[[], bool] = always,
) -> PackingPlan:
    """Plan the boxes.

    Args:
        items: copies to be packed.
        kinds: boxes at hand.
        begun: open boxes that may be filled up.
        rules: what else to keep to.
        going: asked again and again; False ends the improvement and the best plan so far is returned.
        in_time: asked again and again; False ends the first plan too, and what was not placed by then is left out.

    Raises:
        UsageError: a copy is named twice, or a kind of box weighs more empty than it may weigh full.
    """
    rules = rules or PackingRules()
    _check([*items, *(item for box in begun for item in box.items)], kinds)
    packable, left = _packable(items, kinds)
    caps = _caps([*packable, *(item for box in begun for item in box.items)], kinds, rules)
    blocks = list(_blocks(packable, kinds, rules, caps))
    bins = [Bin(box.kind, box.room, caps, box.number, box.items) for box in begun]
    first_plan = _first_fit(blocks, bins, _Supply(kinds, caps), in_time)
    left += [LeftOver(item, "no box is left for it") for block in first_plan.unpacked for item in block.items]
    bound = _bound(first_plan.packed, kinds, begun)
    first = sum(bool(one.items()) for one in first_plan.bins)
    better = improve(first_plan.bins, bound=bound, going=lambda: going() and in_time())
    filled = tuple(_smallest(better, kinds))
    return PackingPlan(
        boxes=filled,
        left=tuple(left),
        bound=bound,
        first=first,
        torn=_torn(filled),
        not_reached=sum(len(block.items) for block in first_plan.not_reached),
    )


def _check(items: Iterable[PackItem], kinds: Iterable[BoxKind]) -> None:
    twice = [key for key, count in Counter(item.key for item in items).items() if count > 1]
    if twice:
        raise UsageError(f"Copy {twice[0]}", "would be packed twice", "name each copy once")
    for kind in kinds:
        if kind.contents_g <= 0 or min(kind.inner_mm) <= 0:
            raise UsageError(f"The box {kind.name!r}", "holds nothing within its limit", "correct its size or limits")


def _packable(items: Iterable[PackItem], kinds: Sequence[BoxKind]) -> tuple[list[PackItem], list[LeftOver]]:
    good: list[PackItem] = []
    left: list[LeftOver] = []
    for item in items:
        if not item.mass_g > 0 or not min(item.size_mm) > 0:
            left.append(LeftOver(item, "its mass or size is not more than nothing"))
            continue
        light = [kind for kind in kinds if item.mass_g <= kind.contents_g]
        if any(fits([item], kind.inner_mm) for kind in light):
            good.append(item)
        elif not kinds:
            left.append(LeftOver(item, "no kind of box is given"))
        elif light:
            left.append(LeftOver(item, "it is larger than every box"))
        else:
            left.append(LeftOver(item, "it is heavier than any box may be"))
    return good, left


def _caps(items: Sequence[PackItem], kinds: Sequence[BoxKind], rules: PackingRules) -> dict[str, float]:
    """Return the most that a box may hold of each currency."""
    sums: dict[str, float] = defaultdict(float)
    for item in items:
        if item.value > 0:
            sums[item.currency] += item.value
    share = rules.share
    if share is None:
        boxes = bounds.by_sum(sum(item.mass_g for item in items), [(kind.contents_g, kind.count) for kind in kinds])
        share = max(QUARTER, min(HALF, 2 / max(1, boxes)))
    return {currency: share * amount for currency, amount in sums.items()}


def _blocks(
    items: Sequence[PackItem], kinds: Sequence[BoxKind], rules: PackingRules, caps: dict[str, float]
) -> Iterator[Block]:
    """Yield what goes together."""
    sets: dict[tuple[str, str], list[PackItem]] = defaultdict(list)
    for item in items:
        if item.set_key and rules.together:
            sets[item.set_key, item.room].append(item)
        else:
            yield block_of([item])
    for members in sets.values():
        part: list[PackItem] = []
        for item in sorted(members, key=lambda one: one.order):
            if part and not _fits_somewhere(block_of([*part, item]), kinds, caps):
                yield block_of(part)
                part = []
            part.append(item)
        yield block_of(part)


def _fits_somewhere(block: Block, kinds: Sequence[BoxKind], caps: dict[str, float]) -> bool:
    too_dear = any(block.values.get(currency, 0.0) > cap for currency, cap in caps.items())
    return not too_dear and any(Bin(kind, block.room, {}).takes(block) for kind in kinds)


class _Supply:
    """The boxes that are still at hand, the roomiest first."""

    def __init__(self, kinds: Sequence[BoxKind], caps: dict[str, float]) -> None:
        self._kinds = sorted(kinds, key=lambda kind: (-kind.contents_g, -kind.volume_mm3))
        self._caps = caps
        self._used: Counter[str] = Counter()

    def open_for(self, block: Block) -> Bin | None:
        """Return a new box that takes the block, None where there is none left."""
        for kind in self._kinds:
            fresh = Bin(kind, block.room, self._caps)
            if (kind.count is None or self._used[kind.name] < kind.count) and fresh.takes(block):
                self._used[kind.name] += 1
                return fresh
        return None


@dataclass(frozen=True, slots=True)
class _FirstPlan:
    """What first-fit decreasing made: the boxes, and the blocks that it packed, found no box for, or did not reach."""

    bins: list[Bin]
    packed: list[Block]
    unpacked: list[Block]
    not_reached: list[Block]


def _first_fit(
    blocks: Iterable[Block], begun: Iterable[Bin], supply: _Supply, in_time: Callable[[], bool]
) -> _FirstPlan:
    """Put each block, the heaviest first, into the first box of its room that takes it."""
    bins = list(begun)
    rooms: dict[str, FirstFit] = defaultdict(FirstFit)
    for one in bins:
        rooms[one.room].add(one)
    ordered = sorted(blocks, key=lambda one: (-one.mass, -one.volume))
    packed: list[Block] = []
    unpacked: list[Block] = []
    for nth, block in enumerate(ordered):
        if not in_time():
            return _FirstPlan(bins, packed, unpacked, ordered[nth:])
        if not rooms[block.room].put(block):
            fresh = supply.open_for(block)
            if fresh is None:
                unpacked.append(block)
                continue
            fresh.put(block)
            bins.append(fresh)
            rooms[block.room].add(fresh)
        packed.append(block)
    return _FirstPlan(bins, packed, unpacked, [])


def _bound(blocks: Sequence[Block], kinds: Sequence[BoxKind], begun: Sequence[BegunBox]) -> int:
    """Return how few boxes can do, room by room, for a box goes to one room."""
    by_room: dict[str, list[Block]] = defaultdict(list)
    for block in blocks:
        by_room[block.room].append(block)
    total = 0
    for room in dict.fromkeys([*by_room, *(box.room for box in begun if box.items)]):
        own = by_room[room]
        started = [box for box in begun if box.room == room and box.items]
        idle = [box for box in begun if box.room == room and not box.items]
        slack = sum(box.kind.contents_g - sum(item.mass_g for item in box.items) for box in started)
        free = sum(box.kind.volume_mm3 - sum(item.volume_mm3 for item in box.items) for box in started)
        at_hand = [*kinds, *(box.kind for box in idle)]
        capacity = [(kind.contents_g, kind.count) for kind in kinds] + [(box.kind.contents_g, 1) for box in idle]
        volume = [(kind.volume_mm3, kind.count) for kind in kinds] + [(box.kind.volume_mm3, 1) for box in idle]
        needed = max(
            bounds.by_sum(sum(block.mass for block in own) - slack, capacity),
            bounds.by_sum(sum(block.volume for block in own) - free, volume),
        )
        if not started and at_hand:
            largest = max(kind.contents_g for kind in at_hand)
            needed = max(needed, bounds.by_mass([block.mass for block in own], largest))
        total += needed + len(started)
    return total


def _smallest(bins: Iterable[Bin], kinds: Sequence[BoxKind]) -> Iterator[FilledBox]:
    """Turn each new box into the smallest kind that is left and holds what is in it."""
    free = {kind.name: kind.count for kind in kinds}
    ordered = sorted(kinds, key=lambda kind: kind.volume_mm3)
    used = [one for one in bins if one.items()]
    for one in used:
        if not one.number:
            _draw(free, one.kind)
    for one in used:
        kind = one.kind
        if not one.number:
            smaller = (other for other in ordered if other.volume_mm3 < one.kind.volume_mm3 and free[other.name] != 0)
            kind = next((other for other in smaller if _holds(other, one)), one.kind)
            if kind is not one.kind:
                _draw(free, kind)
        yield one.filled(kind)


def _draw(free: dict[str, int | None], kind: BoxKind) -> None:
    left = free.get(kind.name)
    if left is not None:
        free[kind.name] = left - 1


def _holds(kind: BoxKind, one: Bin) -> bool:
    return one.mass <= kind.contents_g and fits(one.items(), kind.inner_mm)


def _torn(filled: Iterable[FilledBox]) -> dict[str, int]:
    boxes: Counter[str] = Counter()
    for one in filled:
        boxes.update({item.set_key for item in one.items if item.set_key})
    return {key: count for key, count in boxes.items() if count > 1}
