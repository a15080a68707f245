"""Readings of one frame after another, pooled: evidence adds up, one book gives one reading.

**The rule.** A frame in which a number is accepted settles it. Where frames only suggest a number, what each has beyond
`WEAK` votes (`intake.reading.fuse`) is added up: blur and glare differ from frame to frame, but frames of one book
share its wrinkles and its lens, so that weak and wrong suggestions repeat themselves. The number is accepted when its
sum is `ENOUGH` more than twice its strongest rival's, provided that several frames named it, and not one decoder alone,
which repeats its own mistakes.

A number that was told is not told again until it was not seen, not even as a suggestion, for `GONE` frames: then its
book was taken away, and the same number is a new book (a second copy). Another number is another book, told at once.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from intake.model.readings import Reading
from intake.reading.fuse import scored, votes_of
from intake.reading.vote import ENOUGH

WEAK = 0.8
"""Votes that a suggestion has to have before it counts."""
GONE = 6
"""Frames without any sign of a symbol after which the book is gone."""


@dataclass(frozen=True, slots=True)
class Sum:
    """What the frames so far say of one number."""

    votes: float = 0.0
    frames: int = 0
    methods: frozenset[str] = frozenset()

    def plus(self, reading: Reading) -> "Sum":
        """Add one frame's reading."""
        return Sum(
            self.votes + max(votes_of(reading) - WEAK, 0.0), self.frames + 1, self.methods | set(reading.methods)
        )


@dataclass(frozen=True, slots=True)
class FramePool:
    """The state between two frames.

    Attributes:
        told: numbers that were told, with the frames since each was last seen.
        sums: what was suggested since a number was told.
        empty: frames in a row that showed nothing.
    """

    told: dict[str, int] = field(default_factory=dict)
    sums: dict[str, Sum] = field(default_factory=dict)
    empty: int = 0

    def add(self, readings: Sequence[Reading]) -> tuple["FramePool", tuple[Reading, ...]]:
        """Take in a frame.

        Args:
            readings: everything that `intake.reading.read` returned for it.

        Returns:
            The next state, and the readings that are to be told now.
        """
        seen = {each.number for each in readings}
        told = {number: 0 if number in seen else age + 1 for number, age in self.told.items()}
        told = {number: age for number, age in told.items() if age < GONE}
        empty = 0 if readings else self.empty + 1
        sums = dict(self.sums) if empty < GONE else {}
        new = []
        for each in readings:
            if each.number in told:
                continue
            if not each.accepted:
                sums[each.number] = sums.get(each.number, Sum()).plus(each)
            if each.accepted or enough(each.number, sums):
                new.append(each if each.accepted else sure(each, sums[each.number]))
        told |= {each.number: 0 for each in new}
        return FramePool(told, {} if new else sums, empty), tuple(new)


def enough(number: str, sums: dict[str, Sum]) -> bool:
    """Tell whether a number's sum is enough, by the rule."""
    own = sums[number]
    several = "grey" in own.methods or len(own.methods) > 1
    rival = max((other.votes for name, other in sums.items() if name != number), default=0.0)
    return own.frames > 1 and several and own.votes - 2 * rival >= ENOUGH


def sure(reading: Reading, total: Sum) -> Reading:
    """Return the reading as accepted on the strength of all frames."""
    methods = (*reading.methods, *sorted(total.methods - set(reading.methods)))
    return replace(reading, accepted=True, score=scored(total.votes), methods=methods)


def pooled(frames: Iterable[Sequence[Reading]]) -> list[Reading]:
    """Return what is told over a whole sequence of frames."""
    pool, told = FramePool(), list[Reading]()
    for readings in frames:
        pool, new = pool.add(readings)
        told += new
    return told
