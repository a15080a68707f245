"""A scan, the ways to book it, and its result."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from intake.flow.lookup.identify import Identification
from intake.flow.unpacking.advice import Advice
from intake.model.changes import LedgerEntry
from intake.model.editions import Copy, Edition
from intake.model.identifiers import OwnKind
from intake.model.readings import Reading
from intake.model.reasons import Reasons
from intake.model.sightings import Picture, Query, ReadingMethod


@dataclass(frozen=True, slots=True)
class CoverEvidence:
    """Whose cover a picture shows.

    Attributes:
        copies: the copies, best first.
        why: what speaks for it, and what leaves a doubt.
        trusted: whether it can only be the first.
    """

    copies: tuple[str, ...]
    why: Reasons
    trusted: bool


@dataclass(frozen=True, slots=True)
class Scan:
    """What arrived from a picture, a scanner or a keyboard.

    Attributes:
        text: the number with its supplement, or a title as typed; empty where a picture gave nothing.
        request: an id made by the station; the same id twice changes nothing the second time.
        trusted: whether the number may be booked without asking.
        methods: what read it: `ReadingMethod`, or the name of a decoder that is not among them.
        picture: the picture it was read from, already kept in the library.
        others: numbers that it may be too, best first, where it is not trusted.
        cover: what its cover tells, where no number was read for certain.
    """

    text: str
    request: str
    trusted: bool = True
    methods: tuple[str, ...] = (ReadingMethod.TYPED,)
    picture: Picture | None = None
    others: tuple[str, ...] = ()
    cover: CoverEvidence | None = None


def scan_of(reading: Reading, picture: Picture, request: str) -> Scan:
    """Turn a reading into a scan."""
    others = () if reading.accepted else tuple(number for number in reading.candidates if number != reading.number)
    return Scan(number_of(reading), request, reading.accepted, reading.methods, picture, others)


def number_of(reading: Reading) -> str:
    """Return the number with its supplement, as a scan names it."""
    return f"{reading.number} {reading.add_on}" if reading.add_on else reading.number


class Disposition(StrEnum):
    """The ways to book a scan."""

    BOOK = "book"
    AGAIN = "seen again"
    NEW_COPY = "new copy"


@dataclass(frozen=True, slots=True)
class Option:
    """One answer that a person may give; `copy` is None where it would be a new one."""

    act: Disposition
    edition: Edition
    copy: Copy | None


ANSWERS = {Disposition.BOOK: "listed", Disposition.AGAIN: "again", Disposition.NEW_COPY: "new"}
"""How the name of an answer begins."""


def option_name(option: Option) -> str:
    """Name an answer by what it is, not by its place in a list: another answer never gets the same name.

    The copy, or the edition of a new one, stands behind what it would be booked as; where a copy was taken out of its
    box since the name was shown, the name is refused (`intake.flow.unpacking.query_pile.named_option`).
    """
    thing = option.copy.accession if option.copy else str(option.edition.id)
    return f"{ANSWERS[option.act]}:{thing}"


def option_words(option: Option) -> str:
    """Write an answer; the same words on every screen."""
    copy = option.copy
    if copy is None:
        return "a copy that is on no list"
    if option.act is Disposition.AGAIN:
        return f"copy {copy.accession} again, which was seen already"
    where = f"listed in box {copy.box}" if copy.box else "not packed"
    return f"copy {copy.accession}, {where}"


@dataclass(frozen=True, slots=True)
class Question:
    """A question that the tool cannot decide: the scan, its box, the reasons, and the possible answers, best first."""

    scan: Scan
    box: str
    why: Reasons
    options: tuple[Option, ...]


Choose = Callable[[Question], Option | None]
"""Asks a person; None puts the scan on the query pile."""


def defer_to_queue(_question: Question) -> Option | None:
    """Put what is uncertain on the query pile: the default where there is no person to ask."""
    return None


@dataclass(frozen=True, slots=True)
class Booked:
    """A scan that was booked.

    Attributes:
        act: the way it was booked.
        copy: the copy as it now is.
        why: the reasons for the booking, or for the question that a person answered.
    """

    scan: Scan
    identification: Identification
    act: Disposition
    copy: Copy
    edition: Edition
    why: Reasons
    advice: Advice
    entry: LedgerEntry


@dataclass(frozen=True, slots=True)
class Queued:
    """A scan that waits on the query pile, for the reasons in `why`."""

    scan: Scan
    identification: Identification
    query: Query
    why: Reasons
    entry: LedgerEntry


@dataclass(frozen=True, slots=True)
class BookedBefore:
    """A scan that the station had sent before; nothing was changed.

    Attributes:
        entry: the ledger entry of the first time.
        earlier: the earlier answer, as of now; None where what was booked is no longer in the library.
    """

    scan: Scan
    entry: LedgerEntry
    earlier: Booked | Queued | None


@dataclass(frozen=True, slots=True)
class LabelScan:
    """The label of a box or a place, scanned where a book was expected: nothing is booked.

    Attributes:
        words: the box or the place, for a person; empty where the library has no such thing.
    """

    number: str
    kind: OwnKind
    words: str


ScanOutcome = Booked | Queued | BookedBefore
ScanResult = ScanOutcome | LabelScan
