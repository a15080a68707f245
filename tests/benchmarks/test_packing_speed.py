"""How long plans and parcels take: printed, never asserted.

Run with `pytest --benchmark-only -m "slow or not slow"`.
"""

import time
from typing import Any

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from intake.packing.packing_plan import BoxKind, PackingPlan, PackItem
from intake.packing.plan_boxes import plan
from intake.weighing.estimates import Estimate
from intake.weighing.guess_contents import ContentsCandidate, guess_contents

pytestmark = pytest.mark.slow

KINDS = (
    BoxKind(name="book box", inner_mm=(420, 330, 310), tare_g=900, limit_g=18_000),
    BoxKind(name="large", inner_mm=(450, 420, 320), tare_g=1150, limit_g=18_000),
)


def books(count: int, seed: int = 1) -> list[PackItem]:
    """Invented illustrated books, an eighth of the titles in sets, for four rooms."""
    random = np.random.default_rng(seed)
    made: list[PackItem] = []
    while len(made) < count:
        high = float(np.clip(random.normal(270, 45), 150, 400))
        wide = high * float(random.uniform(0.7, 0.95))
        volumes = int(random.integers(2, 7)) if random.random() < 0.12 else 1
        room, name = f"Room {random.integers(4)}", f"set {len(made)}" if volumes > 1 else ""
        for volume in range(volumes):
            thick = float(np.clip(random.normal(28, 9), 6, 70))
            made.append(
                PackItem(
                    key=f"A{len(made)}",
                    mass_g=high * wide * thick * 0.98 / 1000,
                    size_mm=(high, wide, thick),
                    set_key=name,
                    order=(volume, ""),
                    room=room,
                    value=float(random.lognormal(4, 1)),
                    currency="EUR",
                )
            )
    return made[:count]


def once(benchmark: Any, job: Any) -> Any:
    return benchmark.pedantic(job, rounds=1)


def test_first_plan_of_two_thousand_copies(benchmark: BenchmarkFixture) -> None:
    found: PackingPlan = once(benchmark, lambda: plan(books(2000), KINDS, going=lambda: False))
    benchmark.extra_info.update(boxes=len(found.boxes), bound=found.bound, gap=round(found.gap, 4))
    assert sum(len(box.items) for box in found.boxes) == 2000


def test_plan_of_two_thousand_copies_improved_for_sixty_seconds_at_most(benchmark: BenchmarkFixture) -> None:
    ends = time.monotonic() + 60
    found: PackingPlan = once(benchmark, lambda: plan(books(2000), KINDS, going=lambda: time.monotonic() < ends))
    benchmark.extra_info.update(first=found.first, boxes=len(found.boxes), bound=found.bound, gap=round(found.gap, 4))
    assert len(found.boxes) <= found.first


@pytest.mark.parametrize("listed", [25, 500])
@pytest.mark.parametrize("sides", [False, True])
def test_a_parcel_among_five_hundred_candidates(benchmark: BenchmarkFixture, listed: int, *, sides: bool) -> None:
    items = books(500)
    candidates = [
        ContentsCandidate(
            key=item.key,
            mass_g=Estimate(item.mass_g, 0.02 * item.mass_g),
            thickness_mm=Estimate(item.size_mm[2], 1.0),
            height_mm=Estimate(item.size_mm[0], 2.0),
            listed=n < listed,
        )
        for n, item in enumerate(items)
    ]
    pair = items[3], items[7]
    found = once(
        benchmark,
        lambda: guess_contents(
            candidates,
            mass_g=Estimate(pair[0].mass_g + pair[1].mass_g + 60, 10),
            thickness_mm=Estimate(pair[0].size_mm[2] + pair[1].size_mm[2] + 4, 2) if sides else None,
        ),
    )
    benchmark.extra_info.update(alike=found.alike, sampled=round(found.sampled, 3))
    assert found.guesses
