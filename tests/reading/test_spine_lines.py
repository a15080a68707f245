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
    assert [spine.text for spine in spines_of([*up, *down])[0]] == ["Ferns of the Isles", "Gulls Guide to"]


def test_author_and_title_in_one_row_are_one_spine_and_neighbours_are_not() -> None:
    row = [running("Moss", 300, 0, 500, 30, "right"), running("A. Thorn", 0, 2, 150, 28, "right")]
    below = running("Peat and Ash", 20, 75, 400, 105, "right")
    assert [spine.text for spine in spines_of([below, *row])[0]] == ["A. Thorn Moss", "Peat and Ash"]
    (first, _), _ = spines_of([below, *row])
    assert first.corners == ((0, 0), (500, 0), (500, 30), (0, 30))


def test_what_is_hardly_read_or_hardly_text_is_no_spine() -> None:
    faint, mark = running("Farn", 0, 0, 90, 20, "right", score=0.5), running("|1", 0, 90, 90, 110, "right")
    assert spines_of([faint, mark]) == ((), 1)
    assert spines_of([]) == ((), 0)


def test_text_on_the_back_of_a_book_and_digits_under_bars_are_no_spines_and_are_counted() -> None:
    rows = (
        "Forgotten islands and northern bridges in plates.",
        "A river runs past the engraved marsh",
        "By hand drawn.",
    )
    blurb = [running(text, 0, 30 * nth, 400, 30 * nth + 25, "right") for nth, text in enumerate(rows)]
    digits = running("9 780306 406157", 0, 900, 200, 925, "right")
    title = running("Peat and Ash", 0, 400, 300, 430, "right")
    (spine,), left_out = spines_of([*blurb, digits, title])
    assert (spine.text, left_out) == ("Peat and Ash", 4)


def test_spines_so_close_that_they_come_as_one_text_are_not_taken_for_long_text() -> None:
    titles = ("Beetles in Amber Light", "Wrecks and Kelp", "The Lighthouse Cook", "Wandering Stones on Shores", "Peat")
    stack = [running(text, 0, 30 * nth, 400, 30 * nth + 25, "right") for nth, text in enumerate(titles)]
    (spine,), left_out = spines_of(stack)
    assert (spine.text, left_out) == (" ".join(titles), 0)
