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

from intake.reading.geometry import Floats
from intake.reading.profile_fit import Doubles
from intake.reading.symbologies import CODES, Bits, Symbology

SLIP = 3.325
"""From one width to the next a symbol grows by so many modules: its ends are then less than one module off."""
QUIET = 4
"""Modules of paper that are asked for on either side."""
BENDS = (-3.0, 0.0, 3.0)
"""How far, in modules, the middle of a symbol may lie from half way between its ends: a slanting view."""
TRIED = 12
"""Starts of one width and bend for which the fit is worked out exactly."""
BLUR = 1.2
"""Of the templates, in modules: the middle of what has to be told apart."""


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """One place: the first module's left edge, a module's width, how well it fits (0 to 1), each slot's best code."""

    at: float
    module: float
    bend: float
    fit: float
    codes: npt.NDArray[np.intp]

    def bits(self, symbology: Symbology) -> Bits:
        """Draw the symbol that the codes make, whether parity and check allow it or not."""
        drawn = symbology.fixed.copy()
        for plain, slot, code in zip(blurred_codes(symbology)[0], symbology.slots, self.codes, strict=True):
            drawn[slot : slot + 7] = plain[code]
        return drawn


@lru_cache
def blurred_codes(symbology: Symbology) -> tuple[list[Bits], Floats, Floats, Floats]:
    """Return the codes that each slot may hold and the rest of the symbol, blurred, about the mean of all.

    Returns:
        The plain codes of each slot, the blurred ones (slots, codes, 7), their squared norms (slots, codes), and what
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
        tables.append(np.array((rows * 2)[:20], np.float32))
        rest[here] = 0
    stacked = np.stack(tables)
    return [np.concatenate([codes, codes])[:20] for codes in plain], stacked, (stacked**2).sum(axis=2), rest


def starts(values: Floats, symbology: Symbology, *, most: int, narrowest: float, widest: float) -> list[Start]:
    """Return the most promising places for a symbol, best first.

    Args:
        values: (n,), ink is high.
        symbology: what is looked for.
        most: how many to return at most.
        narrowest: the narrowest module, in samples.
        widest: the widest.
    """
    found: list[Start] = []
    module = narrowest
    while module <= widest and (symbology.modules + 2 * QUIET + 1) * module < len(values):
        for bend in BENDS:
            found += at_width(values, symbology, module, bend)
        module *= 1 + SLIP / symbology.modules
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
    _, tables, norms, rest = blurred_codes(symbology)
    size = int(len(values) / module * 2)
    places = bent((np.arange(size) + 0.5) / 2, size / 4, bend, symbology) * module - 0.5
    pairs = np.interp(places[:-1] + module / 4, np.arange(len(values)), cv2.blur(values[None], (round(module), 1))[0])
    pairs = pairs.astype(np.float32)
    span = 2 * len(rest) - 1
    if len(pairs) < span:
        return []
    windows = np.lib.stride_tricks.sliding_window_view(pairs, span)[:, ::2].T
    level = windows - windows.mean(axis=0)
    level /= np.sqrt(np.einsum("ij,ij->j", level, level) / energy_of(rest) + 1e-3)
    gains = tables @ level[slots_of(symbology)] - 0.5 * norms[:, :, None]
    promise = gains.max(axis=1).sum(axis=0) + rest @ level
    top = np.argsort(-promise)[:TRIED]
    best = np.argmax(gains[:, :, top], axis=1)
    norm = np.take_along_axis(norms, best, axis=1).sum(axis=0)
    # The gains hold half of the norms already: what is left is the correlation with the best row of digits.
    fit = (promise[top] + 0.5 * norm) / np.sqrt(energy_of(rest) * (norm + float(rest @ rest)))
    kept = np.argsort(-fit)[:4]
    left = top[kept] / 2 + QUIET
    begins = bent(left, size / 4, bend, symbology) * module
    widths = (bent(left + symbology.modules, size / 4, bend, symbology) * module - begins) / symbology.modules
    return [
        Start(float(at), float(width), bend, float(fit[j]), best[:, j])
        for at, width, j in zip(begins, widths, kept, strict=True)
    ]


def energy_of(rest: Floats) -> float:
    """Return the energy that the windows are brought to: the variance of blurred bars, times the modules."""
    return 0.12 * len(rest)


def bent(place: Doubles, centre: float, bend: float, symbology: Symbology) -> Doubles:
    """Return where the modules of a bent profile lie on the profile, in modules; the bend is that of one symbol."""
    return place + bend * (2 * (place - centre) / symbology.modules) ** 2


@lru_cache
def slots_of(symbology: Symbology) -> npt.NDArray[np.intp]:
    """Return the modules of each slot, (slots, 7), counted from the quiet zone's left edge."""
    return np.asarray(np.add.outer(np.array(symbology.slots) + QUIET, np.arange(7)), np.intp)
