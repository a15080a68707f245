"""Steps after the move: boxes checked in and finished, parcels guessed, damage, what is missing, and the claim."""

from collections.abc import Mapping, Sequence
from contextlib import ExitStack

from intake.desk.desk_startup import LibraryReader
from intake.desk.steps.packing_steps import AS_WEIGHED
from intake.desk.steps.shared_fields import COPY, box_field, boxes_field, other_box_field
from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    StepTable,
    choices_of,
    fixed,
)
from intake.errors import QueriesWaitError, RefusedError
from intake.flow.lookup.find_lines import box_lines
from intake.flow.lookup.handling_words import damp_cautions, opening_cautions
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.status import queries_words, waiting_in_box
from intake.flow.moving import box_lifecycle
from intake.flow.moving.arrival_words import BEFORE_SIGNING, fault_words
from intake.flow.moving.box_masses import box_lifts
from intake.flow.moving.boxes_together import check_in_boxes
from intake.flow.moving.guess_parcel import (
    LEAST,
    NONE_LIKELY,
    SUPPOSED,
    Looked,
    left_out_words,
    look_into,
    sampled_words,
)
from intake.flow.moving.lift import lift_words
from intake.flow.moving.masses import doubt_words
from intake.flow.moving.reconcile import record_damage
from intake.flow.pictures.received import picture_record
from intake.model.boxes import CartonState, SealState
from intake.model.editions import CopyState
from intake.model.sightings import Query
from intake.units.counts import counted
from intake.units.quantities import parse_length_mm, parse_mass_g

SHOWN = 10
NOTICE = "Inform the carrier in writing now: the notice period set by the contract or local law may be a few days."


def _arrive_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        boxes_field(records),
        StepField(name="carton", label="The carton, as seen", kind=FieldKind.CHOICE, choices=choices_of(CartonState)),
        StepField(name="seal", label="The seal, as seen", kind=FieldKind.CHOICE, choices=choices_of(SealState)),
        StepField(
            name="pictures", label="Photographs, before it is opened", kind=FieldKind.PICTURES, hint="Of one box."
        ),
        StepField(name="gross", label="What it weighs now", hint="Of one box, such as 17.3 kg.", reads=parse_mass_g),
        StepField(name="delivered", label="Day of delivery, if not today", kind=FieldKind.DAY),
        StepField(name="note", label="Anything else that was seen", kind=FieldKind.LONG),
        AS_WEIGHED,
    )


def _arrive(context: StepContext) -> StepOutcome:
    loaded = [(path, picture_record(path)) for path in context.files.get("pictures", ())]
    seen = box_lifecycle.ArrivalReport(
        carton=context.choice("carton", CartonState) or CartonState.NOT_LOOKED_AT,
        seal=context.choice("seal", SealState) or SealState.NOT_LOOKED_AT,
        delivered=context.day("delivered") or context.today,
        arrived_g=context.mass_g("gross"),
        as_weighed=context.flag("as_weighed"),
        pictures=tuple(picture for _, picture in loaded),
    )
    with ExitStack() as kept:
        for path, picture in loaded:
            kept.enter_context(context.library.keeping_picture(path, picture))
        taken = check_in_boxes(
            context.library,
            context.words("boxes"),
            note=context.text("note"),
            seen=seen,
            today=context.today,
            station=context.station,
        )
    boxes = taken.boxes
    with context.library.reading() as records:
        lifts = box_lifts(records, boxes)
    faults = {box.number: words for box in boxes if (words := fault_words(box))}
    return StepOutcome(
        lines=tuple(f"Box {box.number} has arrived, {lift_words(lifts[box.number])}." for box in boxes),
        cautions=(
            *(f"Box {number}: {words}." for number, words in faults.items()),
            *((BEFORE_SIGNING,) if faults else ()),
            *opening_cautions(wet=seen.carton is CartonState.WET),
        ),
        links=tuple((f"/unpack/{box.number}", f"Unpack {box.number}") for box in boxes[:SHOWN]),
    )


def _finish_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        box_field(records),
        StepField(
            name="reason",
            label="What was seen, where something is missing",
            kind=FieldKind.LONG,
            hint="For the discrepancy report: an empty gap, torn wrapping, never packed …",
        ),
        StepField(
            name="despite_queries",
            label="Although what waits on the query pile may be what seems to be missing",
            kind=FieldKind.FLAG,
        ),
    )


def _finish(context: StepContext) -> StepOutcome:
    reason = context.text("reason")
    try:
        finished, missing = box_lifecycle.finish(
            context.library,
            context.text("box"),
            why=lambda _missing: reason,
            despite_queries=context.flag("despite_queries"),
            now=context.now,
            station=context.station,
        )
    except QueriesWaitError as error:
        return _decide_first(context, error)
    with context.library.reading() as records:
        lines = [line for line in box_lines(records, finished.number) if line.state == CopyState.MISSING]
        queries = waiting_in_box(records, finished.number)
    what = counted(len(missing), "copy of its list is missing", "copies of its list are missing")
    return StepOutcome(
        lines=(
            f"Box {finished.number} is finished; {what if missing else 'everything on its list was seen'}.",
            *(f"  {line.copy} {line.title}" for line in lines),
        ),
        cautions=(
            *((f"Box {finished.number} has {queries_words(queries)}.",) if queries else ()),
            *((NOTICE,) if missing else ()),
        ),
        links=(
            *_query_links(queries),
            *((("/steps/reconcile", "What is missing"), ("/steps/claim", "What the carrier owes")) if missing else ()),
        ),
    )


