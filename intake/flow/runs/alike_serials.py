"""Titles of serials that may be meant for one: a slip apart, or apart by hyphens and spaces only."""

import re

from intake.model.slips import could_be, is_slip

_GAP = re.compile(r"(?<!\d) | (?!\d)")
"""A space that does not keep two numbers apart."""


def may_be_one(one: str, other: str) -> bool:
    """Return whether two folded titles differ in spaces only, or in one slip in one word that is long enough to tell.

    >>> may_be_one("moor lamp", "moorlamp"), may_be_one("salt tides", "salt tidse"), may_be_one("gull 1", "gull 2")
    (True, True, False)
    """
    if _GAP.sub("", one) == _GAP.sub("", other):
        return True
    if abs(len(one) - len(other)) > 1 or one.count(" ") != other.count(" "):
        return False
    words = [(a, b) for a, b in zip(one.split(), other.split(), strict=True) if a != b]
    return len(words) == 1 and could_be(words[0][0]) and is_slip(*words[0])
