"""Spines told by their text: generated spines whose truth is known, misread as optical readers misread."""

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.readings import TextLine
from intake.shelving.spines import ExpectedCopy, align, identify_spines, spine_texts

TITLES = [
    "Gulls of the Northern Narrows", "Die Gräser der Nebelküste", "Mosses on Old Walls", "Lanterns of the Lowmarch",
    "A Key to Barnacles", "Kelp: a forest in forty plates", "Papillons de nuit", "Walking the Salt Roads",
    "Owls of the Long Dusk", "Stonecrops of Dry Roofs", "The Beetle Cabinet", "Rivers That Turn Back",
    "Příručka mechů", "Conchas da Baía do Vento", "Charts of the Fog Coast", "The Fern Gatherer’s Handbook",
]  # fmt: skip
EXPECTED = [ExpectedCopy(f"A{nth}", title, f"Author Number{nth}") for nth, title in enumerate(TITLES)]
SIMILAR = {"o": "0", "l": "1", "i": "l", "e": "c", "n": "r", "a": "o", "s": "5", "ä": "a", "ü": "u"}


def misread(text: str, rate: float, rng: random.Random) -> str:
    """Confuse, lose and add letters at a rate."""
    out = []
    for letter in text:
        if rng.random() >= rate:
            out.append(letter)
        elif rng.random() < 0.7:
            out.append(SIMILAR.get(letter.casefold(), rng.choice("abcdefghij")))
    return "".join(out)


def generated(order: list[int], rate: float, seed: int) -> list[str]:
    rng = random.Random(seed)
    return [
        misread(f"{TITLES[nth].upper() if nth % 2 else TITLES[nth]} Author Number{nth} Press", rate, rng)
        for nth in order
    ]


def test_clean_spines_in_order_are_all_told_and_sure() -> None:
    told = identify_spines(generated(list(range(16)), 0.0, 1), EXPECTED)
    assert [one.copy for one in told] == [f"A{nth}" for nth in range(16)]
    assert all(one.sure and one.in_order for one in told)


@pytest.mark.parametrize("seed", range(5))
def test_one_letter_in_ten_misread_names_no_wrong_copy_for_sure(seed: int) -> None:
    told = identify_spines(generated(list(range(16)), 0.1, seed), EXPECTED)
    right = [one.copy == f"A{nth}" for nth, one in enumerate(told)]
    assert sum(right) >= 14
    assert all(ok for ok, one in zip(right, told, strict=True) if one.sure)


def test_one_gone_two_swapped_and_a_stranger() -> None:
    order = [0, 1, 2, 4, 3, 5, 6, 8, 9]
    texts = generated(order, 0.03, 3)
    texts.insert(6, "SOMETHING WHOLLY DIFFERENT by Nobody")
    told = identify_spines(texts, EXPECTED[:10])
    assert [one.copy for one in told] == ["A0", "A1", "A2", "A4", "A3", "A5", None, "A6", "A8", "A9"]
    assert [one.in_order for one in told].count(False) == 2  # one of the swapped, and the stranger
    assert (told[6].confidence, told[6].sure) == (0.0, False)


def test_volumes_that_differ_by_a_figure_are_asked_about() -> None:
    volumes = [ExpectedCopy(f"A{n}", f"Flora of the Coast, vol. {n}") for n in (1, 2)]
    (one,) = identify_spines(["FLORA OF THE COAST"], volumes)
    assert one.copy in {"A1", "A2"}
    assert not one.sure
    assert one.runner_up in {"A1", "A2"}


def test_nothing_read_and_nothing_expected() -> None:
    assert identify_spines([], EXPECTED) == ()
    (one,) = identify_spines(["Gulls"], [])
    assert (one.copy, one.sure) == (None, False)
    unread = identify_spines([""], EXPECTED)[0]
    assert (unread.copy, unread.confidence, unread.runner_up, unread.in_order) == (None, 0.0, None, False)
    assert one.confidence == 0


@given(st.lists(st.lists(st.sampled_from([0.0, 0.5, 0.9]), min_size=3, max_size=3), min_size=1, max_size=4))
def test_no_alignment_is_better(rows: list[list[float]]) -> None:
    scores = np.array(rows)
    pairs = align(scores)

    def best(i: int, j: int) -> float:
        """Try everything."""
        if i == len(rows) or j == 3:
            return 0.0
        together = rows[i][j] + best(i + 1, j + 1) if rows[i][j] else 0.0
        return max(together, best(i + 1, j), best(i, j + 1))

    assert sum(scores[i, j] for i, j in pairs.items()) == pytest.approx(best(0, 0))
    assert sorted(pairs.values()) == list(pairs.values())


def test_lines_of_one_spine_are_joined() -> None:
    lines = [
        TextLine("Press", (12, 300, 30, 340)),
        TextLine("GULLS", (10, 40, 32, 290)),
        TextLine("Owls", (60, 50, 80, 200)),
    ]
    assert spine_texts(lines) == ("GULLS Press", "Owls")
