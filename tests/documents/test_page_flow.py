"""Pages that fill: where things stand, by the margins and by arithmetic, with a measure made up here."""

from collections.abc import Sequence
from itertools import pairwise

import pytest

from intake.documents.page_flow import BODY_PT, FOOT_MM, GAP_MM, MARGIN_MM, SMALL_PT, Head, Sheet, TableColumn
from intake.documents.table_rows import ROW_SPACE_MM
from intake.documents.text_fit import line_mm
from intake.model.pages import Align, Page, Rectangle, RuledLine, Text
from intake.model.papers import A4_MM

COLUMNS = (TableColumn("Copy", 1, bold=True), TableColumn("Title", 3), TableColumn("Value", 1, Align.RIGHT))
BOTTOM_MM = A4_MM[1] - MARGIN_MM - FOOT_MM


def measure(text: str, size_pt: float, bold: bool) -> float:
    """Every letter is a fifth of its size wide."""
    return 0.2 * size_pt * len(text)


def sheet(*facts: tuple[str, str], title: str = "Packing list") -> Sheet:
    return Sheet(Head(title, "B1-56", facts), measure)


def texts(page: Page) -> dict[str, Text]:
    return {mark.text: mark for mark in page.marks if isinstance(mark, Text)}


def words(page: Page) -> list[str]:
    return [mark.text for mark in page.marks if isinstance(mark, Text)]


def fill_up(laid: Sheet, left_mm: float) -> None:
    """Fill what is left of the first page of a sheet without facts, but for so much."""
    top = MARGIN_MM + line_mm(18.0) + 5.5
    laid.place(BOTTOM_MM - top - left_mm, lambda x, y: ())


def rows(count: int, lines: int = 1) -> list[tuple[str, str, str]]:
    return [(f"A{n}", "\n".join(f"r{n}l{m}" for m in range(lines)), f"{n}.00") for n in range(count)]


def numbers(page: Page) -> list[int]:
    return [int(word[1:]) for word in words(page) if word.startswith("A") and word[1:].isdigit()]


def test_each_page_has_its_head_its_mark_and_its_number() -> None:
    laid = sheet()
    laid.place(200, lambda x, y: ())
    laid.place(200, lambda x, y: ())
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


def test_a_long_title_stands_whole_on_the_first_page_and_on_one_line_on_the_others() -> None:
    said = " ".join(f"word{n}" for n in range(60))
    laid = sheet(title=said)
    laid.place(200, lambda x, y: ())
    laid.place(200, lambda x, y: ())
    first, second = laid.finish()
    assert " ".join(word for word in words(first) if word.startswith("word")).split() == said.split()
    (line,) = [word for word in words(second) if word.startswith("word")]
    assert line.endswith("…")
    tops = [mark.y_mm for mark in first.marks if isinstance(mark, Text) and mark.text.startswith("word")]
    assert min(after - before for before, after in pairwise(tops)) > 0


def test_columns_are_as_wide_as_what_they_hold() -> None:
    laid = sheet()
    laid.table(COLUMNS, [("A1", "Gulls", "5"), ("A2", "Terns", "17")])
    (page,) = laid.finish()
    found = texts(page)
    # The widest of each column is one of head or cell; the rest is shared 1 : 3 : 1.
    wanted = [
        max(0.2 * BODY_PT * 2, 0.2 * SMALL_PT * 4),
        max(0.2 * BODY_PT * 5, 0.2 * SMALL_PT * 5),
        0.2 * SMALL_PT * 5,
    ]
    unit = (A4_MM[0] - 2 * MARGIN_MM - 2 * GAP_MM - sum(wanted)) / 5
    assert found["A1"].x_mm == found["Copy"].x_mm == MARGIN_MM
    assert found["Gulls"].x_mm == pytest.approx(MARGIN_MM + wanted[0] + unit + GAP_MM)
    assert found["5"].x_mm == found["17"].x_mm == pytest.approx(A4_MM[0] - MARGIN_MM)
    assert [found[word].bold for word in ("A1", "Gulls", "5")] == [True, False, False]
    assert found["A2"].y_mm - found["A1"].y_mm == pytest.approx(line_mm(BODY_PT) + ROW_SPACE_MM)
    assert found["A1"].y_mm == found["Gulls"].y_mm == found["5"].y_mm
    # A rule closes the head and each row, over the whole width.
    rules = [mark for mark in page.marks if isinstance(mark, RuledLine)]
    assert len(rules) == 4
    assert {(rule.x1_mm, rule.x2_mm) for rule in rules} == {(MARGIN_MM, A4_MM[0] - MARGIN_MM)}
    assert rules[1].y1_mm < found["A1"].y_mm < rules[2].y1_mm < found["A2"].y_mm < rules[3].y1_mm


@pytest.mark.parametrize("digits", range(1, 16))
def test_no_amount_is_broken_however_much_text_stands_beside_it(digits: int) -> None:
    amount = f"EUR {int('9' * digits):,}.00"
    laid = sheet()
    laid.table(COLUMNS, [("A1", "a long title " * 200, amount), ("A2", "Gulls", amount)])
    assert sum(word == amount for page in laid.finish() for word in words(page)) == 2


