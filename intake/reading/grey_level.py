"""The grey-level reader: from a pooled profile to the numbers that fit it, with or without a code book.

1. A coarse search gives places and module widths, read from either end.
2. At each, digits and pose are improved in turn a few times: the digits of greatest likelihood for the pose, the pose
   that fits them best.
3. From the best of them the same is done at leisure, with more digits tried at each turn, and the code book's best
   beside them.
4. Every number that came up is laid onto the profile with a pose, a blur and a light of its own, so that none is
   favoured by the pose found for another, and its misfit is noted.

What the misfits are worth is told in `intake.reading.calibration`.
"""

from dataclasses import dataclass, replace

import numpy as np

from intake.reading.code_book import CodeBook
from intake.reading.geometry import Floats
from intake.reading.grey_profile import SIDE, WIDTH_PX, Profile
from intake.reading.likelihood import evidence, rows_of_digits
from intake.reading.profile_fit import BLUR, Doubles, Fit, Ruler, lay, worst_part
from intake.reading.profile_search import starts
from intake.reading.symbologies import EAN8, EAN13, Bits, Symbology, bits_of, number_of, symbology_of

RULERS = {symbology.name: Ruler(symbology) for symbology in (EAN13, EAN8)}


@dataclass(frozen=True, slots=True)
class Effort:
    """How long a symbology is looked for.

    Attributes:
        narrowest: the symbol as a share of the located region, at least: other bars may have been taken in.
        widest: the same at most: some of its own may have been left out.
        starts: places that the coarse search hands on, for each of the two ways to read.
        kept: how many of all of them are given digits.
        unlike: the misfit of the best of them beyond which there is no symbol.
        hopeless: the same after one turn.
        bluntest: the blur, in modules, of the best after one turn beyond which anything fits.
    """

    narrowest: float
    widest: float
    starts: int
    kept: int
    unlike: float
    hopeless: float
    bluntest: float


EFFORTS = {
    EAN13.name: Effort(narrowest=0.43046875, widest=1.3, starts=10, kept=20, unlike=1.0, hopeless=0.3, bluntest=1.75),
    # It is rare, and is looked for where the likelier has failed already, among them all pictures without a symbol.
    EAN8.name: Effort(narrowest=0.55, widest=1.2, starts=6, kept=4, unlike=0.28, hopeless=0.12, bluntest=1.45),
}
PROMISING = 4
MOST = 8
RIVALS = 4
PATIENCE = 4
"""Turns without a better fit after which the search ends."""
QUICK_BEAM, BEAM = 80, 500


@dataclass(frozen=True, eq=False)
class ProfileCandidate:
    """One number laid onto a profile.

    Attributes:
        number: 13 digits.
        bits: its modules, 1 for ink.
        fit: of the model to the profile.
        turned: whether it is read from the profile's right end.
        listed: whether the code book holds it.
        worst: the misfit of its worst digit; worked out for the candidates that are returned.
    """

    number: str
    bits: Bits
    fit: Fit
    turned: bool
    listed: bool = False
    worst: float = 1.0


