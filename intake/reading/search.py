"""Where along a profile a symbol may begin, and how wide its modules are: a coarse search over both.

At each start and width the profile, blurred a little, is compared with every digit at every slot, each for itself: the
sum of the best is the correlation that the best row of digits could reach. No parity or check digit is asked for.
Good places are handed on, best first; those close to a better one are left out.

Lengths are in samples of the profile, starts count from its first sample.
"""

from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt

from intake.reading.fit import Doubles
from intake.reading.geometry import Floats
from intake.reading.templates import CODES, Bits, Symbology

NARROWEST = 2.9
"""Samples to a module, where the located region is more than twice as wide as the symbol."""
STEP = 1.035
"""From one width to the next: the ends are then at most half a module off."""
QUIET = 4
"""Modules of paper that are asked for on either side."""
BENDS = (-3.0, 0.0, 3.0)
"""How far, in modules, the middle of a symbol may lie from half way between its ends: a slanting view."""
BLUR = 1.2
"""Of the templates, in modules: the middle of what has to be told apart."""


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """One place: the first module's left edge, a module's width, and how well it fits, 0 to 1."""

    at: float
    module: float
    bend: float
    fit: float
    bits: Bits


@lru_cache
def blurred_codes(symbology: Symbology) -> tuple[list[Bits], Floats, Floats, Floats]:
    """Return the codes that each slot may hold and the rest of the symbol, blurred, about the mean of all.

    Returns:
        The plain codes of each slot, the blurred ones (slots, 7, codes), their squared norms (slots, codes), and what
        is not a slot, with the quiet zones.
    """
    grey = np.pad(symbology.ways, QUIET)
    width = np.arange(-4, 5, dtype=np.float32)
    kernel = np.exp(-0.5 * (width / BLUR) ** 2)
    kernel /= kernel.sum()
    mean = float(grey.mean())
    plain, tables = [], []
    rest = np.convolve(grey, kernel, "same").astype(np.float32) - mean
    for i, slot in enumerate(symbology.slots):
        used = np.unique(symbology.parities[:, i])
        here = slice(QUIET + slot, QUIET + slot + 7)
        plain.append(np.concatenate([CODES[10 * each : 10 * each + 10] for each in used]))
        rows = []
        for code in plain[-1]:
            row = grey.copy()
            row[here] = code
            rows.append(np.convolve(row, kernel, "same")[here] - mean)
        tables.append(np.array((rows * 2)[:20], np.float32).T)
        rest[here] = 0
    stacked = np.stack(tables)
    return [np.concatenate([codes, codes])[:20] for codes in plain], stacked, (stacked**2).sum(axis=1), rest


def starts(values: Floats, symbology: Symbology, *, most: int, widest: float) -> list[Start]:
    """Return the most promising places for a symbol, best first.

    Args:
        values: (n,), ink is high.
        symbology: what is looked for.
        most: how many to return at most.
        widest: the widest module, in samples.
    """
    found: list[Start] = []
    module = NARROWEST
    while module <= widest and (symbology.modules + 2 * QUIET + 1) * module < len(values):
        for bend in BENDS:
            found += at_width(values, symbology, module, bend)
        module *= STEP
    found.sort(key=lambda each: -each.fit)
    kept: list[Start] = []
    for each in found:
        if not any(close(each, other, symbology.modules / 2) for other in kept):
            kept.append(each)
        if len(kept) == most:
            break
    return kept


def close(one: Start, other: Start, half: float) -> bool:
    """Tell whether two places lead to the same fit."""
    apart = abs(one.at + half * one.module - other.at - half * other.module)
    return one.bend == other.bend and apart < 1.2 * one.module and abs(one.module / other.module - 1) < 0.03


def at_width(values: Floats, symbology: Symbology, module: float, bend: float) -> list[Start]:
    """Return the few best starts for one width of module and one bend."""
    plain, tables, norms, rest = blurred_codes(symbology)
    size = int(len(values) / module * 2)
    places = bent((np.arange(size) + 0.5) / 2, size / 4, bend, symbology) * module - 0.5
    pairs = np.interp(places[:-1] + module / 4, np.arange(len(values)), cv2.blur(values[None], (round(module), 1))[0])
    pairs = pairs.astype(np.float32)
    span = 2 * len(rest) - 1
    if len(pairs) < span:
        return []
    windows = np.lib.stride_tricks.sliding_window_view(pairs, span)[:, ::2]
    level = windows - windows.mean(axis=1, keepdims=True)
    energy = np.einsum("ij,ij->i", level, level) + 1e-3
    gain = np.sqrt(energy / (0.12 * len(rest)))
    digits = level[:, slots_of(symbology)].transpose(1, 0, 2)
    scores = digits @ tables
    best = np.argmax(scores - 0.5 * gain[None, :, None] * norms[:, None, :], axis=2)
    product = level @ rest + np.take_along_axis(scores, best[:, :, None], axis=2)[:, :, 0].sum(axis=0)
    norm = float(rest @ rest) + np.take_along_axis(norms, best, axis=1).sum(axis=0)
    fit = product / np.sqrt(energy * norm)
    kept = []
    for i in np.argsort(-fit)[:4]:
        bits = symbology.fixed.copy()
        for codes, slot, code in zip(plain, symbology.slots, best[:, i], strict=True):
            bits[slot : slot + 7] = codes[code]
        left = i / 2 + QUIET
        ends = bent(np.array([left, left + symbology.modules]), size / 4, bend, symbology) * module
        kept.append(Start(float(ends[0]), float(ends[1] - ends[0]) / symbology.modules, bend, float(fit[i]), bits))
    return kept


def bent(place: Doubles, centre: float, bend: float, symbology: Symbology) -> Doubles:
    """Return where the modules of a bent profile lie on the profile, in modules; the bend is that of one symbol."""
    return place + bend * (2 * (place - centre) / symbology.modules) ** 2


@lru_cache
def slots_of(symbology: Symbology) -> npt.NDArray[np.intp]:
    """Return the modules of each slot, (slots, 7), counted from the quiet zone's left edge."""
    return np.asarray(np.add.outer(np.array(symbology.slots) + QUIET, np.arange(7)), np.intp)
