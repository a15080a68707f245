"""Measure what the grey-level reader's misfits are worth, on generated pictures.

    python -m tests.benchmarks.calibrate [pictures] [plot.png]

Symbols drawn by an independent encoder (zint) are photographed by arithmetic: turned, tilted, blurred by a disc, by a
Gaussian and by both, shaded, with noise, the light then bent to grey levels as sRGB does; narrow and wide, easy
and hopeless ones. For each the reader's candidates are compared with the number drawn. Printed are

- the worth of a step of misfit: the factor f for which exp(-f ln(E2 / E1)) is the odds of the runner-up, by maximum
  likelihood over all pictures where the number drawn is among the candidates, and the same over those where the answer
  was wrong alone;
- the reliability: promised and observed errors, by promised chance;
- the best misfit of wrong answers: what the absolute threshold has to stay below;
- the reliability on the development photographs, where they are, read from grey levels alone.

EAN-8 and supplements have tables of their own: `tests.benchmarks.calibrate_short`.
"""

import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
import zint

from intake.edges.pictures import load
from intake.reading.calibration import BELIEVED, WORTH, judge
from intake.reading.grey_level import rank_candidates
from intake.reading.grey_profile import profile
from intake.reading.locate import locate
from intake.reading.symbol_forms import check_digit
from tests.reading.drawing import Grey, Points, Shot, photograph, symbol
from tests.reading.photographs import FOLDER, Photograph, photographs

BINS = (0.0, 1e-5, 1e-4, 1e-3, 1e-2, 0.1, 0.5, 1.01)


@dataclass(frozen=True)
class Trial:
    """One generated picture: the misfits of its best candidates, and which of them is the number drawn, -1 for none."""

    blur: float
    module_px: float
    misfits: tuple[float, ...]
    true: int
    error: float


def drawn_number(random: np.random.Generator) -> str:
    """Draw a number as books and their neighbours carry them."""
    prefix = str(random.choice(["978", "979", "0", "0", "4", "977", ""]))
    data = prefix + "".join(str(digit) for digit in random.integers(0, 10, 12 - len(prefix)))
    return data + check_digit(data)


def picture(seed: int) -> tuple[Grey, str, float, float]:
    """Make one picture; return it with its number, blur in modules and module in pixels."""
    random = np.random.default_rng(seed)
    number = drawn_number(random)
    module_px = float(random.uniform(1.2, 3.0))
    blur = float(random.uniform(0.3, 2.0))
    grey, _ = taken(symbol(zint.Symbology.EANX, number[:12]), random, module_px, blur)
    return grey, number, blur, module_px


def taken(bitmap: Grey, random: np.random.Generator, module_px: float, blur: float) -> tuple[Grey, Points]:
    """Photograph a bitmap of 8 pixels to a module; return the picture and where the bitmap's corners lie."""
    height, width = (side / 8 * module_px for side in bitmap.shape)
    shot = Shot(
        size=(round(width * 1.25 + 24 * module_px), round(height + 30 * module_px)),
        module_px=module_px,
        angle=float(random.uniform(-12, 12)),
        tilt=float(random.uniform(-0.12, 0.12)),
        blur_px=0,
        noise=0,
        ink=int(random.integers(10, 60)),
        paper=int(random.integers(150, 250)),
        ground=int(random.integers(40, 240)),
    )
    bright, corners = photograph(bitmap, shot)
    light = (bright.astype(np.float32) / 255) ** 2.2
    light = blurred(light, blur * module_px, float(random.choice([0.0, 0.5, 1.0])))
    shade = 1 + random.uniform(-0.3, 0.3) * np.linspace(-1, 1, light.shape[1], dtype=np.float32)
    levels = 255 * np.clip(light * shade, 0, 1) ** (1 / 2.2) + random.normal(0, random.uniform(0.5, 5), light.shape)
    return np.clip(np.rint(levels), 0, 255).astype(np.uint8), corners


def blurred(light: np.ndarray, sigma_px: float, share: float) -> np.ndarray:
    """Blur by a disc and a Gaussian whose variances add up; `share` of it is the disc's."""
    radius = 2 * sigma_px * share**0.5
    if radius > 0.6:
        reach = int(radius) + 2
        y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
        disc = np.clip(radius + 0.5 - np.hypot(x, y), 0, 1).astype(np.float32)
        light = cv2.filter2D(light, -1, disc / disc.sum())
    rest = sigma_px * (1 - share) ** 0.5
    return np.asarray(cv2.GaussianBlur(light, (0, 0), rest) if rest > 0.1 else light)


