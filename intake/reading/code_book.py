"""A catalog as a code book: how well every number in it fits a profile, computed at once.

Each number is its row of modules b, 0 or 1. At a pose its misfit is const - 2 d' b + b' K b
(`intake.reading.likelihood`): the first term for all numbers is one matrix product, (numbers, 95) by (95, poses). K
depends on almost nothing but the blur, so that the second term for all numbers is computed once for each blur, in steps
of a tenth of a module, and cached. The misfits of the best numbers are then computed exactly.

Numbers still expected in the open box are marked: the best of them are always compared, and their prior is higher
(`intake.reading.calibration`).

A number has the bars of one symbology (`intake.reading.symbologies.symbology_of`): the book has a page for each.

Shapes: 100,000 numbers take 38 MB for the modules, and 0.4 MB for each blur.
"""

import threading
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from intake.reading.geometry import Floats
from intake.reading.likelihood import ProfileMoments
from intake.reading.symbologies import EAN8, EAN13, Symbology, bits_of, digits_of, symbology_of

CHUNK = 8192
"""Numbers processed at a time, to limit the memory of temporary products."""
SHORTLIST = 64
EAN_DIGITS = 13
CHECK_WEIGHTS = np.array([1, 3] * 6 + [1], np.int64)
"""Weights by which the 13 digits add up to a multiple of ten (GS1 General Specifications, 7.9.1)."""


@dataclass(frozen=True, eq=False)
class CodeBookPart:
    """The prepared numbers of one symbology.

    Attributes:
        numbers: 13 digits each, in order and without repetition.
        modules: (numbers, modules of the symbology), 1 for ink.
        expected: (numbers,), whether the number is expected in the open box.
    """

    numbers: tuple[str, ...]
    modules: Floats
    expected: npt.NDArray[np.bool_]
    own_terms: dict[int, Floats] = field(default_factory=dict, repr=False)
    lock: threading.Lock = field(default_factory=threading.Lock, repr=False)

    def best(self, seen: ProfileMoments, blur: float, *, most: int) -> list[int]:
        """Return the indices in `numbers` of those that fit best, expected ones always compared, best first."""
        if not self.numbers:
            return []
        approximate = self.own_term(seen, blur) - 2 * (self.modules @ seen.linear.astype(np.float32))
        shortlist = lowest_indices(approximate, SHORTLIST)
        if self.expected.any():
            awaited = np.nonzero(self.expected)[0]
            shortlist = np.union1d(shortlist, awaited[lowest_indices(approximate[awaited], 8)])
        exact = seen.misfits(self.modules[shortlist])
        return [int(shortlist[i]) for i in np.argsort(exact)[:most]]

    def own_term(self, seen: ProfileMoments, blur: float) -> Floats:
        """Return b' K b of every number, computed once for each tenth of a module of blur."""
        key = round(blur * 10)
        with self.lock:
            if key not in self.own_terms:
                gram = banded(seen.gram).astype(np.float32)
                terms = np.empty(len(self.numbers), np.float32)
                for start in range(0, len(terms), CHUNK):
                    rows = self.modules[start : start + CHUNK]
                    terms[start : start + CHUNK] = np.einsum("ij,ij->i", rows @ gram, rows)
                self.own_terms[key] = terms
            return self.own_terms[key]


@dataclass(frozen=True, eq=False)
class CodeBook:
    """Prepared numbers; make it once with `CodeBook.of` and use it for many pictures, from any number of threads.

    Attributes:
        numbers: all of them, in order and without repetition.
        awaited: those still expected in the open box.
        pages: the numbers of each symbology, by its name.
    """

    numbers: tuple[str, ...]
    awaited: frozenset[str]
    pages: dict[str, CodeBookPart]

    @classmethod
    def of(cls, numbers: Iterable[str], expected: Iterable[str] = ()) -> "CodeBook":
        """Prepare a catalog's numbers.

        Args:
            numbers: texts; those that are not 13 digits with their check digit are left out.
            expected: those still expected in the open box; they need not be among `numbers`.
        """
        awaited = frozenset(valid_eans(expected))
        valid = sorted({*valid_eans(numbers), *awaited})
        pages = {symbology.name: make_page(valid, awaited, symbology) for symbology in (EAN13, EAN8)}
        return cls(tuple(valid), awaited, pages)

    def __len__(self) -> int:
        return len(self.numbers)

    def __contains__(self, number: str) -> bool:
        i = bisect_left(self.numbers, number)
        return i < len(self.numbers) and self.numbers[i] == number

    def neighbours(self, number: str) -> tuple[str, ...]:
        """Return the numbers of the book just below and at or above this one: those that share most leading digits."""
        i = bisect_left(self.numbers, number)
        return self.numbers[max(i - 1, 0) : i + 1]


def valid_eans(numbers: Iterable[str]) -> list[str]:
    """Return those that are 13 digits of which the last is the check digit (`symbol_forms.is_ean`), of many at once.

    >>> valid_eans(["9780306406157", "9780306406158", "978"])
    ['9780306406157']
    """
    long = [number for number in numbers if len(number) == EAN_DIGITS and number.isascii() and number.isdigit()]
    if not long:
        return []
    valid = digits_of(long) @ CHECK_WEIGHTS % 10 == 0
    return [number for number, is_valid in zip(long, valid, strict=True) if is_valid]


def make_page(numbers: Iterable[str], awaited: frozenset[str], symbology: Symbology) -> CodeBookPart:
    """Prepare the numbers that are printed in one symbology."""
    page_numbers = [number for number in numbers if symbology_of(number) is symbology]
    modules = np.empty((len(page_numbers), symbology.modules), np.float32)
    for start in range(0, len(page_numbers), CHUNK):
        modules[start : start + CHUNK] = bits_of(page_numbers[start : start + CHUNK], symbology)
    return CodeBookPart(
        tuple(page_numbers), modules, np.array([number in awaited for number in page_numbers], np.bool_)
    )


def banded(gram: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Replace each diagonal by its mean, which gives the Gram matrix of a symbol under even light."""
    size = len(gram)
    means = np.array([np.diagonal(gram, lag).mean() for lag in range(size)])
    return np.asarray(means[np.abs(np.subtract.outer(np.arange(size), np.arange(size)))])


def lowest_indices(values: Floats, most: int) -> npt.NDArray[np.intp]:
    """Return the indices of the lowest values, in no order."""
    count = min(most, len(values))
    return np.argpartition(values, count - 1)[:count] if count else np.zeros(0, np.intp)
