"""What changed between two pictures of one drawn cover: damage of known place and size is found, nothing else is told.

The larger figures are those of `tests.benchmarks.change_table`. Floors only rise.
"""

import numpy as np
import pytest

from intake.covers.change_picture import covers_shown, outlined, place_shown, side_by_side
from intake.covers.change_places import part_of, tone_of
from intake.covers.changes import find_changes
from intake.model.cover_changes import CompareVerdict, CoverChanges, CoverPart, SpineSide, Tone, Unjudged
from tests.benchmarks.change_table import is_at
from tests.covers.drawn_damage import SIZE_MM, Colours, Damage, Difference, Drawn, damaged, draw_coloured, seen

SMALL = 0.5
NUMBER = 0


@pytest.fixture(scope="module")
def stained() -> tuple[Colours, Colours, Drawn, CoverChanges]:
    """A cover before, and with a stain after, in small pictures; and what is found."""
    cover = draw_coloured(NUMBER)
    hurt, drawn = damaged(cover, Damage.STAIN, NUMBER)
    before, after = seen(cover, 0, scale=SMALL), seen(hurt, 1, Difference.GLARE, scale=SMALL)
    return before, after, drawn, find_changes(before, after, size_mm=SIZE_MM)


def test_damage_is_found_where_it_was_drawn_and_as_large(
    stained: tuple[Colours, Colours, Drawn, CoverChanges],
) -> None:
    """The stain is drawn at a known place, with a radius from which its size in millimetres follows."""
    _, _, drawn, found = stained
    assert found.verdict is CompareVerdict.COMPARED
    (change,) = found.changes
    assert is_at(change, drawn)
    assert change.tone is Tone.DARKER
    assert change.length_mm is not None
    assert change.length_mm == pytest.approx(drawn.reach, rel=0.25)  # twice the radius, half a millimetre a pixel
    assert 0 < found.unjudged[Unjudged.GLARE] < 0.1


def test_the_two_covers_are_shown_point_on_point(stained: tuple[Colours, Colours, Drawn, CoverChanges]) -> None:
    before, after, _, found = stained
    first, second = covers_shown(before, after, found)
    assert first.shape == second.shape
    assert side_by_side(first, second, found.changes).shape[1] > 2 * first.shape[1]
    assert (outlined(first, found.changes) != first).any()
    x, y = np.array(place_shown(found.changes[0].outline)).mean(axis=0)
    around = (slice(int(y * len(first)) - 4, int(y * len(first)) + 4), int(x * first.shape[1]))
    assert second[around].mean() < first[around].mean()


def test_other_covers_and_pictures_of_nothing_are_not_compared(
    stained: tuple[Colours, Colours, Drawn, CoverChanges],
) -> None:
    before = stained[0]
    other = seen(draw_coloured(5), 3, scale=SMALL)
    assert find_changes(before, other).verdict is CompareVerdict.STRANGE
    assert find_changes(before, np.full((40, 30, 3), 128, np.uint8)).verdict is CompareVerdict.STRANGE


@pytest.mark.parametrize("size", [(1, 1), (3, 400), (400, 3), (64, 64)])
def test_pictures_of_any_shape_are_refused_and_never_stop_it(size: tuple[int, int]) -> None:
    noise = np.random.default_rng(5).integers(0, 256, (*size, 3), np.uint8)
    assert find_changes(noise, noise).verdict in set(CompareVerdict) - {CompareVerdict.COMPARED}


def test_a_detail_has_no_frame(stained: tuple[Colours, Colours, Drawn, CoverChanges]) -> None:
    """The middle of the cover alone: the picture's border is no edge of the cover."""
    before = stained[0]
    middle = np.ascontiguousarray(before[160:480, 120:380])
    assert find_changes(before, middle).verdict in (CompareVerdict.UNFRAMED, CompareVerdict.STRANGE)


def test_what_differs_softly_is_no_place_but_is_told_as_not_judged() -> None:
    """A shadow of known softness over a drawn cover: light has no rim, and a dent in cloth may have none either."""
    cover = draw_coloured(NUMBER)
    y, x = np.mgrid[0 : cover.shape[0], 0 : cover.shape[1]]
    shadow = 1 - 0.7 * np.exp(-((x - 330) ** 2 + (y - 460) ** 2) / (2 * 45.0**2))
    shaded = np.asarray((cover * shadow[..., None]).clip(1, 255), np.float32).astype(np.uint8)
    found = find_changes(seen(cover, 0, scale=SMALL), seen(shaded, 1, scale=SMALL), size_mm=SIZE_MM)
    assert found.verdict is CompareVerdict.COMPARED
    assert Unjudged.SOFT in found.unjudged
    assert not found.looks_alike


def box(left: float, top: float, right: float, bottom: float) -> np.ndarray:
    return np.array([(left, top), (right, top), (right, bottom), (left, bottom)])


@pytest.mark.parametrize(
    ("outline", "spine", "part"),
    [
        (box(0.0, 0.9, 0.08, 1.0), None, CoverPart.BOTTOM_LEFT_CORNER),
        (box(0.93, 0.0, 1.0, 0.1), SpineSide.RIGHT, CoverPart.TOP_RIGHT_CORNER),
        (box(0.4, 0.0, 0.45, 0.2), None, CoverPart.TOP_EDGE),
        (box(0.0, 0.4, 0.05, 0.5), None, CoverPart.LEFT_EDGE),
        (box(0.0, 0.4, 0.05, 0.5), SpineSide.LEFT, CoverPart.HINGE),
        (box(0.05, 0.4, 0.1, 0.5), SpineSide.LEFT, CoverPart.HINGE),
        (box(0.05, 0.4, 0.1, 0.5), SpineSide.RIGHT, CoverPart.FIELD),
        (box(0.3, 0.3, 0.6, 0.6), None, CoverPart.FIELD),
    ],
)
def test_a_place_has_its_part_of_the_book(outline: np.ndarray, spine: SpineSide | None, part: CoverPart) -> None:
    assert part_of(outline, spine) is part


def test_a_place_that_is_both_darker_and_lighter_is_of_another_colour() -> None:
    signed, amount = np.array([20, -20], np.float32), np.array([20, 20], np.float32)
    assert tone_of(signed, amount) is Tone.OTHER
    assert tone_of(-amount, amount) is Tone.DARKER


@pytest.mark.slow
@pytest.mark.parametrize(
    ("difference", "found_of_6"),
    [(Difference.LIGHT, 4), (Difference.GLARE, 3), (Difference.WRAP, 2), (Difference.BLUR, 4)],
)
def test_most_damage_is_found_and_hardly_anything_else_told(difference: Difference, found_of_6: int) -> None:
    """Six covers, each damaged and not: at most one false place a picture."""
    finds, false = 0, 0
    for number in range(100, 106):
        cover = draw_coloured(number)
        before = seen(cover, 2 * number)
        kind = list(Damage)[(number + list(Difference).index(difference)) % len(Damage)]
        hurt, drawn = damaged(cover, kind, number)
        for shown in (hurt, cover):
            changes = find_changes(before, seen(shown, 2 * number + 1, difference), size_mm=SIZE_MM).changes
            right = [change for change in changes if shown is hurt and is_at(change, drawn)]
            finds += bool(right)
            false += len(changes) - len(right)
    assert finds >= found_of_6
    assert false <= 12
