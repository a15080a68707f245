"""How like typed words a title is: worked by hand from the definition of difflib's ratio, 2 M / T. Titles invented."""

import pytest

from intake.matching.titles import likeness, rank_titles
from intake.model.editions import Copy, CopyState, Edition
from intake.model.reasons import Reason, ReasonKind


def edition(title: str, *contributors: str, nth: int = 1) -> Edition:
    return Edition(id=nth, title=title, contributors=contributors)


def found(count: int, of: int) -> Reason:
    return Reason(ReasonKind.WORDS_FOUND, count=count, of=of)


@pytest.mark.parametrize("typed", ["Moors", "moors!", "MOORS: a survey", "moors a survey"])
def test_the_very_title_with_or_without_its_subtitle(typed: str) -> None:
    alike = likeness(typed, edition("Moors: a survey"))
    assert (alike.score, alike.reasons) == (1, (Reason(ReasonKind.SAME_TITLE),))


@pytest.mark.parametrize(
    ("typed", "score"),
    [
        # Two parts in three for what was typed that is found, one for what of the title was typed; by letters.
        ("moors heaths", (2 * 5 / 11 + 1) / 3),
        ("moors thorn", (2 * 1 + 1) / 3),  # the contributor's name is found, and no part of the title
        ("survey", (2 * 1 + 0) / 3),  # so is the subtitle
        ("heaths", 0),
    ],
)
def test_a_likeness_counts_letters_found_and_letters_of_the_title(typed: str, score: float) -> None:
    assert likeness(typed, edition("Moors: a survey", "Ada Thorn")).score == pytest.approx(score)


def test_a_mistyped_word_counts_by_its_ratio() -> None:
    """ "gulls" and "gull" share 4 letters of 5 + 4: 8 / 9; of "auks" and "gull" they share one of 8: not alike."""
    alike = likeness("gull auks", edition("Gulls"))
    assert alike.reasons == (found(1, 2), Reason(ReasonKind.WORD_ALIKE, texts=("gull", "gulls")))
    assert alike.score == pytest.approx((2 * 4 * 8 / 9 / 8 + 8 / 9) / 3)


def test_of_two_words_alike_the_nearer_one_is_meant() -> None:
    for title in ("Gardening gardens", "Gardens gardening"):
        assert likeness("gardenz", edition(title)).reasons[1].texts == ("gardenz", "gardens")


@pytest.mark.parametrize(("typed", "title"), [("book", "cook"), ("cook", "book")])
def test_words_of_three_letters_in_four_may_be_one(typed: str, title: str) -> None:
    """2 x 3 / 8 is 0.75, the least ratio; 2 x 2 / 6 is less."""
    assert likeness(typed, edition(title)).score == pytest.approx(0.75)
    assert likeness("bog", edition("cog")).score == 0


@pytest.mark.parametrize(
    ("title", "is_shown"),
    # "moors" is found, "of" and "dusk" are not: (2 x 5/11 + 1) / 3 is 0.64; of a longer title less is typed.
    [("Moors", True), ("Moors at dusk", True), ("Moors heaths", False)],
)
def test_editions_that_are_half_like_are_shown(title: str, is_shown: bool) -> None:
    alike = likeness("moors of dusk", edition(title)).score
    assert (alike >= 0.5) is is_shown
    assert bool(rank_titles("moors of dusk", [edition(title)])) is is_shown


def test_nothing_typed_and_no_title_are_like_nothing() -> None:
    for typed, title in (("", "Moors"), ("moors", ""), ("…", "Moors"), ("moors", ":")):
        assert (likeness(typed, edition(title)).score, likeness(typed, edition(title)).reasons) == (0, ())


def test_equal_likeness_goes_by_what_is_recorded_then_by_title_then_by_number() -> None:
    editions = [edition("Moors of dusk", nth=3), edition("Moors of dawn", nth=2), edition("Moors of dawn", nth=1)]
    assert [one.edition.id for one in rank_titles("moors of", editions)] == [1, 2, 3]
    seen = Copy(accession="A1", edition_id=2, state=CopyState.PACKED, box="B1")
    ranked = rank_titles("moors of", editions, copies=[seen], box="B1")
    assert [one.edition.id for one in ranked] == [2, 1, 3]
    assert 0 < ranked[1].strength < ranked[0].strength <= likeness("moors of", editions[1]).score
    assert ranked[0].reasons[0] == found(2, 2)
    assert len(ranked[0].reasons) > 1, "what the records say is said, too"
