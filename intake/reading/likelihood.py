"""Digits of greatest likelihood for a profile whose pose, blur and light are known.

With paper A and contrast B removed, the profile is blurred ink and noise, so that the misfit of a row of modules b
(0 or 1) is a quadratic form

    |y - G b|^2 = const - 2 d' b + b' K b,     d = G' y,  K = G' G,

with G the profile of one module of blurred ink at each point. The 7 modules of each digit contribute a term of their
own and, since blur reaches less than 7 modules, one with the digit before it. Rows of digits are built slot by slot (a
beam search); the sets must be the beginning of an allowed parity row, and the check digit must be right at the end.

Beginnings are compared by the least misfit that they can end with, which is known from the last slot back: so many as
are kept, so many rows are found, and no likelier row is left out, as every beginning that is preferred to its own has a
likelier end. By their misfit so far, likely rows would be lost whose beginnings fit badly, as where a pose is half a
module off at one end.

The recursion from the last slot back: A. J. Viterbi, "Error bounds for convolutional codes and an asymptotically
optimum decoding algorithm", IEEE Transactions on Information Theory 13(2), 1967 (cited from memory).

The idea, digits compared as templates under local deformation: O. Gallo and R. Manduchi, "Reading 1D barcodes with
mobile phones using deformable templates", IEEE TPAMI 33(9), 2011. Here the deformation is in the pose.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from intake.reading.geometry import Floats
from intake.reading.profile_fit import FINE, Doubles, Fit, Rows, SampleGrid, differences
from intake.reading.symbologies import CODES, Symbology

BLUR_STEP = 0.025
"""In modules: finer than blur can be measured, and coarse enough for the cache below to fill quickly."""


@dataclass(frozen=True, slots=True)
class ProfileMoments:
    """The coefficients of the quadratic form above for one profile at one pose.

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
def spread(grid: SampleGrid, step: int) -> Doubles:
    """Return G, (points, modules): one module of ink, blurred by `step` times `BLUR_STEP`, at each point."""
    return grid.spread(step * BLUR_STEP)


def profile_moments(values: Floats, grid: SampleGrid, fit: Fit) -> ProfileMoments:
    """Remove a fit's paper and contrast from a profile and return the coefficients of the misfit."""
    here, _ = grid.sample(values, values, fit.pose[None])
    contrast = grid.bases @ fit.contrast
    contrast = np.maximum(contrast, 0.2 * max(float(contrast.max()), 1e-3))
    unexplained = differences(here - fit.paper @ grid.bases[:, 1:].T)[0] / contrast.mean()
    shape = differences((contrast / contrast.mean())[:, None][None] * spread(grid, round(fit.blur / BLUR_STEP))[None])[
        0
    ]
    return ProfileMoments(shape.T @ unexplained / FINE, shape.T @ shape / FINE, float(unexplained @ unexplained) / FINE)


@dataclass(frozen=True, eq=False)
class ParityTree:
    """A prefix tree of the allowed parity rows.

    Attributes:
        following: (nodes, 3), the node after each node for set A, B or C; -1 where not allowed.
        rows: the parity row of each node that is a complete row.
        levels: the nodes after each number of digits, from none.
    """

    following: npt.NDArray[np.intp]
    rows: dict[int, int]
    levels: tuple[npt.NDArray[np.intp], ...]

    def least_rests(self, own: Doubles, pairs: Doubles | None) -> list[Doubles]:
        """Return the least misfit of all digits after each slot, given the node and the code there, (nodes, 30)."""
        codes, after = np.arange(30), np.repeat(self.following, 10, axis=1)
        rests = [np.zeros((len(after), 30))]
        for i in range(len(own) - 1, 0, -1):
            nodes = self.levels[i]
            ahead = np.where(after[nodes] < 0, np.inf, own[i] + rests[0][after[nodes], codes])
            rest = np.full((len(after), 30), np.inf)
            rest[nodes] = (ahead[:, None] + (0 if pairs is None else pairs[i - 1])).min(axis=2)
            rests.insert(0, rest)
        return rests


