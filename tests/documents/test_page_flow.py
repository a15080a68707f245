"""Pages that fill: where things stand, by the margins and the arithmetic of columns, with a measure made up here."""

import pytest

from intake.documents.page_flow import (
    BODY_PT,
    FOOT_MM,
    GAP_MM,
    MARGIN_MM,
    ROW_SPACE_MM,
    SMALL_PT,
    Head,
    Sheet,
    TableColumn,
    facts_mm,
)
from intake.documents.text_fit import line_mm
from intake.model.pages import Align, Page, Rectangle, RuledLine, Text
from intake.model.papers import A4_MM

COLUMNS = (TableColumn("Copy", 1, bold=True), TableColumn("Title", 3), TableColumn("Value", 1, Align.RIGHT))


def measure(text: str, size_pt: float, bold: bool) -> float:
    """Every letter is a fifth of its size wide."""
    return 0.2 * size_pt * len(text)


def sheet(*facts: tuple[str, str]) -> Sheet:
    return Sheet(Head("Packing list", "B1-56", facts), measure)


def texts(page: Page) -> dict[str, Text]:
    return {mark.text: mark for mark in page.marks if isinstance(mark, Text)}


def test_each_page_has_its_head_its_mark_and_its_number() -> None:
    laid = sheet()
    laid.reserve(1000)
    first, second = laid.finish()
    assert (first.width_mm, first.height_mm) == A4_MM
    for number, page in enumerate((first, second), 1):
        found = texts(page)
        assert found["Packing list"].x_mm == MARGIN_MM
        count = found[f"page {number} of 2"]
        assert (count.x_mm, count.y_mm, count.align) == (A4_MM[0] - MARGIN_MM, A4_MM[1] - MARGIN_MM, Align.RIGHT)
        marks = [mark for mark in page.marks if isinstance(mark, Text) and mark.text == "B1-56"]
        assert sorted((mark.x_mm, mark.align) for mark in marks) == [
            (MARGIN_MM, Align.LEFT), (A4_MM[0] - MARGIN_MM, Align.RIGHT),
        ]  # fmt: skip
    assert texts(first)["Packing list"].size_pt > texts(second)["Packing list"].size_pt


def test_columns_share_the_width() -> None:
    laid = sheet()
    laid.table(COLUMNS, [("A1", "Gulls", "5"), ("A2", "Terns", "17")])
    (page,) = laid.finish()
    found = texts(page)
    unit = (A4_MM[0] - 2 * MARGIN_MM - 2 * GAP_MM) / 5
    assert found["A1"].x_mm == found["Copy"].x_mm == MARGIN_MM
    assert found["Gulls"].x_mm == pytest.approx(MARGIN_MM + unit + GAP_MM)
    assert found["5"].x_mm == found["17"].x_mm == pytest.approx(A4_MM[0] - MARGIN_MM)
    assert [found[word].bold for word in ("A1", "Gulls", "5")] == [True, False, False]
    assert found["A2"].y_mm - found["A1"].y_mm == pytest.approx(line_mm(BODY_PT) + ROW_SPACE_MM)
    assert found["A1"].y_mm == found["Gulls"].y_mm == found["5"].y_mm
    # A rule closes the head and each row, over the whole width.
    rules = [mark for mark in page.marks if isinstance(mark, RuledLine)]
    assert len(rules) == 4
    assert {(rule.x1_mm, rule.x2_mm) for rule in rules} == {(MARGIN_MM, A4_MM[0] - MARGIN_MM)}
    assert rules[1].y1_mm < found["A1"].y_mm < rules[2].y1_mm < found["A2"].y_mm < rules[3].y1_mm


def test_a_row_is_as_high_as_its_longest_cell() -> None:
    laid = sheet()
    laid.table(COLUMNS, [("A1", "one\ntwo\nthree", ""), ("A2", "", "")])
    (page,) = laid.finish()
    found = texts(page)
    assert found["two"].y_mm - found["one"].y_mm == pytest.approx(line_mm(BODY_PT))
    assert found["A2"].y_mm - found["A1"].y_mm == pytest.approx(3 * line_mm(BODY_PT) + ROW_SPACE_MM)


def test_a_table_goes_on_under_its_head_on_the_next_page() -> None:
    laid = sheet()
    laid.table(COLUMNS, [(f"A{n}", "Gulls", "") for n in range(100)])
    pages = laid.finish()
    assert len(pages) > 1
    numbers = [
        mark.text for page in pages for mark in page.marks if isinstance(mark, Text) and mark.text.startswith("A")
    ]
    assert numbers == [f"A{n}" for n in range(100)]
    for page in pages:
        found = texts(page)
        assert "Copy" in found
        lowest = max(mark.y2_mm for mark in page.marks if isinstance(mark, RuledLine))
        assert lowest <= A4_MM[1] - MARGIN_MM - FOOT_MM
    # No more room is left on the first page than a row takes.
    full = max(mark.y2_mm for mark in pages[0].marks if isinstance(mark, RuledLine))
    assert A4_MM[1] - MARGIN_MM - FOOT_MM - full < line_mm(BODY_PT) + ROW_SPACE_MM


