"""The move inventory of a consignment, box by box, with its proof."""

from collections.abc import Iterable

from intake.documents import disclaimers, move_inventory
from intake.edges import fonts
from intake.edges.sheets import Cell
from intake.edges.store.queries.papers import reports_of_copies
from intake.flow.condition.condition_report import before_and_after
from intake.flow.papers import customs_words
from intake.flow.papers.box_papers import BOX_MARKS
from intake.flow.papers.consignment_content import (
    ConsignmentContent,
    gather_consignment,
    parties,
    stated_as_recorded,
    value_with_basis,
    value_words,
)
from intake.flow.papers.consignment_sums import gross_sentence, value_sentences
from intake.flow.papers.copy_words import condition_words, legend_of, report_words
from intake.flow.papers.customs_questions import MISSING, ON_NO_LIST, doubtful_boxes
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.flow.papers.schedule_lines import ScheduledCopy
from intake.flow.values.exchange_rates import notices_of
from intake.model.boxes import Box, CartonState, SealState
from intake.model.condition import ConditionReport
from intake.model.currencies import amount_text
from intake.model.editions import Copy
from intake.model.schedules import MovedBox, MovedLine, MoveInventory, ScheduleLine
from intake.units.convert import kg_text
from intake.units.counts import counted
from intake.units.language import say, term, terms
from intake.valuing.condition import damage_words

HEADER = (
    term("Box"), term("Copy"), term("Title"), term("Condition at origin"), term("Condition at destination"),
    term("Value"), term("Currency"), term("Basis"), term("Found"), term("As recorded"), term("Note"),
)  # fmt: skip


def gather_move_inventory(source: PaperSource, options: PaperOptions) -> ConsignmentContent:
    """Gather what is in each box of a consignment, with its condition before and after the move.

    Raises:
        RefusedError: there is no such consignment, or its boxes are empty.
    """
    return gather_consignment(source, options, "move inventory", reports_of_copies(source.reader))


def lay_out_move_inventory(content: ConsignmentContent, options: PaperOptions) -> PaperPages:
    """Set a move inventory on pages, box by box, with lines to sign at both ends."""
    reference = content.consignment.reference
    move = MoveInventory(
        reference=reference,
        on=content.on,
        facts=parties(content.consignment),
        boxes=tuple(
            MovedBox(
                number=box.number,
                facts=_box_facts(box, is_late=_late(copies)),
                lines=tuple(_moved(one, content) for one in copies),
            )
            for box, copies in content.boxes
        ),
        totals=tuple(_totals(content)),
        legend=legend_of(_graded(content)),
        proof=content.proof,
    )
    pages = move_inventory.lay_out(move, measure=fonts.measure, paper_mm=options.paper_mm)
    notices = notices_of(content.gathered.added.missing)
    title = say("Move inventory {reference}", reference=reference)
    return PaperPages(title=title, pages=pages, proof=content.proof, notices=notices)


def copies_on_inventory(content: ConsignmentContent) -> Iterable[str]:
    """Return the own numbers of the copies listed."""
    return (one.line.number for _, copies in content.boxes for one in copies)


def tabulate_move_inventory(content: ConsignmentContent, _options: PaperOptions) -> PaperTable:
    """Set a move inventory in a table, a row for each copy; what the pages say beside the lines is in its notes."""
    rows = [_row(box.number, one.line, content, one) for box, copies in content.boxes for one in copies]
    rows += [_row("", whole.line, content, None) for whole in content.gathered.sets]
    return PaperTable(
        title=say("Move inventory"),
        header=HEADER,
        rows=rows,
        totals={"Value": ("Currency", "Basis", "Found")},
        notes=(*_totals(content), say(move_inventory.CARRIER)),
        proof=content.proof,
        notices=notices_of(content.gathered.added.missing),
    )


def _row(box: str, line: ScheduleLine, content: ConsignmentContent, one: ScheduledCopy | None) -> tuple[Cell, ...]:
    """Return the row of a copy, or of a set that counts once, for which `one` is None."""
    moved = _moved(one, content) if one else MovedLine(number=line.number, title=f"{line.title}\n{line.more}")
    return (
        box, line.number, moved.title, moved.at_origin, moved.at_destination, *customs_words.value_cells(line),
        line.recorded, line.note,
    )  # fmt: skip


def _box_facts(box: Box, *, is_late: bool) -> tuple[tuple[str, str], ...]:
    carton = "" if box.carton is CartonState.NOT_LOOKED_AT else say(box.carton.value)
    seal, gross = box.seal, disclaimers.mass_text(box.gross_g)
    if seal and box.seal_state is not SealState.NOT_LOOKED_AT:
        seal = say("{seal} ({state} on arrival)", seal=seal, state=say(box.seal_state.value))
    if box.arrived_g is not None:
        gross = say("{gross}, {arrived} on arrival", gross=gross, arrived=kg_text(box.arrived_g))
    return (
        (say("Arrival"), say("this box has not arrived") if is_late else ""),
        (say("Marks"), say(BOX_MARKS)),
        (say("Seal"), seal),
        (say("Gross mass"), gross),
        (say("Room of destination"), box.room),
        (say("Carton on arrival"), carton),
        (say("Note"), box.note),
    )


def _late(copies: Iterable[ScheduledCopy]) -> bool:
    return any(one.valued.awaited for one in copies)


def _moved(one: ScheduledCopy, content: ConsignmentContent) -> MovedLine:
    line = one.line
    before, after = before_and_after(content.reports.get(line.number, ()))
    # What was seen at the destination, or of a copy that nobody packed, is no condition at origin.
    unknown = after is not None or line.number in content.surplus
    unreported = say("not reported") if unknown else condition_words(one.valued.copy)
    missing = say(MISSING) if one.valued.lost else say("box has not arrived") if one.valued.awaited else ""
    damaged = damage_words(one.valued.damage)
    was = None if stated_as_recorded(one) else one.valued.value
    recorded = ""
    if was is not None:
        amount = amount_text(was.amount, was.currency)
        recorded = say("recorded {amount}, {basis}", amount=amount, basis=say(was.basis.value))
    surplus = say(ON_NO_LIST) if line.number in content.surplus else ""
    return MovedLine(
        number=line.number,
        title="\n".join(filter(None, (line.title, line.more, surplus))),
        at_origin=report_words(before) if before else unreported,
        at_destination="; ".join(filter(None, (report_words(after) if after else missing, damaged))),
        value="\n".join(filter(None, (value_with_basis(one), recorded))),
    )


def _graded(content: ConsignmentContent) -> Iterable[Copy | ConditionReport]:
    """Yield what the printed grades are of: the reports of both ends, else the copies."""
    for _, copies in content.boxes:
        for one in copies:
            reports = before_and_after(content.reports.get(one.line.number, ()))
            yield from filter(None, reports)
            if not all(reports):
                yield one.valued.copy


def _totals(content: ConsignmentContent) -> Iterable[str]:
    """Yield what the boxes come to, each sentence with what it leaves out."""
    boxes = counted(len(content.boxes), "box", "boxes")
    yield f"{boxes}, {counted(len(content.listed), 'copy', 'copies')}."
    yield from (f"{sentence}." for sentence in value_sentences(content, *terms("copy", "copies")))
    for whole in content.gathered.sets:
        yield say(
            "Set {number}, “{title}”: {value}, {how}.",
            number=whole.worth.set_id,
            title=whole.line.title,
            value=value_words(whole.line),
            how=whole.line.more,
        )
    yield f"{gross_sentence(content)}."
    yield from doubtful_boxes(content)
    yield from content.rates_missing
    yield from content.value_notes
