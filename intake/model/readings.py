"""What was read from one picture."""

from dataclasses import dataclass, field

from intake.model.identifiers import NumberKind

Point = tuple[float, float]
"""x to the right and y down, in pixels of the upright picture (EXIF orientation applied), origin at its top left."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One symbol read from a picture.

    Attributes:
        number: 13 digits for the EAN family (a UPC-A has a leading 0), else the text of an own number. Its check digit
            is right, except where the bars are misprinted: then it is what they say, and is never accepted.
        accepted: whether it may be booked without asking a person.
        methods: how it was read, strongest evidence first ("zxing", "zbar", "grey", "print").
        score: 0 to 1, how strongly the evidence supports the number.
        add_on_unread: whether something beside the symbol looks like a supplement, of which nothing sure was read.
        runner_up: the next best number where one was considered.
        candidates: numbers to show a person who has to choose, best first: at most three from a symbol, all that are
            printed on a page; empty where there is only one.
        beside: the words printed beside each candidate ("hardback"), if they were read from text.
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
    beside: tuple[str, ...] = ()
    add_on_unread: bool = False


@dataclass(frozen=True, slots=True)
class PictureReadings:
    """Everything read from one picture file.

    Attributes:
        error: the reason if the file could not be opened or read.
        pages: pages or frames in the file, of which the first was read.
    """

    file: str
    ms: float
    readings: tuple[Reading, ...] = field(default=())
    error: str | None = None
    pages: int = 1


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of text, or a piece of one, read in a picture.

    Attributes:
        box: left, top, right, bottom, in pixels of the upright picture.
        score: 0 to 1, the confidence of the text recognition.
        corners: clockwise from the text's own top left, whichever way it is turned; empty where only the box is known.
    """

    text: str
    box: tuple[float, float, float, float]
    score: float = 1.0
    corners: tuple[Point, ...] = ()

    @property
    def outline(self) -> tuple[Point, ...]:
        """The corners; those of the box where only the box is known."""
        left, top, right, bottom = self.box
        return self.corners or ((left, top), (right, top), (right, bottom), (left, bottom))
