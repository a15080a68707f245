"""Fitting texts, with a ruler of our own whose answers can be worked out: every letter is half its size wide."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.documents.text_fit import ELLIPSIS, LEFT_MARK, RIGHT_MARK, Setter, line_mm
from intake.units.convert import pt_to_mm


def ruler(text: str, size_pt: float, bold: bool) -> float:
    visible = [letter for letter in text if letter not in LEFT_MARK + RIGHT_MARK]
    return pt_to_mm(size_pt) * 0.5 * len(visible)


SETTER = Setter(ruler)
EM10 = pt_to_mm(10)


def test_a_short_text_is_set_at_the_largest_size() -> None:
    fitted = SETTER.fit("Ur", 50, 20, (6, 10))
    assert (fitted.lines, fitted.size_pt, fitted.cut) == (("Ur",), 10, False)


def test_it_shrinks_where_it_cannot_wrap() -> None:
    # Ten letters of half an em at 10 pt need 5 em; 4 em are there, so 8 pt fits.
    assert SETTER.fit("abcdefghij", 4 * EM10, line_mm(10), (6, 10)).size_pt == 8


def test_it_wraps_before_it_shrinks_where_there_is_height() -> None:
    fitted = SETTER.fit("abcd efgh", 2 * EM10, 2 * line_mm(10), (6, 10))
    assert (fitted.lines, fitted.size_pt) == (("abcd", "efgh"), 10)


def test_it_ends_in_an_ellipsis_at_the_smallest_size() -> None:
    fitted = SETTER.fit("one two three four five six", 4 * EM10, line_mm(8), (8, 10))
    assert fitted.cut
    assert len(fitted.lines) == 1
    assert fitted.lines[0].endswith(ELLIPSIS)


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("日本の鳥類", ("日本の", "鳥類")),
        ("鳥類図。鑑", ("鳥類", "図。鑑")),  # no line begins with a full stop
        ("Land-Atlas", ("Land-", "Atlas")),
        ("A127-43", ("A127-4", "3")),  # a number is not broken at its hyphen, only where it must be
    ],
)
def test_where_a_line_may_break(text: str, lines: tuple[str, ...]) -> None:
    width = 3 * EM10 if text[0] != "鳥" and text[0] != "日" else 1.5 * EM10
    assert SETTER.fit(text, width, 100, (10, 10)).lines == lines


def test_an_amount_and_its_currency_stay_on_one_line() -> None:
    # 12 letters of half an em need 6 em; 7 em hold "EUR 1,250.50" and nothing beside it.
    said = "worth EUR 1,250.50, not JPY 800"
    assert SETTER.fit(said, 7 * EM10, 100, (10, 10)).lines == ("worth", "EUR 1,250.50,", "not JPY 800")
    assert SETTER.fit("(EUR 5.00)", 3 * EM10, 100, (10, 10)).lines[0].startswith("(EUR 5")
    # What is no currency breaks as ever, and a no-break space keeps its words together.
    assert SETTER.fit("ISO 4217", 3 * EM10, 100, (10, 10)).lines == ("ISO", "4217")
    assert SETTER.fit("abc no\u00a0break", 5 * EM10, 100, (10, 10)).lines == ("abc", "no\u00a0break")
    assert SETTER.sizes(said, bold=False).number == pytest.approx(pt_to_mm(1) * 0.5 * len("EUR 1,250.50,"))


def test_lines_keep_the_direction_of_the_text() -> None:
    lines = SETTER.fit("אבגד abcd", 2 * EM10, 100, (10, 10)).lines
    assert lines == ("אבגד", RIGHT_MARK + "abcd")
    assert SETTER.fit("abcd אבגד", 2 * EM10, 100, (10, 10)).lines == ("abcd", LEFT_MARK + "אבגד")


def test_marks_stay_with_their_letter() -> None:
    lines = SETTER.fit("x\u0302q\u0302b\u0302", EM10, 100, (10, 10)).lines
    assert [line[0] for line in lines] == ["x", "q", "b"]


@given(
    text=st.text(max_size=80),
    width=st.floats(5, 80),
    height=st.floats(5, 40),
    smallest=st.floats(4, 8),
    more=st.floats(0, 20),
)
def test_no_text_leaves_its_rectangle(text: str, width: float, height: float, smallest: float, more: float) -> None:
    fitted = SETTER.fit(text, width, height, (smallest, smallest + more))
    assert smallest <= fitted.size_pt <= smallest + more
    assert fitted.height_mm <= height + 1e-6 or len(fitted.lines) == 1
    for line in fitted.lines:
        single = len(line.strip(LEFT_MARK + RIGHT_MARK + ELLIPSIS)) <= 1
        assert ruler(line, fitted.size_pt, False) <= width + 1e-6 or single or _one_cluster(line)


def _one_cluster(line: str) -> bool:
    bases = [c for c in line.strip(ELLIPSIS + LEFT_MARK + RIGHT_MARK) if not unicodedata.category(c).startswith("M")]
    return len(bases) <= 1


@given(words=st.lists(st.text("abcdefgh", min_size=1, max_size=8), min_size=1, max_size=20))
def test_no_word_is_lost_where_there_is_room(words: list[str]) -> None:
    fitted = SETTER.fit(" ".join(words), 8 * 0.5 * EM10 + 0.001, 1000, (10, 10))
    assert " ".join(fitted.lines).split() == words
    assert not fitted.cut


def test_a_rate_a_size_and_a_volume_stay_on_one_line_where_they_fit() -> None:
    for said in ("EUR 1 = GBP 0.8450", "450 × 350 × 330", "vol. 1", "vols. 7-8", "Volume IV", "Bd. 1", "Bände 3-4"):
        room = SETTER.unit(said, bold=False) * 10 + 0.01
        assert SETTER.fit(f"in {said}", room, 100, (10, 10)).lines == ("in", said)
    for said in ("1.968 kg;", "(35 g)", "0.282 m³,", "666.67 SDR", "12.5 %"):
        room = SETTER.unit(said, bold=False) * 10 + 0.01
        assert SETTER.fit(f"of {said} now", room, 100, (10, 10)).lines == ("of", said, "now")
    # A letter after a word is no unit.
    assert SETTER.fit("vitamin g", SETTER.unit("vitamin", bold=False) * 10 + 0.01, 100, (10, 10)).lines[-1] == "g"
    # Where they do not, they break at their spaces.
    narrow = SETTER.unit("1.968", bold=False) * 10 + 0.01
    assert SETTER.fit("1.968 kg", narrow, 100, (10, 10)).lines == ("1.968", "kg")
    narrow = SETTER.unit("0.8450", bold=False) * 10 + 0.01
    assert SETTER.fit("EUR 1 = GBP 0.8450", narrow, 100, (10, 10)).lines[-1] == "0.8450"
