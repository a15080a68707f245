"""The page that checks a printer: lines measured in the rendered page, crosses on the corners of labels."""

import numpy as np
import pytest
import zxingcpp

from intake.documents import handling_marks, label_check
from intake.edges import fonts, templates
from intake.model.moving_papers import HandlingMark
from intake.model.pages import RuledLine, Text
from intake.model.papers import A4_MM, LETTER_MM
from intake.units.convert import mm_to_px
from tests.documents.conftest import Render


@pytest.mark.parametrize("name", ["a4-3x8", "letter-2x5", "roll-102x152", "roll-57x32", "roll-12"])
def test_lines_have_the_length_they_say_and_crosses_stand_on_corners(render: Render, name: str) -> None:
    dpi = 400
    template = templates.read_sheet(name)
    (page,) = label_check.lay_out(template, measure=fonts.measure)
    across, down = label_check.measured_mm(template)
    rules = [mark for mark in page.marks if isinstance(mark, RuledLine)]
    long = max((rule for rule in rules if rule.y1_mm == rule.y2_mm), key=lambda rule: rule.x2_mm - rule.x1_mm)
    (grey,) = render([page], dpi)
    row = grey[round(mm_to_px(long.y1_mm, dpi)) - 1 : round(mm_to_px(long.y1_mm, dpi)) + 2] < 128
    first = round(mm_to_px(long.x1_mm + across / 2, dpi))
    dark = np.atleast_1d(row.any(axis=0))
    left = first - np.argmin(dark[first::-1])
    right = first + np.argmin(dark[first:])
    assert (right - left) / mm_to_px(1.0, dpi) == pytest.approx(across, abs=0.4)
    assert max(rule.y2_mm - rule.y1_mm for rule in rules) == pytest.approx(down)
    assert (across, down) == (100.0, 100.0) or name.startswith("roll")
    said = {m.text for m in page.marks if isinstance(m, Text)}
    assert {f"across {across:g} mm", f"down {down:g} mm"} <= said or {f"{across:g} mm", f"{down:g} mm"} == said
    middles = {(round((r.x1_mm + r.x2_mm) / 2, 2), round((r.y1_mm + r.y2_mm) / 2, 2)) for r in rules}
    last = (
        template.left_mm + (template.columns - 1) * template.pitch_x_mm + template.label_width_mm,
        template.top_mm + (template.rows - 1) * template.pitch_y_mm + template.label_height_mm,
    )
    assert {(round(template.left_mm, 2), round(template.top_mm, 2)), (round(last[0], 2), round(last[1], 2))} <= middles


def test_its_symbol_is_read_and_it_says_what_to_do(render: Render) -> None:
    (page,) = label_check.lay_out(templates.read_sheet("a4-3x8"), measure=fonts.measure)
    assert [code.text for code in zxingcpp.read_barcodes(render([page], 300)[0])] == ["LABEL CHECK"]
    said = " ".join(mark.text for mark in page.marks if isinstance(mark, Text))
    assert all(words in said for words in ("100 %", "actual size", "ruler", "left_mm"))


@pytest.mark.parametrize("paper_mm", [A4_MM, LETTER_MM])
def test_marks_on_their_sheets_are_100_mm_high(render: Render, paper_mm: tuple[float, float]) -> None:
    # ISO 780: 100, 150 and 200 mm (from memory).
    dpi = 100
    pages = handling_marks.lay_out_sheets(
        tuple(HandlingMark), measure=fonts.measure, paper_mm=paper_mm, stacking_g=60_000
    )
    width, height = (mm_to_px(side / 2, dpi) for side in paper_mm)
    for n in range(len(HandlingMark)):
        page = pages[n // 4]
        drawn = [
            mark
            for mark in page.marks
            if (isinstance(mark, RuledLine) and mark.width_pt > 1) or (isinstance(mark, Text) and "kg max" in mark.text)
        ]
        (grey,) = render([type(page)(*paper_mm, tuple(drawn))], dpi)
        top, left = round(n % 4 // 2 * height), round(n % 2 * width)
        ys, xs = np.nonzero(grey[top : top + int(height), left : left + int(width)] < 128)
        assert (ys.max() + 1 - ys.min()) / mm_to_px(1.0, dpi) == pytest.approx(100.0, abs=2.0)
        # 4 mm at the edges of the paper are what many printers leave white (common practice, no source).
        assert xs.min() > mm_to_px(4.0, dpi)
        assert xs.max() < int(width) - mm_to_px(4.0, dpi)
