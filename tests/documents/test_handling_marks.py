"""Handling marks: what each must show to be understood, and where. The names are those of ISO 780:2015."""

import math

import pytest

from intake.documents.handling_marks import Square, draw
from intake.documents.text_fit import Setter
from intake.edges import fonts
from intake.model.moving_papers import HandlingMark
from intake.model.pages import Align, RuledLine, Text
from intake.units.convert import pt_to_mm

SQUARE = Square(10.0, 20.0, 50.0)
MIDDLE = SQUARE.x_mm + SQUARE.side_mm / 2
SYMMETRIC = (HandlingMark.THIS_WAY_UP, HandlingMark.KEEP_FROM_HEAT, HandlingMark.STACKING_LIMIT)
Ends = tuple[tuple[float, float], tuple[float, float]]


def strokes(mark: HandlingMark, at: Square = SQUARE) -> list[RuledLine]:
    return [one for one in draw(mark, at, Setter(fonts.measure)) if isinstance(one, RuledLine)]


def texts(mark: HandlingMark, at: Square = SQUARE, stacking_g: float | None = None) -> list[Text]:
    return [one for one in draw(mark, at, Setter(fonts.measure), stacking_g=stacking_g) if isinstance(one, Text)]


def ends(stroke: RuledLine, *, mirrored: bool = False) -> Ends:
    points = [(stroke.x1_mm, stroke.y1_mm), (stroke.x2_mm, stroke.y2_mm)]
    if mirrored:
        points = [(2 * MIDDLE - x, y) for x, y in points]
    first, second = sorted((round(x, 5), round(y, 5)) for x, y in points)
    return first, second


def distance(point: tuple[float, float], stroke: RuledLine) -> float:
    """How far a point is from the middle line of a stroke."""
    (x, y), (ax, ay), (bx, by) = point, (stroke.x1_mm, stroke.y1_mm), (stroke.x2_mm, stroke.y2_mm)
    length = (bx - ax) ** 2 + (by - ay) ** 2
    along = 0.0 if not length else max(0.0, min(1.0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length))
    return math.hypot(x - ax - along * (bx - ax), y - ay - along * (by - ay))


@pytest.mark.parametrize("mark", SYMMETRIC)
def test_a_mark_that_means_the_same_from_the_left_and_the_right_is_its_own_mirror_image(mark: HandlingMark) -> None:
    drawn = strokes(mark)
    assert {(ends(one), one.width_pt) for one in drawn} == {(ends(one, mirrored=True), one.width_pt) for one in drawn}


@pytest.mark.parametrize("mark", HandlingMark)
def test_a_mark_is_drawn_above_its_name_and_neither_leaves_the_square(mark: HandlingMark) -> None:
    name_top = min(text.y_mm - pt_to_mm(text.size_pt) for text in texts(mark))
    for stroke in strokes(mark):
        half = pt_to_mm(stroke.width_pt) / 2
        for x, y in ((stroke.x1_mm, stroke.y1_mm), (stroke.x2_mm, stroke.y2_mm)):
            assert SQUARE.x_mm <= x - half
            assert x + half <= SQUARE.x_mm + SQUARE.side_mm
            assert SQUARE.y_mm <= y
            assert y <= name_top
    words = texts(mark)
    assert " ".join(text.text for text in words) == mark.value
    for text in words:
        assert (text.x_mm, text.align) == (MIDDLE, Align.CENTRE)
        assert text.y_mm <= SQUARE.y_mm + SQUARE.side_mm


@pytest.mark.parametrize("mark", HandlingMark)
def test_a_mark_stands_over_the_middle_of_its_name(mark: HandlingMark) -> None:
    xs = [x for stroke in strokes(mark) for x in (stroke.x1_mm, stroke.x2_mm)]
    assert (min(xs) + max(xs)) / 2 == pytest.approx(MIDDLE, abs=0.05 * SQUARE.side_mm)
    ys = [y for stroke in strokes(mark) for y in (stroke.y1_mm, stroke.y2_mm)]
    assert max(ys) - min(ys) > 0.4 * SQUARE.side_mm, "it fills its space"


