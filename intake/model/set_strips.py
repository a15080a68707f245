"""A set as a row of spines, each told from the others in black and white by how it is filled."""

from dataclasses import dataclass
from enum import StrEnum


class SpineFill(StrEnum):
    """How a volume is drawn; the value is what that means, in the words of the legend."""

    FILLED = "on a shelf"
    HALF = "here, on no shelf"
    HATCHED = "in a box"
    CROSSED = "missing"
    OPEN = "not in the collection"


@dataclass(frozen=True, slots=True)
class DrawnSpine:
    """A volume: its designation, its fill, and what is said of it in words."""

    name: str
    fill: SpineFill
    words: str


@dataclass(frozen=True, slots=True)
class DrawnSet:
    """The volumes of a set in their order."""

    spines: tuple[DrawnSpine, ...]
