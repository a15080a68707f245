"""Symbols laid onto a profile: position, module width, bend, blur and light fitted together by least squares.

The model. At u modules from the symbol's left edge the profile is

    y(x(u)) = A(u) + B(u) t(u; s) + noise

with t the ink, 0 or 1, of the modules, blurred by s modules (by a disc and a Gaussian, whose standard deviation is s
together); A and B (paper and contrast) polynomials of second degree in v; and the place in samples

    x(u) = at + module (u + c2 (v^2 - 1) + c3 (v^3 - v) + c4 (v^4 - v^2)),     v = u / half - 1,

whose bends vanish at both ends. A and B are linear and solved for; the others are improved by damped Gauss-Newton steps
on all of them together (Levenberg and Marquardt), the bends held by a ridge. Many candidates are fitted at a time.

Compared are not the levels but what they gain over one module, at every quarter of a module: shadows and glare change
slowly and then hardly count, and the errors at neighbouring points have less in common. The misfit is the share of
these gains' squares that the model leaves: 0 where it explains everything, 1 where nothing.

Arrays of poses have six columns: at and module in samples, c2, c3, c4 and s in modules.

Source: G. H. Golub and V. Pereyra, "Separable nonlinear least squares", Inverse Problems 19 (2003) R1.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from intake.reading.geometry import Floats
from intake.reading.symbologies import Bits, Symbology

FINE = 4
"""Points to a module at which the model is compared with the profile."""
QUIET = 5.0
"""Modules of paper that are looked at left and right, well inside the quiet zones of 7 and 11."""
SHARPEST, BLUNTEST = 0.25, 1.8
"""Bounds of the blur, in modules: a sensor's own, and where nothing can be told any more."""
RIDGE = np.array([0.0, 0.0, 0.1, 0.6, 0.6, 0.0])
"""How strongly the bends are held, per module squared; the first is what a slanting view does, and common."""
LIMITS = np.array([2.0, 0.02, 1.0, 0.6, 0.6, 0.3])
"""Of one step: the first in modules, the second as a share."""
BLUR = 0.9
"""Where the blur begins, in modules."""

DISC, GAUSS = 0.8, 0.6
"""A lens out of focus makes a disc of each point, and the rest (lens, sensor, hand) softens its edge."""
NUDGE = 0.02

Doubles = npt.NDArray[np.float64]
Rows = Bits | Floats | Doubles
"""Rows of modules, 1 for ink; shades between are allowed."""


def disc(phase: Doubles) -> Doubles:
    """Return the transfer of a disc of light of standard deviation 1 along a line: 2 J1(2x) / 2x."""
    turn = np.linspace(0, np.pi, 129)
    bessel = np.trapezoid(np.cos(turn - 2 * phase[:, None] * np.sin(turn)), turn, axis=1) / np.pi
    return np.asarray(bessel / np.maximum(phase, 1e-9))


FINENESS = 200
"""Entries of the table below to a radian."""
PHASES = np.arange(40 * FINENESS) / FINENESS + 1e-6
TRANSFERS = disc(DISC * PHASES) * np.exp(-0.5 * (GAUSS * PHASES) ** 2)


def transfer(phase: Doubles) -> Doubles:
    """Return what is left of waves when blurred; the phase is 2 pi times the blur over the wave's length."""
    place = phase * FINENESS
    low = place.astype(np.intp)
    return np.asarray(TRANSFERS[low] + (place - low) * (TRANSFERS[low + 1] - TRANSFERS[low]))


@dataclass(frozen=True, eq=False)
class Fits:
    """Models laid onto a profile, one a row; see the model above."""

    poses: Doubles
    misfits: Doubles
    papers: Doubles
    contrasts: Doubles

    def __len__(self) -> int:
        return len(self.misfits)

    def one(self, i: int) -> "Fit":
        """Return one of them."""
        return Fit(self.poses[i], float(self.misfits[i]), self.papers[i], self.contrasts[i])


@dataclass(frozen=True, eq=False)
class Fit:
    """One model laid onto a profile."""

    pose: Doubles
    misfit: float
    paper: Doubles
    contrast: Doubles

    @property
    def blur(self) -> float:
        """The blur, in modules."""
        return float(self.pose[5])


