"""Counts with their nouns, as every sentence writes them."""


def counted(count: int, one: str, several: str = "") -> str:
    """Write how many there are of a thing.

    >>> counted(1, "box", "boxes"), counted(0, "copy", "copies"), counted(2, "label")
    ('1 box', '0 copies', '2 labels')
    """
    return f"{count} {one if count == 1 else several or f'{one}s'}"
