"""A slip in typing: one letter wrong, lost, surplus, or swapped with its neighbour (Damerau, 1964)."""

SHORTEST = 4
"""A shorter word is one slip away from too many others."""


def could_be(word: str) -> bool:
    """Return whether a word is long enough to tell which other was meant, and no number, of which each is another."""
    return len(word) >= SHORTEST and not any(map(str.isdecimal, word)) and " " not in word


def is_slip(typed: str, meant: str) -> bool:
    """Return whether one slip turns `meant` into `typed`.

    >>> is_slip("gardn", "garden"), is_slip("gadren", "garden"), is_slip("gurdon", "garden"), is_slip("moss", "moss")
    (True, True, False, False)
    """
    if typed == meant or abs(len(typed) - len(meant)) > 1:
        return False
    start = 0
    while start < min(len(typed), len(meant)) and typed[start] == meant[start]:
        start += 1
    rest, other = typed[start:], meant[start:]
    if len(rest) == len(other):
        return rest[1:] == other[1:] or (rest[:2] == other[1::-1] and rest[2:] == other[2:])
    longer, shorter = (rest, other) if len(rest) > len(other) else (other, rest)
    return longer[1:] == shorter
