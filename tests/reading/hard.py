"""Hard pictures, each of a kind and a number: what makes it hard is drawn at random, the rest is easy."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from tests.reading.drawing import Grey
from tests.reading.scene import Development, View, taken
from tests.reading.sheets import FORMS, Printed, printed, sheet


@dataclass(frozen=True)
class Hard:
    """A picture, what makes it hard, and what is printed in it."""

    grey: Grey
    kind: str
    printed: Printed


@dataclass(frozen=True)
class Plan:
    """How a picture is to be taken."""

    view: View
    development: Development
    ink: int = 25
    paper: int = 225
    busy: bool = False
    covered: float = 0.0
    mirrored: bool = False


Random = np.random.Generator
Change = Callable[[Plan, Random, float], Plan]
"""Makes an easy plan hard; the number is a symbol's width in modules."""


def easy(random: Random, seed: int) -> Plan:
    """Plan a picture that most decoders read."""
    view = View(
        module_px=float(random.uniform(1.9, 2.8)),
        turn=float(random.choice([0, 90, 180, 270]) + random.normal(0, 8)),
        lean=(float(random.normal(0, 6)), float(random.normal(0, 6))),
    )
    light = Development(
        defocus_px=float(random.uniform(0.4, 1.0)),
        shade=(float(random.uniform(0, 0.25)), float(random.uniform(0, 360))),
        noise=float(random.uniform(1, 5)),
        seed=seed,
    )
    return Plan(view, light, ink=int(random.integers(15, 60)), paper=int(random.integers(170, 245)))


def leaning(plan: Plan, random: Random, width: float) -> Plan:
    """Look at the paper from the side, up to 60 degrees about either axis, from anywhere about."""
    tilt = random.uniform(35, 60)
    way = random.uniform(0, 2 * np.pi)
    lean = (float(tilt * np.cos(way)), float(tilt * np.sin(way)))
    return replace(plan, view=replace(plan.view, lean=lean, turn=float(random.uniform(0, 360)), module_px=2.8))


def spine(plan: Plan, random: Random, width: float) -> Plan:
    """Bend the symbol round a book's spine, the bars along it."""
    view = replace(plan.view, radius=float(width * random.uniform(0.42, 1.2)), spine=True)
    return replace(plan, view=replace(view, offset=(float(random.normal(0, 0.08) * width), 0.0), module_px=2.8))


def bulge(plan: Plan, random: Random, width: float) -> Plan:
    """Bend the symbol so that its rows are arcs, and look at it somewhat from the side."""
    view = replace(plan.view, radius=float(width * random.uniform(0.5, 2.0)), spine=False)
    lean = (float(random.uniform(-35, 35)), float(random.uniform(-35, 35)))
    return replace(plan, view=replace(view, lean=lean, turn=float(random.uniform(0, 360))))


def moved(plan: Plan, random: Random, width: float) -> Plan:
    """Move the camera, in any direction."""
    length = plan.view.module_px * random.uniform(1.2, 3.5)
    return replace(
        plan, development=replace(plan.development, motion_px=(float(length), float(random.uniform(0, 180))))
    )


def unfocused(plan: Plan, random: Random, width: float) -> Plan:
    """Blur by a disc of one to two modules' radius."""
    radius = plan.view.module_px * random.uniform(0.8, 1.7)
    return replace(plan, development=replace(plan.development, defocus_px=float(radius)))


def shadowed(plan: Plan, random: Random, width: float) -> Plan:
    """Lay a deep shadow over a part."""
    light = replace(plan.development, shadow=float(random.uniform(0.03, 0.2)), noise=6.0)
    blur = float(plan.view.module_px * random.uniform(0.5, 0.9))
    return replace(plan, development=replace(light, defocus_px=blur))


def glaring(plan: Plan, random: Random, width: float) -> Plan:
    """Blow out spots."""
    return replace(plan, development=replace(plan.development, glare=int(random.integers(2, 5))))


def wrapped(plan: Plan, random: Random, width: float) -> Plan:
    """Wrap the book in film with folds."""
    return replace(plan, development=replace(plan.development, wrinkles=int(random.integers(4, 12))))


def small(plan: Plan, random: Random, width: float) -> Plan:
    """Take the picture from far away."""
    px = float(random.uniform(1.0, 1.6))
    return replace(
        plan,
        view=replace(plan.view, module_px=px),
        development=replace(plan.development, defocus_px=float(px * random.uniform(0.2, 0.5))),
    )