class Ruler:
    """The points at which one symbology is compared with a profile.

    Attributes:
        u: (points,), in modules from the symbol's left edge.
        bases: (points, 3), 1, v and v^2.
        bend: (points, 3), the bends' shapes.
        cells: (points,), the module that each lies in; -1 on the paper about.
    """

    def __init__(self, symbology: Symbology) -> None:
        self.symbology = symbology
        self.u = np.arange(-QUIET + 0.5 / FINE, symbology.modules + QUIET, 1 / FINE)
        v = 2 * self.u / symbology.modules - 1
        self.bases = np.stack([np.ones_like(v), v, v**2], axis=1)
        inside = np.clip(v, -1, 1)
        self.bend = np.stack([inside**2 - 1, inside**3 - inside, inside**4 - inside**2], axis=1)
        cells = np.floor(self.u).astype(int)
        self.cells = np.where(cells < symbology.modules, np.maximum(cells, -1), -1)
        self.length = 1 << int(np.ceil(np.log2(len(self.u) + 8 * FINE * BLUNTEST)))
        self.waves = np.fft.rfftfreq(self.length) * 2 * np.pi * FINE  # in radians a module

    def seen(self, values: Floats, slopes: Floats, poses: Doubles) -> tuple[Doubles, Doubles]:
        """Return the profile and its slope, per sample, at the points, each (poses, points)."""
        x = poses[:, :1] + poses[:, 1:2] * (self.u + poses[:, 2:5] @ self.bend.T)
        x = np.clip(x, 0, len(values) - 1.001)
        low = x.astype(np.intp)
        share = x - low
        return values[low] * (1 - share) + values[low + 1] * share, slopes[low] * (1 - share) + slopes[low + 1] * share

    def ink(self, bits: Rows, blurs: Doubles) -> tuple[Doubles, Doubles]:
        """Return the blurred ink at the points and how it changes with the blur, each (rows, points)."""
        padded = np.concatenate([bits, np.zeros((len(bits), 1))], axis=1)[:, self.cells]
        spectrum = np.fft.rfft(padded, self.length, axis=1)
        phase = self.waves * blurs[:, None]
        now, later = transfer(phase), transfer(phase * (1 + NUDGE))
        change = spectrum * (later - now) / (NUDGE * blurs[:, None])
        both = np.fft.irfft(np.concatenate([spectrum * now, change]), self.length, axis=1)[:, : len(self.u)]
        return both[: len(bits)], both[len(bits) :]

    def spread(self, blur: float) -> Doubles:
        """Return one module of ink, blurred, at each point, (points, modules)."""
        modules = np.eye(self.symbology.modules)
        return np.ascontiguousarray(self.ink(modules, np.full(len(modules), blur))[0].T)


def lay(values: Floats, ruler: Ruler, bits: Rows, poses: Doubles, *, rounds: int, bends: int = 3) -> Fits:
    """Fit the poses, blurs and light of many symbols to one profile.

    Args:
        values: the profile, (n,).
        ruler: of the symbology.
        bits: (rows, modules), the symbols; shades between 0 and 1 are allowed.
        poses: (rows, 6), where to begin.
        rounds: steps.
        bends: how many of the three bends are free.
    """
    free = [0, 1, *range(2, 2 + bends), 5]
    slopes = np.gradient(values).astype(np.float32)
    damping = np.full(len(poses), 1e-3)
    best, step = measured(values, slopes, ruler, bits, poses, free)
    for _ in range(rounds):
        change = solved(*step, damping)
        trial = moved(best.poses, change, free)
        fits, next_step = measured(values, slopes, ruler, bits, trial, free)
        better = fits.misfits < best.misfits
        best = Fits(*(np.where(better.reshape(-1, *[1] * (new.ndim - 1)), new, old) for new, old in pairs(fits, best)))
        step = (
            np.where(better[:, None, None], next_step[0], step[0]),
            np.where(better[:, None], next_step[1], step[1]),
        )
        damping = np.where(better, damping * 0.2, damping * 8)
    return best


