"""What the cells of a column make it, where its heading may mean one of two fields.

'Format' is the binding of a book or its size, 'Zustand' a text about a copy or its grade. Taken are cells that are
mostly sizes, for a size is no binding; and cells that are all grades, for a text that is none would be refused.
"""

import re
from collections.abc import Callable, Collection, Mapping
from functools import lru_cache

from intake.flow.lists.written_sizes import is_like_size
from intake.flow.lists.written_words import grade_read

ONE_LENGTH = re.compile(r"\d+(?:[.,]\d+)?\s*(?:mm|cm)\.?", re.IGNORECASE)
LONGEST_GRADE = 40
"""No grade and no jacket beside it has more characters; longer texts are not looked up."""
MOSTLY = 0.5


def _is_size(text: str) -> bool:
    return is_like_size(text) or ONE_LENGTH.fullmatch(text) is not None


@lru_cache(4096)
def _is_short_grade(text: str) -> bool:
    return grade_read(text) is not None


def _is_grade(text: str) -> bool:
    return len(text) <= LONGEST_GRADE and _is_short_grade(text)


_TESTS: Mapping[str, tuple[str, Callable[[str], bool]]] = {
    "binding": ("size", _is_size),
    "condition": ("grade", _is_grade),
}
"""By the field that a heading means: the other field, and whether a cell is one."""


def is_of_other(field: str, text: str) -> bool:
    """Return whether a cell of a field is rather one of the field that its heading may mean as well.

    >>> is_of_other("binding", "24,5 x 17 cm"), is_of_other("binding", "cloth"), is_of_other("condition", "sehr gut")
    (True, False, True)
    """
    return field in _TESTS and _TESTS[field][1](text)


def other_field(field: str, of_other: int, filled: int) -> str:
    """Return the field that a column is by its cells; '' where it stays what its heading says.

    Args:
        field: that the heading means.
        of_other: count of its cells that are rather of the other field.
        filled: count of its cells.

    >>> other_field("binding", 5, 7), other_field("condition", 5, 7), other_field("condition", 7, 7)
    ('size', '', 'grade')
    """
    if field not in _TESTS or not of_other:
        return ""
    other = _TESTS[field][0]
    return other if of_other == filled or (other == "size" and of_other > MOSTLY * filled) else ""


def is_hint(field: str, of_other: int, filled: int) -> bool:
    """Return whether so many of a column's texts are grades that a person is told.

    >>> is_hint("condition", 5, 7), is_hint("condition", 1, 7)
    (True, False)
    """
    return field == "condition" and MOSTLY * filled < of_other < filled


def is_free(other: str, fields: Collection[str], used: Collection[str]) -> bool:
    """Return whether a list has a field, and no column is it."""
    return other in fields and other not in used
