"""Typed words find the title. Likeness is difflib's, of the standard library; the cases are made up."""

from difflib import SequenceMatcher

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.matching.titles import LEAST, likeness, rank_titles
from intake.model.editions import Copy, CopyState, Edition
from intake.model.matches import MatchVerdict
from intake.model.reasons import Reason, ReasonKind

TITLES = [
    "Die Gräser der Küste: ein erfundener Führer",
    "Gardens of the invented north",
    "The invented garden",
    "Ἀνύπαρκτα νησιά",
    "架空の植物図鑑",
    "架空の動物図鑑",
]
EDITIONS = [Edition(id=nth, title=title, contributors=("Ima Ginary",)) for nth, title in enumerate(TITLES, 1)]


@pytest.mark.parametrize(
    ("typed", "best"),
    [
        ("graser kuste", 1),
        ("Die Gräser der Küste", 1),
        ("grasser der kuste", 1),
        ("invented garden", 3),
        ("gardn invented", 3),
        ("gardens north", 2),
        ("ginary gardens north", 2),
        ("ανυπαρκτα νησια", 4),
        ("架空の植物図鑑", 5),
        ("架空の動物図", 6),
        ("erfundener Führer", 1),
    ],
)
def test_the_title_that_was_meant_comes_first(typed: str, best: int) -> None:
    assert rank_titles(typed, EDITIONS)[0].edition.id == best


@pytest.mark.parametrize("typed", ["", "  ", ":", "zzz qqq", "12"])
def test_words_that_are_nowhere_find_nothing(typed: str) -> None:
    assert rank_titles(typed, EDITIONS) == ()


def test_reasons_name_the_mistyped_word() -> None:
    alike = likeness("gardn invented", EDITIONS[2])
    both = Reason(ReasonKind.WORDS_FOUND, count=2, of=2)
    assert alike.reasons == (both, Reason(ReasonKind.WORD_ALIKE, texts=("gardn", "garden")))
    ratio = SequenceMatcher(None, "garden", "gardn").ratio()
    assert ratio == pytest.approx(10 / 11), "2 M / T of its documentation: 5 letters matched of 6 + 5"
    found = (5 * ratio + 8) / 13
    covered = (0 * 3 + 8 + 6 * ratio) / 17
    assert alike.score == pytest.approx((2 * found + covered) / 3)


def test_copies_and_the_open_box_order_what_is_equally_like() -> None:
    pair = [Edition(id=nth, title="Invented moors", year=2000 + nth) for nth in (1, 2)]
    here = Copy(accession="A1", edition_id=2, state=CopyState.PACKED, box="B1")
    found = rank_titles("invented moors", pair, copies=[here], box="B1")
    assert [(one.edition.id, one.copy, one.verdict) for one in found] == [
        (2, here, MatchVerdict.EXPECTED),
        (1, None, MatchVerdict.UNLISTED),
    ]


@given(st.text(max_size=30), st.lists(st.text(max_size=20), max_size=4))
def test_any_text_gives_strengths_in_order(typed: str, titles: list[str]) -> None:
    editions = [Edition(id=nth, title=title) for nth, title in enumerate(titles)]
    strengths = [candidate.strength for candidate in rank_titles(typed, editions)]
    assert strengths == sorted(strengths, reverse=True)
    assert all(LEAST * 0.9 <= strength <= 1 for strength in strengths)