def test_many_wide_amounts_make_the_type_smaller_not_broken() -> None:
    amounts = tuple(f"EUR {n}99,999,999,999.00" for n in range(5))
    laid = sheet()
    laid.table([TableColumn(f"{n}", 1) for n in range(5)], [amounts])
    (page,) = laid.finish()
    assert {texts(page)[amount].size_pt for amount in amounts} < {8.0, 7.0, 6.0, 5.0}


def test_a_row_is_as_high_as_its_longest_cell() -> None:
    laid = sheet()
    laid.table(COLUMNS, [("A1", "one\ntwo\nthree", ""), ("A2", "", "")])
    (page,) = laid.finish()
    found = texts(page)
    assert found["two"].y_mm - found["one"].y_mm == pytest.approx(line_mm(BODY_PT))
    assert found["A2"].y_mm - found["A1"].y_mm == pytest.approx(3 * line_mm(BODY_PT) + ROW_SPACE_MM)


def test_a_table_goes_on_under_its_head_on_the_next_page() -> None:
    laid = sheet()
    laid.table(COLUMNS, rows(100))
    pages = laid.finish()
    assert len(pages) > 1
    assert [n for page in pages for n in numbers(page)] == list(range(100))
    for page in pages:
        assert "Copy" in words(page)
        lowest = max(mark.y2_mm for mark in page.marks if isinstance(mark, RuledLine))
        assert lowest <= BOTTOM_MM
    # No more room is left on the first page than a row takes.
    full = max(mark.y2_mm for mark in pages[0].marks if isinstance(mark, RuledLine))
    assert BOTTOM_MM - full < line_mm(BODY_PT) + ROW_SPACE_MM


@pytest.mark.parametrize("left_mm", range(1, 120, 3))
@pytest.mark.parametrize("count", [2, 3, 4, 60])
def test_no_heading_no_head_and_no_single_row_stands_alone(left_mm: int, count: int) -> None:
    laid = sheet()
    fill_up(laid, left_mm)
    laid.heading("Goods")
    laid.table(COLUMNS, rows(count))
    with laid.closing():
        laid.paragraph("Together 60")
        laid.signatures(("Owner",))
    pages = laid.finish()
    found = [numbers(page) for page in pages]
    assert [n for part in found for n in part] == list(range(count))
    # Every part of a table that is broken has two rows at least, the last of them with what is signed.
    assert all(len(part) >= 2 for part in found if part)
    assert len(found[-1]) >= 2
    assert {"Together 60", "Owner"} <= set(words(pages[-1]))
    for page, part in zip(pages, found, strict=True):
        assert ("Copy" in words(page)) == bool(part)
    (heading,) = [part for page, part in zip(pages, found, strict=True) if "Goods" in words(page)]
    assert len(heading) >= 2


def test_a_row_longer_than_pages_goes_on_and_says_so() -> None:
    laid = sheet()
    laid.table(COLUMNS, [*rows(1), ("A1", "\n".join(f"line {n}" for n in range(150)), "7.00"), ("A2", "Gulls", "1.00")])
    pages = laid.finish()
    assert [word for page in pages for word in words(page) if word.startswith("line ")] == [
        f"line {n}" for n in range(150)
    ]
    assert len(pages) == 3
    for page in pages[1:]:
        assert {"Copy", "A1, continued"} <= set(words(page))
        assert texts(page)["A1, continued"].size_pt == SMALL_PT
    for page in pages:
        assert all(mark.y_mm <= BOTTOM_MM for mark in page.marks if isinstance(mark, Text) and "line" in mark.text)
    # The amount of the row stands once, and at least two lines of it before and after each break.
    assert [sum(word == "7.00" for word in words(page)) for page in pages] == [1, 0, 0]
    assert all(sum(word.startswith("line ") for word in words(page)) >= 2 for page in pages)


def test_what_rows_add_up_to_is_carried_forward() -> None:
    def so_far(count: int) -> str:
        return f"sum of {count} rows"

    laid = sheet()
    laid.table(COLUMNS, rows(120), so_far)
    pages = laid.finish()
    done = 0
    for nth, page in enumerate(pages):
        said = [word for word in words(page) if "sum of" in word]
        brought = [f"Brought forward: sum of {done} rows"] if done else []
        done += len(numbers(page))
        assert said == brought + ([f"Carried forward: sum of {done} rows"] if nth < len(pages) - 1 else [])
        lowest = max(mark.y_mm for mark in page.marks if isinstance(mark, Text) and "page" not in mark.text[:4])
        assert lowest <= A4_MM[1] - MARGIN_MM
    assert done == 120


