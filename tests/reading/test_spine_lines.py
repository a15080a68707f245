"""Lines of text joined into spines: books that stand, with text either way, and books that lie."""

from intake.model.readings import Point, TextLine
from intake.reading.spine_lines import spines_of


def running(text: str, left: float, top: float, right: float, low: float, way: str, score: float = 0.9) -> TextLine:
    """Return a line whose text runs right, down, left or up in this box."""
    a, b, c, d = (left, top), (right, top), (right, low), (left, low)
    corners: dict[str, tuple[Point, ...]] = {
        "right": (a, b, c, d),
        "down": (b, c, d, a),
        "left": (c, d, a, b),
        "up": (d, a, b, c),
    }
    return TextLine(text, (left, top, right, low), score, corners[way])


def test_two_lines_of_a_standing_book_are_one_spine_in_reading_order() -> None:
    # Down: the first line is on the right. The reader does not tell up from down, so that up the rows change places.
    down = [running("Isles", 100, 50, 120, 200, "down"), running("Ferns of the", 125, 40, 145, 300, "down")]
    up = [running("Guide to", 300, 60, 320, 300, "up"), running("Gulls", 325, 150, 345, 300, "up")]
    assert [spine.text for spine in spines_of([*up, *down])] == ["Ferns of the Isles", "Gulls Guide to"]


def test_author_and_title_in_one_row_are_one_spine_and_neighbours_are_not() -> None:
    row = [running("Moss", 300, 0, 500, 30, "right"), running("A. Thorn", 0, 2, 150, 28, "right")]
    below = running("Peat and Ash", 20, 75, 400, 105, "right")
    assert [spine.text for spine in spines_of([below, *row])] == ["A. Thorn Moss", "Peat and Ash"]
    (first, _) = spines_of([below, *row])
    assert first.corners == ((0, 0), (500, 0), (500, 30), (0, 30))


def test_what_is_hardly_read_or_hardly_text_is_no_spine() -> None:
    assert spines_of([running("Farn", 0, 0, 90, 20, "right", score=0.5), running("|1", 0, 90, 90, 110, "right")]) == ()
    assert spines_of([]) == ()
