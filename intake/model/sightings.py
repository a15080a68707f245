"""That a copy was seen, the picture it was seen in, and what could not yet be decided."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture kept in the library folder under its SHA-256 (64 hexadecimal digits)."""

    sha256: str
    name: str
    media_type: str
    width_px: int
    height_px: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """A copy was seen: when, where, by which station, from which reading."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Query:
    """One item of the query pile: something in the hand that could not be booked, with all that is known of it.

    Attributes:
        number: what was read or typed, trusted or not; None where nothing was read.
        others: what else it may be, best first, with spaces between; None where nothing else was considered.
        reason: why it waits, in words.
        decision: what a person decided ("copy A12K", "not a book"); empty while it waits.
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
