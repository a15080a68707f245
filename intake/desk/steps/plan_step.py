"""The packing plan: which copy goes into which box; looked at, then booked just as it was shown."""

from collections.abc import Mapping

from intake.desk.desk_startup import LibraryReader
from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    StepTable,
    whole,
)
from intake.flow.moving import plan_packing
from intake.flow.papers.plan_papers import PLAN_HEADS, box_names, plan_remarks, planned_facts
from intake.model.packing import PackingRules

KINDS = 3


def _plan_fields(_records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    kinds = [
        StepField(name=f"{name}{nth}", label=label, hint=hint, group=f"Empty boxes of the {nth}. kind")
        for nth in range(1, KINDS + 1)
        for name, label, hint in (
            ("name", "What you call it", "book box"),
            ("size", "Inside: length, width, height", "42 x 33 x 31 cm"),
            ("tare", "Mass when empty", "900 g"),
            ("limit", "Most that it may weigh when packed", "18 kg"),
            ("count", "How many there are", "A number; nothing for as many as are needed."),
        )
    ]
    return (
        StepField(name="shelved", label="Also pack what is unpacked or on shelves", kind=FieldKind.FLAG),
        StepField(name="split_sets", label="The volumes of a set may lie in different boxes", kind=FieldKind.FLAG),
        StepField(name="seconds", label="Seconds to improve it", value="5", hint="From 1 to 30.", reads=whole(1, 30)),
        *kinds,
    )


def _plan(context: StepContext) -> StepOutcome:
    if isinstance(context.kept, plan_packing.Planned):
        numbers, _ = plan_packing.book(context.library, context.kept, station=context.station)
        return StepOutcome(
            lines=(f"Opened, and packed in the records: {', '.join(numbers)}. Now pack them with your hands.",),
            links=(
                ("/papers?paper=packing-list#chosen", "Packing lists"),
                ("/papers?paper=box-labels#chosen", "Box labels"),
            ),
        )
    kinds = [
        plan_packing.read_kind(
            context.text(f"name{n}"),
            context.text(f"size{n}"),
            context.text(f"tare{n}"),
            context.text(f"limit{n}"),
            context.text(f"count{n}") or "-",
        )
        for n in range(1, KINDS + 1)
        if context.text(f"name{n}")
    ]
    going = plan_packing.parts_of_time(context.count("seconds", least=1, most=30) or 5)
    with context.library.reading() as records:
        planned = plan_packing.plan_copies(
            records,
            kinds,
            states=plan_packing.STANDING if context.flag("shelved") else plan_packing.AT_HAND,
            rules=PackingRules(together=not context.flag("split_sets")),
            going=going(plan_packing.PLANNING),
            in_time=going(plan_packing.PLANNING),
            reading=going(plan_packing.READING),
        )
    return _planned_outcome(planned)


def _planned_outcome(planned: plan_packing.Planned) -> StepOutcome:
    boxes = planned.plan.boxes
    rows = [(name, *planned_facts(box)) for name, box in zip(box_names(boxes), boxes, strict=True)]
    left = [f"Not planned: {one.item.key} {planned.titles[one.item.key]}: {one.why}" for one in planned.plan.left]
    return StepOutcome(
        lines=(*plan_remarks(planned), *left),
        tables=(StepTable("Boxes", PLAN_HEADS, rows),),
        links=(("/papers?paper=packing-plan#chosen", "The plan as a paper"),),
        is_plan=bool(boxes),
        kept=planned if boxes else None,
    )


PLAN_STEP = DeskStep(
    name="plan",
    title="Plan what goes into which box",
    group=StepGroup.PACKING,
    verb="Open the boxes and pack as planned",
    summary="Fills open boxes first, then new ones, and keeps each light enough to lift.",
    fields=_plan_fields,
    run=_plan,
    looks_twice=False,
)
