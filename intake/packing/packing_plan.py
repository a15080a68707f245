"""The input and the result of packing: copies, kinds of box, boxes begun, boxes filled."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from intake.units.language import term

Size = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackItem:
    """A copy to be packed.

    Attributes:
        size_mm: height, width, thickness, in any order: the copy lies on its largest face.
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
        """Return the volume of its bounding box."""
        return self.size_mm[0] * self.size_mm[1] * self.size_mm[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxKind:
    """A kind of box that is available.

    Attributes:
        inner_mm: length, width and height inside.
        tare_g: mass when empty, with its padding.
        limit_g: greatest mass of box and contents.
        count: number available; None for any number.
    """

    name: str
    inner_mm: Size
    tare_g: float
    limit_g: float
    count: int | None = None

    @property
    def contents_g(self) -> float:
        """Return the greatest mass of its contents."""
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


@dataclass(frozen=True, slots=True)
class PlacedCopy:
    """The position of a copy in its box; x runs along the box's length, y along its width, from one corner inside.

    Attributes:
        pile, layer: number of its pile, and its layer in it, 1 at the bottom.
        x_mm, y_mm: the corner of the pile, at which all its copies are aligned.
        lengthwise: whether the longer side of the copy lies along the box's length.
    """

    key: str
    pile: int
    layer: int
    x_mm: float
    y_mm: float
    lengthwise: bool


class BoxFlaw(StrEnum):
    """What a person has to know of a box of the plan before it is packed.

    The first two are of open boxes only, as they were found: nothing is added to them.
    """

    NO_PILES = term("what lies in it does not fit in flat piles, by the sizes known")
    OVER_LIMIT = term("what lies in it is over the limit asked for now")
    OVER_SHARE = term("a copy or set in it, or what lay in it already, is worth more than one box should hold")


@dataclass(frozen=True, slots=True)
class FilledBox:
    """One box of the plan.

    Attributes:
        number: its number if it was begun before; empty for a new box.
        placed: every copy, pile by pile from the bottom; empty with `BoxFlaw.NO_PILES`.
        flaws: what is not as it should be.
    """

    kind: BoxKind
    number: str
    room: str
    items: tuple[PackItem, ...]
    placed: tuple[PlacedCopy, ...]
    flaws: tuple[BoxFlaw, ...] = ()

    @property
    def mass_g(self) -> float:
        """Return the mass of box and contents."""
        return self.kind.tare_g + sum(item.mass_g for item in self.items)


class WhyLeft(StrEnum):
    """Why a copy is in no box of the plan."""

    NO_MEASURE = term("its mass or size is not greater than zero")
    NO_KIND = term("no kind of box is available")
    TOO_LARGE = term("it is too large for every box")
    TOO_HEAVY = term("it is too heavy for every box")
    TOO_FEW_BOXES = term("there are not enough boxes")


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A copy that does not fit in any box, and the reason."""

    item: PackItem
    why: WhyLeft


@dataclass(frozen=True, slots=True)
class PackingPlan:
    """A packing plan.

    Attributes:
        bound: lower bound on the number of boxes that the copies in them need under the same rules.
        first: number of boxes of the greedy plan, before improvement.
        torn: sets split over more than one box, with the number of boxes.
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
        """Return the excess of the number of boxes over the bound, as a share of the bound."""
        return len(self.boxes) / self.bound - 1 if self.bound else 0.0
