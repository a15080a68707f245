"""Which copies could go together, against every choice on small cases and OR-tools CP-SAT on larger ones."""

import itertools
import random

import pytest

from intake.runs.spans import difference, spans_of, union
from intake.runs.spare import HeldVolume, spare

cp_model = pytest.importorskip("ortools.sat.python.cp_model", reason="OR-tools is not installed")


def draw_volumes(draw: random.Random, size: int, serials: str = "st") -> list[HeldVolume]:
    volumes = []
    for nth in range(size):
        places = {}
        for serial in draw.sample(serials, draw.randint(0, 2)):
            places[serial] = spans_of([(first, first + draw.randint(0, 4)) for first in draw.sample(range(8), 2)])
        thickness = draw.choice([None, *range(8, 60)])
        volumes.append(HeldVolume(str(nth), places, thickness, may_go=draw.random() < 0.8))
    return volumes


def is_all_kept(volumes: list[HeldVolume], gone: set[str]) -> bool:
    for serial in {serial for volume in volumes for serial in volume.places}:
        having = {volume.copy: volume.places.get(serial, ()) for volume in volumes}
        kept = {copy: spans for copy, spans in having.items() if copy not in gone}
        if difference(union(*having.values()), union(*kept.values())):
            return False
    return True


def freed(volumes: list[HeldVolume], gone: set[str]) -> float:
    return sum(volume.thickness_mm or 0 for volume in volumes if volume.copy in gone)


@pytest.mark.parametrize("seed", range(15))
def test_nothing_is_lost_and_no_other_choice_frees_more(seed: int) -> None:
    volumes = draw_volumes(random.Random(seed), 9)
    choice = spare(volumes)
    gone = {one.copy for one in choice.volumes}
    by_copy = {volume.copy: volume for volume in volumes}
    assert all(by_copy[copy].may_go and by_copy[copy].places for copy in gone)
    assert is_all_kept(volumes, gone)
    movable = [volume.copy for volume in volumes if volume.may_go and volume.places]
    allowed = [
        set(some)
        for size in range(len(movable) + 1)
        for some in itertools.combinations(movable, size)
        if is_all_kept(volumes, set(some))
    ]
    assert choice.freed_mm == freed(volumes, gone)
    assert (choice.freed_mm, len(gone)) == max((freed(volumes, some), len(some)) for some in allowed)
    assert choice.proved
    for one in choice.volumes:
        assert not gone & set(one.also_in)
        for serial, spans in by_copy[one.copy].places.items():
            staying = {copy: by_copy[copy].places.get(serial, ()) for copy in one.also_in}
            assert not difference(spans, union(*staying.values()))


@pytest.mark.parametrize("seed", range(10))
def test_an_issue_that_may_be_had_in_part_lets_a_copy_go_and_none_on_its_account(seed: int) -> None:
    """The rule itself, place by place, over every choice: an issue is whole, or as an edition has it."""
    draw = random.Random(seed)
    of_edition = {edition: {place: draw.choice(["", "part", "whole"]) for place in range(4)} for edition in "abcd"}
    chosen = draw.choices("abcd", k=7)
    having = [of_edition[edition] for edition in chosen]
    volumes = [
        HeldVolume(
            str(nth),
            {"s": spans_of([(place, place) for place in range(4) if had[place] == "whole"])},
            draw.randint(8, 60),
            may_go=draw.random() < 0.9,
            halves={"s": spans_of([(place, place) for place in range(4) if had[place] == "part"])},
            edition=chosen[nth],
        )
        for nth, had in enumerate(having)
    ]

    def is_lost(gone: set[int]) -> bool:
        kept = set(range(7)) - gone
        return any(
            had[place] and not any(having[other][place] == "whole" for other in kept)
            and not (had[place] == "part" and any(chosen[other] == chosen[nth] for other in kept))
            for nth, had in enumerate(having) if nth in gone for place in range(4)
        )  # fmt: skip

    movable = [nth for nth, had in enumerate(having) if volumes[nth].may_go and any(had.values())]
    every = (set(some) for size in range(8) for some in itertools.combinations(movable, size))
    allowed = [gone for gone in every if not is_lost(gone)]
    choice = spare(volumes)
    gone = {int(one.copy) for one in choice.volumes}
    assert gone in allowed
    best = max((sum(volumes[nth].thickness_mm or 0 for nth in some), len(some)) for some in allowed)
    assert (choice.freed_mm, len(gone)) == best
    assert all(one.also_in for one in choice.volumes)


def test_of_two_that_stand_for_each_other_one_stays() -> None:
    same = {"s": ((0, 5),)}
    choice = spare([HeldVolume("a", same, 30, may_go=True), HeldVolume("b", same, 40, may_go=True)])
    assert [(one.copy, one.also_in) for one in choice.volumes] == [("b", ("a",))]
    assert choice.freed_mm == 40


def test_a_copy_that_collects_nothing_is_never_spare() -> None:
    assert spare([HeldVolume("a", {}, 30, may_go=True)]).volumes == ()


@pytest.mark.slow
def test_five_hundred_copies_free_what_cp_sat_proves() -> None:
    volumes = draw_volumes(random.Random(1), 500, "abcdefghijklmnopqrstuvwxyz")
    model = cp_model.CpModel()
    stays = [model.new_bool_var("") for _ in volumes]
    for nth, volume in enumerate(volumes):
        if not volume.may_go or not volume.places:
            model.add(stays[nth] == 1)
    for serial in {serial for volume in volumes for serial in volume.places}:
        for place in range(14):
            having = [
                stays[nth]
                for nth, volume in enumerate(volumes)
                if any(first <= place <= last for first, last in volume.places.get(serial, ()))
            ]
            if having:
                model.add_bool_or(having)
    model.maximize(sum(int(v.thickness_mm or 0) * (1 - stays[nth]) for nth, v in enumerate(volumes)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    choice = spare(volumes, seconds=60)
    assert choice.proved
    assert choice.freed_mm == round(solver.objective_value)
