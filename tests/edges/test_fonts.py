"""Fonts: every script has letters, right-to-left text is in order, and what cannot be drawn is named."""

from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.edges import fonts


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("Die Gräser der Küste", "SourceSans3-Regular"),
        ("Ἡ νῆσος τῶν ὀρνίθων", "SourceSans3-Regular"),
        ("Остров птиц", "SourceSans3-Regular"),
        ("ציפורי האי", "KurintoSans-Rg"),
        ("كتاب الطيور", "KurintoSans-Rg"),
        ("นก", "KurintoSans-Rg"),
        ("鳥の島", "KurintoSansJP-Rg"),
        ("简体中文鸟类图鉴", "KurintoSansSC-Rg"),
        ("한국의 새", "KurintoSansKR-Rg"),
    ],
)
def test_each_script_has_its_font(text: str, cut: str) -> None:
    line = fonts.prepare(text)
    assert cut in {run.font.removeprefix("intake-") for run in line.runs}
    assert line.missing == ()
    assert line.unit > 0


def test_bold_is_another_font() -> None:
    assert fonts.prepare("Ur").runs[0].font != fonts.prepare("Ur", bold=True).runs[0].font


def test_a_letter_without_a_glyph_is_shown_and_named() -> None:
    line = fonts.prepare("a\U00013000b\U0010ffff")
    assert line.missing == ("\U00013000", "\U0010ffff")
    assert "".join(run.text for run in line.runs) == "a\ufffdb\ufffd"


def test_letters_that_need_shaping_are_named() -> None:
    assert fonts.prepare("क्ष").unshaped
    assert not fonts.prepare("Ω Ж א ع 鳥 ก").unshaped


# Unicode Standard Annex 9: rule L2 turns right-to-left runs round, numbers keep their order, rule L4 mirrors brackets.
# Section 3.3.5 (rule N0) gives both brackets of a pair one direction.
@pytest.mark.parametrize(
    ("stored", "drawn"),
    [
        ("אבג 12", "12 גבא"),
        ("אבג (דה) 12", "12 (הד) גבא"),
        ("abc (אבג) 12", "abc (גבא) 12"),
        ("abc אבג (דה) x", "abc (הד) גבא x"),
        ("«אבג»", "«גבא»"),
        ("\u200fabc אבג", "גבא abc"),
    ],
)
def test_right_to_left_text_is_ordered(stored: str, drawn: str) -> None:
    assert fonts.drawing_order(stored) == drawn


def test_arabic_letters_join() -> None:
    # Presentation forms of the Unicode Standard, block Arabic Presentation Forms-B: kaf initial, teh medial, alef
    # final, beh isolated, drawn from the left.
    assert fonts.drawing_order("كتاب") == "\ufe8f\ufe8e\ufe98\ufedb"


def test_widths_are_those_of_the_font() -> None:
    # Advance widths as fontTools reads them from the same file, in thousandths of the type size.
    font_tools = pytest.importorskip("fontTools.ttLib", reason="fontTools is not installed")
    path = resources.files("weblate_fonts") / "static" / "weblate_fonts" / fonts.LATIN[False]
    font = font_tools.TTFont(str(path))
    names, advances = font.getBestCmap(), font["hmtx"]
    text = "Gräser Ω Ж 12"
    expected = sum(advances[names[ord(letter)]][0] for letter in text) / font["head"].unitsPerEm
    assert fonts.measure(text, 72.0, False) == pytest.approx(expected * 25.4, rel=1e-3)


def test_a_mark_adds_no_width() -> None:
    assert fonts.measure("x\u0302", 10, False) == pytest.approx(fonts.measure("x", 10, False))
    assert fonts.measure("e\u0301", 10, False) == pytest.approx(fonts.measure("é", 10, False))


@given(st.text(max_size=40))
def test_any_text_can_be_prepared(text: str) -> None:
    line = fonts.prepare(text)
    assert fonts.measure(text, 20, False) == pytest.approx(2 * fonts.measure(text, 10, False))
    drawn = "".join(run.text for run in line.runs)
    assert drawn.count("\ufffd") >= len(line.missing)
