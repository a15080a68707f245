"""Steps before the move: boxes opened, planned, packed, weighed, closed and measured."""

from collections.abc import Mapping

from intake.desk.desk_startup import LibraryReader
from intake.desk.steps.shared_fields import box_field, boxes_field
from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    StepTable,
    fixed,
)
from intake.errors import RefusedError
from intake.flow.moving import box_lifecycle
from intake.flow.moving.box_masses import box_lift, box_lifts, doubted_in
from intake.flow.moving.boxes_together import close_boxes
from intake.flow.moving.consignments import measure_outside
from intake.flow.moving.lift import caution_words, lift_words
from intake.flow.moving.masses import doubt_words
from intake.flow.moving.pack_copies import pack_all
from intake.flow.moving.weigh_box import (
    LESS_LIKELY,
    NOTHING_TO_COMPARE,
    explanation_rows,
    look_first_words,
    opened_words,
    record_mass,
    weigh_box,
    words_of,
)
from intake.model.boxes import Box
from intake.units.convert import kg_text
from intake.units.quantities import parse_mass_g, parse_size_mm

AS_WEIGHED = StepField(
    name="as_weighed",
    label="It weighs that, though the empty box, or its books alone, would weigh more",
    kind=FieldKind.FLAG,
)


def _open(context: StepContext) -> StepOutcome:
    length, width, height = context.size_mm("size") or (None, None, None)
    box = Box(
        number=context.text("number"),
        room=context.text("room"),
        kind=context.text("kind"),
        tare_g=context.mass_g("tare"),
        length_mm=length,
        width_mm=width,
        height_mm=height,
    )
    opened = box_lifecycle.open_box(context.library, box, station=context.station)
    number = opened.number
    return StepOutcome(
        lines=(f"Box {number} is open.",),
        links=(
            (f"/steps/pack?box={number}", "Pack books into it"),
            (f"/papers?paper=box-labels&boxes={number}#chosen", "Its label"),
        ),
    )


def _pack_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        box_field(records),
        StepField(
            name="what",
            label="Books, one on a line",
            kind=FieldKind.LONG,
            required=True,
            hint="Numbers of copies, ISBNs, or keys of the catalog.",
            holds=("copy", "edition"),
        ),
        StepField(
            name="another",
            label="It is another copy, beside those that are packed already",
            kind=FieldKind.FLAG,
        ),
    )


def _pack(context: StepContext) -> StepOutcome:
    packed = pack_all(
        context.library,
        context.text("box"),
        context.lines("what"),
        another=context.flag("another"),
        station=context.station,
    )
    box = packed[0].box if packed else context.text("box")
    with context.library.reading() as records:
        lift = lift_words(box_lift(records, box_of)) if (box_of := records.get(Box, box or "")) else ""
    return StepOutcome(
        lines=tuple(f"Copy {copy.accession} is in box {copy.box}." for copy in packed),
        cautions=(f"Box {box}: {lift}",) if lift else (),
        links=((f"/steps/pack?box={box}", "Pack more into it"), (f"/steps/close?boxes={box}", "Close it")),
    )


def _weigh_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        box_field(records),
        StepField(
            name="gross",
            label="What the scale shows",
            required=True,
            hint="With its unit, such as 17.3 kg.",
            reads=parse_mass_g,
        ),
        StepField(name="scale", label="How far the scale may be off", value="50 g", reads=parse_mass_g),
        AS_WEIGHED,
    )


def _weigh(context: StepContext) -> StepOutcome:
    gross, box_text = context.mass_g("gross"), context.text("box")
    if gross is None:
        raise RefusedError("The mass", "is missing", "write what the scale shows, such as 17.3 kg")
    recorded = record_mass(
        context.library, box_text, gross, as_weighed=context.flag("as_weighed"), station=context.station
    )
    opened_g = None if recorded else gross
    with context.library.reading() as records:
        weighed = weigh_box(records, box_text, opened_g=opened_g, scale_g=context.mass_g("scale") or 50.0)
        lift = box_lift(records, weighed.box, opened_g=opened_g)
    lines = [f"Box {weighed.box.number} weighs {kg_text(gross)}." if recorded else opened_words(weighed.box, gross)]
    lines += [words_of(check) for check in (weighed.by_packing, weighed.by_list) if check is not None]
    telling = weighed.telling
    tables = []
    if telling is None:
        lines.append(NOTHING_TO_COMPARE)
    elif telling.explanations:
        rows = explanation_rows(telling, weighed.titles, weighed.elsewhere)
        tables.append(StepTable(look_first_words(telling), ("Probability", "What would be gone"), rows))
        if more := len(telling.explanations) - len(rows):
            lines.append(f"Beside those in the table there are {more} more; {LESS_LIKELY}.")
    cautions = [lift_words(lift)] if caution_words(lift) else []
    doubted = [f"{key} {weighed.titles[key]}" for key in weighed.doubted]
    cautions += [doubt_words(doubted)] if doubted else []
    return StepOutcome(lines=lines, tables=tables, cautions=cautions, links=_box_links(weighed.box.number))


