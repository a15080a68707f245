"""The evidence so far, and which places need no more of them."""

from collections import Counter
from collections.abc import Iterable

from intake.model.readings import Point, Reading
from intake.reading.fuse import Beside, ProfileEvidence, fused, supplemented
from intake.reading.geometry import WITH_SUPPLEMENT, area_of, centre_of, contains, lengthened
from intake.reading.vote import Vote, add_on_votes, overlap, places, readings

COVER = 0.25
"""An accepted reading explains a region of which it covers so much: the rest may be its supplement and small print."""


class Evidence:
    """Evidence as it comes in.

    Args:
        asked: how many decoders there are.
    """

    def __init__(self, asked: int) -> None:
        self.asked = asked
        self.votes: list[Vote] = []
        self.seen: list[ProfileEvidence] = []
        self.beside: list[Beside] = []
        self.confirmed: set[str] = set()
        self.result: tuple[Reading, ...] | None = None

    def add(self, new: Iterable[Vote]) -> int:
        """Count new votes, except those that claim the bars of an accepted reading for another number.

        Returns:
            How many were counted.
        """
        settled = self.accepted()
        counted = [
            vote
            for vote in new
            if not any(
                vote.symbol.number != reading.number and overlap(vote.symbol.corners, reading.corners)
                for reading in settled
            )
        ]
        if counted:
            self.votes += counted
            self.result = None
        return len(counted)

    def add_profile(self, seen: ProfileEvidence | None) -> None:
        """Take in what a grey profile says."""
        if seen is not None:
            self.seen.append(seen)
            self.result = None

    def see_beside(self, beside: Beside | None) -> None:
        """Take in what a grey profile says of a supplement."""
        if beside is not None:
            self.beside.append(beside)
            self.result = None

    def readings(self) -> tuple[Reading, ...]:
        """Return what the votes and the grey profiles amount to; asked far more often than it changes."""
        if self.result is None:
            found = fused(readings(self.votes, self.asked), self.seen)
            self.result = tuple(self.with_add_on(reading) for reading in found) if self.beside else found
        return self.result

    def with_add_on(self, reading: Reading) -> Reading:
        """Decide a reading's supplement by all that is known of it."""
        here = [place for place in places(self.votes) if place.number == reading.number]
        near = [place for place in here if overlap(place.corners, reading.corners)]
        return supplemented(reading, sum((add_on_votes(place) for place in near), Counter()), self.beside)

    def accepted(self) -> list[Reading]:
        """Return the readings that may be booked."""
        return [reading for reading in self.readings() if reading.accepted]

    def doubtful(self) -> list[Reading]:
        """Return the readings that may not be booked yet."""
        return [reading for reading in self.readings() if not reading.accepted]

    def hints(self, corners: tuple[Point, ...]) -> bool:
        """Tell whether anything was read in a region."""
        return any(contains(corners, centre_of(vote.symbol.corners)) for vote in self.votes)

    def holds(self, number: str, corners: tuple[Point, ...]) -> bool:
        """Tell whether the number was accepted from a symbol in a region."""
        return any(
            reading.number == number and contains(corners, centre_of(reading.corners)) for reading in self.accepted()
        )

    def explains(self, corners: tuple[Point, ...]) -> bool:
        """Tell whether a region is, for a good part, an accepted or spoilt symbol, or lies in one or its supplement."""
        if any(not each.numbers and contains(corners, centre_of(each.corners)) for each in self.seen):
            return True
        return any(
            contains(lengthened(reading.corners, WITH_SUPPLEMENT), centre_of(corners))
            or (contains(corners, centre_of(reading.corners)) and area_of(reading.corners) > COVER * area_of(corners))
            for reading in self.accepted()
        )
