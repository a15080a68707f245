"""The grey-level reader: from a pooled profile to the numbers that fit it, with or without a code book.

1. A coarse search gives starts and module widths, reading from either end.
2. At each, digits and pose are improved alternately a few times: the likeliest digits for the pose, then the pose that
   fits them best.
3. From the best of these the search continues, with more digits tried at each turn, and the best numbers of the code
   book besides. What is never fitted cannot count against a wrong number, so that the digits tried are the likeliest of
   all at their pose (`intake.reading.likelihood`).
4. Every number tried is fitted to the profile with its own pose, blur and light, so that none is favoured by the pose
   of another; its best misfit is kept.
5. At the best pose the digits are compared without the check too: where some of a wrong check digit fit better than
   every number, the symbol is misprinted, and no number is to be made of it.

`intake.reading.calibration` turns misfits into probabilities.
"""

from dataclasses import dataclass, replace

import numpy as np

from intake.reading.code_book import CodeBook
from intake.reading.geometry import Floats
from intake.reading.grey_profile import SIDE, WIDTH_PX, Profile
from intake.reading.likelihood import likeliest_digits, profile_moments
from intake.reading.profile_fit import BLUR, Doubles, Fit, fit_symbols, grids_of, worst_digit_misfit
from intake.reading.profile_search import find_starts
from intake.reading.search_effort import EFFORTS
from intake.reading.symbologies import EAN8, EAN13, Bits, Symbology, bits_of, number_of, symbology_of

TONES = (0.8, 3.0)
"""Other exponents between grey and light than `grey_profile.GAMMA`."""
PROMISING = 4
CLEAR, LIKELIER = 0.02, 0.85
"""A misfit that needs no other explanation, and the share of it that another kind of blur must leave to be likelier."""
MOST, RANKED = 8, 12
RIVALS = 4
MISPRINTS = 3
"""Rows of digits with a wrong check digit that are fitted."""
PATIENCE = 4
"""Turns without a better fit after which the search ends."""
QUICK_BEAM, BEAM = 80, 500
"""Rows of digits that are found, right and wrong check digits together: at a start, and from the best of them on."""


@dataclass(frozen=True, eq=False)
class ProfileCandidate:
    """One number fitted to a profile.

    Attributes:
        number: 13 digits.
        bits: its modules, 1 for ink.
        fit: of the model to the profile.
        turned: whether it is read from the profile's right end.
        listed: whether it is in the code book.
        worst: the misfit of its worst digit, computed only for candidates that are returned.
        valid: whether its check digit is right; where it is wrong, the symbol would be misprinted.
    """

    number: str
    bits: Bits
    fit: Fit
    turned: bool
    listed: bool = False
    worst: float = 1.0
    valid: bool = True


def both_ways(values: Floats) -> dict[bool, Floats]:
    """Return values read from the left (False) and from the right (True)."""
    return {False: values, True: np.ascontiguousarray(values[::-1])}


