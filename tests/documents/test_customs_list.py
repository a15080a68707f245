"""The customs list and the declaration on pages, as PDFium extracts their text: each row by hand."""

from collections.abc import Callable, Sequence
from datetime import date

from intake.documents import customs_list, declarations
from intake.edges import fonts
from intake.model.goods import CustomsLine, CustomsList, CustomsSum, Declaration
from intake.model.pages import Page

ReadText = Callable[[Sequence[Page]], list[str]]
ON = date(2026, 5, 1)

GOODS = (
    CustomsLine(box="B1-75", copy="A1-59", title="Ferns", goods="printed books", heading="4901.99",
                isbn="978-0-306-40615-7", more="1990", country="PT", state="used", value="EUR 120.00",
                net_g=1500.0, gross_g=1634.0),
    CustomsLine(box="B1-75", copy="A2-57", title="Gulls", goods="printed books", heading="4901.99", state="used",
                questions=("4901 or 9706.90? printed 1920: 106 years",), value="JPY 800",
                recorded="JPY 800, market, 2026-01-15"),
    CustomsLine(box="B2-73", copy="A3-55", title="Charts", goods="maps, atlases", heading="4905.20", state="used",
                value="no value"),
)  # fmt: skip


def test_customs_rows_by_hand(read_text: ReadText) -> None:
    boxes = (
        CustomsSum(name="B1-75", pieces=2, value="EUR 120.00 and JPY 800", net_g=1500, unknown=1, gross_g=3000,
                   what="at packing"),
        CustomsSum(name="B2-73", pieces=1, value="none recorded", unknown=1),
    )  # fmt: skip
    customs = CustomsList(
        reference="R-1", on=ON, facts=(("Consignee", "Mx Nobody"),), lines=GOODS, boxes=boxes,
        asks=("Mass not known: A2-57.",),
        headings=(CustomsSum(name="4905.20", what="maps, atlases", pieces=1, value="none recorded"),),
        totals=("2 boxes, 3 pieces", "Net mass 1.500 kg"),
    )  # fmt: skip
    said = " ".join(" ".join(read_text(customs_list.lay_out(customs, measure=fonts.measure))).split())
    first = "1 B1-75 A1-59 Ferns 1990 978-0-306-40615-7 printed books 4901.99 PT used EUR 120.00 1.500 kg 1.634 kg"
    second = (
        "2 B1-75 A2-57 Gulls printed books value as recorded: JPY 800, market, 2026-01-15 4901 or 9706.90? printed "
        "1920: 106 years 4901.99 not known used JPY 800 not known not known"
    )
    third = "3 B2-73 A3-55 Charts maps, atlases 4905.20 not known used no value not known not known"
    assert f"{first} {second} {third}" in said
    for wanted in (
        "Mx Nobody", "To be answered before this list is signed", "Mass not known: A2-57.", "9706.90",
        "1.500 kg, without 1 piece of unknown mass", "3.000 kg", "not weighed", "Closing total 2 boxes, 3 pieces",
    ):  # fmt: skip
        assert wanted in said


def test_a_declaration_is_set_with_its_conditions_and_copies(read_text: ReadText) -> None:
    paper = Declaration(
        title="Declaration", reference="R-1", on=ON, facts=(("Declarant", "Mx Nobody"),), text=("(a) I do.",),
        checks=(("article 5", "twelve months", "met"),), left_out=(("A1-59", "Ferns", "bought too late"),),
        totals=("1 piece",), notes=("Not legal advice.",), signers=("Declarant",),
    )  # fmt: skip
    said = " ".join(" ".join(read_text(declarations.lay_out(paper, measure=fonts.measure))).split())
    for wanted in ("Mx Nobody", "(a) I do.", "article 5 twelve months met", "Not covered by this declaration",
                   "A1-59 Ferns bought too late", "1 piece", "Not legal advice."):  # fmt: skip
        assert wanted in said
    assert "To be answered first" not in said
