"""Hard pictures by kind: how many are read at least, and that no number is read that is not printed there.

The floors are what was reached when they were set, less one; they only rise. `tests/benchmarks/hard_pictures.py` and
`tests/benchmarks/false_readings.py` are the long forms.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.reading.decoders import available
from intake.reading.read import read
from tests.drawn_examples import examples
from tests.reading.hard import KINDS, hard
from tests.reading.lures import KIND_NAMES, lure

BOTH = available()
PICTURES = 8
FLOORS = dict.fromkeys(KINDS, 7) | dict.fromkeys(["glare", "mixed"], 6)
FLOORS |= {"spine": 5}
SPOILT = tuple(kind for kind in KIND_NAMES if kind != "scratched")
"""Scratches as wide as bars can turn a symbol into another one with a right check digit."""


def numbers(kind: str, seed: int) -> tuple[str, set[str]]:
    """The number printed in a hard picture, and those that are accepted."""
    picture = hard(kind, seed)
    found = read(picture.grey, decoders=BOTH)
    return picture.printed.number, {each.number for each in found if each.accepted}


@pytest.mark.parametrize("kind", ["leaning", "bulge", "negative", "glare"])
@pytest.mark.parametrize("seed", [4, 5])
def test_short_symbols_aslant_bent_and_light_on_dark(kind: str, seed: int) -> None:
    printed, accepted = numbers(kind, seed)
    assert accepted == {printed}


@pytest.mark.parametrize(
    ("kind", "seed"), [("misprint", 16), ("halves", 114), ("part covered", 117), ("misprint", 61018)]
)
def test_of_a_spoilt_symbol_decoders_make_up_no_number(kind: str, seed: int) -> None:
    # Two decoders agree on a made-up number, in the third one repeats it; in the fourth their outline is far off.
    picture = lure(kind, seed)
    found = read(picture.grey, decoders=BOTH)
    assert {each.number for each in found if each.accepted} <= {picture.number}


@pytest.mark.slow
@pytest.mark.parametrize(
    ("kind", "seed"), [("moved", 12), ("moved", 20), ("pale", 13), ("noise", 16), ("wrapped", 9), ("glare", 10)]
)
def test_short_symbols_moved_and_pale_ones_in_noise_under_folds_and_glare(kind: str, seed: int) -> None:
    printed, accepted = numbers(kind, seed)
    assert accepted == {printed}


@pytest.mark.parametrize("seed", [4, 8, 5041, 5051])
def test_strips_of_symbols_that_something_lies_over(seed: int) -> None:
    printed, accepted = numbers("covered", seed)
    assert accepted == {printed}


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_hard_pictures(kind: str) -> None:
    results = [numbers(kind, seed) for seed in range(PICTURES)]
    assert all(accepted <= {printed} for printed, accepted in results)
    assert sum(printed in accepted for printed, accepted in results) >= FLOORS[kind]


@pytest.mark.slow
@settings(max_examples=examples(60), deadline=None)
@given(st.sampled_from(SPOILT), st.integers(0, 2**32 - 1), st.integers(96, 640), st.integers(96, 480))
def test_what_is_no_symbol_or_a_spoilt_one_gives_no_wrong_number(kind: str, seed: int, width: int, height: int) -> None:
    picture = lure(kind, seed, size=(width, height))
    found = read(picture.grey, decoders=BOTH)
    assert {each.number for each in found if each.accepted} <= {picture.number}
