"""What was seen of a copy on one day, and the photographs that show it."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from intake.model.editions import Grade


class Occasion(StrEnum):
    """Why a copy was inspected; a claim against a carrier compares the second with the first."""

    BEFORE = "before the move"
    AFTER = "after the move"
    OTHER = "inspection"


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


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyPicture:
    """A photograph of a copy; `report` is the condition report that it belongs to, or None."""

    id: int
    copy: str
    picture: str
    report: int | None = None
    note: str = ""
