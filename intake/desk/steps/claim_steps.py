"""A consignment: made, as freight, what did not arrive of it as it left, and what the carrier owes and until when."""

from collections.abc import Mapping

from intake.desk.desk_startup import LibraryReader
from intake.desk.steps.shared_fields import boxes_field, consignment_field
from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    StepTable,
    address,
    paper_address,
)
from intake.errors import UsageError
from intake.flow.moving.broken_sets import broken_set_words
from intake.flow.moving.claim_words import COUNTED_HEADS, LIMIT_HEADS, LOSS_HEADS, PERIOD_HEADS, limits_paper
from intake.flow.moving.consignments import DEFAULT_DIVISOR, consign, count_boxes, freight
from intake.flow.moving.freight_words import FREIGHT_HEADS, chargeable, freight_row, mass_and_volume
from intake.flow.moving.reconcile import reconcile
from intake.flow.moving.reconcile_words import (
    DISCREPANCY_HEADS,
    boxes_words,
    discrepancy_rows,
    fault_lines,
    remaining_words,
)
from intake.flow.papers.claim_papers import claim_of
from intake.flow.papers.options import PaperOption, Suggestion, with_typed
from intake.flow.papers.registry import PERIODS
from intake.flow.papers.suggestions import suggestions
from intake.model.boxes import Consignment
from intake.units.amounts import parse_amount
from intake.units.counts import counted
from intake.units.quantities import parse_mass_g

OF_THE_PAPER = ("language", "size")
"""Options that change how the paper is made, and nothing of what it says."""

NOT_ADVICE = "It is no legal advice: the contract and the law decide. Ask somebody licensed before a period ends."


def _reconcile_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (consignment_field(records, required=False),)


def _reconcile(context: StepContext) -> StepOutcome:
    reference = context.text("reference")
    with context.library.reading() as records:
        found = reconcile(records, reference or None)
        broken = broken_set_words(records, found.lines)
    return StepOutcome(
        lines=(
            f"{boxes_words(found)}.",
            *found.totals,
            *broken,
            remaining_words(found),
        ),
        cautions=(
            *((found.undecided,) if found.undecided else ()),
            *found.newer,
            *fault_lines(found),
        ),
        tables=(StepTable("", DISCREPANCY_HEADS, discrepancy_rows(found)),),
        links=(
            (paper_address(paper="discrepancies", reference=reference), "Discrepancy report"),
            (address("/steps/claim", reference=reference), "What the carrier owes"),
        ),
    )


def _claim_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    offered = suggestions(records, [option.suggests for option in PERIODS.options if option.suggests])
    return tuple(_option_field(option, offered) for option in PERIODS.options if option.name not in OF_THE_PAPER)


def _option_field(option: PaperOption, offered: Mapping[Suggestion, tuple[str, ...]]) -> StepField:
    kind = FieldKind.FLAG if option.is_flag else FieldKind.CHOICE if option.choices else FieldKind.TEXT
    return StepField(
        name=option.name,
        label=option.label,
        kind=kind,
        hint=option.summary.removeprefix(f"{option.label}.").strip(),
        choices=option.called,
        offered=offered.get(option.suggests, ()) if option.suggests else (),
        required=option.required,
        value="EUR" if option.name == "currency" else "",
        group=""
        if option.required or option.name in ("currency", "delivered", "goods", "rate")
        else "More of the contract",
    )


def _claim(context: StepContext) -> StepOutcome:
    options = with_typed(PERIODS.defaults, PERIODS.options, context.values)
    with context.library.reading() as records:
        limits = limits_paper(claim_of(records, options, today=context.today), today=context.today)
    lines = [f"Consignment {limits.reference}, {limits.regime}.", *limits.deliveries]
    lines += [f"{name}: {text}" for name, text in limits.facts if text]
    return StepOutcome(
        lines=lines,
        notes=[line for heading, notes in limits.notes for line in (heading, *(f"  {note}" for note in notes))],
        cautions=(NOT_ADVICE,),
        tables=(
            StepTable("Until when", PERIOD_HEADS, limits.periods),
            StepTable("Losses", LOSS_HEADS, limits.losses),
            StepTable("What is owed at most", LIMIT_HEADS, limits.limits),
            StepTable("Mass that counts", COUNTED_HEADS, limits.counted),
        ),
        links=(
            (paper_address(paper="notice", reference=limits.reference), "Letter to the carrier"),
            (paper_address(**{**context.values, "paper": "periods"}), "This as a paper"),
            (paper_address(paper="discrepancies", reference=limits.reference), "Discrepancy report"),
        ),
    )


