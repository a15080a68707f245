"""What differs between two covers laid over each other once light, lens and sensor are accounted for.

The light of the second is fitted to the first colour by colour: a surface of the third degree over the whole, then gain
and offset around each place. A small kernel that is fitted to both pictures makes the sharper one as blurred as the
other. Where a picture is burnt out, or where a bright, smooth veil lies over the print, nothing is said.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.covers.cover_frame import Floats

Mask = npt.NDArray[np.bool_]

BURNT = 247.0
"""From here on a sensor shows no difference any more."""
HALO_PX = 7
LIGHT_SHARE = 0.055
"""How far around each place its light is taken from, of the longer side."""
KERNEL_PX = 11
KERNEL_SAMPLES = 6_000
SMOOTH_PX = 1.0
TOLERATED_PX = 5
"""A difference counts beyond the range of values so far around."""
GAINS = (0.45, 2.2)
STEADY = 25.0
"""Of a variance below this, in levels squared, no gain is told."""
COARSER = 4
"""The light around a place is computed in pixels so many times as large."""


@dataclass(frozen=True, slots=True, eq=False)
class Differences:
    """Two covers in the same light and blur.

    Attributes:
        before, after: float32, height by width by 3.
        amount: float32, height by width: levels by which the later one differs, in its most different colour.
        signed: the same with its sign, in grey: above 0 where the later one is lighter.
        relit: levels by which the light around each place had to be changed, beyond the light over the whole.
        burnt: where either is burnt out.
        judged: where both show the cover and neither is burnt out.
    """

    before: Floats
    after: Floats
    amount: Floats
    signed: Floats
    relit: Floats
    burnt: Mask
    judged: Mask


def differences(before: Floats, after: Floats, shown: Mask) -> Differences:
    """Compare two covers that are laid over each other.

    Args:
        before: the earlier one: float32, height by width by 3, 0 to 255.
        after: the later one.
        shown: where both show the cover.
    """
    burnt = burnt_out(before) | burnt_out(after)
    judged = shown & ~burnt
    lit = in_the_light_of(before, after, judged)
    first, second = in_one_blur(lit, after, judged)
    sigma = LIGHT_SHARE * max(shown.shape)
    first, relit = matched(first, second, judged, sigma)
    first, second = (np.asarray(cv2.GaussianBlur(each, (0, 0), SMOOTH_PX), np.float32) for each in (first, second))
    kernel = np.ones((TOLERATED_PX, TOLERATED_PX), np.uint8)
    beyond = np.maximum(out_of_range(first, second, kernel), out_of_range(second, first, kernel))
    amount = np.where(judged, beyond.max(axis=-1), 0).astype(np.float32)
    signed = np.where(judged, (second - first).mean(axis=-1), 0).astype(np.float32)
    return Differences(first, second, amount, signed, relit, burnt, judged)


def burnt_out(cover: Floats) -> Mask:
    """Return where a picture is burnt out, with a rim."""
    bright = np.asarray((cover.max(axis=-1) >= BURNT) & (cover.min(axis=-1) >= BURNT - 40), np.uint8)
    burnt = cv2.morphologyEx(bright, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    return np.asarray(cv2.dilate(burnt, np.ones((2 * HALO_PX + 1, 2 * HALO_PX + 1), np.uint8)), bool)


def in_the_light_of(before: Floats, after: Floats, judged: Mask) -> Floats:
    """Return the first cover in the light of the second, as far as a surface of the third degree follows it."""
    height, width = judged.shape
    small = (64, 64)
    weight = cv2.resize(judged.astype(np.float32), small, interpolation=cv2.INTER_AREA)
    x, y = np.meshgrid(np.linspace(-1, 1, small[0]), np.linspace(-1, 1, small[1]))
    powers = [(i, j) for i in range(4) for j in range(4 - i)]
    basis = np.stack([x**i * y**j for i, j in powers], axis=-1).reshape(-1, len(powers))
    lit = np.empty_like(before)
    for channel in range(3):
        first, second = (
            cv2.resize(each[..., channel], small, interpolation=cv2.INTER_AREA) for each in (before, after)
        )
        ratio = np.log((second + 6) / (first + 6)).ravel()
        good = (weight.ravel() > 0.9).astype(np.float64)
        fit = np.zeros(len(powers))
        for _ in range(6):
            fit = np.linalg.solve(
                (basis * good[:, None]).T @ basis + 1e-3 * np.eye(len(powers)), (basis * good[:, None]).T @ ratio
            )
            off = np.abs(basis @ fit - ratio)
            usual = max(float(np.median(off[good > 0])) if (good > 0).any() else 1.0, 0.01)
            good = (weight.ravel() > 0.9) / np.maximum(1.0, off / (1.5 * usual))
        surface = cv2.resize((basis @ fit).reshape(small[::-1]).astype(np.float32), (width, height))
        lit[..., channel] = (before[..., channel] + 6) * np.exp(surface) - 6
    return lit


def in_one_blur(first: Floats, second: Floats, judged: Mask) -> tuple[Floats, Floats]:
    """Blur the sharper of two covers as the other is blurred, by the kernel that makes them most alike."""
    ours, theirs = (each.mean(axis=-1).astype(np.float32) for each in (first, second))
    to_theirs, left_there = fitted_kernel(ours, theirs, judged)
    to_ours, left_here = fitted_kernel(theirs, ours, judged)
    if to_theirs is None or to_ours is None:
        return first, second
    if left_there <= left_here:
        return np.asarray(cv2.filter2D(first, -1, to_theirs), np.float32), second
    return first, np.asarray(cv2.filter2D(second, -1, to_ours), np.float32)


def fitted_kernel(source: Floats, target: Floats, judged: Mask) -> tuple[Floats | None, float]:
    """Return the kernel that makes one grey picture most like another, and what is left; None where little shows."""
    half = KERNEL_PX // 2
    steep = cv2.morphologyEx(source, cv2.MORPH_GRADIENT, np.ones((5, 5), np.uint8)) * judged
    steep[:half], steep[-half:], steep[:, :half], steep[:, -half:] = 0, 0, 0, 0
    high = np.flatnonzero(steep.ravel() > 12)
    if len(high) < 20 * KERNEL_PX**2 // 4:
        return None, 0.0
    chosen = high[:: max(len(high) // KERNEL_SAMPLES, 1)]
    rows, columns = np.unravel_index(chosen, source.shape)
    windows = np.lib.stride_tricks.sliding_window_view(source, (KERNEL_PX, KERNEL_PX))
    patches = windows[rows - half, columns - half].reshape(len(chosen), -1).astype(np.float64)
    wanted = target[rows, columns].astype(np.float64)
    mean = patches.mean(axis=1)
    patches, wanted = patches - mean[:, None], wanted - mean
    good = np.ones(len(chosen), bool)
    solved = np.zeros(KERNEL_PX**2)
    for _ in range(2):
        inner = patches[good].T @ patches[good]
        ridge = 1e-4 * np.trace(inner) / len(inner) * np.eye(len(inner))
        solved = np.linalg.solve(inner + ridge, patches[good].T @ wanted[good])
        off = np.abs(patches @ solved - wanted)
        good = off <= np.quantile(off, 0.9)
    kernel = solved.reshape(KERNEL_PX, KERNEL_PX)
    kernel = kernel - (kernel.sum() - 1) / kernel.size
    return kernel.astype(np.float32), float(np.median(off))


def matched(first: Floats, second: Floats, judged: Mask, sigma: float) -> tuple[Floats, Floats]:
    """Return the first cover with the gain and the offset that the second has around each place, and the offset."""
    height, width = judged.shape
    coarse = (max(width // COARSER, 8), max(height // COARSER, 8))
    weight = judged.astype(np.float32)[..., None]

    def around(values: Floats) -> Floats:
        small = cv2.resize(values, coarse, interpolation=cv2.INTER_AREA)
        return np.asarray(cv2.GaussianBlur(small, (0, 0), sigma / COARSER), np.float32)

    total = np.maximum(around(weight), 1e-3)[..., None]
    mean_ours, mean_theirs = around(first * weight) / total, around(second * weight) / total
    spread = around(first * first * weight) / total - mean_ours**2
    together = around(first * second * weight) / total - mean_ours * mean_theirs
    gain = np.clip((together + STEADY) / (spread + STEADY), *GAINS).astype(np.float32)
    fine = (cv2.resize(each, (width, height)) for each in (mean_ours, mean_theirs, gain))
    ours, theirs, gains = fine
    offset = np.abs(theirs - ours).max(axis=-1)
    return np.asarray(theirs + gains * (first - ours), np.float32), np.asarray(offset, np.float32)


def out_of_range(values: Floats, reference: Floats, kernel: npt.NDArray[np.uint8]) -> Floats:
    """Return by how much values are beyond what the reference has around each place."""
    low, high = cv2.erode(reference, kernel), cv2.dilate(reference, kernel)
    return np.asarray(np.maximum(values - high, low - values).clip(0), np.float32)