class Bench:
    """One profile, one symbology, and every number that was laid onto it, with its best fit."""

    def __init__(self, profile: Profile, symbology: Symbology, book: CodeBook | None) -> None:
        self.values: dict[bool, Floats] = {False: profile.values, True: profile.turn().values}
        self.symbology = symbology
        self.ruler = RULERS[symbology.name]
        self.page = book.pages[symbology.name] if book else None
        self.book = book
        self.tried: dict[str, ProfileCandidate] = {}

    def lay(
        self, numbers: list[str], bits: Bits, poses: Doubles, *, turned: bool, rounds: int
    ) -> list[ProfileCandidate]:
        """Lay numbers onto the profile and remember the best fit of each."""
        fits = lay(self.values[turned], self.ruler, bits, poses, rounds=rounds)
        laid = [
            ProfileCandidate(number, bits[i], fits.one(i), turned, self.is_listed(number))
            for i, number in enumerate(numbers)
        ]
        for each in laid:
            known = self.tried.get(each.number)
            if known is None or each.fit.misfit < known.fit.misfit:
                self.tried[each.number] = each
        return laid

    def begin(self) -> list[ProfileCandidate]:
        """Lay the coarse search's places, with the digits that each suggests, onto the profile."""
        found = []
        effort, module = EFFORTS[self.symbology.name], WIDTH_PX / self.symbology.modules
        for turned, values in self.values.items():
            widths = {"narrowest": effort.narrowest * module, "widest": effort.widest * module}
            places = starts(values, self.symbology, most=effort.starts, **widths)
            if not places:
                continue
            bits = np.stack([start.bits(self.symbology) for start in places])
            poses = np.array([[start.at, start.module, start.bend, 0, 0, BLUR] for start in places])
            fits = lay(values, self.ruler, bits, poses, rounds=3, bends=1)
            found += [ProfileCandidate("", bits[i], fits.one(i), turned) for i in range(len(fits))]
        found.sort(key=lambda each: each.fit.misfit)
        return found[: effort.kept] if found and found[0].fit.misfit <= effort.unlike else []

    def improve(self, begins: list[ProfileCandidate]) -> list[ProfileCandidate]:
        """Give each its most likely digits, and these a better pose; return the best of each."""
        improved: list[ProfileCandidate] = []
        for turned in self.values:
            numbers: list[str] = []
            bits, poses, owners = [], [], []
            for owner, each in enumerate(begins):
                if each.turned is turned:
                    found, drawn = self.proposals(each, most=2, beam=QUICK_BEAM)
                    numbers += found
                    bits.append(drawn)
                    poses += [each.fit.pose] * len(found)
                    owners += [owner] * len(found)
            if numbers:
                laid = self.lay(numbers, np.concatenate(bits), np.stack(poses), turned=turned, rounds=3)
                best: dict[int, ProfileCandidate] = {}
                for owner, candidate in zip(owners, laid, strict=True):
                    if owner not in best or candidate.fit.misfit < best[owner].fit.misfit:
                        best[owner] = candidate
                improved += best.values()
        return distinct(improved)

    def explore(self, begins: list[ProfileCandidate]) -> None:
        """Improve digits and pose in turn, always from the best that was not yet a beginning."""
        waiting, idle = list(begins), 0
        while waiting and idle < PATIENCE:
            record = min((each.fit.misfit for each in self.tried.values()), default=1.0)
            best = waiting.pop(min(range(len(waiting)), key=lambda i: waiting[i].fit.misfit))
            numbers, bits = self.proposals(best, most=MOST, beam=BEAM)
            fresh = [i for i, number in enumerate(numbers) if self.is_new(number, best)]
            if fresh:
                poses = np.tile(best.fit.pose, (len(fresh), 1))
                waiting += self.lay([numbers[i] for i in fresh], bits[fresh], poses, turned=best.turned, rounds=3)
            improved = min((each.fit.misfit for each in self.tried.values()), default=1.0) < record - 1e-4
            idle = 0 if improved else idle + 1

    def best(self, most: int) -> list[ProfileCandidate]:
        """Return the candidates that fit best, best first."""
        return sorted(self.tried.values(), key=lambda each: each.fit.misfit)[:most]

    def weighed(self, most: int) -> list[ProfileCandidate]:
        """Return the best candidates with the misfit of the worst digit of each."""
        return [
            replace(each, worst=worst_part(self.values[each.turned], self.ruler, each.bits, each.fit))
            for each in self.best(most)
        ]

    def is_listed(self, number: str) -> bool:
        """Tell whether the code book holds the number, as one of the bars that are looked for."""
        return self.book is not None and number in self.book and symbology_of(number) is self.symbology

    def is_new(self, number: str, around: ProfileCandidate) -> bool:
        """Tell whether laying the number at this pose may teach anything."""
        known = self.tried.get(number)
        return known is None or known.turned != around.turned or known.fit.misfit > around.fit.misfit

    def proposals(self, around: ProfileCandidate, *, most: int, beam: int) -> tuple[list[str], Bits]:
        """Return the free numbers and those of the code book that fit best at a candidate's pose."""
        seen = evidence(self.values[around.turned], self.ruler, around.fit)
        digits, rows, _ = rows_of_digits(seen, self.symbology, most=most, beam=beam)
        numbers = [number_of(self.symbology, each, row) for each, row in zip(digits, rows, strict=True)]
        bits = self.symbology.bits(digits, rows)
        if self.page is not None:
            best = self.page.best(seen, around.fit.blur, most=most)
            listed = [i for i in best if self.page.numbers[i] not in numbers]
            numbers += [self.page.numbers[i] for i in listed]
            bits = np.concatenate([bits, self.page.modules[listed].astype(np.uint8)])
        return numbers, bits


def distinct(candidates: list[ProfileCandidate]) -> list[ProfileCandidate]:
    """Return the best fit of each number from either end."""
    best: dict[tuple[str, bool], ProfileCandidate] = {}
    for each in candidates:
        key = (each.number, each.turned)
        if key not in best or each.fit.misfit < best[key].fit.misfit:
            best[key] = each
    return list(best.values())


def rivals(profile: Profile, number: str) -> list[ProfileCandidate]:
    """Return a number that was read from the region a profile was made of, and what else it may be, best first.

    Args:
        profile: of the symbol's own outline, so that the symbol begins and ends where the region does.
        number: 13 digits, read in the direction of the outline.
    """
    symbology = symbology_of(number)
    bench = Bench(profile, symbology, None)
    pose = np.array([[SIDE * WIDTH_PX, WIDTH_PX / symbology.modules, 0, 0, 0, BLUR]])
    bits = bits_of([number], symbology)
    best = bench.lay([number], bits, pose, turned=False, rounds=5)[0]
    others, drawn = bench.proposals(best, most=RIVALS, beam=QUICK_BEAM)
    fresh = [i for i, other in enumerate(others) if other != number]
    if fresh:
        poses = np.tile(best.fit.pose, (len(fresh), 1))
        bench.lay([others[i] for i in fresh], drawn[fresh], poses, turned=False, rounds=3)
    return bench.weighed(RIVALS)


def candidates(
    profile: Profile, symbology: Symbology = EAN13, book: CodeBook | None = None, *, most: int = 12
) -> list[ProfileCandidate]:
    """Return the numbers that fit a profile best, each with a pose of its own, best first.

    Args:
        profile: pooled over the rows of a region.
        symbology: EAN-13 or EAN-8.
        book: the catalog's numbers, if there is a catalog.
        most: how many to return at most.
    """
    bench = Bench(profile, symbology, book)
    better = sorted(bench.improve(bench.begin()), key=lambda each: each.fit.misfit)
    effort = EFFORTS[symbology.name]
    if not better or better[0].fit.misfit > effort.hopeless:
        return []
    if better[0].fit.blur > effort.bluntest:
        return bench.weighed(most)
    bench.explore(bench.improve(better[:PROMISING]))
    for turned in (False, True):
        found = [each for each in bench.best(most) if each.turned is turned]
        if found:
            poses = np.stack([each.fit.pose for each in found])
            bench.lay(
                [each.number for each in found], np.stack([each.bits for each in found]), poses, turned=turned, rounds=6
            )
    return bench.weighed(most)
