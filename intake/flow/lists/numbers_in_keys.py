"""Whether the references of a catalog are retail numbers: its only column of ISBN may be headed "Ref" or "Cote"."""

from stdnum import ean, isbn

from intake.flow.lists.list_guess import Sample

PREFIXES = ("977", "978", "979")
"""Of serials, books and printed music in the EAN (ISO 3297, ISO 2108, ISO 10957)."""
FEWEST_SHORT = 3
"""Of ten digits one in eleven is an ISBN-10 by chance, so that one or two prove nothing."""
MOST_OTHERS = 0.1
"""With a greater share of other texts the column is one of references."""


def number_in_key(text: str) -> str:
    """Return the digits of a key that is nothing but a valid EAN of a publication or ISBN-10; '' for any other.

    >>> number_in_key("978-0-306-40615-7"), number_in_key("0306406152"), number_in_key("9780306406158")
    ('9780306406157', '0306406152', '')
    """
    digits = text.replace("-", "").replace(" ", "").upper()
    if len(digits) == 13 and digits.startswith(PREFIXES) and digits.isdecimal() and ean.is_valid(digits):
        return digits
    return digits if len(digits) == 10 and digits[:9].isdecimal() and isbn.is_valid(digits) else ""


class KeyEvidence:
    """What the cells of a column of keys prove.

    Attributes:
        numbers: count of those that are numbers.
        first: of them; None for none.
        other: the first that is none.
    """

    def __init__(self) -> None:
        self.numbers = 0
        self.first: Sample | None = None
        self.other: Sample | None = None
        self._has_long = False

    def add(self, line: int, text: str) -> None:
        """Take the next cell."""
        if digits := number_in_key(text):
            self.numbers += 1
            self.first = self.first or (line, text)
            self._has_long = self._has_long or len(digits) > 10
        else:
            self.other = self.other or (line, text)

    def is_of_numbers(self, filled: int) -> bool:
        """Return whether so many of a count of cells are numbers that the column is one of numbers too."""
        fewest = 1 if self._has_long else FEWEST_SHORT
        return self.numbers >= fewest and filled - self.numbers <= filled * MOST_OTHERS
