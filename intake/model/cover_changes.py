"""What changed between two pictures of one book's cover: places to look at, never a verdict."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, StrEnum

from intake.model.readings import Point


class CoverPart(StrEnum):
    """The part of a cover that a place belongs to, as the earlier picture shows it upright.

    HINGE is the strip along the spine; it is told only where the side of the spine is known.
    """

    TOP_LEFT_CORNER = "top left corner"
    TOP_RIGHT_CORNER = "top right corner"
    BOTTOM_RIGHT_CORNER = "bottom right corner"
    BOTTOM_LEFT_CORNER = "bottom left corner"
    TOP_EDGE = "top edge"
    RIGHT_EDGE = "right edge"
    BOTTOM_EDGE = "bottom edge"
    LEFT_EDGE = "left edge"
    HINGE = "spine side"
    FIELD = "field"


class SpineSide(StrEnum):
    """On which side of the cover, as pictured, the spine is."""

    LEFT = "left"
    RIGHT = "right"


class CompareVerdict(Enum):
    """Whether two pictures could be compared.

    COMPARED: they show one cover, and were laid over each other. STRANGE: they do not agree in enough places. UNFRAMED:
    they agree, but the edges of the cover are not seen in both. SMALL: too few pixels show it.
    """

    COMPARED = "compared"
    STRANGE = "strange"
    UNFRAMED = "unframed"
    SMALL = "small"


class Unjudged(StrEnum):
    """Why a part of the cover was not judged.

    SOFT: it looks different, but has no sharp rim, as light and shadow have none.
    """

    GLARE = "glare"
    CUT_OFF = "cut off"
    SHINE = "shine"
    SOFT = "soft"


class Tone(StrEnum):
    """How a place looks in the later picture beside the earlier one, light evened out."""

    DARKER = "darker"
    LIGHTER = "lighter"
    OTHER = "different"


@dataclass(frozen=True, slots=True)
class CoverChange:
    """A place that looks different.

    Attributes:
        part: where it is.
        tone: how it differs.
        share: its area, of the cover's: 0 to 1.
        outline: its outline, as shares of the cover's width and height, from its top left corner.
        in_before, in_after: the same outline in pixels of the earlier and of the later picture.
        length_mm, width_mm: of the smallest rectangle around it; None where the size of the cover is unknown.
    """

    part: CoverPart
    tone: Tone
    share: float
    outline: tuple[Point, ...]
    in_before: tuple[Point, ...]
    in_after: tuple[Point, ...]
    length_mm: float | None = None
    width_mm: float | None = None


@dataclass(frozen=True, slots=True)
class CoverChanges:
    """What two pictures of one cover show.

    Attributes:
        places: in which the pictures agree.
        changes: the largest first; empty where none is seen, which does not say that there is none.
        frame_before, frame_after: the corners of the cover in each picture, clockwise from the top left of the earlier.
        unjudged: shares of the cover that were not judged, by reason.
    """

    verdict: CompareVerdict
    places: int = 0
    changes: tuple[CoverChange, ...] = ()
    frame_before: tuple[Point, ...] = ()
    frame_after: tuple[Point, ...] = ()
    unjudged: Mapping[Unjudged, float] = field(default_factory=dict)

    @property
    def compared(self) -> float:
        """The share of the cover that was compared."""
        return max(1.0 - sum(self.unjudged.values()), 0.0)

    @property
    def looks_alike(self) -> bool:
        """Whether nothing looks different, not even what may be light or gloss."""
        return not self.changes and not {Unjudged.SHINE, Unjudged.SOFT} & self.unjudged.keys()
