"""The last line of a paper: what no font has is named there, by the names of the Unicode Standard."""

from collections.abc import Callable, Sequence

from intake.documents.missing_letters import missing_words, name_missing
from intake.documents.page_flow import Head, Sheet
from intake.edges import fonts
from intake.model.pages import Page


def test_what_is_missing_stands_on_the_last_page_only(read_text: Callable[[Sequence[Page]], list[str]]) -> None:
    sheet = Sheet(Head("List", "\U00013000-1"), fonts.measure)
    for _ in range(2):
        sheet.place(200, lambda x, y: ())
    pages = sheet.finish()
    missing = fonts.missing_in(pages)
    assert missing == ("\U00013000",)
    first, last = read_text(name_missing(pages, missing, fonts.measure))
    assert "U+13000 EGYPTIAN HIEROGLYPH A001" in last
    assert "EGYPTIAN" not in first
    assert name_missing(pages, (), fonts.measure) == pages


def test_of_many_the_number_is_said() -> None:
    said = missing_words([chr(0x13000 + n) for n in range(9)])
    assert said.endswith("U+13005 EGYPTIAN HIEROGLYPH A005A, and 3 more")