@lru_cache
def parity_tree(symbology: Symbology) -> ParityTree:
    """Return the prefix tree of a symbology's parity rows."""
    names: dict[tuple[int, ...], int] = {(): 0}
    for row in symbology.parities:
        for length in range(1, len(row) + 1):
            names.setdefault(tuple(int(parity) for parity in row[:length]), len(names))
    following = np.full((len(names), 3), -1, np.intp)
    for name, number in names.items():
        if name:
            following[names[name[:-1]], name[-1]] = number
    rows = {names[tuple(int(parity) for parity in row)]: i for i, row in enumerate(symbology.parities)}
    depths = np.array([len(name) for name in names])
    return ParityTree(following, rows, tuple(np.nonzero(depths == i)[0] for i in range(len(symbology.slots))))


def misfit_terms(moments: ProfileMoments, symbology: Symbology) -> tuple[float, Doubles, Doubles]:
    """Split the misfit into terms of digits.

    Returns:
        The misfit of guards and paper, the term of each code at each slot (slots, 30), and the term of each pair of
        codes in neighbouring slots (slots - 1, 30, 30).
    """
    codes = CODES.astype(np.float64)
    fixed = symbology.fixed.astype(np.float64)
    pull = moments.linear - moments.gram @ fixed
    places = np.add.outer(np.array(symbology.slots), np.arange(7))
    within = moments.gram[places[:, :, None], places[:, None, :]]
    between = moments.gram[places[:-1, :, None], places[1:, None, :]]
    own = ((codes @ within) * codes).sum(axis=2) - 2 * pull[places] @ codes.T
    return float(fixed @ moments.gram @ fixed - 2 * fixed @ moments.linear), own, 2 * codes @ between @ codes.T


def likeliest_digits(
    moments: ProfileMoments, symbology: Symbology, *, most: int, beam: int, valid: bool = True
) -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.intp], Doubles]:
    """Return the rows of digits of least misfit that satisfy parity, best first.

    Args:
        moments: of the profile at a pose.
        symbology: of the symbol.
        most: greatest number to return.
        beam: number of the likeliest rows that are found, of right and wrong check digits together.
        valid: whether to return the rows that satisfy the check too, or those that do not: misprinted ones.

    Returns:
        Digits (n, slots), their parity rows (n,), and their misfits up to the constant (n,).
    """
    return likeliest_rows(*misfit_terms(moments, symbology), symbology, most=most, beam=beam, valid=valid)


def likeliest_rows(
    base: float, own: Doubles, pairs: Doubles | None, symbology: Symbology, *, most: int, beam: int, valid: bool = True
) -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.intp], Doubles]:
    """Return the rows of digits of least misfit; see `likeliest_digits`.

    Args:
        base: the misfit that all have.
        own: that of each code at each slot, (slots, 30).
        pairs: that of each pair of codes in neighbouring slots, (slots - 1, 30, 30); None for none.
        symbology: of the symbol.
        most: greatest number to return.
        beam: number of the likeliest rows that are found, of right and wrong check digits together.
        valid: whether to return the rows that satisfy the check too, or those that do not.
    """
    names = parity_tree(symbology)
    rests = names.least_rests(own, pairs)
    misfit, node = np.array([base]), np.zeros(1, np.intp)
    chosen = np.zeros((1, 0), np.intp)
    for i in range(len(symbology.slots)):
        total = misfit[:, None] + own[i]
        if i and pairs is not None:
            total += pairs[i - 1][chosen[:, -1]]
        after = np.repeat(names.following[node], 10, axis=1)
        promise = np.where(after < 0, np.inf, total + rests[i][after, np.arange(30)]).ravel()
        count = min(beam, int(np.isfinite(promise).sum()))
        kept = np.argpartition(promise, count - 1)[:count]
        parent, code = np.divmod(kept, 30)
        misfit, node = total.ravel()[kept], after.ravel()[kept]
        chosen = np.concatenate([chosen[parent], code[:, None]], axis=1)
    digits = (chosen % 10).astype(np.uint8)
    rows = np.array([names.rows[int(index)] for index in node], np.intp)
    good = np.nonzero(symbology.valid(digits.astype(np.intp), rows) == valid)[0]
    good = good[np.argsort(misfit[good])][:most]
    return digits[good], rows[good], misfit[good]
