"""Pictures of many books, drawn with an encoder that is not ours: what is found, in which order, and what never is."""

from dataclasses import replace

import numpy as np
import pytest

from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading
from intake.reading.decoders import available
from intake.reading.scene_symbols import TILE_PX, in_order, merge, read_symbols, tiles
from tests.reading.drawing import invented
from tests.reading.drawn_stack import drawn_books

NUMBERS = [number for number in invented(200) if number.startswith("978")]
HERE: tuple[Point, ...] = ((100.0, 100.0), (195.0, 100.0), (195.0, 169.0), (100.0, 169.0))


def reading(number: str, *, accepted: bool = True, down: float = 0.0, right: float = 0.0) -> Reading:
    corners = tuple((x + right, y + down) for x, y in HERE)
    return Reading(number, NumberKind.ISBN, accepted, 0.99 if accepted else 0.6, ("zxing",), corners=corners)


@pytest.mark.parametrize(
    ("module_px", "seed", "least"),
    [(1.05, 1, 8), pytest.param(0.95, 2, 7, marks=pytest.mark.slow), pytest.param(1.6, 3, 8, marks=pytest.mark.slow)],
)
def test_symbols_of_a_hundred_pixels_are_read_each_by_its_own_number(module_px: float, seed: int, least: int) -> None:
    shown = [*NUMBERS[:6], NUMBERS[0], NUMBERS[7]]  # two copies of one book
    grey, placed = drawn_books(shown, columns=4, module_px=module_px, seed=seed)
    found, left_out = read_symbols(grey, decoders=available())
    accepted = [one for one in found if one.accepted]
    assert len(accepted) >= least
    assert left_out == 0
    for one in accepted:
        x, y = np.mean(one.corners, axis=0)
        (here,) = [each for each in placed if np.hypot(each.at[0] - x, each.at[1] - y) < 60]
        assert one.number == here.number
    xs = [float(np.mean(one.corners, axis=0)[0]) for one in found]
    assert xs == sorted(xs)  # the picture is wider than high


def test_covers_without_symbols_have_none() -> None:
    page, _ = drawn_books(NUMBERS[:1], columns=1, module_px=1.05, seed=4)
    page[140:] = page[:140].mean()  # the print remains, the symbol is painted over
    assert read_symbols(page, decoders=available()) == ((), 0)


def test_tiles_cover_every_pixel_and_a_small_symbol_lies_whole_in_one() -> None:
    for height, width in ((300, 200), (640, 641), (1500, 2333)):
        seen = np.zeros((height, width), bool)
        corners = list(tiles(height, width))
        for top, left in corners:
            seen[top : top + TILE_PX, left : left + TILE_PX] = True
        assert seen.all()
        if min(height, width) > TILE_PX:
            for x in range(0, width - 200, 97):
                assert any(left <= x and x + 200 <= left + TILE_PX for _, left in corners)


def test_two_numbers_at_one_place_contradict_each_other() -> None:
    one, other = reading(NUMBERS[0]), reading(NUMBERS[1], right=10)
    (asked,) = merge([one, other])
    assert not asked.accepted
    assert {asked.number, *asked.candidates} == {NUMBERS[0], NUMBERS[1]}
    # The same number twice is one symbol; farther apart it is two copies; a label over the bars is a thing of its own.
    assert merge([one, replace(one, score=0.9)]) == (one,)
    assert len(merge([one, reading(NUMBERS[0], right=300)])) == 2
    label = replace(one, number="A127-89", kind=NumberKind.OWN)
    assert {each.number for each in merge([one, label]) if each.accepted} == {one.number, "A127-89"}
    (kept,) = merge([one, reading(NUMBERS[2], accepted=False)])
    assert kept == one


def test_a_stack_is_told_from_the_top_and_a_shelf_from_the_left() -> None:
    stack = [reading(number, down=200.0 * nth, right=20.0 * (nth % 2)) for nth, number in enumerate(NUMBERS[:4])]
    assert [one.number for one in in_order(stack[::-1])] == NUMBERS[:4]
    shelf = [reading(number, right=200.0 * nth, down=30.0 * (nth % 2)) for nth, number in enumerate(NUMBERS[:4])]
    assert [one.number for one in in_order(shelf[::-1])] == NUMBERS[:4]
    assert in_order([]) == ()