class CandidateFits:
    """The best fit of every number of one symbology that was fitted to one profile."""

    def __init__(self, profile: Profile, symbology: Symbology, book: CodeBook | None) -> None:
        self.profile = profile
        self.values = both_ways(profile.values)
        self.symbology = symbology
        self.grid, *self.other_grids = grids_of(symbology)
        self.page = book.pages.get(symbology.name) if book else None
        self.book = book
        self.tried: dict[str, ProfileCandidate] = {}

    def fit(
        self, numbers: list[str], bits: Bits, poses: Doubles, *, turned: bool, rounds: int, valid: bool = True
    ) -> list[ProfileCandidate]:
        """Fit numbers to the profile and keep the best fit of each."""
        fits = fit_symbols(self.values[turned], self.grid, bits, poses, rounds=rounds)
        candidates = [
            ProfileCandidate(number, bits[i], fits.row(i), turned, self.is_listed(number), valid=valid)
            for i, number in enumerate(numbers)
        ]
        for candidate in candidates:
            known = self.tried.get(candidate.number)
            if known is None or candidate.fit.misfit < known.fit.misfit:
                self.tried[candidate.number] = candidate
        return candidates

    def initial_fits(self) -> list[ProfileCandidate]:
        """Fit the starts of the coarse search, with the digits that each suggests; return the best."""
        candidates = []
        effort, module = EFFORTS[self.symbology.name], WIDTH_PX / self.symbology.modules
        for turned, values in self.values.items():
            widths = {"narrowest": effort.narrowest * module, "widest": effort.widest * module}
            starts = find_starts(values, self.symbology, most=effort.starts, **widths)
            if not starts:
                continue
            bits = np.stack([start.bits(self.symbology) for start in starts])
            poses = np.array([[start.at, start.module, start.bend, 0, 0, BLUR] for start in starts])
            fits = fit_symbols(values, self.grid, bits, poses, rounds=3, bends=1)
            candidates += [ProfileCandidate("", bits[i], fits.row(i), turned) for i in range(len(fits))]
        candidates.sort(key=lambda candidate: candidate.fit.misfit)
        return candidates[: effort.kept] if candidates and candidates[0].fit.misfit <= effort.unlike else []

    def improve(self, candidates: list[ProfileCandidate]) -> list[ProfileCandidate]:
        """Give each candidate its likeliest digits and improve their pose; return the best of each."""
        improved: list[ProfileCandidate] = []
        for turned in self.values:
            numbers: list[str] = []
            bits, poses, owners = [], [], []
            for owner, candidate in enumerate(candidates):
                if candidate.turned is turned:
                    proposed, drawn = self.proposals(candidate, most=2, beam=QUICK_BEAM)
                    numbers += proposed
                    bits.append(drawn)
                    poses += [candidate.fit.pose] * len(proposed)
                    owners += [owner] * len(proposed)
            if numbers:
                fitted = self.fit(numbers, np.concatenate(bits), np.stack(poses), turned=turned, rounds=3)
                best: dict[int, ProfileCandidate] = {}
                for owner, candidate in zip(owners, fitted, strict=True):
                    if owner not in best or candidate.fit.misfit < best[owner].fit.misfit:
                        best[owner] = candidate
                improved += best.values()
        return best_per_number(improved)

    def under_likelier_light(self, candidates: list[ProfileCandidate]) -> list[ProfileCandidate]:
        """Return candidates by their misfit, under the kind of blur and the tone that explain the best of them best.

        All candidates of a profile are compared under the same.
        """
        result = sorted(candidates, key=lambda candidate: candidate.fit.misfit)
        effort = EFFORTS[self.symbology.name]
        for most, kinds in (
            (effort.unlike, [(grid, self.values) for grid in self.other_grids]),
            (effort.hopeless, [(None, both_ways(self.profile.toned(gamma))) for gamma in TONES]),
        ):
            if not result or not CLEAR < result[0].fit.misfit < most:
                break
            first, limit = result[:PROMISING], LIKELIER * result[0].fit.misfit
            kept = (self.grid, self.values, self.tried)
            for grid, values in kinds:
                self.grid, self.values, self.tried = grid or kept[0], values, {}
                again = self.fit_again(first, rounds=4)
                if again[0].fit.misfit < limit:
                    kept, result, limit = (self.grid, self.values, self.tried), again, again[0].fit.misfit
            self.grid, self.values, self.tried = kept
        return result

    def fit_again(self, candidates: list[ProfileCandidate], *, rounds: int) -> list[ProfileCandidate]:
        """Fit candidates further, each from its own pose, and return them by their misfit."""
        fitted: list[ProfileCandidate] = []
        for turned in self.values:
            same = [candidate for candidate in candidates if candidate.turned is turned]
            if same:
                numbers = [candidate.number for candidate in same]
                bits = np.stack([candidate.bits for candidate in same])
                poses = np.stack([candidate.fit.pose for candidate in same])
                fitted += self.fit(numbers, bits, poses, turned=turned, rounds=rounds)
        return sorted(fitted, key=lambda candidate: candidate.fit.misfit)

    def explore(self, candidates: list[ProfileCandidate]) -> None:
        """Improve digits and pose alternately, each time from the best candidate not yet used."""
        waiting, idle = list(candidates), 0
        while waiting and idle < PATIENCE:
            record = min((candidate.fit.misfit for candidate in self.tried.values()), default=1.0)
            best = waiting.pop(min(range(len(waiting)), key=lambda i: waiting[i].fit.misfit))
            waiting += self.fit_from(best, *self.proposals(best, most=MOST, beam=BEAM))
            improved = min((candidate.fit.misfit for candidate in self.tried.values()), default=1.0) < record - 1e-4
            idle = 0 if improved else idle + 1

    def fit_from(self, around: ProfileCandidate, numbers: list[str], bits: Bits) -> list[ProfileCandidate]:
        """Fit those of some numbers whose best fit a candidate's pose may improve on, from that pose."""
        new = [i for i, number in enumerate(numbers) if self.is_new(number, around)]
        if not new:
            return []
        poses = np.tile(around.fit.pose, (len(new), 1))
        return self.fit([numbers[i] for i in new], bits[new], poses, turned=around.turned, rounds=3)

    def add_misprints(self) -> None:
        """Fit the digits of a wrong check digit that are likeliest at the pose of the best candidate."""
        for best in self.best(1):
            moments = profile_moments(self.values[best.turned], self.grid, best.fit)
            digits, rows, _ = likeliest_digits(moments, self.symbology, most=MISPRINTS, beam=QUICK_BEAM, valid=False)
            if len(digits):
                numbers = [number_of(self.symbology, each, row) for each, row in zip(digits, rows, strict=True)]
                poses = np.tile(best.fit.pose, (len(digits), 1))
                bits = self.symbology.bits(digits, rows)
                self.fit(numbers, bits, poses, turned=best.turned, rounds=6, valid=False)

    def best(self, most: int) -> list[ProfileCandidate]:
        """Return the candidates that fit best, best first."""
        return sorted(self.tried.values(), key=lambda candidate: candidate.fit.misfit)[:most]

    def best_with_worst_digit(self, most: int) -> list[ProfileCandidate]:
        """Return the best candidates, each with the misfit of its worst digit."""
        return [
            replace(
                candidate,
                worst=worst_digit_misfit(self.values[candidate.turned], self.grid, candidate.bits, candidate.fit),
            )
            for candidate in self.best(most)
        ]

    def is_listed(self, number: str) -> bool:
        """Return whether the code book has the number, in this symbology."""
        short = symbology_of(number) is EAN8
        return self.book is not None and number in self.book and short is (self.symbology is EAN8)

    def is_new(self, number: str, around: ProfileCandidate) -> bool:
        """Return whether fitting the number from this pose may improve on its best fit."""
        known = self.tried.get(number)
        return known is None or known.turned != around.turned or known.fit.misfit > around.fit.misfit

    def proposals(self, around: ProfileCandidate, *, most: int, beam: int) -> tuple[list[str], Bits]:
        """Return the numbers that fit best at a candidate's pose, among all and in the code book, with their bits."""
        moments = profile_moments(self.values[around.turned], self.grid, around.fit)
        digits, rows, _ = likeliest_digits(moments, self.symbology, most=most, beam=beam)
        numbers = [
            number_of(self.symbology, number_digits, row) for number_digits, row in zip(digits, rows, strict=True)
        ]
        bits = self.symbology.bits(digits, rows)
        if self.page is not None:
            best = self.page.best(moments, around.fit.blur, most=most)
            listed = [i for i in best if self.page.numbers[i] not in numbers]
            numbers += [self.page.numbers[i] for i in listed]
            bits = np.concatenate([bits, self.page.modules[listed].astype(np.uint8)])
        return numbers, bits