def test_what_is_reserved_stays_on_one_page() -> None:
    laid = sheet()
    left = laid.bottom_mm - laid.y_mm
    laid.reserve(left - 0.001)
    assert len(laid.pages) == 1
    laid.reserve(left + 0.001)
    assert len(laid.pages) == 2


def test_marks_are_given_their_place() -> None:
    laid = sheet()
    top = laid.y_mm
    laid.place(30, lambda x, y: [Rectangle(x, y, 10, 30)])
    laid.place(20, lambda x, y: [Rectangle(x, y, 10, 20)])
    (page,) = laid.finish()
    boxes = [mark for mark in page.marks if isinstance(mark, Rectangle)]
    assert [(box.x_mm, box.y_mm) for box in boxes] == [(MARGIN_MM, top), (MARGIN_MM, pytest.approx(top + 30))]
    laid.place(laid.bottom_mm, lambda x, y: [Rectangle(x, y, 10, 20)])
    assert len(laid.pages) == 2


def test_facts_stand_in_two_columns_and_empty_ones_nowhere() -> None:
    laid = sheet(("Room", "Study"), ("Seal", ""), ("Mass", "9 kg"), ("Date", "2026-05-04"))
    (page,) = laid.finish()
    found = texts(page)
    second = MARGIN_MM + (A4_MM[0] - 2 * MARGIN_MM) / 2 + GAP_MM
    assert [found[word].x_mm for word in ("Room", "Mass", "Date")] == pytest.approx([MARGIN_MM, second, MARGIN_MM])
    assert found["Room"].y_mm == found["Mass"].y_mm < found["Date"].y_mm
    assert "Seal" not in found
    assert found["Study"].y_mm > found["Room"].y_mm
    assert (found["Study"].bold, found["Room"].size_pt) == (True, SMALL_PT)
    rows = found["Date"].y_mm - found["Room"].y_mm
    assert rows == pytest.approx(line_mm(SMALL_PT) + line_mm(BODY_PT) + 1.6)
    # What a heading reserves for facts is what they take, and a little more.
    assert facts_mm((("Room", "Study"), ("Mass", "9 kg"))) >= rows


def test_headings_and_paragraphs() -> None:
    laid = sheet()
    top = laid.y_mm
    laid.paragraph("")
    assert laid.y_mm == top
    laid.paragraph("One line.", bold=True)
    assert laid.y_mm == pytest.approx(top + line_mm(BODY_PT) + ROW_SPACE_MM)
    before = laid.y_mm
    laid.heading("Totals")
    assert laid.y_mm > before + line_mm(11)
    laid.paragraph("Small.", size_pt=SMALL_PT)
    found = texts(laid.finish()[0])
    assert [(found[w].size_pt, found[w].bold) for w in ("One line.", "Totals", "Small.")] == [
        (BODY_PT, True), (11, True), (SMALL_PT, False),
    ]  # fmt: skip


def test_lines_to_sign_on_stand_side_by_side() -> None:
    laid = sheet()
    top = laid.y_mm
    laid.signatures(("Owner", "Carrier", "Consignee"))
    (page,) = laid.finish()
    rules = [mark for mark in page.marks if isinstance(mark, RuledLine)][1:]
    width = (A4_MM[0] - 2 * MARGIN_MM - 2 * GAP_MM) / 3
    assert [rule.x1_mm for rule in rules] == pytest.approx([MARGIN_MM + n * (width + GAP_MM) for n in range(3)])
    assert {round(rule.x2_mm - rule.x1_mm, 6) for rule in rules} == {round(width - GAP_MM, 6)}
    assert {rule.y1_mm for rule in rules} == {top + 16}
    found = texts(page)
    assert found["Carrier"].x_mm == pytest.approx(rules[1].x1_mm)
    assert top + 16 < found["Carrier"].y_mm < laid.y_mm
    assert laid.y_mm == pytest.approx(top + 22)


def test_a_cell_longer_than_a_page_ends_with_its_page() -> None:
    laid = sheet()
    laid.table(COLUMNS, [("A1", "\n".join(f"line {n}" for n in range(500)), "")])
    pages = laid.finish()
    for page in pages:
        body = [mark for mark in page.marks if isinstance(mark, Text) and mark.text.startswith("line ")]
        assert all(mark.y_mm <= A4_MM[1] - MARGIN_MM - FOOT_MM for mark in body)
    assert sum(mark.text == "line 0" for page in pages for mark in page.marks if isinstance(mark, Text)) == 1
