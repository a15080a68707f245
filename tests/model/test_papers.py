"""Sheets against their standards: ISO 216 and ANSI/ASME Y14.1."""

from intake.model.pages import Align
from intake.model.papers import A4_MM, LETTER_MM, LabelField


def test_sheets() -> None:
    assert list(A4_MM) == [210, 297]
    assert LETTER_MM == (215.9, 279.4)  # 8 1/2 x 11 in


def test_a_field_of_a_label_that_says_no_more_than_its_place() -> None:
    field = LabelField(text="{title}", x_mm=1, y_mm=2, width_mm=30, height_mm=10)
    assert (field.size_pt, field.bold, field.align, field.symbol) == ((7, 10), False, Align.LEFT, None)
    # What a cheap printer's print still holds of a QR symbol: see tests/documents/test_cheap_printer.py.
    assert field.module_mm == (0.5, 0.8)
