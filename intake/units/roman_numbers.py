"""Numbers in Roman letters, as volumes, pages and years have them."""

_VALUES = {"I": 1, "V": 5, "X": 10, "L": 50, "C": 100, "D": 500, "M": 1000} | {"İ": 1}
"""With the dotted capital of Turkish, which a pattern that ignores case takes for an i."""


def roman_value(letters: str) -> int:
    """Return the number that Roman letters are; a letter before a larger one is taken off.

    Raises:
        KeyError: there is another letter among them.

    >>> roman_value("MCMLXXIV"), roman_value("xii"), roman_value("MDCCCCX")
    (1974, 12, 1910)
    """
    values = [_VALUES[letter] for letter in letters.upper()]
    return sum(-value if value < max(values[nth:]) else value for nth, value in enumerate(values))
