"""Measure the grey-level reader on EAN-8, UPC-E and supplements of two and five digits, on generated pictures.

    python -m tests.benchmarks.calibrate_short [pictures]

Made as `tests.benchmarks.calibrate` makes them, with modules of 1.5 to 3 pixels and a blur of 0.5 to 2 modules. Printed
are, for each kind and for symbols with print, pictures or other bars beside them and no supplement:

- how many the whole reader accepts rightly and wrongly, as it is and with the decoders alone;
- the reliability of what the grey levels alone say, by the promised chance of error.
"""

import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from unittest import mock

import cv2
import numpy as np
import zint

from intake.model.readings import Point, Reading
from intake.reading import read as order
from intake.reading.calibration import judge
from intake.reading.decoders import available
from intake.reading.grey_level import rank_candidates
from intake.reading.grey_profile import profile
from intake.reading.grey_supplement import read_supplement
from intake.reading.locate import locate
from intake.reading.symbol_forms import check_digit, expand_upc_e
from intake.reading.symbologies import EAN8, UPCE, Symbology
from tests.benchmarks.calibrate import drawn_number, reliability, taken
from tests.reading.drawing import Grey, symbol

DECODERS = available()
SHORT = {each.name: each for each in (EAN8, UPCE)}
"""By name, as another process would get a copy, and each is known by being itself."""
KINDS = (*SHORT, "supplement of 2", "supplement of 5", "no supplement")
MODULES = 95


@dataclass(frozen=True)
class Outcome:
    """One picture: what is printed, what was accepted by the whole reader and the decoders alone, and grey's word."""

    printed: str
    whole: str | None
    decoders: str | None
    grey: str | None
    error: float


def short_symbol(random: np.random.Generator, symbology: Symbology) -> tuple[str, Grey]:
    """Draw an EAN-8 or a UPC-E of number system 0; return its number, written out to 13 digits, and its bars."""
    if symbology is EAN8:
        text = "".join(map(str, random.integers(0, 10, 7)))
        return f"00000{text}{check_digit(f'00000{text}')}", symbol(zint.Symbology.EANX, text)
    # From 3 up, but for the last: whichever that is, no zeros are left that should have been left out.
    text = "".join(map(str, [*random.integers(3, 10, 5), random.integers(0, 10)]))
    data = (expand_upc_e(f"0{text}0") or "")[:12]
    return data + check_digit(data), symbol(zint.Symbology.UPCE, f"0{text}")


def something(random: np.random.Generator, height: int) -> Grey:
    """Draw what may stand right of a symbol: print, bars, another symbol, or a part of a picture."""
    right = np.full((height, 70 * 8), 255, np.uint8)
    start = int(random.uniform(5, 13) * 8)
    kind = random.choice(["print", "bars", "symbol", "picture"])
    if kind == "print":
        for y in range(40, height, 45):
            line = "".join(random.choice(list("MINOEHT l1i|W"), 20))
            thick = int(random.integers(1, 9))
            cv2.putText(right, line, (start, y), int(random.integers(0, 4)), float(random.uniform(1, 5)), 0, thick)
    elif kind == "bars":
        while start < right.shape[1]:
            bar, space = (max(1, int(each * 8)) for each in random.integers(1, 5, 2) * random.choice([0.6, 1.0, 1.4]))
            right[:, start : start + bar] = 0
            start += bar + space
    elif kind == "symbol":
        right[:, start:] = symbol(zint.Symbology.EANX, drawn_number(random)[:12])[:height, : right.shape[1] - start]
    else:
        blocks = (random.integers(0, 2, (6, 25)) * 255).astype(np.uint8)
        right[:, start:] = cv2.resize(blocks, (right.shape[1] - start, height), interpolation=cv2.INTER_LINEAR)
    return right


def beside_of(readings: tuple[Reading, ...], number: str) -> str | None:
    """Return the supplement that was accepted with the number."""
    return next((each.add_on for each in readings if each.accepted and each.number == number), None)


def short(seed: int, name: str) -> Outcome:
    """Read one short symbol."""
    random, symbology = np.random.default_rng(seed), SHORT[name]
    number, bitmap = short_symbol(random, symbology)
    grey, _ = taken(bitmap, random, float(random.uniform(1.5, 3)), float(random.uniform(0.5, 2)))

    def accepted() -> str | None:
        return next((each.number for each in order.read(grey, decoders=DECODERS) if each.accepted), None)

    whole = accepted()
    with (
        mock.patch.object(order, "profile_evidence", nothing),
        mock.patch.object(order, "evidence_on_reading", nothing),
    ):
        alone = accepted()
    regions = locate(grey, faint=True, most=1)
    pooled = profile(grey, regions[0].corners) if regions else None
    judgement = judge(rank_candidates(pooled, symbology), None) if pooled else None
    believed = judgement is not None and judgement.error < 1
    named = judgement.candidates[0].number if judgement and believed else None
    return Outcome(number, whole, alone, named, judgement.error if judgement else 1.0)


def nothing(*_: object) -> None:
    """Say nothing of grey levels."""


def supplemented(seed: int, digits: int) -> Outcome:
    """Read a symbol with a supplement of so many digits, or with something else beside it."""
    random = np.random.default_rng(seed)
    number = drawn_number(random)
    text = "".join(map(str, random.integers(0, 10, digits)))
    bitmap = symbol(zint.Symbology.EANX, f"{number[:12]}+{text}" if digits else number[:12])
    if not digits:
        bitmap = np.ascontiguousarray(np.concatenate([bitmap, something(random, len(bitmap))], axis=1))
    grey, corners = taken(bitmap, random, float(random.uniform(1.5, 3)), float(random.uniform(0.5, 2)))
    whole = beside_of(order.read(grey, decoders=DECODERS), number)
    with mock.patch.object(order, "supplement_evidence", nothing):
        alone = beside_of(order.read(grey, decoders=DECODERS), number)
    told = read_supplement(grey, part(corners, MODULES * 8 / bitmap.shape[1]), number)
    return Outcome(text, whole, alone, *(told or (None, 1.0)))


def part(corners: np.ndarray, share: float) -> tuple[Point, ...]:
    """Return where the left share of a photographed rectangle lies."""
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    onto = cv2.getPerspectiveTransform(unit, corners.astype(np.float32))
    left = np.array([[[0, 0], [share, 0], [share, 1], [0, 1]]], np.float64)
    return tuple((float(x), float(y)) for x, y in cv2.perspectiveTransform(left, onto)[0])


def main(count: int) -> None:
    """Print the tables."""
    shorts = (partial(short, name=name) for name in SHORT)
    jobs: list[Callable[[int], Outcome]] = [*shorts, *(partial(supplemented, digits=digits) for digits in (2, 5, 0))]
    print(f"{count} pictures of each kind; accepted right and wrong, decoders alone and the whole reader")
    for kind, job in zip(KINDS, jobs, strict=True):
        with ProcessPoolExecutor(2) as pool:
            outcomes = list(pool.map(job, range(count), chunksize=4))
        counts = [
            sum(answer is not None and (answer == each.printed) is right for each, answer in answers)
            for answers in ([(o, o.decoders) for o in outcomes], [(o, o.whole) for o in outcomes])
            for right in (True, False)
        ]
        print(f"{kind:16} decoders {counts[0]:4d} right {counts[1]:3d} wrong; whole {counts[2]:4d} and {counts[3]:3d}")
        reliability([(each.error, each.grey != each.printed) for each in outcomes if each.grey])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
