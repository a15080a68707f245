"""Headings against chapter 49 of the Harmonized System (World Customs Organization).

4901 printed books: .91 dictionaries and encyclopaedias, .99 other; 4902.90 periodicals that appear less than four times
a week; 4903 children's picture, drawing or colouring books; 4904 music; 4905 maps; note 3: bound newspapers and
periodicals go to 4901.
"""

import pytest

from intake.model.editions import Edition
from intake.valuing.customs import NAMES, tariff_heading

ISSN, ISMN, ISBN = "9770264359008", "9790260000438", "9780306406157"


def edition(**fields: str) -> Edition:
    return Edition(id=1, title="Ferns", **fields)  # type: ignore[arg-type] # keyword by keyword


@pytest.mark.parametrize(
    ("book", "code"),
    [
        (edition(number=ISBN), "4901.99"),
        (edition(), "4901.99"),
        (edition(subject="Dictionaries"), "4901.91"),
        (edition(subject="An ENCYCLOPAEDIA of ferns"), "4901.91"),
        (edition(number=ISMN), "4904.00"),
        (edition(number=ISMN, subject="Dictionaries"), "4904.00"),
        (edition(number="9791234567896"), "4901.99"),  # 979 is a book, 979-0 is music
        (edition(number=ISSN), "4902.90"),
        (edition(number=ISSN, binding="softcover"), "4902.90"),
        (edition(number=ISSN, binding="Hardcover"), "4901.99"),
        (edition(number=ISSN, binding="bound volume"), "4901.99"),
        (edition(number=ISSN, binding="red cloth"), "4901.99"),
        (edition(number=ISSN, binding="half leather"), "4901.99"),
        (edition(number=ISBN, binding="hardcover", subject="Colouring books"), "4903.00"),
        (edition(subject="Children's picture books"), "4903.00"),
        (edition(hs_heading="4905.20", number=ISMN), "4905.20"),  # what the owner has set wins
    ],
)
def test_headings(book: Edition, code: str) -> None:
    assert tariff_heading(book).code == code


def test_every_heading_is_named() -> None:
    assert set(NAMES) == {"4901", "4902", "4903", "4904", "4905"}
    for set_by_hand, name in (("4905.20", NAMES["4905"]), ("49 02.10", NAMES["4902"]), ("9706.10", "as declared")):
        assert tariff_heading(edition(hs_heading=set_by_hand)).name == name
    assert tariff_heading(edition(number=ISSN)).name == NAMES["4902"]
    assert tariff_heading(edition(number=ISSN, binding="bound")).name == NAMES["4901"]
    assert len({tariff_heading(edition(**fields)).why for fields in (
        {"number": ISBN}, {"number": ISMN}, {"number": ISSN}, {"number": ISSN, "binding": "bound"},
        {"hs_heading": "4901.99"}, {"subject": "Dictionaries"}, {"subject": "picture books"},
    )}) == 7  # fmt: skip
