"""A move inventory: every box with its facts and its copies, an empty one too, and who signs. Invented."""

from datetime import date

from intake.documents import move_inventory
from intake.edges import fonts
from intake.model.pages import Page, RuledLine, Text
from intake.model.papers import LETTER_MM
from intake.model.schedules import MovedBox, MovedLine, MoveInventory

LINE = MovedLine(number="A1-59", title="Ferns", at_origin="VG/G", at_destination="missing", value="EUR 5.00")
FULL = MovedBox(number="B1-56", facts=(("Seal", "K-1"), ("Note", "")), lines=(LINE, LINE))
EMPTY = MovedBox(number="B2-47", facts=(("Seal", "K-2"),), lines=())


def lay_out(*boxes: MovedBox, proof: str = "") -> list[Page]:
    move = MoveInventory(
        reference="R-1", on=date(2026, 5, 1), facts=(("Carrier", "Nowhere Lines"),), boxes=boxes,
        totals=("2 boxes.", "Value EUR 10.00."), proof=proof,
    )  # fmt: skip
    return move_inventory.lay_out(move, measure=fonts.measure, paper_mm=LETTER_MM)


def words(pages: list[Page]) -> list[str]:
    return [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]


def rules(pages: list[Page]) -> int:
    return sum(isinstance(mark, RuledLine) for page in pages for mark in page.marks)


def test_each_box_has_its_facts_and_a_row_for_each_copy() -> None:
    printed = words(lay_out(FULL, EMPTY))
    assert printed.count("A1-59") == printed.count("VG/G") == printed.count("EUR 5.00") == 2
    headings = [text for text in printed if text.startswith("Box B")]
    assert [("B1-56" in text, "2 copies" in text) for text in headings] == [(True, True), (False, False)]
    assert "0 copies" in headings[1]
    assert {"K-1", "K-2", "2 boxes.", "Value EUR 10.00.", "Nowhere Lines", "2026-05-01"} <= set(printed)
    assert "Note" not in printed


def test_an_empty_box_has_no_table() -> None:
    assert words(lay_out(EMPTY)).count("Condition at origin") == 0
    assert words(lay_out(FULL)).count("Condition at origin") == 1
    assert rules(lay_out(EMPTY)) < rules(lay_out(FULL))


def test_four_persons_sign_at_the_two_ends_and_the_proof_comes_last() -> None:
    printed = words(lay_out(FULL))
    assert sum("at origin, date" in text or "at destination, date" in text for text in printed) == 4
    assert "Proof" not in printed
    proven = words(lay_out(FULL, proof="intake-proof 1; list=x"))
    assert proven.index("Proof") > max(nth for nth, text in enumerate(proven) if "at destination, date" in text)
