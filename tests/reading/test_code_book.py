"""Which numbers the code book takes."""

from hypothesis import given
from hypothesis import strategies as st

from intake.reading.code_book import CodeBook, valid_eans
from intake.reading.symbol_forms import is_ean

DIGITS = st.text("0123456789", min_size=11, max_size=14)
VALID = st.sampled_from(["9780306406157", "4006381333931", "0000096385074", "９７８0306406157", "978030640615X"])


@given(st.lists(DIGITS | VALID))
def test_many_numbers_are_checked_as_each_is(numbers: list[str]) -> None:
    assert valid_eans(numbers) == [number for number in numbers if is_ean(number)]


def test_a_book_holds_each_number_once_in_order_on_the_page_of_its_symbology() -> None:
    """Numbers: GS1 General Specifications (EAN-8 96385074) and the ISBN user's manual (978-0-306-40615-7)."""
    book = CodeBook.of(["9780306406157", "0000096385074", "9780306406157", "9780306406158"], ["4006381333931"])
    assert book.numbers == ("0000096385074", "4006381333931", "9780306406157")
    assert [(name, part.numbers) for name, part in book.pages.items()] == [
        ("EAN-13", ("4006381333931", "9780306406157")),
        ("EAN-8", ("0000096385074",)),
    ]
    assert book.pages["EAN-13"].expected.tolist() == [True, False]
