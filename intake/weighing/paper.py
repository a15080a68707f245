"""The mass and thickness of a book from its extent, trim size, paper and boards.

    leaves    = pages / 2
    block mm  = leaves x grammage g/m2 x bulk cm3/g / 1000
    text g    = leaves x width m x height m x grammage g/m2

as paper makers and printers compute them (caliper from bulk: common practice of book manufacture; the ranges of bulk,
coated 0.80 to 1.0 and uncoated 1.2 to 1.6 cm3/g, and boards of 2 or 3 mm are those of printers' spine calculators).
The paper is mostly unknown: the stock assumed then, and its wide uncertainty, are from memory. Slipcases, plates on
other paper and inserted material are not considered.
"""

import math
from dataclasses import dataclass

from intake.units.convert import MM_PER_CM
from intake.weighing.estimates import Estimate, product, total, weighted_mean

MM2_PER_M2 = 1e6
SQUARE_MM = 3.0
"""How far boards project beyond the trimmed leaves at head, foot and fore-edge (from memory)."""
BOARD_DENSITY = Estimate(0.70, 0.07)
"""Density of case board in g/cm3 (700 kg/m3); the uncertainty is from memory."""
CLOTH_G = Estimate(25.0, 12.0)
"""Covering, endpapers, bands and glue of a case binding (from memory)."""
TRIM = 0.005
"""Relative uncertainty of a height or width stated in a catalog (from memory)."""
THICKNESS_MM = 1.0
"""Standard uncertainty of a thickness stated in a catalog (from memory)."""
BOOK_DENSITY = (0.4, 1.3)
"""Least and greatest density of a whole book, in g/cm3: published sizes and weights of large illustrated books give 0.7
to 1.0; what is outside is an error in one of the figures (pounds read as kilograms, centimetres as millimetres)."""
LEAF_MM = (0.02, 0.6)
"""Least and greatest thickness of a leaf (from memory: bible paper, and the heaviest of art books)."""
BOOKLET = 50
"""With fewer pages the leaves may be boards, or there may be a portfolio around them (from memory)."""
DISAGREE = 2.0
"""Standard uncertainties by which the estimates from extent and from thickness may differ and still be combined."""


@dataclass(frozen=True, slots=True)
class Stock:
    """A paper: grammage in g/m2 and bulk in cm3/g."""

    name: str
    grammage: Estimate
    bulk: Estimate


