"""The antiquarian trade's grades and what they mean; defects by part and kind; two reports compared.

The grades are those of AB Bookman's Weekly (1949), As New to Poor, with Near Fine as the trade has added it since; the
meanings are in our own words. The jacket is graded separately. For a copy that is still wrapped nothing is stated about
the inside. Which defect belongs to which part is common practice, no source. Nothing is graded automatically.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from intake.model.condition import ALWAYS_STATED, PARTS, ConditionReport, Occasion, split_parts
from intake.model.editions import Copy, CopyState, Grade
from intake.units.language import say, spoken, term

MEANINGS: Mapping[Grade, str] = {
    Grade.AS_NEW: term("as published and unread; jacket, if issued, perfect"),
    Grade.FINE: term("close to As New without its crispness; no real defect; any wear of the jacket is stated"),
    Grade.NEAR_FINE: term("Fine but for one or two very small faults"),
    Grade.VERY_GOOD: term("used, with small signs of wear and no tears; faults are stated"),
    Grade.GOOD: term("an average used book with all its leaves; faults are stated"),
    Grade.FAIR: term("worn; text and plates are complete, endpapers or half-title may be missing"),
    Grade.POOR: term("only the complete, legible text is of value; missing maps or plates are stated"),
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

KNOWN_DEFECTS = frozenset((*PARTS, *(kind for kinds in PARTS.values() for kind in kinds), *ALWAYS_STATED))

INSIDE = ("block", "leaves")
"""The parts of a wrapped book that cannot be seen."""
UNOPENED = term("wrapped, unopened: nothing is claimed about the inside")


def grade_words(grade: Grade | None, jacket: Grade | None, *, has_jacket: bool | None) -> str:
    """Return the grade as the trade writes it, book/jacket.

    >>> grade_words(Grade.VERY_GOOD, None, has_jacket=False)
    'VG/no jacket'
    """
    book = GRADE_LETTERS[grade] if grade else say("not inspected")
    if jacket:
        return f"{book}/{GRADE_LETTERS[jacket]}"
    return say("{grade}/no jacket", grade=book) if has_jacket is False else book


def defect_words(condition: str) -> str:
    """Write a condition text; parts and defects that the tool has words for are in the language of the paper.

    >>> defect_words("spine: faded; a note of one's own")
    "spine: faded; a note of one's own"
    """
    if spoken() is None:
        return condition
    pieces = (piece.partition(":") for piece in condition.split(";"))
    return "; ".join(
        _defect(part.strip()) + colon + " " * bool(colon) + _defect(what.strip()) for part, colon, what in pieces
    )


def damage_words(damage: str | None) -> str:
    """Write what was recorded of the damage as a copy came out of its box; empty for None.

    >>> damage_words("wet throughout")
    'came damaged: wet throughout'
    """
    return "" if damage is None else say("came damaged: {damage}", damage=damage or say("not described"))


def _defect(words: str) -> str:
    return say(words) if words in KNOWN_DEFECTS else words


def occasion_of(copy: Copy) -> Occasion:
    """Return whether a copy is inspected before or after the move, judged by its state."""
    packed = copy.state in (CopyState.AT_HAND, CopyState.PACKED)
    return Occasion.BEFORE if packed else Occasion.AFTER


def contradiction(copy: Copy | ConditionReport) -> str:
    """Return why a wrapped copy cannot be in the stated condition; empty if it can."""
    if not copy.wrapped:
        return ""
    seen = [part for part in INSIDE if split_parts(copy.condition).get(part)]
    if seen:
        return f"is wrapped and unopened, so nothing is known of its {' and '.join(seen)}"
    return "is wrapped and unopened, so it cannot be graded" if copy.grade else ""


def doubtful_grade(copy: Copy | ConditionReport) -> str:
    """Ask about a grade that means no defect where a defect of the book is stated; empty where there is none.

    >>> doubtful_grade(Copy(accession="A1-59", edition_id=1, grade=Grade.AS_NEW, condition="spine: torn"))
    'As New means as published and unread, but spine: torn is stated: is the grade right?'
    """
    means = {Grade.AS_NEW: "as published and unread", Grade.FINE: "without a real defect"}
    stated = split_parts(copy.condition)
    parts = [part for part in PARTS if stated.get(part) and (part != "jacket" or copy.grade is Grade.AS_NEW)]
    if copy.grade not in means or not parts:
        return ""
    words = "; ".join(f"{part}: {stated[part]}" for part in parts)
    return f"{copy.grade} means {means[copy.grade]}, but {words} is stated: is the grade right?"


@dataclass(frozen=True, slots=True)
class Difference:
    """One difference between two reports."""

    what: str
    before: str
    after: str


GRADES = tuple(Grade)
"""From the best to the worst."""


def compare_reports(before: ConditionReport, after: ConditionReport) -> tuple[Difference, ...]:
    """Return the differences between two reports, grades first.

    A part that could not be seen before, because the copy was wrapped, is reported as unseen, not as sound.
    """
    differences: list[Difference] = []
    for what, grade_before, grade_after in (
        (term("book"), before.grade, after.grade),
        (term("jacket"), before.jacket, after.jacket),
    ):
        if grade_before != grade_after:
            differences.append(Difference(say(what), _grade_or(grade_before, before), _grade_or(grade_after, after)))
    if before.wrapped != after.wrapped:
        differences.append(
            Difference(say("wrapping"), *(say("wrapped") if r.wrapped else say("not wrapped") for r in (before, after)))
        )
    first, second = split_parts(before.condition), split_parts(after.condition)
    for part in (*PARTS, ""):
        if first.get(part, "") != second.get(part, ""):
            was, is_now = _stated_or(first, part, before), _stated_or(second, part, after)
            differences.append(Difference(say(part) if part else say("also"), was, is_now))
    return tuple(differences)


def is_worse(before: ConditionReport, after: ConditionReport) -> bool:
    """Return whether the second report grades book or jacket lower than the first."""
    pairs = ((before.grade, after.grade), (before.jacket, after.jacket))
    return any(first and second and GRADES.index(second) > GRADES.index(first) for first, second in pairs)


def _stated_or(stated: Mapping[str, str], part: str, report: ConditionReport) -> str:
    unseen = report.wrapped and part in INSIDE
    return stated.get(part) or (say("unseen") if unseen else say("nothing stated"))


def _grade_or(grade: Grade | None, report: ConditionReport) -> str:
    return say(grade.value) if grade else say("unopened") if report.wrapped else say("not inspected")
