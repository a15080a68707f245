"""The division of books over shelves: against every division there is, and against an independent exact solver.

The solver is CP-SAT of OR-tools; its model knows nothing of runs or ends of shelves, only which book is on which shelf.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations_with_replacement, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.errors import RefusedError
from intake.model.shelving import Book, Space
from intake.shelving.arrange import NEAR_TODAY, CostWeights, Division, Shortage, arrange
from tests.drawn_examples import examples
from tests.shelving.making import book, small_cases, space

WEIGHTS = CostWeights()


def runs_of(ends: Sequence[int]) -> Iterator[tuple[int, int]]:
    return pairwise((0, *ends))


def can_stand(books: Sequence[Book], shelf: Space) -> bool:
    return (
        sum(b.thickness_mm for b in books) <= shelf.width_mm
        and sum(b.mass_g for b in books) <= shelf.limit_g
        and all(b.height_mm <= shelf.height_mm and b.depth_mm <= shelf.depth_mm for b in books)
    )


def cost(
    books: Sequence[Book],
    spaces: Sequence[Space],
    ends: Sequence[int],
    homes: Mapping[str, str],
    w: CostWeights = WEIGHTS,
) -> float:
    """The cost as the module states it, written down anew, shelf by shelf."""
    total = 0.0
    for nth, (a, b) in enumerate(runs_of(ends)):
        on, shelf = books[a:b], spaces[nth]
        if not on:
            continue
        assert can_stand(on, shelf)
        filled = sum(one.thickness_mm + one.growth_mm for one in on) / shelf.width_mm
        total += w.free * (1 - filled) ** 2 if filled <= 1 else w.growth * (filled - 1) ** 2
        if b < len(books) and books[b - 1].set_id is not None and books[b - 1].set_id == books[b].set_id:
            total += w.torn
        total += w.lifted_kg_m * sum(one.mass_g for one in on) / 1000 * shelf.y_m
        total += w.late * nth / len(spaces) * len(on)
        total += w.moved * sum(homes.get(one.copy, shelf.shelf) != shelf.shelf for one in on)
    return total


def every_division(books: Sequence[Book], spaces: Sequence[Space]) -> Iterator[tuple[int, ...]]:
    for inner in combinations_with_replacement(range(len(books) + 1), len(spaces) - 1):
        ends = (*inner, len(books))
        if all(can_stand(books[a:b], shelf) for (a, b), shelf in zip(runs_of(ends), spaces, strict=True)):
            yield ends


@settings(max_examples=examples(300), deadline=None)
@given(small_cases(), st.dictionaries(st.sampled_from("0123456"), st.sampled_from(["s0", "s1", "s2", "elsewhere"])))
def test_no_division_is_cheaper(case: tuple[list[Book], list[Space]], homes: dict[str, str]) -> None:
    books, spaces = case
    found = arrange(books, spaces, homes=homes)
    costs = [cost(books, spaces, ends, homes) for ends in every_division(books, spaces)]
    if isinstance(found, Shortage):
        assert not costs
    else:
        assert cost(books, spaces, found.ends, homes) == pytest.approx(min(costs))
        assert found.cost == pytest.approx(min(costs))


@settings(max_examples=examples(150), deadline=None)
@given(small_cases(), st.dictionaries(st.sampled_from("0123456"), st.sampled_from(["s0", "s1", "s2", "elsewhere"])))
def test_near_today_a_division_is_found_whenever_there_is_one(
    case: tuple[list[Book], list[Space]], homes: dict[str, str]
) -> None:
    books, spaces = case
    possible = list(every_division(books, spaces))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("intake.shelving.arrange.NEAR_TODAY", 1)
        found = arrange(books, spaces, homes=homes)
    assert isinstance(found, Division) == bool(possible)
    if isinstance(found, Division):
        assert found.ends in possible
        assert found.cost == pytest.approx(cost(books, spaces, found.ends, homes))


def test_in_a_long_sequence_the_books_that_stand_in_order_stay() -> None:
    books = [book(str(nth), thickness_mm=30) for nth in range(4 * NEAR_TODAY)]
    spaces = [space(f"s{nth}", width_mm=95) for nth in range(2 * NEAR_TODAY)]
    homes = {str(nth): f"s{nth // 2}" for nth in range(len(books))}
    found = arrange(books, spaces, CostWeights(moved=1.0), homes=homes)
    assert isinstance(found, Division)
    assert found.ends == tuple(2 * (nth + 1) for nth in range(len(spaces)))


@settings(max_examples=examples(12), deadline=None)
@given(small_cases())
def test_an_independent_solver_finds_nothing_cheaper(case: tuple[list[Book], list[Space]]) -> None:
    cp_model = pytest.importorskip("ortools.sat.python.cp_model", reason="OR-tools is not installed")
    books, spaces = case
    wide = [space(f"w{nth}", 100, y_m=one.y_m) for nth, one in enumerate(spaces)]
    weights = CostWeights(free=1.0, growth=1.0, torn=2.0, lifted_kg_m=0.005, late=0.0)
    found = arrange(books, wide, weights)
    model = cp_model.CpModel()
    on = [[model.new_bool_var(f"{b}/{s}") for s in range(len(wide))] for b in range(len(books))]
    place = [sum(s * x for s, x in enumerate(row)) for row in on]
    for row in on:
        model.add_exactly_one(row)
    for before, after in pairwise(place):
        model.add(before <= after)
    price = []
    for s, shelf in enumerate(wide):
        model.add(sum(round(b.thickness_mm) * row[s] for b, row in zip(books, on, strict=True)) <= 100)
        used = model.new_bool_var(f"used {s}")
        model.add_max_equality(used, [row[s] for row in on] or [0])
        free = model.new_int_var(-1000, 100, f"free {s}")
        grown = sum(round(b.thickness_mm + b.growth_mm) * row[s] for b, row in zip(books, on, strict=True))
        model.add(free == 100 - grown).only_enforce_if(used)
        model.add(free == 0).only_enforce_if(~used)
        square = model.new_int_var(0, 1_000_000, f"square {s}")
        model.add_multiplication_equality(square, [free, free])
        price.append(1000 * square)  # all in ten-millionths
        price += [round(50_000 * b.mass_g / 1000 * shelf.y_m) * row[s] for b, row in zip(books, on, strict=True)]
    for nth, (a, b) in enumerate(pairwise(books)):
        if a.set_id is not None and a.set_id == b.set_id:
            torn = model.new_bool_var(f"torn {nth}")
            model.add(place[nth] == place[nth + 1]).only_enforce_if(~torn)
            price.append(20_000_000 * torn)
    model.minimize(sum(price))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    if isinstance(found, Shortage):
        assert status == cp_model.INFEASIBLE
    else:
        assert status == cp_model.OPTIMAL
        assert found.cost == pytest.approx(solver.objective_value / 1e7, abs=1e-6)


def test_a_set_stays_together_at_the_price_of_a_gap() -> None:
    books = [book("x", 40), *(book(f"v{n}", 30, set_id=7) for n in range(3)), book("y", 30)]
    found = arrange(books, [space("a", 110), space("b", 110), space("c", 110)])
    assert isinstance(found, Division)
    assert list(found.runs()) == [(0, 1), (1, 4), (4, 5)]


def test_folios_stand_where_they_fit_and_heavy_ones_low() -> None:
    folio = [book(f"f{n}", 40, height_mm=420, mass_g=6000) for n in range(2)]
    shelves = [space("top", 100, height_mm=300, y_m=1.8), space("high", 100, height_mm=450, y_m=1.5)]
    found = arrange(folio, [*shelves, space("low", 100, height_mm=450, y_m=0.1)], CostWeights(late=0))
    assert isinstance(found, Division)
    assert found.ends == (0, 0, 2)


def test_room_is_left_where_growth_is_expected() -> None:
    books = [book("a", 30), book("serial", 30, growth_mm=35), book("b", 30), book("c", 30)]
    found = arrange(books, [space("1", 100), space("2", 100)])
    assert isinstance(found, Division)
    assert found.ends == (2, 4)


def test_what_is_too_tall_for_every_shelf_and_what_is_too_much_is_told() -> None:
    books = [book("atlas", 40, height_mm=600), *(book(f"b{n}", 30) for n in range(8))]
    found = arrange(books, [space("1", 100, height_mm=300), space("2", 100, height_mm=300)])
    assert isinstance(found, Shortage)
    assert [one.copy for one in found.misfits] == ["atlas"]
    assert (found.placed, found.short_mm) == (6, 60)


def test_no_books_and_no_shelves() -> None:
    assert arrange([], [space("1")]) == Division((0,), 0.0)
    assert arrange([], []) == Division((), 0.0)
    assert isinstance(arrange([book("a")], []), Shortage)
    with pytest.raises(RefusedError, match="has no width"):
        space("flat", 0)