COATED = Stock("coated", Estimate(140.0, 15.0), Estimate(0.86, 0.06))
UNCOATED = Stock("uncoated", Estimate(90.0, 12.0), Estimate(1.30, 0.12))
UNKNOWN = Stock("not known", Estimate(115.0, 28.0), Estimate(1.05, 0.20))
GIANT = Stock("not known, of a giant format", Estimate(280.0, 80.0), UNKNOWN.bulk)
GIANT_M2 = 0.25
"""Leaves larger than an A2 sheet need heavier paper to be turned: two such books of published mass have 313 and 369
g/m2 with boards, one of 420 x 320 mm has 120 (see tests/weighing/test_published_masses.py)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """The binding around the leaves: two boards or covers of this thickness, and covering, bands and glue."""

    board_mm: Estimate
    density: Estimate
    square_mm: float
    rest_g: Estimate


CASE = Binding(board_mm=Estimate(2.5, 0.35), density=BOARD_DENSITY, square_mm=SQUARE_MM, rest_g=CLOTH_G)
SOFT = Binding(board_mm=Estimate(0.30, 0.06), density=Estimate(0.85, 0.08), square_mm=0.0, rest_g=Estimate(3.0, 2.0))
SOFT_WORDS = ("soft", "paper", "wrap", "limp", "stapl", "broch", "stitched")


def binding_of(words: str) -> Binding:
    """Return the binding described by the words of a catalog; boards unless they mention soft covers.

    >>> binding_of("softcover") is SOFT, binding_of("") is CASE
    (True, True)
    """
    folded = words.casefold()
    return SOFT if any(word in folded for word in SOFT_WORDS) else CASE


def block_mm(pages: int, grammage: float, bulk: float) -> float:
    """Return the thickness of the leaves.

    >>> round(block_mm(320, 80, 1.6), 2)
    20.48
    """
    return pages / 2 * grammage * bulk / 1000


def text_g(pages: int, width_mm: float, height_mm: float, grammage: float) -> float:
    """Return the mass of the leaves.

    >>> round(text_g(320, 129, 198, 80), 1)
    326.9
    """
    return pages / 2 * width_mm * height_mm / MM2_PER_M2 * grammage


def boards_g(width_mm: float, height_mm: float, board_mm: float, density: float) -> float:
    """Return the mass of two boards of a size and a density in g/cm3.

    >>> round(boards_g(159, 240, 2.5, 0.7), 1)
    133.6
    """
    return 2 * width_mm * height_mm * board_mm * density / MM_PER_CM**3


def density(mass_g: float, height_mm: float, width_mm: float, thickness_mm: float) -> float:
    """Return the density of a whole book, in g/cm3.

    >>> round(density(8000, 420, 320, 70), 2)
    0.85
    """
    return mass_g / (height_mm * width_mm * thickness_mm) * MM_PER_CM**3


def is_plausible(
    *,
    mass_g: float | None,
    height_mm: float | None,
    width_mm: float | None,
    thickness_mm: float | None,
    pages: int | None = None,
) -> bool:
    """Return whether a book can have these figures together; None or 0 is not known, and contradicts nothing."""
    if not thickness_mm:
        return True
    if pages and pages >= BOOKLET:
        least, most = (leaf_mm * pages / 2 for leaf_mm in LEAF_MM)
        if not least <= thickness_mm <= most + 2 * CASE.board_mm.mean:
            return False
    if not (mass_g and height_mm and width_mm):
        return True
    return BOOK_DENSITY[0] <= density(mass_g, height_mm, width_mm, thickness_mm) <= BOOK_DENSITY[1]


def estimate_mass(
    *,
    height_mm: float | None,
    width_mm: float | None,
    pages: int | None = None,
    thickness_mm: float | None = None,
    binding: Binding = CASE,
    stock: Stock | None = None,
) -> Estimate | None:
    """Estimate the mass in grams; None if the trim size, or both extent and thickness, are unknown.

    Computed from extent the grammage is uncertain, from thickness the bulk; where both are known, the two estimates are
    combined. Where they disagree the leaves are unusually thick or thin, so the estimate is that from the thickness:
    the density of paper varies less than its grammage.
    """
    if height_mm is None or width_mm is None or not (pages or thickness_mm):
        return None
    stock = stock or _supposed_stock(height_mm, width_mm)
    area = product(Estimate(height_mm, height_mm * TRIM), Estimate(width_mm, width_mm * TRIM))
    ways = []
    if pages:
        per_gram = product(area, Estimate(pages / 2 / MM2_PER_M2, 0.0))
        ways.append(product(per_gram, stock.grammage, how="from extent and trim size"))
    if thickness_mm:
        block = total((Estimate(thickness_mm, THICKNESS_MM), _negative(2, binding.board_mm)))
        if block.mean > 0:
            gram_per_mm3 = Estimate(1 / stock.bulk.mean / 1000, stock.bulk.relative / stock.bulk.mean / 1000)
            ways.append(product(area, block, gram_per_mm3, how="from its thickness and trim size"))
    if not ways:
        return None
    if len(ways) > 1 and abs(ways[0].mean - ways[1].mean) > DISAGREE * math.hypot(ways[0].sigma, ways[1].sigma):
        ways = ways[1:]
    how = ways[0].how if len(ways) == 1 else "from extent, thickness and trim size"
    return total((weighted_mean(ways, how), _around(height_mm, width_mm, binding)), how)


def estimate_thickness(
    *, pages: int | None, mass_g: float | None = None, mass_sigma_g: float = 0.0, height_mm: float | None = None,
    width_mm: float | None = None, binding: Binding = CASE, stock: Stock | None = None,
) -> Estimate | None:  # fmt: skip
    """Estimate the thickness in millimetres from mass and trim size, else from extent; None if none is known.

    `mass_sigma_g` is the standard uncertainty of the mass.
    """
    boards = _negative(-2, binding.board_mm)
    stock = stock or _supposed_stock(height_mm, width_mm)
    if mass_g and height_mm and width_mm:
        around = _around(height_mm, width_mm, binding)
        leaves = max(mass_g - around.mean, mass_g / 4)
        per_gram = 1000 / (height_mm * width_mm)
        block = product(Estimate(leaves * per_gram, mass_sigma_g * per_gram), stock.bulk)
        return total((block, boards), "from its mass and trim size")
    if pages:
        block = product(Estimate(pages / 2 / 1000, 0.0), stock.grammage, stock.bulk)
        return total((block, boards), "from its extent")
    return None


def _supposed_stock(height_mm: float | None, width_mm: float | None) -> Stock:
    giant = height_mm is not None and width_mm is not None and height_mm * width_mm > GIANT_M2 * MM2_PER_M2
    return GIANT if giant else UNKNOWN


def _around(height_mm: float, width_mm: float, binding: Binding) -> Estimate:
    """Return the mass of boards, covering and the rest."""
    size = (width_mm + binding.square_mm, height_mm + 2 * binding.square_mm)
    mean = boards_g(*size, binding.board_mm.mean, binding.density.mean)
    relative = product(binding.board_mm, binding.density).relative
    return total((Estimate(mean, mean * relative), binding.rest_g))


def _negative(times: int, estimate: Estimate) -> Estimate:
    return Estimate(-times * estimate.mean, abs(times) * estimate.sigma)
