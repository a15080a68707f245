"""Counts with their nouns, as every sentence writes them."""


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
    return one if count == 1 else several or f"{one}s"
