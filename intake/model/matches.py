"""What a number in the hand may be, ranked, with reasons."""

from dataclasses import dataclass
from enum import StrEnum

from intake.model.editions import Copy, Edition
from intake.model.reasons import Reasons


class MatchVerdict(StrEnum):
    """What the thing in the hand is to this library.

    EXPECTED: a copy listed in this box and not yet seen. ELSEWHERE: a copy listed in another box, or not packed at
    all. SECOND_COPY: the edition is known and each of its copies has been seen already. UNLISTED: the edition is in the
    catalog, and no copy of it was ever recorded. OTHER_EDITION: as UNLISTED, but copies of the same title in another
    edition are recorded. UNKNOWN: no edition carries the number.
    """

    EXPECTED = "expected"
    ELSEWHERE = "elsewhere"
    SECOND_COPY = "second copy"
    OTHER_EDITION = "other edition"
    UNLISTED = "unlisted"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class MatchCandidate:
    """One edition, and the copy of it, that the thing in the hand may be.

    Attributes:
        copy: the recorded copy it would be; None where it would be a new one.
        strength: 0 to 1; comparable within one match only.
        reasons: why it ranks where it does, strongest first.
    """

    edition: Edition
    copy: Copy | None
    verdict: MatchVerdict
    strength: float
    reasons: Reasons


@dataclass(frozen=True, slots=True)
class Match:
    """Candidates, best first, and whether the first may be booked without asking."""

    number: str
    verdict: MatchVerdict
    candidates: tuple[MatchCandidate, ...]
    certain: bool