def _decide_first(context: StepContext, error: QueriesWaitError) -> StepOutcome:
    """Lead to the queries that have to be decided before the box is finished.

    Raises:
        QueriesWaitError: the error itself, where it was to be done.
    """
    if not context.is_look:
        raise error
    with context.library.reading() as records:
        queries = waiting_in_box(records, find_box(records, context.text("box")).number)
        return StepOutcome(error=error, links=_query_links(queries), fields=_finish_fields(records, context.values))


def _query_links(queries: Sequence[Query]) -> tuple[tuple[str, str], ...]:
    links = tuple((f"/pile/{query.id}", f"Decide query {query.id}") for query in queries[:SHOWN])
    return links if len(queries) <= SHOWN else (*links, ("/pile", "All queries"))


def finish_word(values: Mapping[str, str]) -> str:
    """Return the question for finishing a box."""
    return f"finish box {values.get('box', '')}, and record as missing what was not seen"


def _damage(context: StepContext) -> StepOutcome:
    what = context.needed("what", "What the damage is")
    entry = record_damage(context.library, context.text("copy"), what, now=context.now, station=context.station)
    number = entry.action.subject
    return StepOutcome(
        lines=(f"Copy {number} is on the discrepancy report: {entry.action.note}.",),
        cautions=damp_cautions(what),
        links=(
            (f"/copies/{number}", f"Copy {number}: add photographs"),
            ("/steps/reconcile", "All that is missing or damaged"),
        ),
    )


def _parcel_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        StepField(
            name="mass",
            label="What the parcel weighs",
            required=True,
            hint="With its unit, such as 1240 g.",
            reads=parse_mass_g,
        ),
        other_box_field(records, "The box that it came out of"),
        StepField(
            name="thickness", label="Thickness of the whole parcel", hint="Such as 34 mm.", reads=parse_length_mm
        ),
        StepField(name="height", label="Its longest side", hint="Such as 31 cm.", reads=parse_length_mm),
        StepField(name="scale", label="How far the scale may be off", value="10 g", reads=parse_mass_g),
        StepField(name="bare", label="The book is not wrapped", kind=FieldKind.FLAG),
    )


def _parcel(context: StepContext) -> StepOutcome:
    mass = context.mass_g("mass")
    if mass is None:
        raise RefusedError("The mass of the parcel", "is missing", "write what the scale shows, such as 1240 g")
    with context.library.reading() as records:
        looked = look_into(
            records,
            context.text("box") or None,
            mass_g=mass,
            scale_g=context.mass_g("scale") or 10.0,
            thickness_mm=context.length_mm("thickness"),
            height_mm=context.length_mm("height"),
            wrapped=not context.flag("bare"),
        )
    return _parcel_outcome(looked)


def _parcel_outcome(looked: Looked) -> StepOutcome:
    answer = looked.answer
    shown = [guess for guess in answer.guesses[:SHOWN] if guess.probability >= LEAST]
    rows = [
        (f"{100 * guess.probability:.1f} %" if not nth else "with it", key, looked.titles[key], looked.boxes[key])
        for guess in shown
        for nth, key in enumerate(guess.keys)
    ]
    lines = [looked.words]
    if not shown and answer.guesses:
        lines.append(NONE_LIKELY)
    elif more := len(answer.guesses) - len(shown):
        lines.append(f"{counted(more, 'less likely one is', 'less likely ones are')} not shown.")
    lines.append(f"{100 * answer.on_no_list:.1f} %: something that is on no list.")
    lines += filter(None, (left_out_words(answer), sampled_words(answer)))
    doubted = [f"{key} {looked.titles[key]}" for key in looked.doubted]
    return StepOutcome(
        lines=(*lines, f"Supposed beforehand: {SUPPOSED}"),
        tables=(StepTable("What it may contain", ("Probability", "Copy", "Title", "Listed in"), rows),),
        cautions=(doubt_words(doubted),) if doubted else (),
    )


ARRIVAL_STEPS: Sequence[DeskStep] = (
    DeskStep(
        name="arrive",
        title="Check boxes in",
        group=StepGroup.ARRIVAL,
        verb="They are here",
        run=_arrive,
        summary="With the state of carton and seal, mass and photographs, before they are opened.",
        fields=_arrive_fields,
    ),
    DeskStep(
        name="parcel",
        title="Guess what a parcel contains",
        group=StepGroup.ARRIVAL,
        is_question=True,
        run=_parcel,
        summary="By its mass and size, before it is opened.",
        fields=_parcel_fields,
    ),
    DeskStep(
        name="damage",
        title="Report damage",
        group=StepGroup.ARRIVAL,
        verb="Report it",
        run=_damage,
        summary="A copy came out of its box damaged.",
        fields=fixed(COPY, StepField(name="what", label="What the damage is", kind=FieldKind.LONG, required=True)),
    ),
    DeskStep(
        name="finish",
        title="Finish a box",
        group=StepGroup.ARRIVAL,
        verb="Finish it",
        run=_finish,
        word=finish_word,
        summary="What is on its list and was not seen is recorded as missing, with the reason.",
        fields=_finish_fields,
    ),
)