def trial(seed: int) -> Trial | None:
    """Read one generated picture; None where no region was found."""
    grey, number, blur, module_px = picture(seed)
    regions = locate(grey, faint=True, most=1)
    pooled = profile(grey, regions[0].corners) if regions else None
    if pooled is None:
        return None
    found = rank_candidates(pooled)
    true = [i for i, each in enumerate(found) if each.number == number]
    judgement = judge(found, None)
    error = judgement.error if judgement else 1.0
    return Trial(blur, module_px, tuple(each.fit.misfit for each in found), true[0] if true else -1, error)


def likelihood(worth: float, trials: list[Trial]) -> float:
    """Return the log-likelihood of what was drawn, among the candidates."""
    total = 0.0
    for each in trials:
        nats = -worth * np.log(np.array(each.misfits) / each.misfits[0])
        total += float(nats[each.true] - np.log(np.exp(nats).sum()))
    return total


def main(count: int, plot: str | None) -> None:
    """Print the table, and draw the reliability plot where a file is named."""
    with ProcessPoolExecutor(2) as pool:
        trials = [each for each in pool.map(trial, range(count), chunksize=8) if each and each.misfits]
    named = [each for each in trials if each.true >= 0 and each.error < 1]
    wrong = [each for each in trials if each.true != 0]
    worths = np.arange(5, 200, 2.5)
    print(f"{len(trials)} pictures, {len(trials) - len(wrong)} right, {len(wrong)} wrong")
    print(
        "worth of a step, by likelihood:",
        worths[int(np.argmax([likelihood(w, named) for w in worths]))],
        "used:",
        WORTH,
    )
    print(
        "lowest misfits of wrong answers:",
        sorted(round(each.misfits[0], 3) for each in wrong)[:8],
        "believed:",
        BELIEVED,
    )
    points = reliability([(each.error, each.true != 0) for each in trials])
    if plot:
        draw(points, plot)
    if FOLDER.is_dir():
        print("photographs, which the bounds were chosen with in view:")
        reliability([answer for shown in photographs() if (answer := judged(shown))])


def judged(shown: Photograph) -> tuple[float, bool] | None:
    """Read the likeliest bars of a photograph from their grey levels alone; return promised error and whether wrong."""
    grey = load(shown.path).grey
    for region in locate(grey, faint=True):
        pooled = profile(grey, region.corners)
        judgement = judge(rank_candidates(pooled), None) if pooled else None
        if judgement and judgement.error < 1:
            return judgement.error, not shown.shows(judgement.candidates[0].number)
    return None


def reliability(answers: list[tuple[float, bool]]) -> list[tuple[float, float, int]]:
    """Print how often answers were wrong, by the chance of error that was promised."""
    points = []
    for low, high in pairwise(BINS):
        within = [each for each in answers if low <= each[0] < high]
        if within:
            promised, seen = (float(np.mean(column)) for column in zip(*within, strict=True))
            points.append((promised, seen, len(within)))
            print(
                f"promised {low:7.0e} to {high:7.0e}: {len(within):5d} pictures, mean {promised:.1e}, wrong {seen:.1e}"
            )
    return points


def draw(points: list[tuple[float, float, int]], path: str) -> None:
    """Draw promised against observed errors, both on logarithmic scales from 1e-6 to 1."""
    size, edge = 420, 50
    canvas = np.full((size, size), 255, np.uint8)

    def at(promised: float, seen: float) -> tuple[int, int]:
        x, y = (np.log10(np.clip([promised, seen], 1e-6, 1)) + 6) / 6 * (size - 2 * edge)
        return int(edge + x), int(size - edge - y)

    cv2.rectangle(canvas, at(1e-6, 1), at(1, 1e-6), 0, 1)
    cv2.line(canvas, at(1e-6, 1e-6), at(1, 1), 160, 1, cv2.LINE_AA)
    for power in range(-6, 1, 2):
        x, y = at(10.0**power, 10.0**power)
        cv2.putText(canvas, f"1e{power}", (x - 14, size - edge + 18), 0, 0.38, 0, 1, cv2.LINE_AA)
        cv2.putText(canvas, f"1e{power}", (6, y + 4), 0, 0.38, 0, 1, cv2.LINE_AA)
    cv2.putText(canvas, "promised chance of error", (130, size - 12), 0, 0.42, 0, 1, cv2.LINE_AA)
    cv2.putText(canvas, "observed (ring: none seen, at 1 in their number)", (edge, 30), 0, 0.42, 0, 1, cv2.LINE_AA)
    for promised, seen, count in points:
        cv2.circle(canvas, at(promised, seen or 1 / count), 5, 0, -1 if seen else 1, cv2.LINE_AA)
    cv2.imwrite(path, canvas)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400, sys.argv[2] if len(sys.argv) > 2 else None)
