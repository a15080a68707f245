"""Schedules, move inventory, customs list and dossiers: totals recomputed from the text that PDFium extracts."""

import io
import re
from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from PIL import Image

from intake.documents import dossiers, move_inventory, schedules
from intake.edges import fonts
from intake.model.pages import Align, Page, PlacedPicture, Rectangle, Text
from intake.model.papers import A4_MM, LETTER_MM
from intake.model.schedules import (
    Dossier,
    MovedBox,
    MovedLine,
    MoveInventory,
    Photograph,
    Schedule,
    ScheduleGroup,
    ScheduleLine,
    Section,
)
from intake.model.valuations import Basis

ReadText = Callable[[Sequence[Page]], list[str]]
ON = date(2026, 5, 1)


def line(n: int, amount: str | None, title: str = "Ferns of the Outer Isles", **more: Any) -> ScheduleLine:
    stated: dict[str, Any] = {"currency": "EUR", "basis": Basis.MARKET} if amount else {}
    stated |= {"note": "" if amount else "no value recorded"} | more
    return ScheduleLine(
        number=f"A{n}-00", title=title, more="Ada Thorn; 1st edition, 1990", condition="VG/G; spine: faded",
        where="Study · A · 1", amount=None if amount is None else Decimal(amount),
        recorded="USD 1.00, market, a letter, 2026-01-15" if amount else "",
        **stated,
    )  # fmt: skip


def schedule(groups: tuple[ScheduleGroup, ...], **more: object) -> Schedule:
    return Schedule(title="Insurance schedule", on=ON, currency="EUR", groups=groups, **more)  # type: ignore[arg-type] # fields by name


GROUPS = (
    ScheduleGroup(name="Study", lines=tuple(line(n, f"{n}.{n % 100:02d}") for n in range(1, 60))),
    ScheduleGroup(name="Hall", lines=(line(60, "1250.50", "鳥の島"), line(61, None))),
)


@pytest.mark.parametrize("paper_mm", [A4_MM, LETTER_MM])
def test_totals_are_what_the_printed_lines_add_up_to(read_text: ReadText, paper_mm: tuple[float, float]) -> None:
    pages = schedules.lay_out(schedule(GROUPS), measure=fonts.measure, paper_mm=paper_mm)
    texts = read_text(pages)
    said = " ".join(" ".join(texts).split())
    printed = re.findall(r"(?<!: )\bEUR ([\d,]+\.\d\d) USD 1\.00", said)
    amounts = [Decimal(amount.replace(",", "")) for amount in printed]
    expected = sum((one.amount for group in GROUPS for one in group.lines if one.amount is not None), Decimal())
    assert len(amounts) == 60
    assert sum(amounts) == expected
    assert f"At risk EUR {expected:,.2f} (market) (1 of 61 without a value)" in said
    assert "鳥の島" in said
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text
        if number < len(texts):
            assert "Title, contributors, edition" in text, "headings are repeated"


def test_single_articles_and_none() -> None:
    one = GROUPS[1].lines[0]
    pages = schedules.lay_out(schedule(GROUPS, singles=(one,), single_limit=Decimal(1000)), measure=fonts.measure)
    words = [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]
    assert "Single articles: each worth more than EUR 1,000.00" in words
    assert "Together EUR 1,250.50 (market)" in words
    marks = [mark for page in pages for mark in page.marks if isinstance(mark, Text)]
    assert all(mark.bold for mark in marks if mark.text.startswith("Together"))
    none = schedules.lay_out(schedule(GROUPS, single_limit=Decimal(9000)), measure=fonts.measure)
    assert "None." in [mark.text for page in none for mark in page.marks if isinstance(mark, Text)]


MIXED = (
    line(1, "100.00"),
    line(2, "7.50", basis=Basis.PURCHASE),
    line(3, "9000", currency="JPY", note="not converted: no rate of JPY is recorded"),
    line(4, "50.00", lost=True),
    line(5, None, lost=True),
    line(6, None, in_set="set 4"),
    line(7, None, in_set="set 4"),
    ScheduleLine(
        number="set 4", title="Ferns", more="valued as a set", amount=Decimal(400), currency="EUR", basis=Basis.MARKET,
        copies=2, is_set=True,
    ),
)  # fmt: skip


