"""Symbols fitted to a profile: position, module width, bend, blur and light together, by least squares.

The model. At u modules from the symbol's left edge the profile is

    y(x(u)) = A(u) + B(u) t(u; s) + noise

with t the ink, 0 or 1, of the modules, blurred by s modules (by a disc, or by a line where the camera moved, and a
Gaussian, whose joint standard deviation is s); A and B (paper and contrast) polynomials of second degree in v; and the
position in samples

    x(u) = at + module (u + c2 (v^2 - 1) + c3 (v^3 - v) + c4 (v^4 - v^2)),     v = u / half - 1,

whose bends vanish at both ends. A and B are linear and solved for directly; the others are improved together by damped
Gauss-Newton steps (Levenberg and Marquardt), with a ridge on the bends. Many candidates are fitted at a time.

Differences of levels over one module are compared, at every quarter of a module, not the levels themselves: shadows and
glare change slowly and so hardly count, and the errors at neighbouring points are less correlated. The misfit is the
share of the sum of squared differences that the model leaves unexplained, 0 to 1.

Arrays of poses have six columns: at and module in samples, c2, c3, c4 and s in modules.

Source: G. H. Golub and V. Pereyra, "Separable nonlinear least squares", Inverse Problems 19 (2003) R1.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from intake.reading.geometry import Floats
from intake.reading.symbologies import Bits, Symbology

FINE = 4
"""Points per module at which the model is compared with the profile."""
QUIET = 5.0
"""Modules of paper that are compared left and right, well inside the quiet zones of 7 and 11."""
SHARPEST, BLUNTEST = 0.25, 1.8
"""Bounds of the blur, in modules: a sensor's own, and where digits cannot be distinguished any more."""
RIDGE = np.array([0.0, 0.0, 0.1, 0.6, 0.6, 0.0])
"""Penalty on each parameter, per module squared; the first bend is that of a slanting view, and common."""
LIMITS = np.array([2.0, 0.02, 1.0, 0.6, 0.6, 0.3])
"""Greatest change in one step: the first in modules, the second relative."""
BLUR = 0.9
"""Initial blur, in modules."""

DISC, GAUSS = 0.9, 0.436
"""A lens out of focus spreads each point to a disc; lens, sensor and hand soften its edge."""
SMALL, SOFT = 0.8, 0.6
"""The same where lens, sensor and hand contribute more."""
LINE, EVEN = 0.94, 0.34
"""A hand that moves spreads each point to a line, which lens and sensor soften."""
NUDGE = 0.02

Doubles = npt.NDArray[np.float64]
Rows = Bits | Floats | Doubles
"""Rows of modules, 1 for ink; values between 0 and 1 are allowed."""


def disc_transfer(phase: Doubles) -> Doubles:
    """Return the transfer function of a disc of light of standard deviation 1 along a line: 2 J1(2x) / 2x."""
    turn = np.linspace(0, np.pi, 129)
    bessel = np.trapezoid(np.cos(turn - 2 * phase[:, None] * np.sin(turn)), turn, axis=1) / np.pi
    return np.asarray(bessel / np.maximum(phase, 1e-9))


FINENESS = 200
"""Entries of the table below per radian."""
PHASES = np.arange(40 * FINENESS) / FINENESS + 1e-6
DEFOCUS = disc_transfer(DISC * PHASES) * np.exp(-0.5 * (GAUSS * PHASES) ** 2)
SOFTER = disc_transfer(SMALL * PHASES) * np.exp(-0.5 * (SOFT * PHASES) ** 2)
MOTION = np.sinc(np.sqrt(3) * LINE * PHASES / np.pi) * np.exp(-0.5 * (EVEN * PHASES) ** 2)
BLURS = (DEFOCUS, SOFTER, MOTION)
"""The share of a wave's amplitude left by each kind of blur of standard deviation 1."""


def transfer(phase: Doubles, shares: Doubles = DEFOCUS) -> Doubles:
    """Return the share of a wave's amplitude left by blur; the phase is 2 pi times the blur over the wavelength."""
    place = phase * FINENESS
    low = place.astype(np.intp)
    return np.asarray(shares[low] + (place - low) * (shares[low + 1] - shares[low]))


@dataclass(frozen=True, eq=False)
class Fits:
    """Models fitted to a profile, one per row; see the model above."""

    poses: Doubles
    misfits: Doubles
    papers: Doubles
    contrasts: Doubles

    def __len__(self) -> int:
        return len(self.misfits)

    def row(self, i: int) -> "Fit":
        """Return the fit in one row."""
        return Fit(self.poses[i], float(self.misfits[i]), self.papers[i], self.contrasts[i])


