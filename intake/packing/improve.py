"""Improve a packing: try to empty one box after another into the rest, until the bound is reached or time is up.

Local search for bin packing in the manner of Fleszar and Hindi (Computers and Operations Research 29, 2002: from
memory): blocks are moved and swapped so that full boxes grow fuller and the room gathers in few, for a box can be
emptied only where room lies together. A box that was begun is filled, never emptied.
"""

from collections.abc import Callable, Sequence

import numpy as np

from intake.packing.filling import Bin, Block

ROUNDS_WITHOUT_GAIN = 30


def improve(bins: Sequence[Bin], *, bound: int, going: Callable[[], bool]) -> list[Bin]:
    """Return the boxes with as few of them in use as were found.

    Args:
        bins: a packing; the boxes are altered.
        bound: to stop at.
        going: asked again and again; False ends the search.
    """
    used = [one for one in bins if one.items()]
    random = np.random.default_rng(7)
    idle = 0
    while len(used) > bound and going() and idle < ROUNDS_WITHOUT_GAIN:
        before = len(used)
        for victim in sorted((one for one in used if not one.fixed), key=lambda one: one.mass):
            if not going():
                break
            others = [one for one in used if one is not victim and one.room == victim.room]
            if _emptied(victim, others, going):
                used.remove(victim)
                break
        if len(used) == before:
            idle += 1
            _gather(used, going, random)
        else:
            idle = 0
    return used


def _emptied(victim: Bin, others: Sequence[Bin], going: Callable[[], bool]) -> bool:
    """Move all blocks of a box to others, one for one or by a swap that makes room; undo everything if one stays."""
    done: list[tuple[Bin, Bin, Block]] = []
    for block in sorted(victim.blocks, key=lambda one: -one.mass):
        steps = _direct(block, victim, others) or _by_swap(block, victim, others, going)
        if not steps:
            for source, target, moved in reversed(done):
                _move(moved, target, source)
            return False
        for source, target, moved in steps:
            _move(moved, source, target)
        done += steps
    return True


def _direct(block: Block, source: Bin, others: Sequence[Bin]) -> list[tuple[Bin, Bin, Block]]:
    room = sorted((one for one in others if one.slack >= block.mass), key=lambda one: one.slack)
    found = next((one for one in room if one.takes(block)), None)
    return [(source, found, block)] if found else []


def _by_swap(
    block: Block, victim: Bin, others: Sequence[Bin], going: Callable[[], bool]
) -> list[tuple[Bin, Bin, Block]]:
    """Find a box that takes the block once a lighter one has gone from it to a third box."""
    roomy = sorted(others, key=lambda one: one.slack)
    for target in sorted(others, key=lambda one: -one.slack):
        if not going():
            return []
        for other in sorted(target.blocks, key=lambda one: one.mass):
            if other.mass >= block.mass or target.slack + other.mass < block.mass:
                continue
            third = next(
                (one for one in roomy if one is not target and one.slack >= other.mass and one.takes(other)), None
            )
            if third is not None and target.takes(block, [other]):
                return [(target, third, other), (victim, target, block)]
    return []


def _gather(used: Sequence[Bin], going: Callable[[], bool], random: np.random.Generator) -> None:
    """Swap blocks between pairs of boxes so that the fuller of the two grows fuller, as far as it can."""
    order = random.permutation(len(used))
    for nth in order:
        if not going():
            return
        full = used[nth]
        if full.slack <= 0:
            continue
        for mth in random.permutation(len(used)):
            other = used[mth]
            if other is not full and other.room == full.room and other.mass <= full.mass and not other.fixed:
                _best_swap(full, other)


def _best_swap(full: Bin, other: Bin) -> None:
    """Swap the pair of blocks that fills the fuller box best, or move one where that fills it better."""
    out: list[Block | None] = [None, *full.blocks]
    leaving = np.array([0.0 if one is None else one.mass for one in out])
    coming = np.array([one.mass for one in other.blocks])
    if not coming.size:
        return
    gain = coming[None, :] - leaving[:, None]
    gain[(gain > full.slack + 1e-6) | (gain <= 1e-6)] = 0.0
    for at in np.argsort(-gain, axis=None)[:3]:
        row, column = np.unravel_index(at, gain.shape)
        if gain[row, column] <= 0:
            return
        leaves, comes = out[row], other.blocks[int(column)]
        without = [leaves] if leaves is not None else []
        if full.takes(comes, without) and (leaves is None or other.takes(leaves, [comes])):
            _move(comes, other, full)
            if leaves is not None:
                _move(leaves, full, other)
            return


def _move(block: Block, source: Bin, target: Bin) -> None:
    source.take(block)
    target.put(block)
