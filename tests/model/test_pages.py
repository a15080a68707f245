"""Measures of a drawn symbol, and how a mark looks where nothing is said of it."""

from intake.model.pages import Align, Rectangle, RuledLine, Symbol, Text


def test_a_symbol_is_as_wide_as_its_modules_and_as_high_as_its_rows() -> None:
    bars = Symbol(x_mm=0, y_mm=0, module_mm=0.33, rows=("1010110",), heights_mm=(22.85,))
    assert round(bars.width_mm, 6) == 2.31
    assert bars.height_mm == 22.85
    matrix = Symbol(x_mm=0, y_mm=0, module_mm=0.5, rows=("10", "01", "11"), heights_mm=(0.5, 0.5, 0.5))
    assert (matrix.width_mm, matrix.height_mm) == (1.0, 1.5)


def test_a_mark_is_plain_unless_it_says_otherwise() -> None:
    text = Text(1, 2, "words", 9)
    assert (text.bold, text.align, text.rotation_deg) == (False, Align.LEFT, 0)
    assert RuledLine(0, 0, 1, 1).width_pt == Rectangle(0, 0, 1, 1).line_pt == 0.4
    assert Rectangle(0, 0, 1, 1).grey is None