@dataclass(frozen=True, eq=False)
class Fit:
    """One model fitted to a profile."""

    pose: Doubles
    misfit: float
    paper: Doubles
    contrast: Doubles

    @property
    def blur(self) -> float:
        """The blur, in modules."""
        return float(self.pose[5])


class SampleGrid:
    """The points at which one symbology is compared with a profile.

    Attributes:
        u: (points,), in modules from the symbol's left edge.
        bases: (points, 3), 1, v and v^2.
        bend: (points, 3), the shapes of the bends.
        cells: (points,), the module of each point; -1 on the paper around the symbol.
        shares: `DEFOCUS`, `SOFTER` or `MOTION`, by what the picture is blurred.
    """

    def __init__(self, symbology: Symbology, shares: Doubles = DEFOCUS) -> None:
        self.symbology = symbology
        self.shares = shares
        self.u = np.arange(-QUIET + 0.5 / FINE, symbology.modules + QUIET, 1 / FINE)
        v = 2 * self.u / symbology.modules - 1
        self.bases = np.stack([np.ones_like(v), v, v**2], axis=1)
        inside = np.clip(v, -1, 1)
        self.bend = np.stack([inside**2 - 1, inside**3 - inside, inside**4 - inside**2], axis=1)
        cells = np.floor(self.u).astype(int)
        self.cells = np.where(cells < symbology.modules, np.maximum(cells, -1), -1)
        self.length = 1 << int(np.ceil(np.log2(len(self.u) + 8 * FINE * BLUNTEST)))
        self.waves = np.fft.rfftfreq(self.length) * 2 * np.pi * FINE  # in radians per module

    def sample(self, values: Floats, slopes: Floats, poses: Doubles) -> tuple[Doubles, Doubles]:
        """Return the profile and its slope per sample, interpolated at the points, each (poses, points)."""
        x = poses[:, :1] + poses[:, 1:2] * (self.u + poses[:, 2:5] @ self.bend.T)
        x = np.clip(x, 0, len(values) - 1.001)
        low = x.astype(np.intp)
        share = x - low
        return values[low] * (1 - share) + values[low + 1] * share, slopes[low] * (1 - share) + slopes[low + 1] * share

    def ink(self, bits: Rows, blurs: Doubles) -> tuple[Doubles, Doubles]:
        """Return the blurred ink at the points and its derivative by the blur, each (rows, points)."""
        padded = np.concatenate([bits, np.zeros((len(bits), 1))], axis=1)[:, self.cells]
        spectrum = np.fft.rfft(padded, self.length, axis=1)
        phase = self.waves * blurs[:, None]
        now, later = transfer(phase, self.shares), transfer(phase * (1 + NUDGE), self.shares)
        change = spectrum * (later - now) / (NUDGE * blurs[:, None])
        both = np.fft.irfft(np.concatenate([spectrum * now, change]), self.length, axis=1)[:, : len(self.u)]
        return both[: len(bits)], both[len(bits) :]

    def spread(self, blur: float) -> Doubles:
        """Return one module of ink, blurred, at each point, (points, modules)."""
        modules = np.eye(self.symbology.modules)
        return np.ascontiguousarray(self.ink(modules, np.full(len(modules), blur))[0].T)


@lru_cache
def grids_of(symbology: Symbology) -> tuple[SampleGrid, ...]:
    """Return the points of a symbology under each kind of blur, in the order of `BLURS`."""
    return tuple(SampleGrid(symbology, shares) for shares in BLURS)


def fit_symbols(values: Floats, grid: SampleGrid, bits: Rows, poses: Doubles, *, rounds: int, bends: int = 3) -> Fits:
    """Fit the poses, blurs and light of many symbols to one profile.

    Args:
        values: the profile, (n,).
        grid: of the symbology.
        bits: (rows, modules), the symbols; values between 0 and 1 are allowed.
        poses: (rows, 6), the initial poses.
        rounds: number of steps.
        bends: how many of the three bends are free.
    """
    free = [0, 1, *range(2, 2 + bends), 5]
    slopes = np.gradient(values).astype(np.float32)
    damping = np.full(len(poses), 1e-3)
    best, step = linearise(values, slopes, grid, bits, poses, free)
    for _ in range(rounds):
        change = damped_step(*step, damping)
        trial = apply_step(best.poses, change, free)
        fits, next_step = linearise(values, slopes, grid, bits, trial, free)
        better = fits.misfits < best.misfits
        best = Fits(
            *(np.where(better.reshape(-1, *[1] * (new.ndim - 1)), new, old) for new, old in paired_parts(fits, best))
        )
        step = (
            np.where(better[:, None, None], next_step[0], step[0]),
            np.where(better[:, None], next_step[1], step[1]),
        )
        damping = np.where(better, damping * 0.2, damping * 8)
    return best


