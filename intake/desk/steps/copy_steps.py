"""Corrections of copies: recorded, moved, corrected, brought back."""

from collections.abc import Mapping

from intake.desk.desk_startup import LibraryReader
from intake.desk.steps.shared_fields import COPY, SEVERAL, other_box_field
from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    fixed,
    whole,
)
from intake.errors import UsageError
from intake.flow.corrections.add_copies import MOST, plan_added_copies
from intake.flow.corrections.correction_plan import CorrectionPlan, apply_correction, plan_lines
from intake.flow.corrections.edit_copy import COPY_FIELDS, WITHDRAWN, plan_copy_edit
from intake.flow.corrections.move_copies import Target, ToBox, ToHand, ToShelf, plan_move
from intake.flow.lookup.wording import copy_field_words

COPIES = StepField(name="copies", label="Copies", required=True, hint=SEVERAL, holds=("copy",))
WHY = StepField(name="note", label="Why", kind=FieldKind.LONG)
DESPITE_BOX = StepField(
    name="despite_box", label="Although a closed box lists it: it never was in it", kind=FieldKind.FLAG
)


def _corrected(context: StepContext, plan: CorrectionPlan) -> StepOutcome:
    """Show a correction, or make it."""
    with context.library.reading() as records:
        lines = plan_lines(records, plan)
    if plan.is_empty:
        return StepOutcome(lines=("It is recorded so already: nothing to change.",), cautions=plan.remarks)
    if context.is_look:
        return StepOutcome(lines=lines, cautions=plan.remarks, is_plan=True)
    applied = apply_correction(context.library, plan)
    new = [str(number) for key, number in applied.keys.items() if isinstance(key, str)] if applied else []
    links = tuple((f"/copies/{number}", f"Copy {number}") for number in new[:12])
    return StepOutcome(lines=(*lines, *([f"New: {', '.join(new)}."] if new else [])), links=links)


def _add_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        StepField(name="edition", label="Edition", required=True, hint="Its ISBN, or its key in the catalog."),
        StepField(name="count", label="How many", value="1", reads=whole(1, MOST)),
        StepField(name="number", label="Number of a single copy", hint="Nothing for the next free one."),
        other_box_field(records, "The open box that they lie in"),
        StepField(name="shelf", label="The shelf that they stand on"),
    )


def _add(context: StepContext) -> StepOutcome:
    shelf = context.text("shelf")
    with context.library.reading() as records:
        plan = plan_added_copies(
            records,
            context.text("edition"),
            count=context.count("count", least=1, most=MOST) or 1,
            number=context.text("number"),
            box_text=context.text("box"),
            shelf=ToShelf(shelf) if shelf else None,
            now=context.now,
            station=context.station,
        )
    return _corrected(context, plan)


def _move_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        COPIES,
        other_box_field(records, "Into this open box"),
        StepField(name="shelf", label="Or onto this shelf"),
        StepField(
            name="behind", label="Behind this copy on the shelf", hint="Nothing for its place by the rule of order."
        ),
        StepField(name="hand", label="Or out of its box or off its shelf", kind=FieldKind.FLAG),
        DESPITE_BOX,
    )


def _move(context: StepContext) -> StepOutcome:
    box, shelf = context.text("box"), context.text("shelf")
    if sum((bool(box), bool(shelf), context.flag("hand"))) != 1:
        raise UsageError("The copies", "are moved to one place", "name a box or a shelf, or tick that they are at hand")
    target: Target = ToBox(box) if box else ToShelf(shelf, context.text("behind")) if shelf else ToHand()
    with context.library.reading() as records:
        plan = plan_move(
            records,
            context.words("copies"),
            target,
            despite_box=context.flag("despite_box"),
            now=context.now,
            station=context.station,
        )
    return _corrected(context, plan)


def _correct(context: StepContext) -> StepOutcome:
    field, value = context.text("field"), context.text("value")
    with context.library.reading() as records:
        plan = plan_copy_edit(
            records,
            context.text("copy"),
            values=(f"{field}={value}",) if value else (),
            clear=() if value else (field,),
            note=context.text("note"),
            station=context.station,
        )
    return _corrected(context, plan)


def _bring_back(context: StepContext) -> StepOutcome:
    with context.library.reading() as records:
        plan = plan_copy_edit(
            records,
            context.text("copy"),
            clear=(WITHDRAWN,),
            note=context.text("note"),
            station=context.station,
        )
    return _corrected(context, plan)


COPY_STEPS = (
    DeskStep(
        name="add-copies",
        title="Record copies that no list has",
        group=StepGroup.COPIES,
        verb="Record them",
        run=_add,
        summary="Of an edition of the catalog.",
        fields=_add_fields,
    ),
    DeskStep(
        name="move-copies",
        title="Move copies",
        group=StepGroup.COPIES,
        verb="They are there",
        run=_move,
        summary="They are in another box, on another shelf, or at hand; all of them or none.",
        fields=_move_fields,
    ),
    DeskStep(
        name="correct-copy",
        title="Correct a copy",
        group=StepGroup.COPIES,
        verb="Correct it",
        run=_correct,
        summary="Another value for something that is recorded of it.",
        fields=fixed(
            COPY,
            StepField(
                name="field",
                label="What is corrected",
                kind=FieldKind.CHOICE,
                required=True,
                choices=tuple((name, copy_field_words(name)) for name in COPY_FIELDS),
            ),
            StepField(name="value", label="What it is", kind=FieldKind.LONG, hint="Nothing to empty it."),
            WHY,
        ),
    ),
    DeskStep(
        name="bring-back",
        title="Bring a withdrawn copy back",
        group=StepGroup.COPIES,
        verb="It is back",
        run=_bring_back,
        summary="It is in the collection again.",
        fields=fixed(COPY, WHY),
        word=lambda values: f"bring copy {values.get('copy', '')} back into the collection",
    ),
)
