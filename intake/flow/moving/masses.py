"""Mass and size of each copy: as the catalog states them, else by paper arithmetic, corrected by others.

Where a catalog states nothing that helps, a copy is taken to be like the middle of the collection, and where nothing is
stated at all, like an illustrated hardcover (from memory); the standard uncertainty then is wide, and says so.

Where mass and size of an edition contradict each other (`intake.weighing.plausible`), neither mass nor thickness is
used, and the copies are named where an estimate is shown.
"""

import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from intake.edges.store.queries.editions import weighed_editions
from intake.edges.store.reader import LibraryReader
from intake.model.editions import Edition
from intake.units.counts import some_of
from intake.units.language import say
from intake.units.local_forms import figures
from intake.weighing import paper
from intake.weighing.estimates import Estimate
from intake.weighing.guess_contents import NO_HEIGHT, NO_THICKNESS
from intake.weighing.plausible import contradicts, stated_mass_g
from intake.weighing.regression import Regression, fit_regression

STATED = 0.02
STATED_G = 10.0
"""Standard uncertainty of the mass that a catalog states for one copy: jacket, printing, paper (from memory)."""
SIDE_MM = 2.0
NOTHING_KNOWN = Estimate(1200.0, 600.0, "nothing is known of it: an illustrated hardcover is supposed")
NO_WIDTH = Estimate(205.0, 45.0, "supposed")
FEWEST = 3
DOUBTED = 5
"""Copies that are named when their mass was not used; further ones are counted."""
ENOUGH = 300
"""A line through more copies than these is not more accurate: the paper of the books differs."""


@dataclass(frozen=True, slots=True)
class Body:
    """What a copy weighs and measures: mass in grams, height, width and thickness in millimetres."""

    mass_g: Estimate
    height_mm: Estimate
    width_mm: Estimate
    thickness_mm: Estimate

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Return height, width and thickness without their uncertainties."""
        return (self.height_mm.mean, self.width_mm.mean, self.thickness_mm.mean)


@dataclass(frozen=True, slots=True)
class Masses:
    """What was learned from the collection: the fitted line, and the median of the stated masses."""

    regression: Regression | None
    middle: Estimate

    def of(self, edition: Edition) -> Body:
        """Return what a copy of an edition weighs and measures."""
        if contradicts(edition):
            edition = replace(edition, mass_g=None, thickness_mm=None)
        mass = self._mass(edition)
        height, width = _side(edition.height_mm, NO_HEIGHT), _side(edition.width_mm, NO_WIDTH)
        return Body(mass, height, width, _thickness(edition, mass))

    def _mass(self, edition: Edition) -> Estimate:
        if edition.mass_g is not None and edition.mass_g > 0:
            return Estimate(edition.mass_g, max(STATED_G, STATED * edition.mass_g), "as the catalog states")
        computed = _computed(edition)
        if computed is None:
            return self.middle
        return self.regression.improve(computed) if self.regression else computed

    def words(self) -> str:
        """Write how the measured copies improve the estimates of the others."""
        line = self.regression
        if line is None:
            return say("Fewer than five copies are both measured and described, so estimates stand as computed.")
        return say(
            "For {count} measured editions, paper arithmetic is wrong by {before} %; corrected by a line through the "
            "others, each left out in turn, by {after} %; {verb}.",
            count=line.count,
            before=figures(100 * line.error_before, 0),
            after=figures(100 * line.error_after, 0),
            verb=say("so it corrects the others") if line.helps else say("so it is not used"),
        )


def doubt_words(names: Sequence[str]) -> str:
    """Write of which copies the stated mass and size were not used; empty for none."""
    if not names:
        return ""
    return say(
        "Stated mass, size and extent contradict each other (a book has 0.4 to 1.3 g/cm³), so mass and thickness were "
        "not used; correct the catalog: {copies}.",
        copies=some_of(names, DOUBTED, "; "),
    )


def of_collection(records: LibraryReader) -> Masses:
    """Learn from everything in the library."""
    return learn(weighed_editions(records, ENOUGH))


def learn(editions: Iterable[Edition]) -> Masses:
    """Learn from editions."""
    stated = [(edition, mass) for edition in editions if (mass := stated_mass_g(edition)) is not None]
    masses = [mass for _, mass in stated]
    pairs = [(computed.mean, mass) for edition, mass in stated if (computed := _computed(edition)) is not None]
    line = fit_regression([pair[0] for pair in pairs], [pair[1] for pair in pairs])
    if len(masses) < FEWEST:
        return Masses(line, NOTHING_KNOWN)
    spread = max(statistics.stdev(masses), STATED_G)
    return Masses(line, Estimate(statistics.median(masses), spread, "like the middle of the collection"))


def _computed(edition: Edition) -> Estimate | None:
    return paper.estimate_mass(
        height_mm=edition.height_mm,
        width_mm=edition.width_mm,
        pages=edition.pages,
        thickness_mm=edition.thickness_mm,
        binding=paper.binding_of(edition.binding),
    )


def _side(stated: float | None, supposed: Estimate) -> Estimate:
    return Estimate(stated, SIDE_MM, "as the catalog states") if stated else supposed


def _thickness(edition: Edition, mass: Estimate) -> Estimate:
    if edition.thickness_mm:
        return Estimate(edition.thickness_mm, paper.THICKNESS_MM, "as the catalog states")
    computed = paper.estimate_thickness(
        pages=edition.pages,
        mass_g=mass.mean,
        mass_sigma_g=mass.sigma,
        height_mm=edition.height_mm,
        width_mm=edition.width_mm,
        binding=paper.binding_of(edition.binding),
    )
    return computed or NO_THICKNESS