def best_per_number(candidates: list[ProfileCandidate]) -> list[ProfileCandidate]:
    """Return the best fit of each number in each reading direction."""
    best: dict[tuple[str, bool], ProfileCandidate] = {}
    for candidate in candidates:
        key = (candidate.number, candidate.turned)
        if key not in best or candidate.fit.misfit < best[key].fit.misfit:
            best[key] = candidate
    return list(best.values())


def rank_rivals(profile: Profile, number: str) -> list[ProfileCandidate]:
    """Return a number read from the region of a profile and its likeliest rivals, best fit first.

    Args:
        profile: of the symbol's own outline, so that the symbol begins and ends where the region does.
        number: 13 digits, read in the direction of the outline.
    """
    symbology = symbology_of(number)
    fits = CandidateFits(profile, symbology, None)
    pose = np.array([[SIDE * WIDTH_PX, WIDTH_PX / symbology.modules, 0, 0, 0, BLUR]])
    best = fits.fit([number], bits_of([number], symbology), pose, turned=False, rounds=5)[0]
    fits.fit_from(best, *fits.proposals(best, most=RIVALS, beam=QUICK_BEAM))
    fits.add_misprints()
    return fits.best_with_worst_digit(RIVALS)


def rank_candidates(
    profile: Profile, symbology: Symbology = EAN13, book: CodeBook | None = None
) -> list[ProfileCandidate]:
    """Return the numbers that fit a profile best, each with its own pose, best first.

    Args:
        profile: pooled over the rows of a region.
        symbology: EAN-13, EAN-8 or UPC-E.
        book: the numbers of the catalog, if there is one.
    """
    fits = CandidateFits(profile, symbology, book)
    better = fits.under_likelier_light(fits.improve(fits.initial_fits()))
    effort = EFFORTS[symbology.name]
    if not better or better[0].fit.misfit > effort.hopeless:
        return []
    if better[0].fit.blur > effort.bluntest:
        return fits.best_with_worst_digit(RANKED)
    fits.explore(fits.improve(better[:PROMISING]))
    fits.fit_again(fits.best(RANKED), rounds=6)
    fits.add_misprints()
    return fits.best_with_worst_digit(RANKED)