def test_sums_by_basis_and_currency_and_what_is_lost_by_hand() -> None:
    assert schedules.sum_text(MIXED[:4], "EUR") == (
        "EUR 157.50 (market EUR 150.00, purchase EUR 7.50); not converted JPY 9,000 (market)"
    )
    assert schedules.sum_text(MIXED[2:3], "EUR") == "not converted JPY 9,000 (market)"
    assert schedules.sum_text(MIXED[5:], "EUR") == "EUR 400.00 (market)"
    assert schedules.sum_text(MIXED[4:6], "EUR") == "no value (1 of 2 without a value)"


def test_the_page_keeps_apart_what_is_at_risk_and_what_is_lost(read_text: ReadText) -> None:
    groups = (
        ScheduleGroup(name="Study", lines=tuple(one for one in MIXED if not one.lost)),
        ScheduleGroup(name="Lost", lines=tuple(one for one in MIXED if one.lost)),
    )
    said = " ".join(" ".join(read_text(schedules.lay_out(schedule(groups), measure=fonts.measure))).split())
    for wanted in (
        "Count At risk: 5 copies, 1 set that counts once; lost: 2 copies",
        "At risk: market value, 1 set of 2 volumes counted once 3 EUR 500.00",
        "At risk: purchase value 1 EUR 7.50",
        "At risk: together 4 EUR 507.50",
        "At risk: market value, not converted 1 JPY 9,000",
        "Lost: market value 1 EUR 50.00",
        "Lost: without a value 1 no value",
        "Study market, not converted 1 JPY 9,000",
        "Lost: EUR 50.00 (market) (1 of 2 without a value)",
        "in set 4",
    ):
        assert wanted in said, wanted


def test_no_amount_is_broken_from_its_currency() -> None:
    dear = (line(1, "1234567.89"), line(2, "999999999.999", currency="BHD"), line(3, "0.50"))
    pages = schedules.lay_out(schedule((ScheduleGroup(name="Study", lines=dear),)), measure=fonts.measure)
    marks = [mark for page in pages for mark in page.marks if isinstance(mark, Text)]
    words = [mark.text for mark in marks]
    for amount in ("EUR 1,234,567.89", "BHD 999,999,999.999", "EUR 0.50"):
        assert amount in words
    assert not [text for text in words if text.endswith(("EUR", "BHD"))]
    for mark in marks:
        width = fonts.measure(mark.text, mark.size_pt, mark.bold)
        assert (mark.x_mm - width if mark.align is Align.RIGHT else mark.x_mm) >= 16 - 1e-6
        assert (mark.x_mm if mark.align is Align.RIGHT else mark.x_mm + width) <= A4_MM[0] - 16 + 1e-6


def photograph(n: int, *, lost: bool = False) -> Photograph:
    out = io.BytesIO()
    Image.new("RGB", (200, 150), "white").save(out, "JPEG")
    data, why = (None, "the library folder does not hold its file") if lost else (out.getvalue(), "")
    return Photograph(
        copy=f"A{n}-00", caption="jacket", sha256=f"{n:064x}", width_px=200, height_px=150, data=data, why=why
    )


def test_photographs_keep_their_proportions_and_a_lost_one_its_place(read_text: ReadText) -> None:
    shown = tuple(photograph(n, lost=n == 3) for n in range(10))
    pages = schedules.lay_out(schedule(GROUPS, photographs=shown), measure=fonts.measure)
    pictures = [mark for page in pages for mark in page.marks if isinstance(mark, PlacedPicture)]
    assert len(pictures) == 9
    assert all(one.width_mm / one.height_mm == pytest.approx(4 / 3) for one in pictures)
    assert all(one.y_mm + one.height_mm < A4_MM[1] - 16 for one in pictures)
    said = "".join("".join(read_text(pages)).split())
    assert f"{9:064x}" in said, "each is named by its SHA-256"
    assert "Notprinted:thelibraryfolderdoesnotholditsfile" in said


