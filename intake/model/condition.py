"""What was seen of a copy on one day, and the photographs that show it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from intake.model.editions import Copy, Grade
from intake.units.language import term


class Occasion(StrEnum):
    """Why a copy was inspected; a claim against a carrier compares the second with the first."""

    BEFORE = term("before the move")
    AFTER = term("after the move")
    OTHER = term("inspection")


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionReport:
    """The condition of a copy as one person saw it.

    Attributes:
        grade, jacket: grade of the book and of its dust jacket; None where not graded.
        wrapped: it was still wrapped, so that the report says nothing about the inside.
        condition: defects by part and the facts that are always stated, in the form of `Copy.condition`.
    """

    id: int
    copy: str
    at: datetime
    occasion: Occasion
    station: str = ""
    grade: Grade | None = None
    jacket: Grade | None = None
    has_jacket: bool | None = None
    wrapped: bool = False
    condition: str = ""
    note: str = ""


def report_of(
    copy: Copy, key: int, *, at: datetime, occasion: Occasion, station: str, note: str = ""
) -> ConditionReport:
    """Return the report that states the condition in which a copy is recorded."""
    return ConditionReport(
        id=key,
        copy=copy.accession,
        at=at,
        occasion=occasion,
        station=station,
        grade=copy.grade,
        jacket=copy.jacket,
        has_jacket=copy.has_jacket,
        wrapped=copy.wrapped,
        condition=copy.condition,
        note=note,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyPicture:
    """A photograph of a copy; `report` is the condition report that it belongs to, or None."""

    id: int
    copy: str
    picture: str
    report: int | None = None
    note: str = ""


PARTS: Mapping[str, tuple[str, ...]] = {
    term("jacket"): (
        term("torn"),
        term("chipped"),
        term("faded"),
        term("price clipped"),
        term("rubbed"),
        term("stained"),
        term("creased"),
    ),
    term("boards"): (
        term("bumped corners"),
        term("rubbed"),
        term("stained"),
        term("warped"),
        term("scratched"),
        term("detached"),
    ),
    term("spine"): (
        term("faded"),
        term("cocked"),
        term("torn at the head"),
        term("torn at the foot"),
        term("cracked"),
        term("bumped"),
    ),
    term("block"): (term("shaken"), term("foxed edges"), term("damp mark"), term("hinge cracked"), term("mould")),
    term("leaves"): (
        term("foxing"),
        term("creased"),
        term("written in"),
        term("loose plate"),
        term("lacking"),
        term("torn"),
        term("stained"),
    ),
}
"""The parts of a book, and the trade's words for the defects of each."""


ALWAYS_STATED = (
    term("ex-library"),
    term("book club edition"),
    term("remainder mark"),
    term("bookplate"),
    term("owner's name"),
    term("lacking jacket"),
)
"""Facts that a description states whatever the grade."""


def split_parts(condition: str) -> dict[str, str]:
    """Split a condition text into the words about each part; words about no part have an empty key.

    >>> split_parts("boards: rubbed; ex-library; boards: bumped")
    {'boards': 'rubbed; bumped', '': 'ex-library'}
    """
    by_part: dict[str, list[str]] = {}
    for piece in condition.split(";"):
        name, colon, words = piece.partition(":")
        part = name.strip().lower() if colon and name.strip().lower() in PARTS else ""
        if part or piece.strip():
            by_part.setdefault(part, []).append(words if part else piece.strip())
    return {part: (";" if part else "; ").join(words).strip() for part, words in by_part.items()}


def join_parts(parts: Mapping[str, str]) -> str:
    """Join the words about each part to a condition text, in the order of the parts; `split_parts` returns them again.

    >>> join_parts({"spine": "faded; torn", "boards": "rubbed", "": "ex-library"})
    'boards: rubbed; spine: faded; spine: torn; ex-library'
    """
    stated = {part: words for part in PARTS if (words := parts.get(part, "").strip())}
    named = [f"{part}:{piece}" for part, words in stated.items() for piece in f" {words}".split(";")]
    return "; ".join([*named, *([parts[""]] if parts.get("") else [])])