@pytest.mark.parametrize("parts", [1, 12, 20])
def test_a_long_sum_is_carried_forward_in_the_type_of_a_head_and_no_word_of_it_is_lost(parts: int) -> None:
    def so_far(count: int) -> str:
        return "; ".join(f"EUR {count}.00 replacement value of part {n}" for n in range(parts)) + " and no more"

    laid = sheet()
    laid.table(COLUMNS, rows(120), so_far)
    for page in laid.finish()[1:-1]:
        marks = [mark for mark in page.marks if isinstance(mark, Text)]
        sums = [mark for mark in marks if mark.bold and mark.align is Align.RIGHT and mark.y_mm > 2 * MARGIN_MM]
        assert {mark.size_pt for mark in sums} == {SMALL_PT}
        assert " ".join(mark.text for mark in sums).count("and no more") == 2
        assert max(mark.y_mm for mark in marks if mark.text not in ("B7-02", "page")) <= A4_MM[1] - MARGIN_MM


def test_what_is_set_together_stays_on_one_page() -> None:
    def lay_out(left_mm: float) -> Sequence[Page]:
        laid = sheet()
        fill_up(laid, left_mm)
        with laid.together():
            laid.place(30, lambda x, y: [Rectangle(x, y, 10, 30)])
            laid.place(20, lambda x, y: [Rectangle(x, y, 10, 20)])
        return laid.finish()

    for left_mm, pages in ((50.001, 1), (49.9, 2)):
        found = lay_out(left_mm)
        assert len(found) == pages
        boxes = [mark for mark in found[-1].marks if isinstance(mark, Rectangle)]
        assert boxes[1].y_mm == pytest.approx(boxes[0].y_mm + 30)


def test_things_set_together_one_after_the_other_are_each_on_one_page() -> None:
    """As the entries of a collection: each a title and facts, of which the last hold to nothing after them."""
    laid = sheet()
    for n in range(40):
        with laid.together():
            laid.paragraph(f"title {n}")
            laid.facts((("Copy", f"copy {n}"), ("Where", f"where {n}"), ("Number", f"number {n}")))
    pages = laid.finish()
    assert len(pages) > 2
    for page in pages:
        said = set(words(page))
        on_page = [n for n in range(40) if f"title {n}" in said]
        assert on_page
        assert all({f"copy {n}", f"where {n}", f"number {n}"} <= said for n in on_page)


def test_what_is_higher_than_a_page_flows_on() -> None:
    laid = sheet()
    with laid.together():
        for _ in range(4):
            laid.place(100, lambda x, y: [Rectangle(x, y, 10, 100)])
    pages = laid.finish()
    assert [sum(isinstance(mark, Rectangle) for mark in page.marks) for page in pages] == [2, 2]


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
    below = found["Date"].y_mm - found["Room"].y_mm
    assert below == pytest.approx(line_mm(SMALL_PT) + line_mm(BODY_PT) + 1.6)


def test_the_long_name_of_a_fact_stands_on_two_lines_and_both_texts_under_it() -> None:
    laid = sheet(("It would owe at most, if the bill names one container or pallet only", "9 kg"), ("Rate", "1.2"))
    found = texts(laid.finish()[0])
    names = [word for word in found if word in "It would owe at most, if the bill names one container or pallet only"]
    assert len(names) == 2
    width = (A4_MM[0] - 2 * MARGIN_MM) / 2 - GAP_MM
    assert all(measure(name, SMALL_PT, False) <= width for name in names)
    assert found["9 kg"].y_mm == found["1.2"].y_mm
    assert found["Rate"].y_mm == pytest.approx(max(found[name].y_mm for name in names))


def test_headings_and_paragraphs() -> None:
    laid = sheet()
    laid.paragraph("")
    laid.paragraph("One line.", bold=True)
    laid.paragraph("Another.")
    laid.heading("Totals")
    laid.paragraph("Small.", size_pt=SMALL_PT)
    found = texts(laid.finish()[0])
    assert found["Another."].y_mm - found["One line."].y_mm == pytest.approx(line_mm(BODY_PT) + ROW_SPACE_MM)
    assert found["Totals"].y_mm > found["Another."].y_mm + line_mm(BODY_PT) + 4
    assert [(found[w].size_pt, found[w].bold) for w in ("One line.", "Totals", "Small.")] == [
        (BODY_PT, True), (11, True), (SMALL_PT, False),
    ]  # fmt: skip


def test_lines_to_sign_on_stand_side_by_side() -> None:
    laid = sheet()
    laid.signatures(("Owner", "Carrier", "Consignee"))
    (page,) = laid.finish()
    head, *rules = [mark for mark in page.marks if isinstance(mark, RuledLine)]
    width = (A4_MM[0] - 2 * MARGIN_MM - 2 * GAP_MM) / 3
    assert [rule.x1_mm for rule in rules] == pytest.approx([MARGIN_MM + n * (width + GAP_MM) for n in range(3)])
    assert {round(rule.x2_mm - rule.x1_mm, 6) for rule in rules} == {round(width - GAP_MM, 6)}
    assert len({rule.y1_mm for rule in rules}) == 1
    assert rules[0].y1_mm - head.y1_mm > 16, "there is room to sign"
    found = texts(page)
    assert found["Carrier"].x_mm == pytest.approx(rules[1].x1_mm)
    assert found["Carrier"].y_mm > rules[1].y1_mm
