"""The position of each label on a sheet.

Labels are numbered from 1 along the rows, so that a partly used sheet can be started at its first free label.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from intake.errors import UsageError
from intake.model.papers import LabelTemplate


@dataclass(frozen=True, slots=True)
class Slot:
    """The position of one label: the sheet, from 0, and the top left corner of the label on it."""

    sheet: int
    x_mm: float
    y_mm: float


def slots(template: LabelTemplate, start: int = 1) -> Iterator[Slot]:
    """Yield the positions of labels, sheet after sheet, indefinitely.

    Args:
        template: the geometry.
        start: the first label to use on the first sheet, from 1, along the rows.

    Raises:
        UsageError: the sheet has no such label.
    """
    per_sheet = template.columns * template.rows
    if not 1 <= start <= per_sheet:
        raise UsageError(
            f"Label {start}", f"is not on a sheet of {template.name}", f"use a number from 1 to {per_sheet}"
        )
    return _from(template, per_sheet, start - 1)


def _from(template: LabelTemplate, per_sheet: int, place: int) -> Iterator[Slot]:
    while True:
        sheet, on_sheet = divmod(place, per_sheet)
        row, column = divmod(on_sheet, template.columns)
        yield Slot(sheet, template.left_mm + column * template.pitch_x_mm, template.top_mm + row * template.pitch_y_mm)
        place += 1
