"""A serial as a ruler, and the editions that collect its parts as bars beneath it: what a drawing of it shows.

Places count the parts of one line from 0; a span has both its ends.
"""

from dataclasses import dataclass
from enum import StrEnum

from intake.units.language import term


class BarFill(StrEnum):
    """How a bar is filled, so that black and white does, and what that means in the words of the legend."""

    FILLED = term("owned")
    HATCHED = term("still boxed")
    OUTLINED = term("not owned")


@dataclass(frozen=True, slots=True)
class RulerTick:
    """A mark at a part, with the part's number as it is written; `begins` a run, or is a round number."""

    place: int
    label: str
    begins: bool = False


@dataclass(frozen=True, slots=True)
class RulerBar:
    """An edition, with the spans that it collects; `parts` says the same in words.

    Attributes:
        ending: how its name ends where that tells it from others; not cut off where the name is shortened.
    """

    name: str
    parts: str
    fill: BarFill
    spans: tuple[tuple[int, int], ...]
    ending: str = ""


@dataclass(frozen=True, slots=True)
class RulerLine:
    """One line of a serial's parts.

    Attributes:
        name: of a line of its own ("annual"); empty for the main one.
        size: count of its parts.
        gaps: spans of what is missing, each with its words.
        bars: the editions, in the order of what they begin with.
    """

    name: str
    size: int
    ticks: tuple[RulerTick, ...]
    gaps: tuple[tuple[tuple[int, int], str], ...]
    bars: tuple[RulerBar, ...]


@dataclass(frozen=True, slots=True)
class DrawnSerial:
    """A serial to draw: its title, how much of it is held, its lines, and what of it the lines do not show."""

    title: str
    words: str
    lines: tuple[RulerLine, ...]
    remarks: tuple[str, ...] = ()
