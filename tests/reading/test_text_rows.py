"""Rows out of pieces of text, set straight, tilted, and on their head."""

import math

import pytest

from intake.model.readings import TextLine
from intake.reading.text_rows import is_unreadable, rows_of

WORDS = [["Invented", "Press"], ["Lower", "Town", "1968"], ["SBN", "306", "40615", "2"]]


def page(degrees: float, score: float = 1.0) -> list[TextLine]:
    """Set words in rows 30 apart, on a page turned by an angle, the pieces shuffled."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    found = []
    for y, words in enumerate(WORDS):
        x = 0.0
        for word in words:
            wide = 12.0 * len(word)
            quad = [(x, 30.0 * y), (x + wide, 30.0 * y), (x + wide, 30.0 * y + 16), (x, 30.0 * y + 16)]
            corners = tuple((px * cos - py * sin, px * sin + py * cos) for px, py in quad)
            xs, ys = zip(*corners, strict=True)
            found.append(TextLine(word, (min(xs), min(ys), max(xs), max(ys)), score, corners))
            x += wide + 60
    return found[::2] + found[1::2]


@pytest.mark.parametrize("degrees", [0, 4, -7, 30, 90, 179, 180, 183, -90])
def test_rows_are_found_whichever_way_the_page_is_turned(degrees: float) -> None:
    assert [row.text for row in rows_of(page(degrees))] == [" ".join(words) for words in WORDS]


@pytest.mark.parametrize("degrees", [0, 10, 90, 180, -90])
def test_text_is_unreadable_where_most_was_read_badly(degrees: float) -> None:
    assert is_unreadable(page(degrees, 0.6))
    assert not is_unreadable(page(degrees))
    assert not is_unreadable([])
    assert is_unreadable([*page(0, 0.6), *page(0)[:1]])


def test_pieces_of_a_row_between_two_places() -> None:
    (row,) = rows_of([TextLine("ISBN", (0, 0, 40, 10)), TextLine("0-306", (50, 0, 90, 10))])
    assert [piece.text for piece in row.between(0, 4)] == ["ISBN"]
    assert [piece.text for piece in row.between(5, 9)] == ["0-306"]
    assert [piece.text for piece in row.between(3, 6)] == ["ISBN", "0-306"]
    assert rows_of([]) == ()
