"""Digits of greatest likelihood for a profile whose pose, blur and light are known.

With paper A and contrast B taken out, the profile is the blurred ink and noise, so that the misfit of a row of modules
b (0 or 1) is a quadratic form

    |y - G b|^2 = const - 2 d' b + b' K b,     d = G' y,  K = G' G,

G being what one module of ink looks like, blurred, at each point. A digit's 7 modules give a term of their own, and,
since blur reaches over less than 7 modules, one with the digit before it. The rows of digits are built slot by slot,
keeping the best few hundred at each; the sets must begin an allowed parity row, and the check must hold at the end.

The idea, digits compared as templates under local deformation: O. Gallo and R. Manduchi, "Reading 1D barcodes with
mobile phones using deformable templates", IEEE TPAMI 33(9), 2011. Here the deformation is in the pose.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from intake.reading.geometry import Floats
from intake.reading.profile_fit import FINE, Doubles, Fit, Rows, Ruler, steps
from intake.reading.symbologies import CODES, Symbology

BLUR_STEP = 0.025
"""In modules: finer than a blur can be told, and coarse enough that the shapes of all blurs are soon at hand."""


@dataclass(frozen=True, slots=True)
class ProfileMoments:
    """What a profile says of each module: the quadratic form above.

    Attributes:
        linear: d, (modules,).
        gram: K, (modules, modules).
        energy: |y|^2.
    """

    linear: Doubles
    gram: Doubles
    energy: float

    def misfits(self, bits: Rows) -> Doubles:
        """Return the misfit of each row of modules, up to a constant, (n,)."""
        drawn = bits.astype(np.float64)
        return np.asarray(np.einsum("ij,ij->i", drawn @ self.gram, drawn) - 2 * drawn @ self.linear)


@lru_cache(maxsize=128)
def spread(ruler: Ruler, step: int) -> Doubles:
    """Return G, (points, modules): one module of ink, blurred by so many steps, at each point."""
    return ruler.spread(step * BLUR_STEP)


def evidence(values: Floats, ruler: Ruler, fit: Fit) -> ProfileMoments:
    """Take a fit's light out of a profile and compare what is left with each module."""
    here, _ = ruler.seen(values, values, fit.pose[None])
    contrast = ruler.bases @ fit.contrast
    contrast = np.maximum(contrast, 0.2 * max(float(contrast.max()), 1e-3))
    unexplained = steps(here - fit.paper @ ruler.bases[:, 1:].T)[0] / contrast.mean()
    shape = steps((contrast / contrast.mean())[:, None][None] * spread(ruler, round(fit.blur / BLUR_STEP))[None])[0]
    return ProfileMoments(shape.T @ unexplained / FINE, shape.T @ shape / FINE, float(unexplained @ unexplained) / FINE)


@dataclass(frozen=True, eq=False)
class Tree:
    """The beginnings of the allowed parity rows, numbered: from one and a set to the next, or -1."""

    following: npt.NDArray[np.intp]
    rows: dict[int, int]


@lru_cache
def tree(symbology: Symbology) -> Tree:
    """Number the beginnings of the parity rows."""
    names: dict[tuple[int, ...], int] = {(): 0}
    for row in symbology.parities:
        for length in range(1, len(row) + 1):
            names.setdefault(tuple(int(each) for each in row[:length]), len(names))
    following = np.full((len(names), 3), -1, np.intp)
    for name, number in names.items():
        if name:
            following[names[name[:-1]], name[-1]] = number
    rows = {names[tuple(int(each) for each in row)]: i for i, row in enumerate(symbology.parities)}
    return Tree(following, rows)


def terms(seen: ProfileMoments, symbology: Symbology) -> tuple[float, Doubles, Doubles]:
    """Split the misfit by digits.

    Returns:
        What guards and paper leave, what each code adds at each slot (slots, 30), and what each adds beside each code
        of the slot before (slots - 1, 30, 30).
    """
    codes = CODES.astype(np.float64)
    fixed = symbology.fixed.astype(np.float64)
    pull = seen.linear - seen.gram @ fixed
    places = np.add.outer(np.array(symbology.slots), np.arange(7))
    within = seen.gram[places[:, :, None], places[:, None, :]]
    between = seen.gram[places[:-1, :, None], places[1:, None, :]]
    own = ((codes @ within) * codes).sum(axis=2) - 2 * pull[places] @ codes.T
    return float(fixed @ seen.gram @ fixed - 2 * fixed @ seen.linear), own, 2 * codes @ between @ codes.T


def rows_of_digits(
    seen: ProfileMoments, symbology: Symbology, *, most: int, beam: int
) -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.intp], Doubles]:
    """Return the rows of digits of least misfit that satisfy parity and check, best first.

    Args:
        seen: of the profile at a pose.
        symbology: of the symbol.
        most: how many to return at most.
        beam: how many beginnings are kept at each digit.

    Returns:
        Digits (n, slots), their parity rows (n,), and their misfits up to the constant (n,).
    """
    base, own, pairs = terms(seen, symbology)
    names = tree(symbology)
    misfit, node = np.array([base]), np.zeros(1, np.intp)
    chosen = np.zeros((1, 0), np.intp)
    for i in range(len(symbology.slots)):
        total = misfit[:, None] + own[i]
        if i:
            total += pairs[i - 1][chosen[:, -1]]
        after = np.repeat(names.following[node], 10, axis=1)
        total[after < 0] = np.inf
        flat = total.ravel()
        count = min(beam, int(np.isfinite(flat).sum()))
        kept = np.argpartition(flat, count - 1)[:count]
        parent, code = np.divmod(kept, 30)
        misfit, node = flat[kept], after.ravel()[kept]
        chosen = np.concatenate([chosen[parent], code[:, None]], axis=1)
    digits = (chosen % 10).astype(np.uint8)
    rows = np.array([names.rows[int(each)] for each in node], np.intp)
    good = np.nonzero(symbology.valid(digits.astype(np.intp), rows))[0]
    good = good[np.argsort(misfit[good])][:most]
    return digits[good], rows[good], misfit[good]
