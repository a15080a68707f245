"""The proof on a page: its symbol is read by a decoder that is not ours, and it is never split over two pages."""

from collections.abc import Callable, Sequence

import pytest
import zxingcpp

from intake.documents.page_flow import MARGIN_MM, Head, Sheet
from intake.documents.proof_block import set_proof
from intake.edges import fonts
from intake.model.pages import Page, Symbol, Text
from intake.model.papers import A4_MM
from tests.documents.conftest import Render

PROOF = "intake-proof 1; list=insurance schedule; date=2026-05-01; of=all; values=latest; copies=71; unvalued=12; " + (
    "total=EUR 1234.50 replacement 40; entry=9120; head=" + "0123456789abcdef" * 4
)


def lay_out(proof: str, *, lines_before: int = 0) -> list[Page]:
    sheet = Sheet(Head("Insurance schedule", "2026"), fonts.measure, A4_MM)
    for nth in range(lines_before):
        sheet.paragraph(f"Line {nth}")
    set_proof(sheet, proof)
    return sheet.finish()


def texts(page: Page) -> list[str]:
    return [mark.text for mark in page.marks if isinstance(mark, Text)]


def test_no_proof_sets_nothing() -> None:
    empty = Sheet(Head("Insurance schedule", "2026"), fonts.measure, A4_MM).finish()
    assert [len(page.marks) for page in lay_out("")] == [len(page.marks) for page in empty]


def test_the_symbol_and_the_words_say_the_same(
    render: Render, read_text: Callable[[Sequence[Page]], list[str]]
) -> None:
    pages = lay_out(PROOF)
    (result,) = zxingcpp.read_barcodes(render(pages, 200.0)[0])
    assert result.text == PROOF
    printed = "".join("".join(read_text(pages)).split())
    assert "".join(PROOF.split()) in printed


@pytest.mark.parametrize("lines_before", [0, 20, 25, 28, 29, 30, 31, 32, 35, 40, 45])
def test_it_stays_together_wherever_it_begins(lines_before: int) -> None:
    pages = lay_out(PROOF, lines_before=lines_before)
    (page,) = [page for page in pages if any(isinstance(mark, Symbol) for mark in page.marks)]
    assert "Proof" in texts(page)
    (symbol,) = [mark for mark in page.marks if isinstance(mark, Symbol)]
    assert symbol.y_mm + symbol.height_mm <= A4_MM[1] - MARGIN_MM
    assert symbol.x_mm >= MARGIN_MM
    words = [mark for mark in page.marks if isinstance(mark, Text) and "intake-proof" in mark.text]
    assert words
    assert all(mark.x_mm > symbol.x_mm + symbol.width_mm for mark in words), "beside the symbol, not over it"
    assert all(mark.y_mm >= symbol.y_mm - 4 for mark in words)
