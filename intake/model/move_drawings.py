"""What drawings of a move show: rooms with their boxes stacked by stage, and bars of what was done and is left.

Every shape is told from the others in black and white; every figure stands beside its shape in digits.
"""

from dataclasses import dataclass
from enum import StrEnum


class CartonLook(StrEnum):
    """How a carton is drawn; the value says what that means."""

    TAPED = "closed"
    SHADED = "closed, not here yet"
    FLAPS_UP = "open"
    OUTLINE = "empty"


@dataclass(frozen=True, slots=True)
class CartonStack:
    """Boxes of one stage in one room; `words` is what is written below them."""

    look: CartonLook
    count: int
    words: str


@dataclass(frozen=True, slots=True)
class DrawnRoom:
    """A room with its stacks from the left, and how many boxes one drawn carton stands for."""

    name: str
    stacks: tuple[CartonStack, ...]
    each: int = 1


@dataclass(frozen=True, slots=True)
class DrawnBar:
    """One bar: its name, the parts of it that are done, left and lost, and what is written at its end."""

    name: str
    done: int
    left: int
    lost: int
    words: str


@dataclass(frozen=True, slots=True)
class DrawnBars:
    """Bars of one scale, one below the other."""

    title: str
    bars: tuple[DrawnBar, ...]