def test_a_title_of_two_thousand_letters_stays_on_its_page() -> None:
    long = ScheduleGroup(name="Study", lines=(line(1, "1.00", "Ferns and " * 200), line(2, "2.00", "x" * 2000)))
    for page in schedules.lay_out(schedule((long,)), measure=fonts.measure):
        assert all(mark.y_mm < A4_MM[1] - 15 for mark in page.marks if isinstance(mark, Text))


def test_move_inventory_by_box(read_text: ReadText) -> None:
    lines = tuple(
        MovedLine(number=f"A{n}-00", title="Ferns", at_origin="VG/G", at_destination="missing", value="EUR 5.00")
        for n in range(9)
    )
    facts = (("Marks", "Keep dry."), ("Seal", "K-1"), ("Gross mass", "20.00 kg"), ("Room", "Study"), ("Note", "wet"))
    boxes = tuple(MovedBox(number=f"B{n}-00", facts=facts, lines=lines) for n in range(7))
    move = MoveInventory(
        reference="R-1", on=ON, facts=(("Carrier", "Nowhere Lines"),), boxes=boxes, totals=("7 boxes",)
    )
    pages = move_inventory.lay_out(move, measure=fonts.measure)
    texts = read_text(pages)
    said = " ".join(texts)
    for wanted in ("Condition at origin", "Condition at destination", "Carrier at destination, date", "Nowhere Lines"):
        assert wanted in said
    for number in range(7):
        (own,) = [text for text in texts if f"Box B{number}-00" in text]
        assert "A0-00" in own.split(f"Box B{number}-00")[1], "a box begins with its first copies on the same page"
    for page in pages:
        assert all(mark.y_mm <= A4_MM[1] - 16 + 1e-6 for mark in page.marks if isinstance(mark, Text))


def test_photographs_stand_three_in_a_row_with_their_foot_on_one_line() -> None:
    shown = tuple(photograph(n, lost=n == 1) for n in range(4))
    pages = schedules.lay_out(schedule(GROUPS[1:], photographs=shown), measure=fonts.measure)
    marks = [mark for page in pages for mark in page.marks]
    pictures = [mark for mark in marks if isinstance(mark, PlacedPicture)]
    left = min(one.x_mm for one in pictures)
    first, third, fourth = sorted(pictures, key=lambda one: (one.y_mm, one.x_mm))
    # 4:3 pictures in columns narrower than 4/3 of 46 mm fill the width; between the rows there is room for captions.
    assert first.y_mm + first.height_mm == pytest.approx(third.y_mm + third.height_mm)
    assert (first.x_mm, fourth.x_mm) == pytest.approx((left, left))
    assert 46 + 10 < fourth.y_mm - first.y_mm < 46 + 15
    assert third.x_mm - first.x_mm > 2 * first.width_mm
    assert third.x_mm + third.width_mm <= A4_MM[0] - left + 1e-6
    (frame,) = [mark for mark in marks if isinstance(mark, Rectangle) and mark.height_mm == 46 and mark.grey is None]
    assert frame.x_mm - first.x_mm == pytest.approx((third.x_mm - first.x_mm) / 2)
    assert frame.width_mm == pytest.approx(first.width_mm)
    assert frame.y_mm + frame.height_mm == pytest.approx(first.y_mm + first.height_mm)


def test_a_dossier_and_its_tables(read_text: ReadText) -> None:
    section = Section(heading="Values", columns=(("Day", 1.0), ("Value", 2.0)), rows=(("2026-01-01", "EUR 5.00"),))
    dossier = Dossier(title="Ferns", number="A1-00", on=ON, facts=(("State", "shelved"),), sections=(section,),
                      signatures=("Owner",), proof="intake-proof 1; list=x")  # fmt: skip
    pages = dossiers.lay_out_all([dossier, dossier], measure=fonts.measure)
    texts = read_text(pages)
    assert len(pages) == 2
    assert all("EUR 5.00" in text and "intake-proof 1" in text and "Owner" in text for text in texts)