def _claim_word(values: Mapping[str, str]) -> str:
    return f"see what the carrier of consignment {values.get('reference', '')} owes, which lists values"


def _reconcile_word(_values: Mapping[str, str]) -> str:
    return "see what is missing or damaged, which lists values"


def _consign_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        consignment_field(records, "The carrier's reference"),
        boxes_field(records, "Boxes to put into it", required=False),
        StepField(name="carrier", label="Carrier"),
        StepField(name="consignor", label="Who sends it"),
        StepField(name="consignee", label="Who gets it"),
        StepField(name="origin", label="From"),
        StepField(name="destination", label="To"),
        StepField(name="policy", label="Number of the policy"),
        StepField(name="contract", label="Number of the contract"),
        StepField(name="bill_of_lading", label="Number of the bill of lading, waybill or consignment note"),
        StepField(name="dispatched", label="Day on which the carrier took it over", kind=FieldKind.DAY),
    )


def _consign(context: StepContext) -> StepOutcome:
    names = ("carrier", "consignor", "consignee", "origin", "destination", "policy", "contract", "bill_of_lading")
    consignment = Consignment(
        reference=context.needed("reference", "The carrier's reference"),
        dispatched=context.day("dispatched"),
        **{name: context.text(name) for name in names},
    )
    consign(context.library, consignment, context.words("boxes"), station=context.station, today=context.today)
    with context.library.reading() as records:
        count = count_boxes(records, consignment.reference)
    return StepOutcome(
        lines=(f"Consignment {consignment.reference} has {counted(count, 'box', 'boxes')}.",),
        links=((address("/steps/freight", reference=consignment.reference), "Its size, mass and freight"),),
    )


def _freight_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        consignment_field(records),
        StepField(
            name="divisor",
            label="Cubic centimetres that count as a kilogram",
            value=f"{DEFAULT_DIVISOR:g}",
            reads=parse_amount,
        ),
        StepField(
            name="round_to",
            label="Chargeable mass rounded up to",
            hint="Such as 0.5 kg, with many carriers by air.",
            reads=parse_mass_g,
        ),
    )


def _freight(context: StepContext) -> StepOutcome:
    stated, step = context.amount("divisor"), context.mass_g("round_to")
    divisor = DEFAULT_DIVISOR if stated is None else float(stated)
    if divisor < 1:
        raise UsageError(f"The divisor {divisor:g}", "is less than 1", "write the carrier's, such as 6000")
    with context.library.reading() as records:
        shipment = freight(records, context.text("reference"), divisor=divisor, step_g=step)
    sums = shipment.sums
    sentences = [*mass_and_volume(sums), *chargeable(sums, divisor=divisor, step_g=step)]
    return StepOutcome(
        lines=tuple(f"{sentence}." for sentence in sentences),
        tables=(StepTable("Boxes", FREIGHT_HEADS, [freight_row(line) for line in shipment.lines]),),
        links=(
            *((("/steps/measure", "Measure a box"),) if sums.assumed or sums.unmeasured else ()),
            *((("/steps/weigh", "Weigh a box"),) if sums.unweighed else ()),
        ),
    )


CLAIM_STEPS = (
    DeskStep(
        name="consign",
        title="Put boxes into a consignment",
        group=StepGroup.PACKING,
        verb="Record it",
        summary="All boxes of one move, under the carrier's reference; a new one is made where needed.",
        fields=_consign_fields,
        run=_consign,
    ),
    DeskStep(
        name="freight",
        title="A consignment as freight",
        group=StepGroup.PACKING,
        is_question=True,
        summary="Size, volume and mass of its boxes, and what a carrier charges for.",
        fields=_freight_fields,
        run=_freight,
    ),
    DeskStep(
        name="reconcile",
        title="What is missing or damaged",
        group=StepGroup.ARRIVAL,
        is_question=True,
        summary="What did not arrive as it left, what was found elsewhere, and what is still in boxes.",
        fields=_reconcile_fields,
        run=_reconcile,
        word=_reconcile_word,
    ),
    DeskStep(
        name="claim",
        title="Claim against the carrier",
        group=StepGroup.ARRIVAL,
        is_question=True,
        summary="Until when to give notice, and what the carrier owes at most. It is no legal advice.",
        fields=_claim_fields,
        run=_claim,
        word=_claim_word,
    ),
)
