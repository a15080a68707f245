"""The antiquarian trade's grades and what they mean; defects by part and kind; two reports compared.

The grades are those of AB Bookman's Weekly (1949), As New to Poor, with Near Fine as the trade has added it since; the
meanings are in our own words. A jacket is graded beside the book. A copy that is still wrapped claims nothing about its
inside. Which defect belongs to which part is common practice, no source. Grades nothing by itself.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from intake.model.condition import ConditionReport, Occasion
from intake.model.editions import Copy, CopyState, Grade

MEANINGS: Mapping[Grade, str] = {
    Grade.AS_NEW: "as published and unread; jacket, if issued, perfect",
    Grade.FINE: "close to As New without its crispness; no real defect; any wear of the jacket is stated",
    Grade.NEAR_FINE: "Fine but for one or two very small faults",
    Grade.VERY_GOOD: "used, with small signs of wear and no tears; faults are stated",
    Grade.GOOD: "an average used book with all its leaves; faults are stated",
    Grade.FAIR: "worn; text and plates are complete, endpapers or half-title may lack",
    Grade.POOR: "only the complete, legible text is of value; missing maps or plates are stated",
}
GRADE_LETTERS: Mapping[Grade, str] = {
    Grade.AS_NEW: "As New",
    Grade.FINE: "F",
    Grade.NEAR_FINE: "NF",
    Grade.VERY_GOOD: "VG",
    Grade.GOOD: "G",
    Grade.FAIR: "Fair",
    Grade.POOR: "Poor",
}
"""The trade's letters, written book/jacket ("VG/G")."""

PARTS: Mapping[str, tuple[str, ...]] = {
    "jacket": ("torn", "chipped", "faded", "price clipped", "rubbed", "stained", "creased"),
    "boards": ("bumped corners", "rubbed", "stained", "warped", "scratched", "detached"),
    "spine": ("faded", "cocked", "torn at the head", "torn at the foot", "cracked", "bumped"),
    "block": ("shaken", "foxed edges", "damp mark", "hinge cracked", "mould"),
    "leaves": ("foxing", "creased", "written in", "loose plate", "lacking", "torn", "stained"),
}
"""The parts of a book, and the trade's words for what befalls each."""
INSIDE = ("block", "leaves")
"""The parts that nobody has seen of a wrapped book."""
ALWAYS_STATED = (
    "ex-library",
    "book club edition",
    "remainder mark",
    "bookplate",
    "owner's name",
    "lacking jacket",
)
"""What a description states whatever the grade."""
UNOPENED = "wrapped, unopened: nothing is claimed about the inside"


@dataclass(frozen=True, slots=True)
class Defect:
    """One defect: the part, its kind from the closed list (empty where none fits), and free words."""

    part: str
    kind: str
    words: str = ""


def defects(condition: str) -> tuple[Defect, ...]:
    """Read the defects out of a condition.

    >>> defects("boards: rubbed at the foot, dented; ex-library")
    (Defect(part='boards', kind='rubbed', words='at the foot'), Defect(part='boards', kind='', words='dented'))
    """
    found: list[Defect] = []
    for part, words in split_parts(condition).items():
        for piece in (piece.strip() for piece in words.split(",")):
            if part and piece:
                kinds = [k for k in PARTS[part] if piece.casefold() == k or piece.casefold().startswith(f"{k} ")]
                kind = max(kinds, key=len, default="")
                found.append(Defect(part, kind, piece[len(kind) :].strip()))
    return tuple(found)


def split_parts(condition: str) -> dict[str, str]:
    """Split a condition into the words about each part; those about none stand under an empty name.

    >>> split_parts("boards: rubbed; ex-library")
    {'boards': 'rubbed', '': 'ex-library'}
    """
    found: dict[str, list[str]] = {}
    for piece in filter(None, (piece.strip() for piece in condition.split(";"))):
        name, colon, words = piece.partition(":")
        part = name.strip().lower() if colon and name.strip().lower() in PARTS else ""
        found.setdefault(part, []).append(words.strip() if part else piece)
    return {part: "; ".join(words) if not part else ", ".join(words) for part, words in found.items()}


def join_parts(parts: Mapping[str, str]) -> str:
    """Write a condition from the words about each part, in the order of the parts.

    >>> join_parts({"spine": "faded", "boards": "rubbed", "": "ex-library"})
    'boards: rubbed; spine: faded; ex-library'
    """
    named = [f"{part}: {parts[part]}" for part in PARTS if parts.get(part)]
    return "; ".join([*named, *([parts[""]] if parts.get("") else [])])


def grade_words(grade: Grade | None, jacket: Grade | None, *, has_jacket: bool | None) -> str:
    """Write the grade as the trade does, book over jacket.

    >>> grade_words(Grade.VERY_GOOD, None, has_jacket=False)
    'VG/no jacket'
    """
    book = GRADE_LETTERS[grade] if grade else "not inspected"
    if jacket:
        return f"{book}/{GRADE_LETTERS[jacket]}"
    return f"{book}/no jacket" if has_jacket is False else book


def occasion_of(copy: Copy) -> Occasion:
    """Return on which side of the move a copy is looked at: what is unpacked has travelled."""
    packed = copy.state in (CopyState.AT_HAND, CopyState.PACKED)
    return Occasion.BEFORE if packed else Occasion.AFTER


def contradiction(copy: Copy | ConditionReport) -> str:
    """Return why a wrapped copy cannot be as it is said to be; empty where it can."""
    if not copy.wrapped:
        return ""
    seen = [part for part in INSIDE if split_parts(copy.condition).get(part)]
    if seen:
        return f"is wrapped and unopened, so nothing can be said of its {' and '.join(seen)}"
    return "is wrapped and unopened, so it cannot be graded" if copy.grade else ""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that two reports say differently."""

    what: str
    before: str
    after: str


GRADES = tuple(Grade)
"""From the best to the worst."""


def compare(before: ConditionReport, after: ConditionReport) -> tuple[Difference, ...]:
    """Set two reports side by side and return what differs, grades first.

    A part that could not be seen before, because the copy was wrapped, is said to have been unseen, not sound.
    """
    out: list[Difference] = []
    for what, one, two in (("book", before.grade, after.grade), ("jacket", before.jacket, after.jacket)):
        if one != two:
            out.append(Difference(what, _grade_or(one, before), _grade_or(two, after)))
    if before.wrapped != after.wrapped:
        out.append(Difference("wrapping", *("wrapped" if r.wrapped else "not wrapped" for r in (before, after))))
    first, second = split_parts(before.condition), split_parts(after.condition)
    for part in (*PARTS, ""):
        if first.get(part, "") != second.get(part, ""):
            was = first.get(part) or ("unseen" if before.wrapped and part in INSIDE else "nothing stated")
            is_now = second.get(part) or ("unseen" if after.wrapped and part in INSIDE else "nothing stated")
            out.append(Difference(part or "also", was, is_now))
    return tuple(out)


def worse(before: ConditionReport, after: ConditionReport) -> bool:
    """Tell whether the second report grades book or jacket lower than the first."""
    pairs = ((before.grade, after.grade), (before.jacket, after.jacket))
    return any(one and two and GRADES.index(two) > GRADES.index(one) for one, two in pairs)


def _grade_or(grade: Grade | None, report: ConditionReport) -> str:
    return grade.value if grade else ("unopened" if report.wrapped else "not inspected")
