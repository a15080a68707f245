"""Papers of a move, read back from the PDF: what they must say, the symbol, and marks that stay in their squares."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
import zxingcpp

from intake.documents import four_faces, handling_marks, moving, packing_plans
from intake.documents.text_fit import Setter
from intake.edges import fonts
from intake.model.moving_papers import (
    BoxFault,
    DiscrepancyLine,
    DiscrepancyPaper,
    FaceLabel,
    FoundElsewhere,
    HandlingMark,
    LimitsPaper,
    NoticePaper,
    PlannedBox,
    PlannedCopy,
    PlanPaper,
)
from intake.model.pages import Align, Page, Rectangle, RuledLine, Text
from intake.model.papers import LETTER_MM
from tests.documents.conftest import Render

Texts = Callable[[Sequence[Page]], list[str]]

FAULT = BoxFault(number="B3-38", what="carton crushed; seal Q3: broken", pictures=2)
GONE = DiscrepancyLine(
    number="A7-05", title="Aves del páramo", box="B3-38", what="missing", reason="an empty gap", amount=Decimal(72),
    currency="EUR",
)  # fmt: skip
FOUND = DiscrepancyLine(
    number="A8-93", title="Moose und Farne", box="B3-38", what="missing", reason="?", since="in box B4-29"
)
NOTICE = NoticePaper(
    reference="R-1",
    on=date(2026, 5, 4),
    sender="Ione Vellacroft",
    carrier="Invented Haulage",
    delivered="2026-05-01: B1-56, B3-38; 2026-05-04: B2-47",
    faults=(FAULT,),
    lines=(GONE,),
    surplus=(FoundElsewhere(number="A9-84", title="Måger", found_in="B1-56", listed_in="on no list", surplus=True),),
    awaited=("B5-20 (12 copies)",),
)
PERIOD = ("notice", "2026-05-04: today", "3 days from delivery", "evidence only", "Hague-Visby Rules, article III, 6")
LIMITS = LimitsPaper(
    reference="R-1",
    on=date(2026, 5, 4),
    carrier="Invented Haulage",
    regime="Hague-Visby",
    facts=(("Loss, as far as valued", "EUR 72.00"), ("In none of these sums", "")),
    deliveries=("Delivered on 2026-05-01: B1-56", "Delivered on 2026-05-04: B2-47"),
    periods=(PERIOD,),
    losses=(("missing", "market", "1: A7-05", "USD 90.00", "EUR 72.00"),),
    limits=(("B3-38", "666.67 SDR × 1 package", "EUR 800.00"),),
    counted=(("B3-38", "missing or damaged copies of 1.20 kg", "1.40 kg"),),
    notes=(("What was left out", ("One copy has no value.",)),),
)


def label(**more: object) -> FaceLabel:
    plain = {"number": "B4-29", "serial": "4", "opens": "B4-29", "room": "Sitting room", "mass": "17.30 kg"}
    return FaceLabel(**{**plain, **more})  # type: ignore[arg-type] # keyword by keyword


def test_four_labels_a_box_each_with_its_symbol(render: Render, read_text: Texts) -> None:
    address = "http://192.168.1.20:8000/boxes/B4-29"
    pages = four_faces.lay_out([label(opens=address, marks=tuple(HandlingMark)[:3])] * 2, measure=fonts.measure)
    assert len(pages) == 2
    codes = zxingcpp.read_barcodes(render(pages, 200)[0])
    assert [code.text for code in codes] == [address] * 4
    text = read_text(pages)[0]
    assert text.count("Box 4") == text.count("Sitting room") == text.count("17.30 kg") == 4
    assert [f"Face {n} of 4" in text for n in (1, 2, 3, 4)] == [True] * 4
    # Council Directive 90/269/EEC, article 6(1): those who lift know the heaviest side; one square on each face.
    assert text.count("heaviest side") == 4
    squares = [mark for mark in pages[0].marks if isinstance(mark, Rectangle)]
    assert len(squares) == 4
    assert {(mark.width_mm, mark.height_mm, mark.grey) for mark in squares} == {(3.6, 3.6, None)}


def test_each_thing_on_a_label_has_a_place_of_its_own() -> None:
    marks = tuple(HandlingMark)[:3]
    (page,) = four_faces.lay_out([label(marks=marks, caution="Two people", consignment="R-1")], measure=fonts.measure)
    first = [mark for mark in page.marks if isinstance(mark, Text) and mark.x_mm < 105 and mark.y_mm < 148.5]
    # The number stands below its symbol, too, in the middle.
    by_words = {mark.text: mark for mark in first if mark.text != "B4-29" or mark.align is Align.LEFT}
    # The number of the box is the largest; what follows stands below it.
    assert max(first, key=lambda mark: mark.size_pt).text == "Box 4"
    assert by_words["Box 4"].size_pt <= 48
    order = [by_words[words].y_mm for words in ("Box 4", "B4-29", "Sitting room", "Consignment R-1", "17.30 kg")]
    assert order == sorted(order)
    assert by_words["17.30 kg"].y_mm == pytest.approx(by_words["Two people"].y_mm, abs=2)
    assert by_words["Two people"].x_mm > by_words["17.30 kg"].x_mm
    # Three marks across 89 mm with 3 mm between them, each named under its middle.
    middles = sorted({mark.x_mm for mark in first if mark.align is Align.CENTRE and mark.text != "B4-29"})
    side = (89 - 6) / 3
    assert middles == pytest.approx([8 + side / 2 + n * (side + 3) for n in range(3)])
    # The other faces are the same a half sheet further.
    moved = {(mark.text, round(mark.x_mm - 105, 3), round(mark.y_mm - 148.5, 3)) for mark in page.marks
             if isinstance(mark, Text) and mark.x_mm > 105 and mark.y_mm > 148.5}  # fmt: skip
    assert {(mark.text, round(mark.x_mm, 3), round(mark.y_mm, 3)) for mark in first if "Face" not in mark.text} <= moved


@pytest.mark.parametrize("count", [1, 4, 5])
def test_more_marks_are_smaller_and_stay_beside_each_other(count: int) -> None:
    marks = tuple(HandlingMark)[:count]
    (page,) = four_faces.lay_out([label(marks=marks)], measure=fonts.measure)
    first = [mark for mark in page.marks if isinstance(mark, Text) and mark.x_mm < 105 and mark.y_mm < 148.5]
    middles = sorted({round(mark.x_mm, 6) for mark in first if mark.align is Align.CENTRE and mark.text != "B4-29"})
    # 89 mm between the edges, 3 mm between two marks; 33.3 mm from the square to tick to the foot.
    side = min(33.3, (89 - 3 * (count - 1)) / count)
    assert middles == pytest.approx([8 + side / 2 + n * (side + 3) for n in range(count)])


def test_labels_on_letter_paper_stay_on_it_whatever_they_say(render: Render) -> None:
    long = label(
        room="The little room behind the upper landing " * 4, caution="Heavy: two people", marks=tuple(HandlingMark)
    )
    (page,) = four_faces.lay_out([long], measure=fonts.measure, paper_mm=LETTER_MM)
    assert (page.width_mm, page.height_mm) == LETTER_MM
    grey = render([page], 50)[0]
    edge = np.concatenate([grey[:8].ravel(), grey[-8:].ravel(), grey[:, :8].ravel(), grey[:, -8:].ravel()])
    # Only the two lines to cut along reach the edge.
    assert (edge < 128).mean() < 0.02


@pytest.mark.parametrize("mark", HandlingMark)
def test_each_mark_has_a_picture_of_its_own_inside_its_square(mark: HandlingMark) -> None:
    square = handling_marks.Square(10, 20, 30)
    drawn = list(handling_marks.draw(mark, square, Setter(fonts.measure), stacking_g=60_000))
    rules = [one for one in drawn if isinstance(one, RuledLine)]
    assert rules
    assert all(10 <= x <= 40 for rule in rules for x in (rule.x1_mm, rule.x2_mm))
    assert all(20 <= y <= 50 for rule in rules for y in (rule.y1_mm, rule.y2_mm))
    others = [handling_marks.draw(one, square, Setter(fonts.measure)) for one in HandlingMark if one is not mark]
    assert all([m for m in other if isinstance(m, RuledLine)] != rules for other in others)


def test_the_discrepancy_report_says_what_is_wrong_and_what_was_found(read_text: Texts) -> None:
    paper = DiscrepancyPaper(
        reference="R-1",
        on=date(2026, 5, 4),
        carrier="Invented Haulage",
        faults=(FAULT,),
        lines=(GONE,),
        found=(
            FoundElsewhere(number="A9-84", title="Måger", found_in="B1-56", listed_in="on no list", surplus=True),
            FoundElsewhere(number="A6-14", title="Gräser", found_in="B1-56", listed_in="B3-38"),
        ),
        found_since=(FOUND,),
        still_closed=("B5-20",),
        awaited=("B6-11",),
        totals=("Missing: 1, worth EUR 72.00",),
        ledger_seq=12,
        ledger_head="ab" * 32,
    )
    text = " ".join("\n".join(read_text(moving.lay_out_discrepancies(paper, measure=fonts.measure))).split())
    for words in (
        "carton crushed; seal Q3: broken", "Aves del páramo", "an empty gap", "EUR 72.00", "1 copy missing or damaged",
        "Found since they were reported missing", "in box B4-29",
        "Surplus: came with the boxes and is on no list", "A9-84",
        "Found in a box that does not list them", "A6-14", "1 box has not arrived: B6-11",
        "1 box is not unpacked yet, with unknown contents: B5-20", "ab" * 32,
        "Not legal advice: the contract, the policy, local law and licensed advice decide.",
    ):  # fmt: skip
        assert words in text


def test_a_report_without_discrepancies_says_so(read_text: Texts) -> None:
    paper = DiscrepancyPaper(reference="R-1", on=date(2026, 5, 4))
    assert "No copy is missing or damaged" in read_text(moving.lay_out_discrepancies(paper, measure=fonts.measure))[0]


def test_no_page_holds_signatures_alone(read_text: Texts) -> None:
    """Whatever the number of lines, the totals stand on the page that is signed."""
    for count in range(20, 60):
        letter = replace(NOTICE, lines=(GONE,) * count, totals=("Missing: many",))
        last = read_text(moving.lay_out_notice(letter, measure=fonts.measure))[-1]
        assert "Missing: many" in last
        assert "Received by the carrier" in last
        report = DiscrepancyPaper(
            reference="R-1", on=date(2026, 5, 4), lines=(GONE,) * count, totals=("Missing: many",)
        )
        assert "Missing: many" in read_text(moving.lay_out_discrepancies(report, measure=fonts.measure))[-1]


def test_a_letter_about_what_never_came_offers_nothing_to_look_at(read_text: Texts) -> None:
    letter = replace(NOTICE, lines=(), faults=(), surplus=(), delivered="")
    text = " ".join(read_text(moving.lay_out_notice(letter, measure=fonts.measure))[0].split())
    assert "have not been delivered to us" in text
    assert "tell us where the boxes are" in text
    for words in ("look at the boxes", "were lost or damaged", "still being unpacked", "No copy is missing"):
        assert words not in text


def test_the_notice_names_no_limit_and_the_own_sheet_does(read_text: Texts) -> None:
    notice = " ".join(read_text(moving.lay_out_notice(NOTICE, measure=fonts.measure))[0].split())
    for words in (
        "We give notice",
        "A7-05",
        "2026-05-01: B1-56, B3-38; 2026-05-04: B2-47",
        "B5-20 (12 copies)",
        "Måger",
    ):
        assert words in notice
    assert "SDR" not in notice
    sheet = " ".join(read_text(moving.lay_out_periods(LIMITS, measure=fonts.measure))[0].split())
    for words in (
        "Delivered on 2026-05-01: B1-56", "Delivered on 2026-05-04: B2-47", "evidence only", "USD 90.00",
        "666.67 SDR × 1 package", "2026-05-04: today", "1.40 kg", "What was left out", "One copy has no value.",
    ):  # fmt: skip
        assert words in sheet
    # The caution is for the sender: it stands on the own sheet, and not in what is said to the carrier.
    caution = "Not legal advice: the contract, the policy, local law and licensed advice decide."
    assert caution in sheet
    assert caution not in notice
    # Nobody was asked whether anything is kept.
    assert "kept for you" not in notice


def test_a_planned_box_names_its_room_and_what_to_mind(read_text: Texts) -> None:
    heavy = PlannedBox(name="New box 1", kind="book box", room="Hall", mass_g=18_900, caution="two people", copies=())
    plain = PlannedBox(name="New box 2", kind="book box", room="", mass_g=8_900, copies=())
    paper = PlanPaper(on=date(2026, 5, 4), remarks=(), boxes=(heavy, plain))
    (text,) = read_text(packing_plans.lay_out(paper, measure=fonts.measure))
    assert "New box 1: book box, Hall, about 18.90 kg. two people." in " ".join(text.split())
    assert "New box 2: book box, about 8.90 kg." in " ".join(text.split())
    assert "Not planned" not in text


def test_a_copy_without_a_place_is_printed_without_one(read_text: Texts) -> None:
    copy = PlannedCopy(number="A7-20", title="Gulls", pile=None, layer=None, mass_g=900)
    paper = PlanPaper(
        on=date(2026, 5, 4),
        remarks=(),
        boxes=(PlannedBox(name="Box 7", kind="box", room="", mass_g=1_800, copies=(copy,)),),
    )
    (text,) = read_text(packing_plans.lay_out(paper, measure=fonts.measure))
    assert "A7-20" in text
    assert "None" not in text


def test_a_plan_of_many_boxes_flows_over_its_pages(read_text: Texts) -> None:
    copies = tuple(PlannedCopy(number=f"A{n}-00", title="Gräser", pile=1, layer=n, mass_g=900) for n in range(1, 21))
    boxes = tuple(
        PlannedBox(name=f"New box {n}", kind="book box", room="", mass_g=18_900, copies=copies) for n in range(1, 9)
    )
    paper = PlanPaper(
        on=date(2026, 5, 4), remarks=("Eight boxes.",), boxes=boxes, left=(("A99-01", "Atlas", "too large"),)
    )
    pages = read_text(packing_plans.lay_out(paper, measure=fonts.measure))
    assert len(pages) > 3
    assert "".join(pages).count("A20-00") == 8
    assert "too large" in pages[-1]
