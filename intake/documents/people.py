"""What a narrow column says of the people of a book, and of where and by whom it was published."""

from intake.units.language import say

MOST_PEOPLE = 3
"""As many are named; bibliographies name three before "and others" (common practice, no source)."""


def few_people(people: str, most: int = MOST_PEOPLE) -> str:
    """Name the first of many people, and say how many others there are.

    Args:
        people: as they are recorded, with semicolons between them.
        most: how many are named; one more is named, too, rather than counted.

    >>> few_people("Thorn, Ada; Petrel, Iva; Lund, Per; Tamm, Urs; Oks, Eve")
    'Thorn, Ada; Petrel, Iva; Lund, Per and 2 others'
    """
    names = people.split("; ")
    if len(names) <= most + 1:
        return people
    return say("{names} and {others} others", names="; ".join(names[:most]), others=len(names) - most)


def printed_words(isbn: str, publisher: str, year: int | None, beside: str = "") -> str:
    """Write number, publisher and year, as far as they are known; no year that stands beside it already.

    >>> printed_words("979-5-7610-6403-8", "Nowhere Press", 1998), printed_words("", "Nowhere Press", 7, "3rd, 7")
    ('979-5-7610-6403-8, Nowhere Press, 1998', 'Nowhere Press')
    """
    said = "" if year is None or str(year) in beside else str(year)
    return ", ".join(filter(None, (isbn, publisher, said)))
