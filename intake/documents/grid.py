"""The position of each label on a sheet.

Labels are numbered from 1 along the rows, so that a partly used sheet can be started at its first free label, and the
labels that are gone from the middle of it are left out.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from intake.errors import UsageError
from intake.model.papers import LabelTemplate


@dataclass(frozen=True, slots=True)
class Slot:
    """The position of one label: the sheet, from 0, and the top left corner of the label on it."""

    sheet: int
    x_mm: float
    y_mm: float


def slots(template: LabelTemplate, start: int = 1, used: Collection[int] = ()) -> Iterator[Slot]:
    """Yield the positions of labels, sheet after sheet, indefinitely.

    Args:
        template: the geometry.
        start: the first label to use on the first sheet, from 1, along the rows.
        used: labels that are gone from the first sheet, wherever they were.

    Raises:
        UsageError: the sheet has no such label, or all of its labels are used.
    """
    per_sheet = template.columns * template.rows
    if not 1 <= start <= per_sheet:
        raise UsageError(
            f"Label {start}", f"is not on a sheet of {template.name}", f"use a number from 1 to {per_sheet}"
        )
    if beyond := [label for label in used if not 1 <= label <= per_sheet]:
        why = f"is not on a sheet of {template.name}"
        raise UsageError(f"Label {min(beyond)}, which is said to be used,", why, f"use numbers from 1 to {per_sheet}")
    gone = {label - 1 for label in used}
    if gone.issuperset(range(start - 1, per_sheet)):
        raise UsageError("Every label of the first sheet", "is said to be used", "take a new sheet, with none used")
    return _from(template, per_sheet, start - 1, gone)


def _from(template: LabelTemplate, per_sheet: int, place: int, gone: Collection[int]) -> Iterator[Slot]:
    while True:
        while place in gone:  # of the first sheet alone: places count on over the sheets
            place += 1
        sheet, on_sheet = divmod(place, per_sheet)
        row, column = divmod(on_sheet, template.columns)
        yield Slot(sheet, template.left_mm + column * template.pitch_x_mm, template.top_mm + row * template.pitch_y_mm)
        place += 1
