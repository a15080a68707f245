"""Plans and bounds against the optimum that OR-tools CP-SAT proves: small random cases with sets, rooms and values.

The copies are so small that only mass decides. The rules are those of `intake.model.packing.PackingRules`: a set that
one box holds lies in one box, whatever it is worth; a box goes to one room; and its value in a currency is within the
share, unless a single copy or whole set is all of that value in it.
"""

import random

import pytest

from intake.model.packing import PackingRules
from intake.packing.packing_plan import BoxKind, PackingPlan, PackItem
from intake.packing.plan_boxes import plan

cp_model = pytest.importorskip("ortools.sat.python.cp_model", reason="OR-tools is not installed")

CAPACITY, SHARE = 20, 0.3
KIND = BoxKind(name="box", inner_mm=(1000, 1000, 1000), tare_g=0, limit_g=CAPACITY)
ROOMS, SETS, CURRENCIES = ("", "", "Hall"), ("", "", "atlas", "flora", "birds"), ("", "", "EUR", "JPY")


def draw_items(draw: random.Random) -> list[PackItem]:
    """Return 4 to 11 copies; some of no set, some of no value; the volumes of a set are for one room."""
    rooms = {key: draw.choice(ROOMS) for key in SETS}
    items = []
    for nth in range(draw.randint(4, 11)):
        key, currency = draw.choice(SETS), draw.choice(CURRENCIES)
        items.append(
            PackItem(
                key=str(nth),
                mass_g=draw.randint(1, 13),
                size_mm=(10, 10, 1),
                set_key=key,
                order=(nth, ""),
                room=rooms[key] if key else draw.choice(ROOMS),
                value=float(draw.randint(1, 50)) if currency else 0.0,
                currency=currency,
            )
        )
    return items


def pieces(items: list[PackItem]) -> list[list[PackItem]]:
    """Return what the rules keep together: each set that one box holds, and every other copy by itself."""
    sets: dict[str, list[PackItem]] = {}
    for item in items:
        sets.setdefault(item.set_key, []).append(item)
    single = sets.pop("", [])
    whole = [members for members in sets.values() if sum(item.mass_g for item in members) <= CAPACITY]
    cut = [item for members in sets.values() if members not in whole for item in members]
    return [*whole, *([item] for item in [*single, *cut])]


def fewest_boxes(items: list[PackItem], *, most: int) -> int | None:
    """Return the least number of boxes, at most so many; None where the solver proves that they do not suffice."""
    blocks = pieces(items)
    model = cp_model.CpModel()
    lies = [[model.new_bool_var("") for _ in range(most)] for _ in blocks]
    used = [model.new_bool_var("") for _ in range(most)]
    for row in lies:
        model.add_exactly_one(row)
    rooms = sorted({item.room for item in items})
    for box in range(most):
        goes = [model.new_bool_var("") for _ in rooms]
        model.add_at_most_one(goes)
        model.add(sum(lies[n][box] * sum(int(item.mass_g) for item in b) for n, b in enumerate(blocks)) <= CAPACITY)
        for n, block in enumerate(blocks):
            model.add_implication(lies[n][box], used[box])
            model.add_implication(lies[n][box], goes[rooms.index(block[0].room)])
        for currency in {item.currency for item in items if item.value}:
            worth = [sum(int(item.value) for item in block if item.currency == currency) for block in blocks]
            alone = model.new_bool_var("")
            cap = int(SHARE * sum(worth) + 1e-9)
            model.add(sum(lies[n][box] * worth[n] for n in range(len(blocks))) <= cap).only_enforce_if(alone.negated())
            model.add(sum(lies[n][box] for n in range(len(blocks)) if worth[n]) <= 1).only_enforce_if(alone)
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    fewest: float = solver.objective_value
    return round(fewest)


def planned(items: list[PackItem]) -> PackingPlan:
    return plan(items, [KIND], rules=PackingRules(share=SHARE))


@pytest.mark.parametrize("seed", range(60))
def test_the_bound_is_never_above_the_optimum_nor_the_plan_below_it(seed: int) -> None:
    items = draw_items(random.Random(seed))
    found = planned(items)
    assert found.left == ()
    optimum = fewest_boxes(items, most=len(found.boxes))
    assert optimum is not None
    assert found.bound <= optimum <= len(found.boxes) <= optimum + 1
    for block in pieces(items):
        assert sum(bool({item.key for item in block} & {item.key for item in box.items}) for box in found.boxes) == 1
