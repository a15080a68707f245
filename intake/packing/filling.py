"""A box under way: what it holds, and whether one more block fits by mass, by room, by value and by shape."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from intake.packing.packing_plan import BoxKind, FilledBox, PackItem
from intake.packing.piles import fits, pile_up

TINY_G = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Copies that go into one box together: a set, a part of one, or a single copy."""

    items: tuple[PackItem, ...]
    mass: float
    volume: float
    room: str


def block_of(items: Iterable[PackItem]) -> Block:
    """Make a block of copies that go to one room."""
    every = tuple(items)
    return Block(every, sum(one.mass_g for one in every), sum(one.volume_mm3 for one in every), every[0].room)


@dataclass(slots=True, eq=False)
class Bin:
    """A box under way; `fixed` is what lay in it before and stays.

    Attributes:
        caps: the most that one box may hold of each currency.
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
        """Return the grams that may still be put in."""
        return self.kind.contents_g - self.mass

    def items(self) -> list[PackItem]:
        """Return everything in it."""
        return [*self.fixed, *(item for block in self.blocks for item in block.items)]

    def takes(self, block: Block, without: Sequence[Block] = ()) -> bool:
        """Tell whether the block fits, after the blocks `without` are taken out."""
        mass = self.mass + block.mass - sum(one.mass for one in without)
        volume = self.volume + block.volume - sum(one.volume for one in without)
        if mass > self.kind.contents_g + TINY_G or volume > self.kind.volume_mm3 or block.room != self.room:
            return False
        gone = set(map(id, without))
        kept = [one for one in self.blocks if id(one) not in gone]
        if not self._spread(block, kept):
            return False
        items = [*self.fixed, *(item for one in kept for item in one.items), *block.items]
        return fits(items, self.kind.inner_mm)

    def put(self, block: Block) -> None:
        """Put a block in."""
        self.blocks.append(block)
        self._count(block, 1)

    def take(self, block: Block) -> None:
        """Take a block out."""
        self.blocks.remove(block)
        self._count(block, -1)

    def filled(self, kind: BoxKind) -> FilledBox:
        """Return the box of the plan, of a kind that takes what is in it."""
        items = tuple(self.items())
        return FilledBox(kind, self.number, self.room, items, pile_up(items, kind.inner_mm) or ())

    def _spread(self, block: Block, kept: Sequence[Block]) -> bool:
        """Tell whether the value stays spread; what alone is over the cap may lie with what has no value."""
        for currency, cap in self.caps.items():
            own = sum(item.value for item in block.items if item.currency == currency)
            others = [*self.fixed, *(item for one in kept for item in one.items)]
            with_it = sum(item.value for item in others if item.currency == currency)
            if own and with_it and own + with_it > cap:
                return False
        return True

    def _count(self, block: Block, sign: int) -> None:
        self.mass += sign * block.mass
        self.volume += sign * block.volume
