"""What a packing plan is made of and what it says: copies, kinds of box, boxes begun, boxes filled."""

from collections.abc import Mapping
from dataclasses import dataclass, field

Size = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackItem:
    """A copy to be packed.

    Attributes:
        size_mm: height, width, thickness; the order does not matter, it lies on its largest face.
        set_key: copies with the same key belong together, in the order of `order`; empty for a copy of no set.
        room: of destination; a box goes to one room.
        value, currency: what it is worth; 0 where it is not known.
        flat_mm: thickness, shorter and longer side, as it lies on its largest face.
    """

    key: str
    mass_g: float
    size_mm: Size
    set_key: str = ""
    order: tuple[int, str] = (0, "")
    room: str = ""
    value: float = 0.0
    currency: str = ""
    flat_mm: Size = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        thick, short, long = sorted(self.size_mm)
        object.__setattr__(self, "flat_mm", (thick, short, long))

    @property
    def volume_mm3(self) -> float:
        """Return the volume of the block that holds it."""
        return self.size_mm[0] * self.size_mm[1] * self.size_mm[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxKind:
    """A kind of box at hand.

    Attributes:
        inner_mm: length, width and height inside.
        tare_g: empty, with its padding.
        limit_g: the most that box and contents may weigh.
        count: how many there are; None for as many as are needed.
    """

    name: str
    inner_mm: Size
    tare_g: float
    limit_g: float
    count: int | None = None

    @property
    def contents_g(self) -> float:
        """Return the most that may be put in."""
        return self.limit_g - self.tare_g

    @property
    def volume_mm3(self) -> float:
        """Return the space inside."""
        return self.inner_mm[0] * self.inner_mm[1] * self.inner_mm[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class BegunBox:
    """An open box with copies in it, which stay there."""

    number: str
    kind: BoxKind
    room: str
    items: tuple[PackItem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackingRules:
    """What else a plan keeps to.

    Attributes:
        together: keep each set in one box, where a box can hold it.
        share: no box holds more than this part of the value in any currency, a single dearer copy or set excepted;
            None takes a quarter, or where there are few boxes twice what each would hold, but never more than half.
    """

    together: bool = True
    share: float | None = None


@dataclass(frozen=True, slots=True)
class PlacedCopy:
    """Where a copy lies: which pile, and which layer of it, 1 at the bottom; x and y of the pile's corner in mm."""

    key: str
    pile: int
    layer: int
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class FilledBox:
    """One box of the plan.

    Attributes:
        number: of a box that was begun; empty for a new one.
        placed: every copy, pile by pile from the bottom.
    """

    kind: BoxKind
    number: str
    room: str
    items: tuple[PackItem, ...]
    placed: tuple[PlacedCopy, ...]

    @property
    def mass_g(self) -> float:
        """Return the mass of box and contents."""
        return self.kind.tare_g + sum(item.mass_g for item in self.items)


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A copy that no box takes, and why."""

    item: PackItem
    why: str


@dataclass(frozen=True, slots=True)
class PackingPlan:
    """A packing plan.

    Attributes:
        bound: no plan under the same rules needs fewer boxes.
        first: how many boxes the greedy plan needed, before it was improved.
        torn: sets that lie in more than one box, with the number of boxes.
        not_reached: copies that were not placed when the time was up; the bound holds without them.
    """

    boxes: tuple[FilledBox, ...]
    left: tuple[LeftOver, ...]
    bound: int
    first: int
    torn: Mapping[str, int]
    not_reached: int = 0

    @property
    def gap(self) -> float:
        """Return how far the number of boxes is above the bound, as a part of the bound."""
        return len(self.boxes) / self.bound - 1 if self.bound else 0.0