def squeezed(plan: Plan, random: Random, width: float) -> Plan:
    """Save as JPEG of low quality."""
    light = replace(plan.development, jpeg=int(random.integers(10, 45)), defocus_px=1.0)
    return replace(plan, view=replace(plan.view, module_px=float(random.uniform(1.2, 1.9))), development=light)


def rowed(plan: Plan, random: Random, width: float) -> Plan:
    """Add noise along rows and everywhere, as in little light."""
    light = replace(plan.development, rows=float(random.uniform(5, 20)), noise=float(random.uniform(10, 25)))
    return replace(plan, development=light, ink=60, paper=150)


def lidded(plan: Plan, random: Random, width: float) -> Plan:
    """Cover the lower part of the bars, and blur a little."""
    blur = plan.view.module_px * random.uniform(0.4, 1.0)
    light = replace(plan.development, defocus_px=float(blur))
    return replace(plan, covered=float(random.uniform(0.5, 0.9)), development=light)


def crowded(plan: Plan, random: Random, width: float) -> Plan:
    """Print text and pictures all about, turned any way."""
    blur = plan.view.module_px * random.uniform(0.4, 1.0)
    light = replace(plan.development, defocus_px=float(blur))
    return replace(plan, busy=True, view=replace(plan.view, turn=float(random.uniform(0, 360))), development=light)


def negative(plan: Plan, random: Random, width: float) -> Plan:
    """Print light bars on a dark cover."""
    blur = plan.view.module_px * random.uniform(0.2, 0.9)
    light = replace(plan.development, defocus_px=float(blur))
    return replace(plan, ink=plan.paper, paper=plan.ink, development=light, busy=bool(random.random() < 0.5))


def mirrored(plan: Plan, random: Random, width: float) -> Plan:
    """See the symbol in a mirror: its bars are then those of the symbol read from the other end."""
    return replace(plan, mirrored=True, development=replace(plan.development, defocus_px=1.5))


def pale(plan: Plan, random: Random, width: float) -> Plan:
    """Print in coloured ink that is hardly darker than its ground."""
    paper = int(random.integers(110, 220))
    blur = plan.view.module_px * random.uniform(0.4, 1.0)
    light = replace(plan.development, noise=float(random.uniform(3, 6)), defocus_px=float(blur))
    return replace(plan, ink=paper - int(random.integers(14, 45)), paper=paper, development=light)


def mixed(plan: Plan, random: Random, width: float) -> Plan:
    """Bring several troubles together, each moderate."""
    lean = (float(random.uniform(-30, 30)), float(random.uniform(-30, 30)))
    view = replace(plan.view, lean=lean, turn=float(random.uniform(0, 360)))
    blur = view.module_px * random.uniform(0.3, 0.9)
    light = replace(
        plan.development,
        defocus_px=float(blur),
        glare=int(random.integers(0, 3)),
        wrinkles=int(random.integers(0, 4)),
        shadow=float(random.choice([1.0, 0.4])),
        jpeg=int(random.integers(40, 80)),
    )
    return replace(plan, view=view, development=light, busy=True)


KINDS: dict[str, Change] = {
    "leaning": leaning,
    "spine": spine,
    "bulge": bulge,
    "moved": moved,
    "unfocused": unfocused,
    "shadow": shadowed,
    "glare": glaring,
    "wrapped": wrapped,
    "small": small,
    "jpeg": squeezed,
    "noise": rowed,
    "covered": lidded,
    "crowded": crowded,
    "negative": negative,
    "mirrored": mirrored,
    "pale": pale,
    "mixed": mixed,
}


def hard(kind: str, seed: int) -> Hard:
    """Take one picture of a kind."""
    random = np.random.default_rng([seed, list(KINDS).index(kind)])
    bars = printed(random, FORMS[seed % len(FORMS)])
    plan = KINDS[kind](easy(random, seed), random, bars.bitmap.shape[1] / 6)
    page = sheet(random, bars, ink=plan.ink, paper=plan.paper, busy=plan.busy, covered=plan.covered)
    grey = taken(page, plan.view, plan.development)
    return Hard(np.ascontiguousarray(grey[:, ::-1]) if plan.mirrored else grey, kind, bars)