def _box_links(number: str) -> tuple[tuple[str, str], ...]:
    return ((f"/boxes/{number}", f"Box {number}"),)


def _close_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        boxes_field(records),
        StepField(
            name="gross", label="Mass of the packed box", hint="With its unit, such as 17.3 kg.", reads=parse_mass_g
        ),
        StepField(name="seal", label="Number of the seal", hint="Of one box."),
        AS_WEIGHED,
    )


def _close(context: StepContext) -> StepOutcome:
    taken = close_boxes(
        context.library,
        context.words("boxes"),
        gross_g=context.mass_g("gross"),
        as_weighed=context.flag("as_weighed"),
        seal=context.text("seal"),
        station=context.station,
    )
    with context.library.reading() as records:
        lifts, doubted = box_lifts(records, taken.boxes), doubted_in(records, taken.boxes)
    numbers = ",".join(box.number for box in taken.boxes)
    return StepOutcome(
        lines=tuple(f"Box {box.number} is closed, {lift_words(lifts[box.number])}." for box in taken.boxes),
        cautions=(doubt_words(doubted),) if doubted else (),
        links=(
            (f"/papers?paper=box-labels&boxes={numbers}#chosen", "Labels"),
            (f"/steps/consign?boxes={numbers}", "Put into a consignment"),
        ),
    )


def _measure_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        box_field(records),
        StepField(
            name="size",
            label="Outside: length, width, height",
            required=True,
            hint="Such as 43 x 34 x 32 cm.",
            reads=parse_size_mm,
        ),
    )


def _measure(context: StepContext) -> StepOutcome:
    size = context.size_mm("size") or (0.0, 0.0, 0.0)
    box = measure_outside(context.library, context.text("box"), size, station=context.station)
    length, width, height = box.outer_mm or (0.0, 0.0, 0.0)
    return StepOutcome(
        lines=(f"Box {box.number} measures {length:.0f} x {width:.0f} x {height:.0f} mm outside.",),
        links=_box_links(box.number),
    )


PACKING_STEPS = (
    DeskStep(
        name="open",
        title="Open a box",
        summary="Record an empty box that is to be packed.",
        group=StepGroup.PACKING,
        verb="Open it",
        run=_open,
        fields=fixed(
            StepField(name="number", label="Number", hint="Nothing for the next free one."),
            StepField(name="room", label="Room that it is to go to"),
            StepField(name="kind", label="Kind of box, in your own words"),
            StepField(name="tare", label="Mass of the empty box", hint="Such as 850 g.", reads=parse_mass_g),
            StepField(
                name="size", label="Inside: length, width, height", hint="Such as 42 x 33 x 31 cm.", reads=parse_size_mm
            ),
        ),
    ),
    DeskStep(
        name="pack",
        title="Pack books into a box",
        summary="Put copies into an open box, all of them or none.",
        group=StepGroup.PACKING,
        verb="They are in it",
        fields=_pack_fields,
        run=_pack,
    ),
    DeskStep(
        name="weigh",
        title="Weigh a box",
        group=StepGroup.PACKING,
        verb="Record it",
        fields=_weigh_fields,
        run=_weigh,
        summary="Record what the scale shows, and compare it with the list and with the mass at packing.",
    ),
    DeskStep(
        name="close",
        title="Close boxes",
        summary="Close packed boxes, with mass and seal of one.",
        group=StepGroup.PACKING,
        verb="They are closed",
        fields=_close_fields,
        run=_close,
    ),
    DeskStep(
        name="measure",
        title="Measure a box outside",
        summary="The carrier charges by the outside.",
        group=StepGroup.PACKING,
        verb="Record it",
        fields=_measure_fields,
        run=_measure,
    ),
)
