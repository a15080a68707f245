"""The evidence gathered from one picture, and the regions for which it is already sufficient."""

from collections import Counter
from collections.abc import Iterable

from intake.model.readings import Point, Reading
from intake.reading.fuse import ProfileEvidence, SupplementEvidence, fuse, with_supplement
from intake.reading.geometry import WITH_SUPPLEMENT, Grey, area_of, centre_of, contains, lengthen
from intake.reading.grey_profile import Profile, profile
from intake.reading.vote import Vote, add_on_votes, count_votes, group_votes, overlap

COVER = 0.25
"""An accepted reading explains a region if it covers this share of it; the rest may be its supplement or print."""


class Evidence:
    """Votes of decoders and evidence of grey profiles, from which readings are decided.

    Args:
        decoder_count: number of decoders in use.
    """

    def __init__(self, decoder_count: int) -> None:
        self.decoder_count = decoder_count
        self.votes: list[Vote] = []
        self.profiles: list[ProfileEvidence] = []
        self.supplements: list[SupplementEvidence] = []
        self.checked: set[str] = set()
        self.pooled: dict[tuple[Point, ...], Profile | None] = {}
        self.edges_beside: dict[tuple[Point, ...], int] = {}
        self.cached: tuple[Reading, ...] | None = None

    def add(self, new: Iterable[Vote]) -> int:
        """Add votes, except those for another number on the bars of an accepted reading.

        Returns:
            The number of votes added.
        """
        accepted = self.accepted()
        counted = [
            vote
            for vote in new
            if not any(
                vote.symbol.number != reading.number and overlap(vote.symbol.corners, reading.corners)
                for reading in accepted
            )
        ]
        if counted:
            self.votes += counted
            self.cached = None
        return len(counted)

    def add_profile(self, profile: ProfileEvidence | None) -> None:
        """Add the evidence of a grey profile; None adds nothing."""
        if profile is not None:
            self.profiles.append(profile)
            self.cached = None

    def profile_of(self, grey: Grey, corners: tuple[Point, ...]) -> Profile | None:
        """Return the grey profile of a region of the picture, pooled once however many look at it."""
        if corners not in self.pooled:
            self.pooled[corners] = profile(grey, corners)
        return self.pooled[corners]

    def add_surer_profile(self, profile: ProfileEvidence | None) -> None:
        """Add a grey profile that was cut in another way; of two of one place and number the surer takes the place.

        They show the same bars, so that their evidence does not add up.
        """
        if profile is None:
            return
        same = [
            each
            for each in self.profiles
            if each.numbers[:1] == profile.numbers[:1] and overlap(each.corners, profile.corners)
        ]
        if all(profile.error < each.error for each in same):
            self.profiles = [each for each in self.profiles if each not in same]
            self.add_profile(profile)

    def add_supplement(self, supplement: SupplementEvidence | None) -> None:
        """Add the evidence of a grey profile for a supplement; None adds nothing."""
        if supplement is not None:
            self.supplements.append(supplement)
            self.cached = None

    def readings(self) -> tuple[Reading, ...]:
        """Return the readings that all evidence so far supports, best first; cached until evidence is added."""
        if self.cached is None:
            fused = fuse(count_votes(self.votes, self.decoder_count), self.profiles)
            self.cached = tuple(self.with_add_on(reading) for reading in fused) if self.supplements else fused
        return self.cached

    def with_add_on(self, reading: Reading) -> Reading:
        """Return a reading with the supplement that votes and grey profiles together support."""
        same_number = [place for place in group_votes(self.votes) if place.number == reading.number]
        here = [place for place in same_number if overlap(place.corners, reading.corners)]
        return with_supplement(reading, sum((add_on_votes(place) for place in here), Counter()), self.supplements)

    def accepted(self) -> list[Reading]:
        """Return the readings that may be booked."""
        return [reading for reading in self.readings() if reading.accepted]

    def doubtful(self) -> list[Reading]:
        """Return the readings that may not be booked."""
        return [reading for reading in self.readings() if not reading.accepted]

    def has_votes_in(self, corners: tuple[Point, ...]) -> bool:
        """Return whether a decoder read anything in a region."""
        return any(contains(corners, centre_of(vote.symbol.corners)) for vote in self.votes)

    def has_accepted(self, number: str, corners: tuple[Point, ...]) -> bool:
        """Return whether a number was accepted from a symbol in a region."""
        return any(
            reading.number == number and contains(corners, centre_of(reading.corners)) for reading in self.accepted()
        )

    def explains(self, corners: tuple[Point, ...]) -> bool:
        """Return whether a region is mostly an accepted or damaged symbol, or lies in one or in its supplement."""
        if any(not profile.numbers and contains(corners, centre_of(profile.corners)) for profile in self.profiles):
            return True
        return is_explained(corners, self.accepted())


def is_explained(corners: tuple[Point, ...], accepted: Iterable[Reading]) -> bool:
    """Return whether a region is mostly one of the symbols accepted, or lies in one or in its supplement."""
    return any(
        contains(lengthen(reading.corners, WITH_SUPPLEMENT), centre_of(corners))
        or (contains(corners, centre_of(reading.corners)) and area_of(reading.corners) > COVER * area_of(corners))
        for reading in accepted
    )
