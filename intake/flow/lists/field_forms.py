"""What the cells of each field hold, by the field's name: its ending is its unit."""

from collections.abc import Mapping
from enum import StrEnum, auto

from intake.units.quantities import LENGTHS, MASSES


class FieldForm(StrEnum):
    """What a cell holds."""

    TEXT = auto()
    REMARK = auto()
    RETAIL_NUMBER = auto()
    EDITION_NAME = auto()
    YEAR = auto()
    WHOLE = auto()
    LENGTH = auto()
    MASS = auto()
    AMOUNT = auto()
    DAY = auto()
    YES_NO = auto()
    GRADE = auto()
    JACKET = auto()
    BOX = auto()
    LANGUAGE = auto()
    SIZES = auto()


_FORMS: Mapping[str, FieldForm] = {
    "number": FieldForm.RETAIL_NUMBER,
    "isbn": FieldForm.RETAIL_NUMBER,
    "key": FieldForm.EDITION_NAME,
    "year": FieldForm.YEAR,
    "pages": FieldForm.WHOLE,
    "printing": FieldForm.WHOLE,
    "value": FieldForm.AMOUNT,
    "price": FieldForm.AMOUNT,
    "valued_on": FieldForm.DAY,
    "dispatched": FieldForm.DAY,
    "wrapped": FieldForm.YES_NO,
    "grade": FieldForm.GRADE,
    "jacket": FieldForm.JACKET,
    "box": FieldForm.BOX,
    "language": FieldForm.LANGUAGE,
    "size": FieldForm.SIZES,
    "kept": FieldForm.YES_NO,
    "why": FieldForm.REMARK,
    "condition": FieldForm.REMARK,
    "note": FieldForm.REMARK,
    "points": FieldForm.REMARK,
    "source": FieldForm.REMARK,
}
_ENDINGS = {"mm": FieldForm.LENGTH, "g": FieldForm.MASS, "kg": FieldForm.MASS}
UNITS: Mapping[FieldForm, Mapping[str, float]] = {
    FieldForm.LENGTH: LENGTHS,
    FieldForm.MASS: MASSES,
    FieldForm.SIZES: LENGTHS,
}
"""Units of a form, in mm or g."""


SOFT = frozenset(
    {FieldForm.YEAR, FieldForm.WHOLE, FieldForm.LENGTH, FieldForm.MASS, FieldForm.SIZES, FieldForm.YES_NO}
    | {FieldForm.GRADE, FieldForm.JACKET}
)
"""What a record can do without: its cell may be left empty where it cannot be read, if a person says so."""
SOFT_WORDS = "a year, pages, a size, a mass, a grade, a jacket, a yes or no, or the day of a value"
"""The same, and what `is_soft` adds, for people."""
NAMING = frozenset({"printing"})
"""Fields by which records are told apart, whatever their form."""


def is_soft(field: str) -> bool:
    """Return whether a record can do without a field."""
    return (form_of(field) in SOFT and field not in NAMING) or field == "valued_on"


def form_of(field: str) -> FieldForm:
    """Return what the cells of a field hold.

    >>> form_of("height_mm"), form_of("title")
    (<FieldForm.LENGTH: 'length'>, <FieldForm.TEXT: 'text'>)
    """
    return _FORMS.get(field) or _ENDINGS.get(field.rpartition("_")[2], FieldForm.TEXT)


def own_unit(field: str) -> str:
    """Return the unit in which a length or mass is kept."""
    return field.rpartition("_")[2]
