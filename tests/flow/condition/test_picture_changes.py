"""The earlier and the latest picture of a copy, compared and worded. The covers are drawn and invented."""

from datetime import timedelta

import pytest

from intake.edges.store.library import Library
from intake.flow.condition.change_words import NONE_SEEN, change_lines, copy_change_lines, place_words
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.condition.picture_changes import DatedPicture, changes_of_copy, pairs_of, places_shown
from intake.model.cover_changes import CompareVerdict, CoverChange, CoverChanges, CoverPart, Tone, Unjudged
from tests.covers.drawn_pair import crushed_pair
from tests.flow.conftest import NOW

LATER = NOW + timedelta(days=40)


def test_the_latest_picture_is_compared_with_the_earliest_of_the_same_side(library: Library) -> None:
    before, after, _ = crushed_pair()
    photograph_copy(library, "1", before, station="desk", now=NOW)
    alone = changes_of_copy(library, "1")
    assert (alone.pair, alone.pictures, alone.verdict) == (None, 1, None)
    assert "no earlier and later picture" in copy_change_lines(alone)[0]
    photograph_copy(library, "1", after, station="desk", now=LATER)
    pair = changes_of_copy(library, "1").pair
    assert pair is not None
    assert (pair.earlier.at, pair.later.at) == (NOW, LATER)
    (change,) = pair.found.changes
    assert change.part is CoverPart.BOTTOM_LEFT_CORNER
    (width, height), (place,) = places_shown(pair.found)
    assert all(0 <= x <= width and 0 <= y <= height for x, y in place.outline)


def test_pictures_of_one_report_are_no_pair_and_the_latest_come_first() -> None:
    shown = [DatedPicture(name, NOW + timedelta(hours=hours), report)
             for name, hours, report in (("a", 0, None), ("b", 1, 7), ("c", 2, 7), ("d", 2, None))]  # fmt: skip
    pairs = [(later.sha256, earlier.sha256) for later, earlier in pairs_of(shown)]
    assert pairs == [("d", "a"), ("d", "b"), ("c", "a"), ("b", "a")]


def change(**sizes: float) -> CoverChange:
    return CoverChange(CoverPart.FIELD, Tone.DARKER, 0.004, (), (), (), **sizes)


def test_what_changed_is_said_as_a_place_to_look_at() -> None:
    assert place_words(change()) == "on the board, 0.4 % of the cover, darker than before"
    assert "about 31 × 4 mm" in place_words(change(length_mm=31.4, width_mm=4.2))
    found = CoverChanges(CompareVerdict.COMPARED, 40, (change(),), unjudged={Unjudged.GLARE: 0.06})
    lines = change_lines(found)
    assert lines[0] == "Look here, 1 place:"
    assert lines[-1] == "Not judged: 6 % of the cover, burnt out by glare."


@pytest.mark.parametrize(
    ("unjudged", "words"),
    [
        ({Unjudged.GLARE: 0.03}, "No place looks different."),
        ({Unjudged.GLARE: 0.03, Unjudged.SHINE: 0.204}, "Nothing was found in the 76 % of the cover that could be"),
        ({Unjudged.SOFT: 0.009}, "Nothing was found in the 99 % of the cover"),
        ({Unjudged.CUT_OFF: 0.9, Unjudged.GLARE: 0.2}, "Nothing was found in the 0 %"),
    ],
)
def test_no_place_looks_different_is_said_only_of_a_cover_compared_almost_entirely(
    unjudged: dict[Unjudged, float], words: str
) -> None:
    lines = change_lines(CoverChanges(CompareVerdict.COMPARED, 40, unjudged=unjudged))
    assert lines[0].startswith(words)
    assert len(lines) == 1 + len(unjudged)


@pytest.mark.parametrize("verdict", list(CompareVerdict))
def test_every_outcome_has_its_words(verdict: CompareVerdict) -> None:
    (line,) = change_lines(CoverChanges(verdict))
    assert (line == NONE_SEEN) == (verdict is CompareVerdict.COMPARED)
