"""Fields that several steps ask for: copies, boxes, a consignment."""

from intake.desk.desk_startup import LibraryReader
from intake.desk.steps.step_record import StepField
from intake.flow.papers.options import Suggestion
from intake.flow.papers.suggestions import suggestions

SEVERAL = "Several with spaces between."
COPY = StepField(name="copy", label="Copy", required=True)


def offered(records: LibraryReader, kind: Suggestion) -> tuple[str, ...]:
    """Return what a field offers of the library."""
    return suggestions(records, [kind])[kind]


def box_field(records: LibraryReader) -> StepField:
    """Return the field that names the box that a step is about."""
    return StepField(
        name="box",
        label="Box",
        required=True,
        offered=offered(records, Suggestion.BOXES),
        hint="Scan its label or type it.",
    )


def other_box_field(records: LibraryReader, label: str) -> StepField:
    """Return the field that names a box beside what a step is about."""
    return StepField(name="box", label=label, offered=offered(records, Suggestion.BOXES))


def boxes_field(records: LibraryReader, label: str = "Boxes", *, required: bool = True) -> StepField:
    """Return the field that names boxes."""
    boxes = offered(records, Suggestion.BOXES)
    return StepField(name="boxes", label=label, required=required, offered=boxes, hint=SEVERAL, holds=("box",))


def consignment_field(records: LibraryReader, label: str = "Consignment", *, required: bool = True) -> StepField:
    """Return the field that names a consignment, known or new."""
    return StepField(
        name="reference", label=label, required=required, offered=offered(records, Suggestion.CONSIGNMENTS)
    )
