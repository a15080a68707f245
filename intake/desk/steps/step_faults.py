"""What is wrong with what was typed into the form of a step, and at which of its fields each fault is shown."""

from collections.abc import Mapping, Sequence

from intake.desk.steps.step_record import UPLOAD, FieldKind, StepField
from intake.errors import IntakeError, UsageError, about_field
from intake.units.amounts import parse_day

_FILES = (FieldKind.FILE, FieldKind.PICTURES)


def find_faults(fields: Sequence[StepField], values: Mapping[str, str]) -> tuple[IntakeError, ...]:
    """Return every fault that can be told from the form alone, in the order of its fields."""
    faults: list[IntakeError] = []
    for field in fields:
        try:
            with about_field(field.name):
                _check(field, values)
        except IntakeError as fault:
            faults.append(fault)
    return tuple(faults)


def _check(field: StepField, values: Mapping[str, str]) -> None:
    text = values.get(field.name, "").strip()
    if not text:
        if field.required and not values.get(f"{UPLOAD}{field.name}"):
            picked = field.kind is FieldKind.CHOICE or field.kind in _FILES
            raise UsageError(f"“{field.label}”", "is missing", "choose it" if picked else "fill it in")
    elif field.kind is FieldKind.CHOICE and text not in (value for value, _ in field.choices):
        offered = ", ".join(words for _, words in field.choices)
        raise UsageError(f"The choice {text!r}", "is not one that is offered", f"choose one of: {offered}")
    elif read := parse_day if field.kind is FieldKind.DAY else field.reads:
        read(text)


def by_field(fields: Sequence[StepField], faults: Sequence[IntakeError]) -> dict[str, IntakeError]:
    """Return which fault is shown at which field; one that is about none of them is absent."""
    holders = {name: field.name for field in fields for name in field.holds}
    holders |= {field.name: field.name for field in fields}
    return {holders[fault.field]: fault for fault in faults if fault.field in holders}
