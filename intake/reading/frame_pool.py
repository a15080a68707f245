"""Readings of successive frames, pooled: evidence adds up, and one book gives one reading.

**The rule.** A number that is accepted in any frame is accepted. Where frames only suggest a number, the votes of each
beyond `WEAK` (`intake.reading.fuse`) are added up: blur and glare differ from frame to frame, but the frames of one
book share its wrinkles and the lens, so that weak, wrong suggestions recur. The number is accepted when its sum exceeds
twice its strongest rival's by `ENOUGH`, provided that several frames suggested it, and not from one decoder alone,
which repeats its own mistakes.

A number that was reported is not reported again until it has not been seen, not even as a suggestion, for `GONE`
frames: then its book has been taken away, and the same number is a new book (a second copy). Another number is another
book and is reported at once.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from intake.model.readings import Reading
from intake.reading.fuse import lead_of_reading, score_of
from intake.reading.vote import ENOUGH

WEAK = 0.8
"""Votes of a suggestion that do not count."""
GONE = 6
"""Frames without the number after which its book has been taken away."""


@dataclass(frozen=True, slots=True)
class PooledVotes:
    """The evidence of the frames so far for one number."""

    votes: float = 0.0
    frames: int = 0
    methods: frozenset[str] = frozenset()

    def plus(self, reading: Reading) -> "PooledVotes":
        """Return the sum with one frame's reading added."""
        return PooledVotes(
            self.votes + max(lead_of_reading(reading) - WEAK, 0.0), self.frames + 1, self.methods | set(reading.methods)
        )


@dataclass(frozen=True, slots=True)
class FramePool:
    """The state between two frames.

    Attributes:
        reported: numbers that were reported, with the frames since each was last seen.
        sums: the suggestions since a number was last reported.
        empty: successive frames in which nothing was read.
    """

    reported: dict[str, int] = field(default_factory=dict)
    sums: dict[str, PooledVotes] = field(default_factory=dict)
    empty: int = 0

    def add(self, readings: Sequence[Reading]) -> tuple["FramePool", tuple[Reading, ...]]:
        """Add a frame.

        Args:
            readings: everything that `intake.reading.read` returned for it.

        Returns:
            The next state, and the readings to report now.
        """
        seen = {reading.number for reading in readings}
        reported = {number: 0 if number in seen else age + 1 for number, age in self.reported.items()}
        reported = {number: age for number, age in reported.items() if age < GONE}
        empty = 0 if readings else self.empty + 1
        sums = dict(self.sums) if empty < GONE else {}
        newly_accepted = []
        for reading in readings:
            if reading.number in reported:
                continue
            if not reading.accepted:
                sums[reading.number] = sums.get(reading.number, PooledVotes()).plus(reading)
            if reading.accepted or is_enough(reading.number, sums):
                newly_accepted.append(reading if reading.accepted else accept(reading, sums[reading.number]))
        reported |= {reading.number: 0 for reading in newly_accepted}
        return FramePool(reported, {} if newly_accepted else sums, empty), tuple(newly_accepted)


def is_enough(number: str, sums: dict[str, PooledVotes]) -> bool:
    """Return whether a number's sum is sufficient, by the rule above."""
    own = sums[number]
    several = "grey" in own.methods or len(own.methods) > 1
    rival = max((other.votes for name, other in sums.items() if name != number), default=0.0)
    return own.frames > 1 and several and own.votes - 2 * rival >= ENOUGH


def accept(reading: Reading, total: PooledVotes) -> Reading:
    """Return the reading as accepted, with the score and the methods of all frames."""
    methods = (*reading.methods, *sorted(total.methods - set(reading.methods)))
    return replace(reading, accepted=True, score=score_of(total.votes), methods=methods)