def pairs(one: Fits, other: Fits) -> list[tuple[Doubles, Doubles]]:
    """Put the parts of two sets of fits side by side."""
    return [
        (one.poses, other.poses),
        (one.misfits, other.misfits),
        (one.papers, other.papers),
        (one.contrasts, other.contrasts),
    ]


def measured(
    values: Floats, slopes: Floats, ruler: Ruler, bits: Rows, poses: Doubles, free: list[int]
) -> tuple[Fits, tuple[Doubles, Doubles]]:
    """Solve for the light at given poses; return the fits and the normal equations of the next step."""
    here, slope = ruler.seen(values, slopes, poses)
    ink, blunter = ruler.ink(bits, poses[:, 5])
    bases = np.broadcast_to(ruler.bases, (len(poses), *ruler.bases.shape))
    design = steps(np.concatenate([bases[:, :, 1:], bases * ink[:, :, None]], axis=2))
    across = design.transpose(0, 2, 1)
    gram = across @ design + 1e-6 * np.eye(5)
    rise = steps(here)
    light = np.asarray(np.linalg.solve(gram, across @ rise[:, :, None])[:, :, 0], np.float64)
    residual = rise - (design @ light[:, :, None])[:, :, 0]
    rest = (residual**2).sum(axis=1)
    fits = Fits(poses, rest / ((rise**2).sum(axis=1) + 1e-3), light[:, :2], light[:, 2:])
    contrast = light[:, 2:] @ ruler.bases.T
    in_modules = slope * poses[:, 1:2]
    moves = [in_modules, in_modules * ruler.u, *(in_modules * ruler.bend[:, i] for i in range(3)), -blunter * contrast]
    jacobian = steps(np.stack([moves[i] for i in free], axis=2))
    # Steps in light go with the steps in pose: the part of a move that light can undo is taken out.
    cross = across @ jacobian
    turned = jacobian.transpose(0, 2, 1)
    normal = turned @ jacobian - cross.transpose(0, 2, 1) @ np.linalg.solve(gram, cross)
    noise = (rest / residual.shape[1] + 1e-6)[:, None]
    ridge = RIDGE[free]
    wanted = -(turned @ residual[:, :, None])[:, :, 0] / noise / FINE - ridge * poses[:, free]
    normal = normal / noise[:, :, None] / FINE + np.diag(ridge + 1e-6)
    return fits, (normal, wanted)


def worst_part(values: Floats, ruler: Ruler, bits: Bits, fit: Fit) -> float:
    """Return the misfit of the digit that fits worst, as a share of what an average digit of the profile gains.

    Digits of a wrong number, or a pose that slips by a module at one end, fit well all over but there.
    """
    here, _ = ruler.seen(values, values, fit.pose[None])
    ink, _ = ruler.ink(bits[None], fit.pose[5:])
    model = fit.paper @ ruler.bases[:, 1:].T + (ruler.bases @ fit.contrast) * ink[0]
    residual, rise = steps(here - model)[0] ** 2, steps(here)[0] ** 2
    middle = ruler.u[FINE // 2 : -(FINE // 2)]
    parts = [float(residual[(middle >= slot) & (middle < slot + 7)].mean()) for slot in ruler.symbology.slots]
    return max(parts) / (float(rise.mean()) + 1e-6)


def steps(points: Doubles) -> Doubles:
    """Return how much is gained over one module, along the second axis."""
    return np.asarray(points[:, FINE:] - points[:, :-FINE])


def solved(normal: Doubles, wanted: Doubles, damping: Doubles) -> Doubles:
    """Solve the damped normal equations, one set a row."""
    size = normal.shape[1]
    diagonal = np.einsum("rii->ri", normal) * damping[:, None] + 1e-9
    return np.asarray(np.linalg.solve(normal + diagonal[:, :, None] * np.eye(size), wanted[:, :, None])[:, :, 0])


def moved(poses: Doubles, change: Doubles, free: list[int]) -> Doubles:
    """Take a step, no longer than allowed."""
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