def paired_parts(fits: Fits, other: Fits) -> list[tuple[Doubles, Doubles]]:
    """Return the arrays of two sets of fits in pairs."""
    return [
        (fits.poses, other.poses),
        (fits.misfits, other.misfits),
        (fits.papers, other.papers),
        (fits.contrasts, other.contrasts),
    ]


def linearise(
    values: Floats, slopes: Floats, grid: SampleGrid, bits: Rows, poses: Doubles, free: list[int]
) -> tuple[Fits, tuple[Doubles, Doubles]]:
    """Solve for paper and contrast at given poses; return the fits and the normal equations of the next step."""
    here, slope = grid.sample(values, slopes, poses)
    ink, blunter = grid.ink(bits, poses[:, 5])
    bases = np.broadcast_to(grid.bases, (len(poses), *grid.bases.shape))
    design = differences(np.concatenate([bases[:, :, 1:], bases * ink[:, :, None]], axis=2))
    across = design.transpose(0, 2, 1)
    gram = across @ design + 1e-6 * np.eye(5)
    rise = differences(here)
    light = np.asarray(np.linalg.solve(gram, across @ rise[:, :, None])[:, :, 0], np.float64)
    residual = rise - (design @ light[:, :, None])[:, :, 0]
    rest = (residual**2).sum(axis=1)
    fits = Fits(poses, rest / ((rise**2).sum(axis=1) + 1e-3), light[:, :2], light[:, 2:])
    contrast = light[:, 2:] @ grid.bases.T
    in_modules = slope * poses[:, 1:2]
    moves = [in_modules, in_modules * grid.u, *(in_modules * grid.bend[:, i] for i in range(3)), -blunter * contrast]
    jacobian = differences(np.stack([moves[i] for i in free], axis=2))
    # Paper and contrast adapt to the pose: the part of a step that they can compensate is projected out.
    cross = across @ jacobian
    turned = jacobian.transpose(0, 2, 1)
    normal = turned @ jacobian - cross.transpose(0, 2, 1) @ np.linalg.solve(gram, cross)
    noise = (rest / residual.shape[1] + 1e-6)[:, None]
    ridge = RIDGE[free]
    gradient = -(turned @ residual[:, :, None])[:, :, 0] / noise / FINE - ridge * poses[:, free]
    normal = normal / noise[:, :, None] / FINE + np.diag(ridge + 1e-6)
    return fits, (normal, gradient)


def worst_digit_misfit(values: Floats, grid: SampleGrid, bits: Bits, fit: Fit) -> float:
    """Return the misfit of the worst digit, relative to the mean squared difference of the profile.

    A wrong digit, or a pose that is off by a module at one end, fits well everywhere else.
    """
    here, _ = grid.sample(values, values, fit.pose[None])
    ink, _ = grid.ink(bits[None], fit.pose[5:])
    model = fit.paper @ grid.bases[:, 1:].T + (grid.bases @ fit.contrast) * ink[0]
    residual, rise = differences(here - model)[0] ** 2, differences(here)[0] ** 2
    middle = grid.u[FINE // 2 : -(FINE // 2)]
    parts = [float(residual[(middle >= slot) & (middle < slot + 7)].mean()) for slot in grid.symbology.slots]
    return max(parts) / (float(rise.mean()) + 1e-6)


def differences(points: Doubles) -> Doubles:
    """Return the differences over one module, along the second axis."""
    return np.asarray(points[:, FINE:] - points[:, :-FINE])


def damped_step(normal: Doubles, gradient: Doubles, damping: Doubles) -> Doubles:
    """Solve the damped normal equations, one system per row."""
    size = normal.shape[1]
    diagonal = np.einsum("rii->ri", normal) * damping[:, None] + 1e-9
    return np.asarray(np.linalg.solve(normal + diagonal[:, :, None] * np.eye(size), gradient[:, :, None])[:, :, 0])


def apply_step(poses: Doubles, change: Doubles, free: list[int]) -> Doubles:
    """Return the poses after a step, limited to `LIMITS`."""
    limits = LIMITS[free]
    change = np.clip(np.nan_to_num(change), -limits, limits)
    trial = poses.copy()
    step = np.zeros_like(poses)
    step[:, free] = change
    trial[:, 0] += step[:, 0] * poses[:, 1]
    trial[:, 1] *= 1 + step[:, 1]
    trial[:, 2:5] += step[:, 2:5]
    trial[:, 5] = np.clip(trial[:, 5] + step[:, 5], SHARPEST, BLUNTEST)
    return trial
