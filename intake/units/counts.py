"""Counts with their nouns, as every sentence writes them."""

from collections.abc import Sequence

from intake.units.language import say, say_of


def counted(count: int, one: str, several: str = "") -> str:
    """Write how many there are of a thing.

    >>> counted(1, "box", "boxes"), counted(0, "copy", "copies"), counted(2, "label")
    ('1 box', '0 copies', '2 labels')
    """
    return f"{count} {noun(count, one, several)}"


def noun(count: int, one: str, several: str = "") -> str:
    """Return the noun, or the verb, that goes with so many, without the number.

    >>> noun(1, "rate"), noun(2, "rate"), noun(2, "is", "are")
    ('rate', 'rates', 'are')
    """
    return say_of(count, one, several or f"{one}s")


def some_of(names: Sequence[str], most: int, between: str = ", ") -> str:
    """Write names in a row, at most so many, and how many more there are.

    >>> some_of(["A1-59", "A2-41", "A3-23"], 2)
    'A1-59, A2-41 and 1 more'
    """
    named, more = between.join(names[:most]), len(names) - most
    return say("{named} and {more} more", named=named, more=more) if more > 0 else named
