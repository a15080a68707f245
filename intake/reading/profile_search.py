"""A coarse search for where along a profile a symbol may begin, and how wide its modules are.

At each start and width the profile, slightly blurred, is compared with every digit at every slot independently: the sum
of the best, of sets that are allowed together, is the correlation that the best row of digits could reach. The check
digit is ignored. The best starts are returned, without those near a better one.

Lengths are in samples of the profile, starts count from its first sample.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt

from intake.reading.geometry import Floats
from intake.reading.profile_fit import Doubles
from intake.reading.symbologies import CODES, EAN13, Bits, Symbology

SLIP = 2.5
"""Modules by which a symbol grows from one width to the next, so that its ends are less than one module off."""
QUIET = 4
"""Modules of paper that are compared on either side."""
BENDS = (-3.0, 3.0)
"""Distances, in modules, of a symbol's middle from half way between its ends, as in a slanting view; tried besides
none."""
WIDE, LIKELY = 0.6, 4
"""Below this share of the widest module, bends are tried at so many of the likeliest widths and those next to them: a
narrow symbol may lie in many places, of which one by chance resembles it."""
LEAST = 0.75
"""Fit without a bend below which nothing was a symbol; of drawn and photographed ones that were read none had less than
0.82, and a perfectly sharp one has 0.78."""
LIKELY_SHORT, LEAST_SHORT = 6, 0.81
"""For a symbol shorter than an EAN-13: of how many of the likeliest widths, narrow or wide, bends are tried, and from
which fit without a bend. Such a symbol is looked for only where EAN-13 has failed, and so mostly where none is printed:
of textures nine in ten resemble one less, of drawn ones none did."""
PARTS = 3
"""Parts of the range of widths, of each of which the best starts are returned: a narrow symbol might lie in more
places, and so by chance resembles something better."""
TRIED = 12
"""Starts of one width and bend for which the fit is computed exactly."""
BLUR = 1.2
"""Blur of the templates, in modules: the middle of the range that can be read."""


@dataclass(frozen=True, slots=True, eq=False)
class SymbolStart:
    """A start: left edge of the first module, width of a module, bend, fit (0 to 1), and the best code of each slot."""

    at: float
    module: float
    bend: float
    fit: float
    codes: npt.NDArray[np.intp]

    def bits(self, symbology: Symbology) -> Bits:
        """Return the modules of the symbol made of the codes, whether or not parity and check digit are right."""
        drawn = symbology.fixed.copy()
        for plain, slot, code in zip(blurred_codes(symbology)[0], symbology.slots, self.codes, strict=True):
            drawn[slot : slot + 7] = plain[code]
        return drawn


@lru_cache
def blurred_codes(symbology: Symbology) -> tuple[list[Bits], Floats, Floats, Floats]:
    """Return the codes allowed at each slot and the rest of the symbol, blurred, relative to the mean of all.

    Returns:
        The plain codes of each slot, the blurred ones (slots, codes, 7), their squared norms (slots, codes), and the
        modules outside the slots, with the quiet zones.
    """
    grey = np.pad(symbology.mean_ink, QUIET)
    width = np.arange(-4, 5, dtype=np.float32)
    kernel = np.exp(-0.5 * (width / BLUR) ** 2)
    kernel /= kernel.sum()
    mean = float(grey.mean())
    plain, tables = [], []
    rest = np.convolve(grey, kernel, "same").astype(np.float32) - mean
    for i, slot in enumerate(symbology.slots):
        used = np.unique(symbology.parities[:, i])
        here = slice(QUIET + slot, QUIET + slot + 7)
        plain.append(np.concatenate([CODES[10 * parity : 10 * parity + 10] for parity in used]))
        rows = []
        for code in plain[-1]:
            row = grey.copy()
            row[here] = code
            rows.append(np.convolve(row, kernel, "same")[here] - mean)
        tables.append(np.array((rows * 2)[:20], np.float32))
        rest[here] = 0
    stacked = np.stack(tables)
    return [np.concatenate([codes, codes])[:20] for codes in plain], stacked, (stacked**2).sum(axis=2), rest


def find_starts(
    values: Floats, symbology: Symbology, *, most: int, narrowest: float, widest: float
) -> list[SymbolStart]:
    """Return the most promising starts of a symbol, best first.

    Args:
        values: (n,), ink is high.
        symbology: the symbology to search for.
        most: greatest number to return, about as many of narrow symbols as of wide ones.
        narrowest: width of the narrowest module, in samples.
        widest: width of the widest module, in samples.
    """
    widths = module_widths(len(values), symbology, narrowest, widest)
    straight = [starts_at_width(values, symbology, module, (0.0,)) for module in widths]
    fits = np.array([max((start.fit for start in found), default=0.0) for found in straight])
    if not widths or fits.max() < LEAST:
        return []
    starts = [start for found in straight for start in found]
    short = symbology.modules < EAN13.modules
    narrow = len(widths) if short else sum(module < WIDE * widest for module in widths)
    count = LIKELY if not short else LIKELY_SHORT if fits.max() >= LEAST_SHORT else 0
    likely = {int(i) + step for i in np.argsort(-fits[:narrow])[:count] for step in (-1, 0, 1)}
    for i, module in enumerate(widths):
        if i >= narrow or i in likely:
            starts += starts_at_width(values, symbology, module, BENDS)
    starts.sort(key=lambda start: -start.fit)
    distinct: list[SymbolStart] = []
    counts = [0] * PARTS
    for start in starts:
        part = min(max(int(PARTS * np.log(start.module / narrowest) / np.log(widest / narrowest)), 0), PARTS - 1)
        if counts[part] * PARTS < most and not any(
            is_duplicate(start, other, symbology.modules / 2) for other in distinct
        ):
            counts[part] += 1
            distinct.append(start)
    return distinct


def module_widths(size: int, symbology: Symbology, narrowest: float, widest: float) -> list[float]:
    """Return the widths of module to try: each symbol of which fits in `size` samples with its margins."""
    widths, module = [], narrowest
    while module <= widest and (symbology.modules + 2 * QUIET + 1) * module < size:
        widths.append(module)
        module *= 1 + SLIP / symbology.modules
    return widths


def is_duplicate(start: SymbolStart, other: SymbolStart, half: float) -> bool:
    """Return whether two starts lead to the same fit."""
    apart = abs(start.at + half * start.module - other.at - half * other.module)
    return start.bend == other.bend and apart < 1.2 * start.module and abs(start.module / other.module - 1) < 0.03


def starts_at_width(values: Floats, symbology: Symbology, module: float, bends: Sequence[float]) -> list[SymbolStart]:
    """Return the few best starts for one width of module and each of some bends."""
    _, tables, norms, rest = blurred_codes(symbology)
    size, span = int(len(values) / module * 2), 2 * len(rest) - 1
    if size - 1 < span:
        return []
    halves = (np.arange(size - 1) + 0.5) / 2
    places = np.concatenate([bend_positions(halves, size / 4, bend, symbology) for bend in bends]) * module - 0.5
    soft = cv2.blur(values[None], (round(module), 1))[0]
    pairs = np.interp(places + module / 4, np.arange(len(values)), soft).astype(np.float32).reshape(len(bends), -1)
    count, (line, step) = size - span, pairs.strides
    views = np.lib.stride_tricks.as_strided(pairs, (len(rest), len(bends), count), (2 * step, line, step))
    windows = views.reshape(len(rest), -1)
    level = windows - windows.mean(axis=0)
    level /= np.sqrt(np.einsum("ij,ij->j", level, level) / window_energy(rest) + 1e-3)
    gains = tables @ level[slot_modules(symbology)] - 0.5 * norms[:, :, None]
    promise = gains.max(axis=1).sum(axis=0) + rest @ level
    top = np.argsort(-promise)[: TRIED * len(bends)]
    best, gain = best_codes(gains[:, :, top], symbology)
    norm = np.take_along_axis(norms, best, axis=1).sum(axis=0)
    # The gains already contain half of the norms: the result is the correlation with the best row of digits.
    fit = (gain + rest @ level[:, top] + 0.5 * norm) / np.sqrt(window_energy(rest) * (norm + float(rest @ rest)))
    kept = np.argsort(-fit)[: 4 * len(bends)]
    which, nth = np.divmod(top[kept], count)
    left, bent = nth / 2 + QUIET, np.asarray(bends)[which]
    begins = bend_positions(left, size / 4, bent, symbology) * module
    ends = bend_positions(left + symbology.modules, size / 4, bent, symbology) * module
    return [
        SymbolStart(float(at), float(end - at) / symbology.modules, float(bend), float(fit[j]), best[:, j])
        for at, end, bend, j in zip(begins, ends, bent, kept, strict=True)
    ]


def best_codes(gains: Floats, symbology: Symbology) -> tuple[npt.NDArray[np.intp], Floats]:
    """Return the code of greatest gain of each slot, (slots, places), whose sets are an allowed row, and their sum."""
    halves = gains.reshape(len(gains), 2, 10, -1)
    digit, gain = halves.argmax(axis=2), halves.max(axis=2)
    rows = set_choices(symbology)
    slots = np.arange(len(gains))
    total = gain[slots, rows].sum(axis=1)
    best = total.argmax(axis=0)
    chosen = rows[best].T
    places = np.arange(gains.shape[2])
    return digit[slots[:, None], chosen, places] + 10 * chosen, total[best, places]


@lru_cache
def set_choices(symbology: Symbology) -> npt.NDArray[np.intp]:
    """Return which of the sets allowed at each slot, in their order, each row of parities takes, (rows, slots)."""
    return np.stack([np.unique(column, return_inverse=True)[1] for column in symbology.parities.T], axis=1).astype(
        np.intp
    )


def window_energy(rest: Floats) -> float:
    """Return the energy to which windows are scaled: the variance of blurred bars, times the modules."""
    return 0.12 * len(rest)


def bend_positions(place: Doubles, centre: float, bend: float | Doubles, symbology: Symbology) -> Doubles:
    """Return the positions, in modules along the profile, of modules of a bent symbol; `bend` is that of the symbol."""
    return place + bend * (2 * (place - centre) / symbology.modules) ** 2


@lru_cache
def slot_modules(symbology: Symbology) -> npt.NDArray[np.intp]:
    """Return the modules of each slot, (slots, 7), counted from the quiet zone's left edge."""
    return np.asarray(np.add.outer(np.array(symbology.slots) + QUIET, np.arange(7)), np.intp)
