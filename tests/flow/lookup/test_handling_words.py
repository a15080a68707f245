"""Cautions for the hands: which of them a step brings up."""

import pytest

from intake.flow.lookup.handling_words import (
    DAMP_BOOK,
    KNIFE,
    MOULD,
    WET_BOX,
    damp_cautions,
    heavy_words,
    opening_cautions,
)
from intake.model.condition import PARTS
from intake.shelving.loads import HEAVY_BOOK_G
from tests.shelving.making import book

DESCRIBED = [
    ("", ()),
    ("boards rubbed", ()),
    ("mould", (MOULD,)),
    ("Mold on the edges", (MOULD,)),
    ("mildewed", (MOULD,)),
    ("damp mark", (DAMP_BOOK,)),
    ("soaked and mouldy", (MOULD, DAMP_BOOK)),
    ("mouldings on the spine", (MOULD,)),
    ("a sweater", ()),
]


@pytest.mark.parametrize(("words", "cautions"), DESCRIBED)
def test_damp_and_mould_in_a_persons_words(words: str, cautions: tuple[str, ...]) -> None:
    assert damp_cautions(words) == cautions


def test_the_trades_words_for_both_are_among_them() -> None:
    assert {word for words in PARTS.values() for word in words if damp_cautions(word)} == {"damp mark", "mould"}


def test_a_wet_box_is_opened_with_more_than_a_knife() -> None:
    assert opening_cautions(wet=False) == (KNIFE,)
    assert opening_cautions(wet=True) == (KNIFE, WET_BOX)
    assert "48 hours" in WET_BOX


def test_a_heavy_book_is_one_above_the_least_figure_of_the_filter() -> None:
    # HSE, INDG143 (seen in a copy): 3 kg for women with stretched arms, above the shoulder or below mid lower leg.
    assert HEAVY_BOOK_G == 3_000
    assert heavy_words([book("A1", mass_g=3_000)]) == ()
    (one,) = heavy_words([book("A1", mass_g=1_000), book("A2", mass_g=3_001, estimated=("mass",))])
    assert "A2 (about 3.00 kg)" in one
    assert "A1" not in one
    (many,) = heavy_words([book(f"A{n}", mass_g=4_000) for n in range(7)])
    assert "A4 (4.00 kg) and 2 more" in many