@pytest.mark.parametrize("mark", HandlingMark)
def test_a_mark_twice_as_large_is_the_same_drawing(mark: HandlingMark) -> None:
    large = Square(0.0, 0.0, 2 * SQUARE.side_mm)
    for one, other in zip(strokes(mark), strokes(mark, large), strict=True):
        moved = (one.x1_mm - SQUARE.x_mm, one.y1_mm - SQUARE.y_mm, one.x2_mm - SQUARE.x_mm, one.y2_mm - SQUARE.y_mm)
        doubled = tuple(2 * value for value in moved)
        assert (other.x1_mm, other.y1_mm, other.x2_mm, other.y2_mm) == pytest.approx(doubled)
        assert other.width_pt == pytest.approx(2 * one.width_pt)


@pytest.mark.parametrize("mark", [HandlingMark.THIS_WAY_UP, HandlingMark.FRAGILE, HandlingMark.NO_HOOKS])
def test_no_stroke_of_a_drawing_hangs_loose(mark: HandlingMark) -> None:
    """An arrow's head is on its shaft, a glass on its foot, a hook on its handle; only the ground lies apart."""
    drawn = strokes(mark)
    for nth, stroke in enumerate(drawn):
        others = drawn[:nth] + drawn[nth + 1 :]
        if mark is HandlingMark.THIS_WAY_UP and stroke.y1_mm == stroke.y2_mm:
            assert stroke.y1_mm > max(other.y2_mm for other in others)
            continue
        near = min(
            min(distance(end, other) for end in ((stroke.x1_mm, stroke.y1_mm), (stroke.x2_mm, stroke.y2_mm)))
            for other in others
        )
        crossed = min(
            distance(end, stroke)
            for other in others
            for end in ((other.x1_mm, other.y1_mm), (other.x2_mm, other.y2_mm))
        )
        assert min(near, crossed) <= pt_to_mm(stroke.width_pt), "it touches another one"


def test_arrows_point_up() -> None:
    """Each shaft has a head of two strokes that meet at its top and open downwards."""
    drawn = strokes(HandlingMark.THIS_WAY_UP)
    shafts = [one for one in drawn if one.x1_mm == one.x2_mm]
    heads = [one for one in drawn if one.x1_mm != one.x2_mm and one.y1_mm != one.y2_mm]
    assert (len(shafts), len(heads)) == (2, 4)
    for shaft in shafts:
        own = sorted(heads, key=lambda one: abs(one.x1_mm - shaft.x1_mm))[:2]
        top = min(min(one.y1_mm, one.y2_mm) for one in own)
        assert top < min(shaft.y1_mm, shaft.y2_mm)
        for one in own:
            high, low = sorted(((one.x1_mm, one.y1_mm), (one.x2_mm, one.y2_mm)), key=lambda point: point[1])
            assert high[1] == pytest.approx(top)
            assert abs(low[0] - shaft.x1_mm) > 3 * abs(high[0] - shaft.x1_mm)


def test_a_round_line_has_no_gaps() -> None:
    """The sun that a box is to be kept from is a closed ring."""
    sun = strokes(HandlingMark.KEEP_FROM_HEAT)
    ring = [one for one in sun if math.hypot(one.x2_mm - one.x1_mm, one.y2_mm - one.y1_mm) < 0.03 * SQUARE.side_mm]
    assert len(ring) > 20
    cx, cy = MIDDLE, sum(one.y1_mm for one in ring) / len(ring)
    radii = [math.hypot(one.x1_mm - cx, one.y1_mm - cy) for one in ring]
    assert max(radii) == pytest.approx(min(radii), rel=0.01)
    for one, following in zip(ring, [*ring[1:], ring[0]], strict=True):
        assert distance((following.x1_mm, following.y1_mm), one) < 0.002 * SQUARE.side_mm


@pytest.mark.parametrize(("grams", "words"), [(60_000, "60 kg max."), (7_400, "7 kg max."), (0, "0 kg max.")])
def test_the_stacking_limit_says_how_much_above_the_arrow(grams: float, words: str) -> None:
    limit, *name = texts(HandlingMark.STACKING_LIMIT, stacking_g=grams)
    assert (limit.text, limit.bold, limit.align) == (words, True, Align.CENTRE)
    assert limit.x_mm == pytest.approx(MIDDLE)
    highest = min(min(one.y1_mm, one.y2_mm) for one in strokes(HandlingMark.STACKING_LIMIT))
    assert SQUARE.y_mm < limit.y_mm < highest
    assert [text.text for text in name] == [text.text for text in texts(HandlingMark.STACKING_LIMIT)]
    assert all("max." not in text.text for text in texts(HandlingMark.KEEP_DRY, stacking_g=grams))
