"""Planning which copy goes into which box: first-fit decreasing, then local improvement, with a lower bound.

Sets are kept whole where a box holds them, however much they are worth (otherwise they are cut greedily, in the order
of their volumes), a box goes to one room, no box contains too much of the value, and each box is arranged in piles. The
greedy plan is first-fit decreasing by mass (Johnson 1973), which often reaches the bound; otherwise
`intake.packing.improve` improves it. A set for which no box is left is cut after all, rather than left out. At the end
each new box is replaced by the smallest kind that holds its contents. The stability of a pile while it is being built
is not considered.
"""

from collections import Counter, defaultdict, deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from intake.errors import UsageError
from intake.model.packing import PackingRules
from intake.packing import bounds
from intake.packing.filling import Block, FirstFit, OpenBox, make_block
from intake.packing.improve import improve
from intake.packing.packing_plan import BegunBox, BoxKind, FilledBox, LeftOver, PackingPlan, PackItem, WhyLeft
from intake.packing.piles import fits_in_box

QUARTER, HALF = 0.25, 0.5
"""Greatest share of the value in one box (common practice, no source)."""


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
        kinds: the kinds of box available.
        begun: open boxes that may be filled up.
        rules: further rules.
        going: called repeatedly; False ends the improvement, and the best plan so far is returned.
        in_time: asked again and again; False ends the first plan too, and what was not placed by then is left out.

    Raises:
        UsageError: a copy is named twice, or a kind of box has no capacity within its limit.
    """
    rules = rules or PackingRules()
    _check([*items, *(item for box in begun for item in box.items)], kinds)
    empty = [kind for kind in kinds if kind.count != 0]
    packable, left = _packable(items, empty, begun)
    caps = _caps([*packable, *(item for box in begun for item in box.items)], kinds, rules)
    blocks = list(_blocks(packable, _Holders(empty, begun), rules, caps))
    open_boxes = [OpenBox(box.kind, box.room, caps, box.number, box.items) for box in begun]
    first_plan = _first_fit(blocks, open_boxes, _Supply(kinds, caps), in_time)
    left += [LeftOver(item, WhyLeft.TOO_FEW_BOXES) for block in first_plan.unpacked for item in block.items]
    bound = _bound(first_plan.packed, kinds, begun)
    first = sum(bool(box.items()) for box in first_plan.boxes)
    better = improve(first_plan.boxes, bound=bound, going=lambda: going() and in_time())
    filled = tuple(_in_smallest_kinds(better, kinds))
    return PackingPlan(
        boxes=filled,
        left=tuple(left),
        bound=bound,
        first=first,
        torn=_split_sets(filled),
        not_reached=sum(len(block.items) for block in first_plan.not_reached),
    )


def _check(items: Iterable[PackItem], kinds: Iterable[BoxKind]) -> None:
    twice = [key for key, count in Counter(item.key for item in items).items() if count > 1]
    if twice:
        raise UsageError(f"Copy {twice[0]}", "is listed twice for packing", "list each copy once")
    for kind in kinds:
        if kind.contents_g <= 0 or min(kind.inner_mm) <= 0:
            raise UsageError(f"The box {kind.name!r}", "has no capacity within its limit", "correct its size or limits")


def _packable(
    items: Iterable[PackItem], empty: Sequence[BoxKind], begun: Sequence[BegunBox]
) -> tuple[list[PackItem], list[LeftOver]]:
    """Return what a box would hold if nothing else were in it, and the rest; a begun box is of its own room only."""
    kinds = {room: [*empty, *(box.kind for box in begun if box.room == room)] for room in {item.room for item in items}}
    good: list[PackItem] = []
    left: list[LeftOver] = []
    for item in items:
        why = _why_left(item, kinds[item.room])
        if why is None:
            good.append(item)
        else:
            left.append(LeftOver(item, why))
    return good, left


def _why_left(item: PackItem, kinds: Sequence[BoxKind]) -> WhyLeft | None:
    if not item.mass_g > 0 or not min(item.size_mm) > 0:
        return WhyLeft.NO_MEASURE
    if not kinds:
        return WhyLeft.NO_KIND
    light = [kind for kind in kinds if item.mass_g <= kind.contents_g]
    if not light:
        return WhyLeft.TOO_HEAVY
    return None if any(fits_in_box([item], kind.inner_mm) for kind in light) else WhyLeft.TOO_LARGE


@dataclass(frozen=True, slots=True)
class _Holders:
    """What may hold a block: the kinds of empty box, and the boxes begun with what is in them."""

    empty: Sequence[BoxKind]
    begun: Sequence[BegunBox]

    def hold(self, block: Block) -> bool:
        """Return whether one of them takes a block, whatever it is worth."""
        fresh = (OpenBox(kind, block.room, {}) for kind in self.empty)
        begun = (OpenBox(box.kind, box.room, {}, box.number, box.items) for box in self.begun if box.room == block.room)
        return any(box.takes(block) for box in chain(fresh, begun))


def _caps(items: Sequence[PackItem], kinds: Sequence[BoxKind], rules: PackingRules) -> dict[str, float]:
    """Return the greatest value in one box, for each currency."""
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
    items: Sequence[PackItem], holders: _Holders, rules: PackingRules, caps: dict[str, float]
) -> Iterator[Block]:
    """Yield the copies that are packed together, as blocks."""
    sets: dict[tuple[str, str], list[PackItem]] = defaultdict(list)
    for item in items:
        if item.set_key and rules.together:
            sets[item.set_key, item.room].append(item)
        else:
            yield make_block([item])
    for members in sets.values():
        whole = make_block(sorted(members, key=lambda member: member.order))
        if holders.hold(whole):
            yield whole
        else:
            yield from _cut(whole, holders, caps)


def _cut(whole: Block, holders: _Holders, caps: dict[str, float]) -> Iterator[Block]:
    """Yield the parts of a set that no box holds, each as many of its volumes as one takes by mass, shape and value."""
    part: list[PackItem] = []
    for item in whole.items:
        longer = make_block([*part, item])
        too_dear = any(longer.values.get(currency, 0.0) > cap for currency, cap in caps.items())
        if part and (too_dear or not holders.hold(longer)):
            yield make_block(part, cut=True)
            part = []
        part.append(item)
    yield make_block(part, cut=True)


class _Supply:
    """The boxes still available, those of greatest capacity first."""

    def __init__(self, kinds: Sequence[BoxKind], caps: dict[str, float]) -> None:
        self._kinds = sorted(kinds, key=lambda kind: (-kind.contents_g, -kind.volume_mm3))
        self._caps = caps
        self._used: Counter[str] = Counter()

    def open_for(self, block: Block) -> OpenBox | None:
        """Return a new box into which the block fits, or None if there is none left."""
        for kind in self._kinds:
            fresh = OpenBox(kind, block.room, self._caps)
            if (kind.count is None or self._used[kind.name] < kind.count) and fresh.takes(block):
                self._used[kind.name] += 1
                return fresh
        return None


@dataclass(frozen=True, slots=True)
class _FirstPlan:
    """What first-fit decreasing made: the boxes, and the blocks that it packed, found no box for, or did not reach."""

    boxes: list[OpenBox]
    packed: list[Block]
    unpacked: list[Block]
    not_reached: list[Block]


def _first_fit(
    blocks: Iterable[Block], begun: Iterable[OpenBox], supply: _Supply, in_time: Callable[[], bool]
) -> _FirstPlan:
    """Put each block, the heaviest first, into the first box of its room that takes it, else into a new one.

    A set for which there is none is cut into its volumes, which are put last.
    """
    boxes = list(begun)
    rooms: dict[str, FirstFit] = defaultdict(FirstFit)
    for one in boxes:
        rooms[one.room].add(one)
    waiting = deque(sorted(blocks, key=lambda one: (-one.mass, -one.volume)))
    packed: list[Block] = []
    unpacked: list[Block] = []
    while waiting and in_time():
        block = waiting.popleft()
        if rooms[block.room].put(block):
            packed.append(block)
        elif fresh := supply.open_for(block):
            fresh.put(block)
            boxes.append(fresh)
            rooms[block.room].add(fresh)
            packed.append(block)
        elif len(block.items) > 1:
            waiting.extend(make_block([item], cut=True) for item in block.items)
        else:
            unpacked.append(block)
    return _FirstPlan(boxes, packed, unpacked, list(waiting))


def _bound(blocks: Sequence[Block], kinds: Sequence[BoxKind], begun: Sequence[BegunBox]) -> int:
    """Return a lower bound on the number of boxes, summed over rooms, because a box goes to one room.

    The parts of a set that was cut might have been cut otherwise: of these the volumes are counted, not the parts.
    """
    by_room: dict[str, list[Block]] = defaultdict(list)
    for block in blocks:
        by_room[block.room].append(block)
    total = 0
    for room in dict.fromkeys([*by_room, *(box.room for box in begun if box.items)]):
        own = by_room[room]
        started = [box for box in begun if box.room == room and box.items]
        idle = [box for box in begun if box.room == room and not box.items]
        slack = sum(max(0.0, box.kind.contents_g - sum(item.mass_g for item in box.items)) for box in started)
        free = sum(max(0.0, box.kind.volume_mm3 - sum(item.volume_mm3 for item in box.items)) for box in started)
        at_hand = [*kinds, *(box.kind for box in idle)]
        capacity = [(kind.contents_g, kind.count) for kind in kinds] + [(box.kind.contents_g, 1) for box in idle]
        volume = [(kind.volume_mm3, kind.count) for kind in kinds] + [(box.kind.volume_mm3, 1) for box in idle]
        needed = max(
            bounds.by_sum(sum(block.mass for block in own) - slack, capacity),
            bounds.by_sum(sum(block.volume for block in own) - free, volume),
        )
        if not started and at_hand:
            largest = max(kind.contents_g for kind in at_hand)
            needed = max(needed, bounds.by_mass(_pieces(own), largest))
        total += needed + len(started)
    return total


def _pieces(blocks: Sequence[Block]) -> list[float]:
    """Return the masses that no plan under the same rules divides."""
    whole = [block.mass for block in blocks if not block.cut]
    return whole + [item.mass_g for block in blocks if block.cut for item in block.items]


def _in_smallest_kinds(boxes: Iterable[OpenBox], kinds: Sequence[BoxKind]) -> Iterator[FilledBox]:
    """Replace each new box by the smallest available kind that holds its contents."""
    free = {kind.name: kind.count for kind in kinds}
    ordered = sorted(kinds, key=lambda kind: kind.volume_mm3)
    used = [box for box in boxes if box.items()]
    for box in used:
        if not box.number:
            _take_one(free, box.kind)
    for box in used:
        kind = box.kind
        if not box.number:
            smaller = (other for other in ordered if other.volume_mm3 < box.kind.volume_mm3 and free[other.name] != 0)
            kind = next((other for other in smaller if _fits_kind(other, box)), box.kind)
            if kind is not box.kind:
                _take_one(free, kind)
        yield box.filled(kind)


def _take_one(free: dict[str, int | None], kind: BoxKind) -> None:
    left = free.get(kind.name)
    if left is not None:
        free[kind.name] = left - 1


def _fits_kind(kind: BoxKind, box: OpenBox) -> bool:
    return box.mass <= kind.contents_g and fits_in_box(box.items(), kind.inner_mm)


def _split_sets(filled: Iterable[FilledBox]) -> dict[str, int]:
    boxes: Counter[str] = Counter()
    for box in filled:
        boxes.update({item.set_key for item in box.items if item.set_key})
    return {key: count for key, count in boxes.items() if count > 1}
