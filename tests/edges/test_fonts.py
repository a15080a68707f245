"""Fonts: every script has letters, text from right to left is in order, and what cannot be drawn is named."""

import json
import shutil
import subprocess
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.edges import font_files, fonts

# Invented titles, one a script, with what makes each hard to set.
LINES = {
    "Latin": ("VAT, fi: Die Gräser x\u0302", "SourceSans3-Regular"),
    "Greek": ("Ἡ νῆσος τῶν ὀρνίθων", "SourceSans3-Regular"),
    "Cyrillic": ("Остров птиц", "SourceSans3-Regular"),
    "Hebrew": ("ציפורי האי", "KurintoSans-Rg"),
    "Arabic": ("كتاب الطيور لا", "KurintoSans-Rg"),
    "Devanagari": ("हिन्दी की क्षत्रिय पुस्तक", "NotoSansDevanagari"),
    "Bengali": ("বাংলা পাখির কথা", "NotoSansBengali"),
    "Tamil": ("தமிழ் கொக்கு", "NotoSansTamil"),
    "Telugu": ("తెలుగు పక్షులు", "NotoSansTelugu"),
    "Thai": ("นกน้ำที่นี่", "NotoSansThai"),
    "Lao": ("ນົກນ້ຳ", "NotoSansLao"),
    "Khmer": ("បក្សីខ្មែរ", "NotoSansKhmer"),
    "Burmese": ("မြန်မာ့ငှက်များကြောင်", "NotoSansMyanmar"),
    "Sinhala": ("ශ්‍රී කුරුල්ලෝ", "NotoSansSinhala"),
    "Georgian": ("ფრინველები", "NotoSansGeorgian"),
    "Armenian": ("թռչուններ", "NotoSansArmenian"),
    "Ethiopic": ("የወፎች መጽሐፍ", "NotoSansEthiopic"),
    "Japanese": ("鳥の島ッ図鑑", "KurintoSansJP-Rg"),
    "Chinese": ("简体中文鸟类图鉴", "KurintoSansSC-Rg"),
    "Korean": ("한국의 새", "KurintoSansKR-Rg"),
    "emoji": ("👨\u200d👩\u200d👧🇨🇭", "NotoEmoji"),
}


def seen(text: str) -> str:
    """Return the letters of a line from left to right, as they are told."""
    return "".join(glyph.text for part in fonts.prepare(text).parts for glyph in part.glyphs)


@pytest.mark.parametrize("script", LINES)
def test_each_script_has_its_font(script: str) -> None:
    text, cut = LINES[script]
    line = fonts.prepare(text)
    assert cut in {part.font.name for part in line.parts}
    assert line.missing == ()
    assert line.unit > 0
    if script in ("Japanese", "Chinese", "Korean"):
        assert {part.font.name for part in line.parts if part.text != " "} == {cut}, "one weight for all"


@pytest.mark.skipif(shutil.which("hb-shape") is None, reason="hb-shape (libharfbuzz-bin) is not installed")
@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("script", LINES)
def test_glyphs_stand_where_hb_shape_puts_them(script: str, bold: bool) -> None:
    # HarfBuzz's own command, which may be of another version than the library that is built in.
    for part in fonts.prepare(LINES[script][0], bold=bold).parts:
        (file,) = [file for file in _files(bold) if font_files.load(file, bold=bold) is part.font]
        weight = [f"--variations=wght={part.font.weight:g}"] if part.font.weight else []
        direction = "rtl" if part.backwards else "ltr"
        forms = ["--output-format=json", "--no-glyph-names", "--remove-default-ignorables", f"--direction={direction}"]
        command = ["hb-shape", str(font_files.path_of(file)), *weight, *forms, part.text]
        glyphs = json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)
        unit = 1000 / part.font.per_em
        expected = [(one["g"], one["ax"] * unit, one["dx"] * unit, one["dy"] * unit) for one in glyphs]
        drawn = [(glyph.number, glyph.advance, glyph.dx, glyph.dy) for glyph in part.glyphs]
        assert [number for number, *_ in drawn] == [number for number, *_ in expected]
        assert [pytest.approx(one, abs=1.01) for one in expected] == drawn


