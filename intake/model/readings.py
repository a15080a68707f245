"""What was read from one picture."""

from dataclasses import dataclass, field

from intake.model.identifiers import NumberKind

Point = tuple[float, float]
"""x to the right and y down, in pixels of the upright picture (EXIF orientation applied), origin at its top left."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One symbol read from a picture.

    Attributes:
        number: 13 digits for the EAN family (a UPC-A carries a leading 0), else the text of an own number.
        accepted: whether it may be booked without asking a person.
        methods: what read it, strongest first ("zxing", "zbar").
        score: 0 to 1, how much the evidence supports the number.
        runner_up: the next best number where one was considered.
        candidates: what to show a person who is asked, at most three, best first; empty where there is but one.
        corners: the four corners of the symbol, clockwise from its own top left; empty where unknown.
    """

    number: str
    kind: NumberKind
    accepted: bool
    score: float
    methods: tuple[str, ...]
    add_on: str | None = None
    runner_up: str | None = None
    corners: tuple[Point, ...] = ()
    candidates: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PictureReadings:
    """Everything read from one picture file; `error` says why there is nothing, if the file could not be opened."""

    file: str
    ms: float
    readings: tuple[Reading, ...] = field(default=())
    error: str | None = None


@dataclass(frozen=True, slots=True)
class SpineLine:
    """One line of text read on a spine.

    Attributes:
        box: left, top, right, bottom, in pixels of the upright picture.
        score: 0 to 1, how surely it was read.
    """

    text: str
    box: tuple[float, float, float, float]
    score: float = 1.0
