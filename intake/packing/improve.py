"""Improving a packing: try to empty one box after another into the rest, until the bound is reached or time is up.

Local search for bin packing in the manner of Fleszar and Hindi (Computers and Operations Research 29, 2002: from
memory): blocks are moved and swapped so that fuller boxes become fuller and free space is concentrated in few, because
a box can be emptied only into large free spaces. A box that was begun before is filled, never emptied.
"""

from collections.abc import Callable, Sequence

import numpy as np

from intake.packing.filling import Block, OpenBox

ROUNDS_WITHOUT_GAIN = 30


def improve(boxes: Sequence[OpenBox], *, bound: int, going: Callable[[], bool]) -> list[OpenBox]:
    """Return the boxes in use after reducing their number.

    Args:
        boxes: a packing; the boxes are modified.
        bound: number of boxes at which the search ends.
        going: called repeatedly; False ends the search.
    """
    used = [box for box in boxes if box.items()]
    random = np.random.default_rng(7)
    idle = 0
    while len(used) > bound and going() and idle < ROUNDS_WITHOUT_GAIN:
        before = len(used)
        for victim in sorted((box for box in used if not box.fixed), key=lambda box: box.mass):
            if not going():
                break
            others = [one for one in used if one is not victim and one.room == victim.room]
            if _emptied(victim, others, going):
                used.remove(victim)
                break
        if len(used) == before:
            idle += 1
            _concentrate_free_space(used, going, random)
        else:
            idle = 0
    return used


def _emptied(victim: OpenBox, others: Sequence[OpenBox], going: Callable[[], bool]) -> bool:
    """Move all blocks of a box to others, one for one or by a swap that makes room; undo everything if one stays."""
    done: list[tuple[OpenBox, OpenBox, Block]] = []
    for block in sorted(victim.blocks, key=lambda block: -block.mass):
        steps = _find_move(block, victim, others) or _find_swap(block, victim, others, going)
        if not steps:
            for source, target, moved in reversed(done):
                _move(moved, target, source)
            return False
        for source, target, moved in steps:
            _move(moved, source, target)
        done += steps
    return True


def _find_move(block: Block, source: OpenBox, others: Sequence[OpenBox]) -> list[tuple[OpenBox, OpenBox, Block]]:
    room = sorted((box for box in others if box.slack >= block.mass), key=lambda box: box.slack)
    target = next((box for box in room if box.takes(block)), None)
    return [(source, target, block)] if target else []


def _find_swap(
    block: Block, victim: OpenBox, others: Sequence[OpenBox], going: Callable[[], bool]
) -> list[tuple[OpenBox, OpenBox, Block]]:
    """Return the moves that put a block into a box after moving a lighter one from there to a third box."""
    roomy = sorted(others, key=lambda box: box.slack)
    for target in sorted(others, key=lambda box: -box.slack):
        if not going():
            return []
        for other in sorted(target.blocks, key=lambda candidate: candidate.mass):
            if other.mass >= block.mass or target.slack + other.mass < block.mass:
                continue
            third = next(
                (box for box in roomy if box is not target and box.slack >= other.mass and box.takes(other)), None
            )
            if third is not None and target.takes(block, [other]):
                return [(target, third, other), (victim, target, block)]
    return []


def _concentrate_free_space(used: Sequence[OpenBox], going: Callable[[], bool], random: np.random.Generator) -> None:
    """Swap blocks between pairs of boxes so that the fuller of the two becomes fuller."""
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


def _best_swap(full: OpenBox, other: OpenBox) -> None:
    """Swap the pair of blocks, or move the block, that fills the fuller box best."""
    out: list[Block | None] = [None, *full.blocks]
    leaving = np.array([0.0 if block is None else block.mass for block in out])
    coming = np.array([block.mass for block in other.blocks])
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
        if full.takes(comes, without) and (other.spares(comes) if leaves is None else other.takes(leaves, [comes])):
            _move(comes, other, full)
            if leaves is not None:
                _move(leaves, full, other)
            return


def _move(block: Block, source: OpenBox, target: OpenBox) -> None:
    source.take(block)
    target.put(block)