def _files(bold: bool) -> list[str]:
    east = [cuts[bold] for cuts in font_files.EAST.values()]
    return [font_files.LATIN[bold], font_files.WORLD[bold], *east, *font_files.NOTO.values(), font_files.EMOJI]


def test_bold_is_another_font() -> None:
    for text in ("Ur", "हिन्दी", "鳥"):
        assert fonts.prepare(text).parts[0].font.name != fonts.prepare(text, bold=True).parts[0].font.name


def test_a_letter_without_a_glyph_is_shown_and_named() -> None:
    line = fonts.prepare("a\U00013000b\U0010ffff")
    assert line.missing == ("\U00013000", "\U0010ffff")
    assert seen("a\U00013000b\U0010ffff") == "a\ufffdb\ufffd"
    assert fonts.prepare("a\ud800").missing == ("\ud800",), "half a character"


# Unicode Standard Annex 9: rule L2 turns right-to-left runs round, numbers keep their order, rule L4 mirrors brackets.
# Section 3.3.5 (rule N0) gives both brackets of a pair one direction; what is isolated does not touch its surroundings.
@pytest.mark.parametrize(
    ("stored", "drawn"),
    [
        ("אבג 12", "12 גבא"),
        ("אבג (דה) 12", "12 (הד) גבא"),
        ("abc (אבג) 12", "abc (גבא) 12"),
        ("abc אבג (דה) x", "abc (הד) גבא x"),
        ("«אבג»", "«גבא»"),
        ("\u200fabc אבג", "גבא abc"),
        ("x אבג 12", "x 12 גבא"),
        ("x \u2068אבג\u2069 12", "x גבא 12"),
    ],
)
def test_right_to_left_text_is_ordered(stored: str, drawn: str) -> None:
    assert seen(stored) == drawn


def test_arabic_letters_join_and_stay_letters() -> None:
    # kaf initial, teh medial, alef final, beh isolated: other glyphs than the four letters have alone.
    (part,) = fonts.prepare("كتاب").parts
    alone = {glyph.number for letter in "كتا" for shaped in fonts.prepare(letter).parts for glyph in shaped.glyphs}
    assert not alone & {glyph.number for glyph in part.glyphs if glyph.text in "كت"}
    assert seen("كتاب") == "باتك"


def test_widths_are_those_of_the_font() -> None:
    # Advance widths as fontTools reads them from the same file; no pair here is kerned.
    font_tools = pytest.importorskip("fontTools.ttLib", reason="fontTools is not installed")
    font = font_tools.TTFont(str(resources.files("weblate_fonts").joinpath(*font_files.LATIN[False].split("/")[1:])))
    names, advances = font.getBestCmap(), font["hmtx"]
    text = "HIH Ω Ж 12"
    expected = sum(advances[names[ord(letter)]][0] for letter in text) / font["head"].unitsPerEm
    assert fonts.measure(text, 72.0, False) == pytest.approx(expected * 25.4, rel=1e-3)
    assert fonts.measure("AV", 72.0, False) < fonts.measure("A", 72.0, False) + fonts.measure("V", 72.0, False)


def test_a_mark_adds_no_width() -> None:
    assert fonts.measure("x\u0302", 10, False) == pytest.approx(fonts.measure("x", 10, False))
    assert fonts.measure("e\u0301", 10, False) == pytest.approx(fonts.measure("é", 10, False))


@given(st.text(max_size=40))
def test_any_text_can_be_prepared(text: str) -> None:
    line = fonts.prepare(text)
    assert fonts.measure(text, 20, False) == pytest.approx(2 * fonts.measure(text, 10, False))
    assert seen(text).count("\ufffd") >= len(line.missing)
