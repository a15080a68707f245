"""Pictures that a reader may be misled by: things with stripes, symbols of other families, and spoilt ones.

Each comes with the number that may rightly be read from it, if any: any other that is accepted is wrong.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import cv2
import numpy as np
import zint

from intake.reading.symbol_forms import check_digit, is_ean
from intake.reading.symbologies import ean13_bits
from tests.reading.drawing import Grey, from_modules, symbol
from tests.reading.hard import KINDS, Plan, easy
from tests.reading.scene import SCALE, Development, taken
from tests.reading.sheets import SIZE, Printed, cover, data, printed, sheet

Random = np.random.Generator


@dataclass(frozen=True)
class Lure:
    """A picture, its kind, and the number that is in it, if one is."""

    grey: Grey
    kind: str
    number: str | None


def ean13(random: Random) -> str:
    """Draw a number."""
    text = data(random, str(random.choice(["978", "979", "977", "4", "0", ""])), 13)
    return text + check_digit(text)


def bars_of(widths: np.ndarray, height: int) -> Grey:
    """Draw bars and spaces in turn, `widths` in modules."""
    row = np.concatenate([np.full(round(float(width) * SCALE), 255 * (i % 2)) for i, width in enumerate(widths)])
    return np.tile(row.astype(np.uint8), (height * SCALE, 1))


def plain(bitmap: Grey) -> Printed:
    """Take a bitmap for a symbol that says nothing."""
    return Printed(bitmap, "", "none")


def stripes(random: Random) -> Printed:
    """Bars and spaces of random whole widths, as many as a symbol has, more or fewer."""
    count = int(random.choice([17, 22, 30, int(random.integers(8, 50))])) * 2 - 1
    return plain(bars_of(random.choice([1, 1, 1, 2, 2, 3, 4], count), int(random.integers(20, 60))))


def uneven(random: Random) -> Printed:
    """Bars and spaces of any width."""
    return plain(bars_of(random.uniform(0.8, 4, int(random.choice([17, 22, 30])) * 2 - 1), 50))


def misprint(random: Random) -> Printed:
    """A symbol whose check digit is wrong."""
    number = ean13(random)
    wrong = number[:12] + str((int(number[12]) + int(random.integers(1, 10))) % 10)
    return plain(from_modules("".join(map(str, ean13_bits([wrong])[0])), scale=SCALE))


def guarded(random: Random) -> Printed:
    """Guards where an EAN-13 has them, and bars at random between."""
    half = ["".join(random.choice(["01", "0011", "001", "0001"], 14))[:42] for _ in range(2)]
    return plain(from_modules("101" + half[0] + "01010" + half[1] + "101", scale=SCALE))


FAMILIES = {
    zint.Symbology.CODE39: "TIDEWATER 204",
    zint.Symbology.CODE93: "LANTERN204",
    zint.Symbology.CODE128: "Salt roads 41",
    zint.Symbology.C25INTER: "1234567890",
    zint.Symbology.ITF14: "0930123456789",
    zint.Symbology.CODABAR: "A20441B",
    zint.Symbology.DBAR_OMN: "0950110153000",
    zint.Symbology.DBAR_LTD: "0950110153000",
    zint.Symbology.DBAR_EXP: "[01]09501101530003[10]AB12",
    zint.Symbology.PHARMA: "131070",
    zint.Symbology.PDF417: "Orla Venn",
    zint.Symbology.CODE11: "12345678",
    zint.Symbology.MSI_PLESSEY: "1234567",
    zint.Symbology.PLANET: "01234567890",
}


def other_family(random: Random) -> Printed:
    """A symbol that is not of the EAN family, its digits drawn at random where they may be."""
    symbology = list(FAMILIES)[int(random.integers(0, len(FAMILIES)))]
    text = FAMILIES[symbology]
    if text.isdigit():
        text = str(random.integers(1, 9)) + "".join(map(str, random.integers(0, 10, len(text) - 1)))
    if symbology is zint.Symbology.PHARMA:
        text = str(random.integers(1000, 131070))
    if symbology is zint.Symbology.DBAR_LTD:
        text = "0" + text[1:]
    if len(text) > 10 and text.isupper():
        text += str(random.integers(0, 1000))
    bitmap = symbol(symbology, text, scale=SCALE)
    return plain(bitmap[:, : SIZE[0] * SCALE - 30 * SCALE][: 60 * SCALE])


def part_covered(random: Random) -> Printed:
    """A symbol with a thumb or a price sticker over its first or last bars."""
    one = printed(random, str(random.choice(["ean-13", "upc-a", "ean-8", "upc-e", "add-on 5"])))
    bitmap = one.bitmap.copy()
    wide = int(bitmap.shape[1] * random.uniform(0.05, 0.6))
    tone = int(random.choice([0, 110, 255, 255]))
    if random.random() < 0.5:
        bitmap[:, :wide] = tone
    else:
        bitmap[:, -wide:] = tone
    return replace(one, bitmap=bitmap)


def halves(random: Random) -> Printed:
    """Halves of two symbols side by side, in either order, with or without a gap; one in ten makes a third symbol."""
    one, other = (printed(random, "ean-13") for _ in range(2))
    tall = min(len(one.bitmap), len(other.bitmap))
    middle = one.bitmap.shape[1] // 2
    parts = [each.bitmap[:tall] for each in (one, other)]
    swapped = random.random() < 0.5
    left, right = (
        (parts[0][:, middle:], parts[1][:, :middle]) if swapped else (parts[0][:, :middle], parts[1][:, middle:])
    )
    gap = np.full((tall, int(random.choice([0, 1, 2, 7])) * SCALE), 255, np.uint8)
    made = one.number[:7] + other.number[7:]
    return replace(plain(np.hstack([left, gap, right])), number="" if swapped or not is_ean(made) else made)


def scratched(random: Random) -> Printed:
    """A symbol with a scratch or a crease along its bars, from top to bottom, dark or light."""
    one = printed(random, str(random.choice(["ean-13", "upc-a", "ean-8", "upc-e"])))
    bitmap = one.bitmap.copy()
    for _ in range(int(random.integers(1, 4))):
        left = int(random.integers(0, bitmap.shape[1]))
        bitmap[:, left : left + int(random.uniform(0.4, 3) * SCALE)] = int(random.choice([0, 255]))
    return replace(one, bitmap=bitmap)


SYMBOLS: dict[str, Callable[[Random], Printed]] = {
    "stripes": stripes,
    "uneven": uneven,
    "misprint": misprint,
    "guarded": guarded,
    "other family": other_family,
    "part covered": part_covered,
    "halves": halves,
    "scratched": scratched,
}


def gratings(random: Random, size: tuple[int, int]) -> Grey:
    """One or two gratings across each other: fences, blinds, cloth, moiré."""
    x, y = np.meshgrid(np.arange(size[0]), np.arange(size[1]))
    page = np.zeros(size[::-1])
    for _ in range(int(random.integers(1, 3))):
        angle, period = random.uniform(0, np.pi), random.uniform(2.2, 30)
        wave = np.sin(2 * np.pi * (x * np.cos(angle) + y * np.sin(angle)) / period + random.uniform(0, 6))
        page += np.clip(wave * random.choice([1, 1, 6]), -1, 1) * random.uniform(0.3, 1)
    return np.asarray(np.clip(128 + 70 * page, 0, 255), np.uint8)


def halftone(random: Random, size: tuple[int, int]) -> Grey:
    """A picture printed in dots."""
    coarse = random.uniform(0, 1, (6, 8)).astype(np.float32)
    tone = cv2.resize(coarse, size, interpolation=cv2.INTER_CUBIC)
    x, y = np.meshgrid(np.arange(size[0]), np.arange(size[1]))
    angle, pitch = random.uniform(0, np.pi / 2), random.uniform(3, 9)
    u = (x * np.cos(angle) + y * np.sin(angle)) * 2 * np.pi / pitch
    v = (y * np.cos(angle) - x * np.sin(angle)) * 2 * np.pi / pitch
    return np.where(0.5 + 0.25 * (np.cos(u) + np.cos(v)) > tone, 220, 40).astype(np.uint8)


def texture(random: Random, size: tuple[int, int]) -> Grey:
    """Grain that runs one way, as of wood and brushed metal, or none."""
    noise = random.normal(0, 1, size[::-1]).astype(np.float32)
    long, short = random.uniform(2, 60), random.uniform(0.7, 3)
    grain = cv2.GaussianBlur(noise, (0, 0), sigmaX=short, sigmaY=long)
    return np.asarray(np.clip(128 + 60 * grain / grain.std(), 0, 255), np.uint8)


def page(random: Random, size: tuple[int, int]) -> Grey:
    """A page of text."""
    return cover(random, *size)


SURFACES: dict[str, Callable[[Random, tuple[int, int]], Grey]] = {
    "gratings": gratings,
    "halftone": halftone,
    "texture": texture,
    "text": page,
}
KIND_NAMES = (*SYMBOLS, *SURFACES, "hopeless")


def lure(kind: str, seed: int, *, size: tuple[int, int] = (512, 384)) -> Lure:
    """Make one picture of a kind."""
    random = np.random.default_rng([seed, 1 + KIND_NAMES.index(kind)])
    if kind in SURFACES:
        return Lure(softened(SURFACES[kind](random, size), random), kind, None)
    bars = (
        printed(random, str(random.choice(["ean-13", "upc-a", "ean-8", "upc-e"])))
        if kind == "hopeless"
        else (SYMBOLS[kind](random))
    )
    plan = easy(random, seed)
    plan = replace(plan, view=replace(plan.view, size=size))
    plan = hopeless(plan, random) if kind == "hopeless" else spoilt(plan, random, bars)
    sheet_ = sheet(random, bars, ink=plan.ink, paper=plan.paper, busy=plan.busy, covered=plan.covered)
    grey = taken(sheet_, plan.view, plan.development)
    return Lure(np.ascontiguousarray(grey[:, ::-1]) if random.random() < 0.2 else grey, kind, bars.number or None)


def spoilt(plan: Plan, random: Random, bars: Printed) -> Plan:
    """Take half of the pictures in one of the hard ways."""
    if random.random() < 0.5:
        return plan
    change = KINDS[str(random.choice([*KINDS]))]
    return change(plan, random, bars.bitmap.shape[1] / SCALE)


def hopeless(plan: Plan, random: Random) -> Plan:
    """Blur so much that no more than a guess is left, by lens, hand and file."""
    px = float(random.uniform(0.9, 2.4))
    light = Development(
        defocus_px=float(px * random.uniform(0.6, 2.5)),
        motion_px=(float(px * random.choice([0, 0, 3])), float(random.uniform(0, 180))),
        noise=float(random.uniform(1, 12)),
        jpeg=int(random.choice([0, 20, 40])),
        glare=int(random.choice([0, 0, 2])),
        seed=int(random.integers(0, 2**31)),
    )
    return replace(plan, view=replace(plan.view, module_px=px), development=light)


def softened(grey: Grey, random: Random) -> Grey:
    """Blur a surface a little and add noise."""
    soft = cv2.GaussianBlur(grey, (0, 0), float(random.uniform(0.4, 2.0))).astype(np.float32)
    return np.asarray(np.clip(soft + random.normal(0, random.uniform(0.5, 8), soft.shape), 0, 255), np.uint8)
