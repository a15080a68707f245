"""A box being filled: its contents, and whether one more block fits by mass, room, value and shape."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from intake.packing.packing_plan import BoxKind, FilledBox, PackItem
from intake.packing.piles import arrange_in_piles, fits_in_box

TINY_G = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Copies that are packed together: a set, part of a set, or a single copy."""

    items: tuple[PackItem, ...]
    mass: float
    volume: float
    room: str


def make_block(items: Iterable[PackItem]) -> Block:
    """Return a block of copies that go to the same room."""
    every = tuple(items)
    return Block(every, sum(item.mass_g for item in every), sum(item.volume_mm3 for item in every), every[0].room)


@dataclass(slots=True, eq=False)
class OpenBox:
    """A box being filled; `fixed` are copies that were in it before and stay.

    Attributes:
        caps: greatest value in one box, for each currency.
    """

    kind: BoxKind
    room: str
    caps: Mapping[str, float]
    number: str = ""
    fixed: tuple[PackItem, ...] = ()
    blocks: list[Block] = field(default_factory=list)
    mass: float = 0.0
    volume: float = 0.0
    values: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.mass = sum(item.mass_g for item in self.fixed)
        self.volume = sum(item.volume_mm3 for item in self.fixed)
        for item in self.fixed:
            self.values[item.currency] = self.values.get(item.currency, 0.0) + item.value

    @property
    def slack(self) -> float:
        """Return the mass, in grams, that may still be added."""
        return self.kind.contents_g - self.mass

    def items(self) -> list[PackItem]:
        """Return all copies in it."""
        return [*self.fixed, *(item for block in self.blocks for item in block.items)]

    def takes(self, block: Block, without: Sequence[Block] = ()) -> bool:
        """Return whether the block fits once the blocks `without` are removed."""
        mass = self.mass + block.mass - sum(block_out.mass for block_out in without)
        volume = self.volume + block.volume - sum(block_out.volume for block_out in without)
        if mass > self.kind.contents_g + TINY_G or volume > self.kind.volume_mm3 or block.room != self.room:
            return False
        gone = set(map(id, without))
        remaining = [other for other in self.blocks if id(other) not in gone]
        if not self._spread(block, remaining):
            return False
        items = [*self.fixed, *(item for other in remaining for item in other.items), *block.items]
        return fits_in_box(items, self.kind.inner_mm)

    def put(self, block: Block) -> None:
        """Add a block."""
        self.blocks.append(block)
        self._count(block, 1)

    def take(self, block: Block) -> None:
        """Remove a block."""
        self.blocks.remove(block)
        self._count(block, -1)

    def filled(self, kind: BoxKind) -> FilledBox:
        """Return the box for the plan, as a box of this kind, with its copies in piles."""
        items = tuple(self.items())
        return FilledBox(kind, self.number, self.room, items, arrange_in_piles(items, kind.inner_mm) or ())

    def _spread(self, block: Block, remaining: Sequence[Block]) -> bool:
        """Return whether the value stays within the caps; a block over a cap may join unvalued ones only."""
        for currency, cap in self.caps.items():
            block_value = sum(item.value for item in block.items if item.currency == currency)
            others = [*self.fixed, *(item for other_block in remaining for item in other_block.items)]
            box_value = sum(item.value for item in others if item.currency == currency)
            if block_value and box_value and block_value + box_value > cap:
                return False
        return True

    def _count(self, block: Block, sign: int) -> None:
        self.mass += sign * block.mass
        self.volume += sign * block.volume
