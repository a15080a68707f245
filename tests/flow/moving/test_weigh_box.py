"""Weighing a box of the small library, and what is said of it; masses by hand."""

import pytest

from intake.edges.store.library import Library
from intake.flow.moving import box_lifecycle
from intake.flow.moving.weigh_box import explanation_rows, record_mass, weigh_box, words_of
from intake.weighing.box_check import Explanation, WeighCheck, WeightVerdict
from intake.weighing.estimates import Estimate


def check(verdict: WeightVerdict, off: float, *explanations: Explanation, alike: int = 0) -> WeighCheck:
    return WeighCheck(verdict, Estimate(15_000, 60, "by its list"), Estimate(off, 75), explanations, alike)


def test_each_verdict_in_words() -> None:
    gone = Explanation(("A1",), 0.8)
    nothing = Explanation((), 0.7)
    said = {
        "agrees": words_of(check(WeightVerdict.AGREES, -100)),
        "heavier": words_of(check(WeightVerdict.HEAVIER, 400)),
        "by none": words_of(check(WeightVerdict.LIGHTER, -400)),
        "all there": words_of(check(WeightVerdict.LIGHTER, -400, nothing, gone)),
        "one": words_of(check(WeightVerdict.LIGHTER, -400, gone, alike=1)),
        "twins": words_of(check(WeightVerdict.LIGHTER, -400, gone, gone, alike=2)),
    }
    assert len(set(said.values())) == 6
    assert said["agrees"].startswith("Agrees: 100 g less than 15.00 kg by its list")
    assert said["heavier"].startswith("Heavier: 400 g more than 15.00 kg by its list (± 150 g)")
    assert all(said[one].startswith("Lighter: 400 g less than 15.00 kg") for one in ("by none", "all there", "one"))
    assert "2 sets" in said["twins"]
    assert "sets" not in said["one"]


def test_explanations_as_rows() -> None:
    titles = {"A1": "Gulls", "A2": "Ferns"}
    found = check(
        WeightVerdict.LIGHTER, -400, Explanation(("A1", "A2"), 0.61), Explanation((), 0.3), Explanation(("A1",), 0.004),
    )  # fmt: skip
    rows = explanation_rows(found, titles)
    assert [percent for percent, _ in rows] == ["61 %", "30 %"]
    assert rows[0][1] == "A1 Gulls; A2 Ferns"
    assert "A1" not in rows[1][1]
    assert len(explanation_rows(found, titles, limit=1)) == 1


def test_a_box_is_compared_with_its_packing_once_it_was_weighed_twice(library: Library) -> None:
    box_lifecycle.close_box(library, "1", gross_g=9000, station="test")
    with library.reading() as records:
        once = weigh_box(records, "1")
    assert once.by_packing is None
    assert once.by_list is not None
    box_lifecycle.check_in(library, "1", station="test")
    record_mass(library, "1", 8200, station="test")
    with library.reading() as records:
        twice = weigh_box(records, "1")
    assert twice.by_packing is not None
    assert twice.by_packing.difference.mean == -800
    assert len(twice.titles) == 4


@pytest.mark.parametrize("grams", [9000.0, 9100.0])
def test_a_box_that_weighs_what_it_did(library: Library, grams: float) -> None:
    box_lifecycle.close_box(library, "1", gross_g=9000, station="test")
    box_lifecycle.check_in(library, "1", station="test")
    record_mass(library, "1", grams, station="test")
    with library.reading() as records:
        found = weigh_box(records, "1").by_packing
    assert found is not None
    assert found.verdict is WeightVerdict.AGREES
