"""That a copy was seen, the picture it was seen in, and what could not yet be decided."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from intake.units.language import term

NAMELESS = "picture"
"""The name of a picture that came without one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture kept in the library folder under its SHA-256 (64 hexadecimal digits)."""

    sha256: str
    name: str
    media_type: str
    width_px: int
    height_px: int

    @property
    def title(self) -> str:
        """What a message calls it; a station sends pictures without a name."""
        return "The picture" if self.name == NAMELESS else f"The picture {self.name}"


class ReadingMethod(StrEnum):
    """What a number came from; a sighting may have several."""

    ZXING = "zxing"
    ZBAR = "zbar"
    EDGES = term("edges")
    GREY = term("grey")
    BOOK = term("book")
    PRINT = term("print")
    COVER = term("cover")
    TYPED = term("typed")
    PERSON = term("person")
    PHOTOGRAPH = term("photograph")
    SHELF_CHECK = term("shelf check")


def methods_text(methods: Iterable[str]) -> str:
    """Write methods as a sighting keeps them: with a space between.

    >>> methods_text([ReadingMethod.ZXING, ReadingMethod.ZBAR])
    'zxing zbar'
    """
    return " ".join(methods)


def methods_in(text: str) -> tuple[ReadingMethod | str, ...]:
    """Read the methods of a sighting; a name that this program does not know is kept as it is.

    >>> methods_in("zxing lidar")
    (<ReadingMethod.ZXING: 'zxing'>, 'lidar')
    >>> methods_in("shelf check")
    (<ReadingMethod.SHELF_CHECK: 'shelf check'>,)
    """
    known = {method.value: method for method in ReadingMethod}
    names = [text] if text in known else text.split()
    return tuple(known.get(name, name) for name in names)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """A copy was seen: when, where, by which station, from which reading.

    Attributes:
        methods: what read it, see `methods_in`.
    """

    id: int
    copy: str
    at: datetime
    station: str
    box: str | None = None
    place: str | None = None
    number: str | None = None
    methods: str = ""
    picture: str | None = None


class QueryState(StrEnum):
    """Whether a query still waits for a person."""

    WAITING = "waiting"
    DECIDED = "decided"


class QueryDecision(StrEnum):
    """What became of a query."""

    LISTED_COPY = "listed copy"
    COPY_SEEN_AGAIN = "copy seen again"
    NEW_COPY = "new copy"
    NEW_EDITION = "new edition"
    NOT_A_BOOK = "not a book"
    SAME_BOOK = "same book"


@dataclass(frozen=True, slots=True, kw_only=True)
class Query:
    """One item of the query pile: something in the hand that could not be booked, with all that is known of it.

    Attributes:
        number: what was read or typed, trusted or not; None where nothing was read.
        others: what else it may be, best first, with spaces between; None where nothing else was considered.
        reason: why it waits, as `intake.model.reasons.reasons_text` writes it; a sentence in an older library.
        decision: what a person decided, a `QueryDecision`; a sentence in an older library; empty while it waits.
        copy: the copy that it was booked as.
        same_as: the query that shows the same book.
    """

    id: int
    at: datetime
    station: str
    reason: str
    number: str | None = None
    add_on: str | None = None
    box: str | None = None
    picture: str | None = None
    state: QueryState = QueryState.WAITING
    decision: str = ""
    others: str | None = None
    copy: str | None = None
    same_as: int | None = None
