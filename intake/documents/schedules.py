"""The insurance schedule and the high-value list: a summary, single articles, every copy by group, and photographs.

A copy without a value is listed in its group with the reason, and is in no total. Sums are of the amounts as printed.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from intake.documents import disclaimers
from intake.documents.lists import count_text
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.photographs import set_photographs
from intake.documents.proof_block import set_proof
from intake.documents.text_fit import Measure
from intake.model.currencies import amount_text
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM
from intake.model.schedules import Schedule, ScheduleLine

COLUMNS = (
    TableColumn("Copy", 1.4, bold=True),
    TableColumn("Title, contributors, edition", 5.4),
    TableColumn("Condition", 3.0),
    TableColumn("Where", 2.2),
    TableColumn("Value", 2.0, Align.RIGHT, bold=True),
    TableColumn("As recorded", 3.2),
)
NO_VALUE = "no value"


def lay_out(schedule: Schedule, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a schedule.

    Args:
        schedule: finished texts and amounts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    everything = [line for group in schedule.groups for line in group.lines]
    facts = (
        ("Owner", schedule.owner),
        ("Kept at", schedule.address),
        ("Count", count_text(len(everything), "copy", "copies")),
        ("Total", sum_text(everything, schedule.currency)),
        ("Date", schedule.on.isoformat()),
    )
    sheet = Sheet(Head(schedule.title, schedule.on.isoformat(), facts), measure, paper_mm)
    _summary(sheet, schedule)
    if schedule.single_limit is not None:
        limit = amount_text(schedule.single_limit, schedule.currency)
        sheet.heading(f"Single articles: each worth more than {limit}")
        if schedule.singles:
            sheet.table(COLUMNS, (_row(line, schedule.currency) for line in schedule.singles))
            sheet.paragraph(f"Together {sum_text(schedule.singles, schedule.currency)}", bold=True)
        else:
            sheet.paragraph("None.")
    for group in schedule.groups:
        sheet.heading(f"{group.name}: {count_text(len(group.lines), 'copy', 'copies')}")
        sheet.table(COLUMNS, (_row(line, schedule.currency) for line in group.lines))
        sheet.paragraph(f"{group.name}: {sum_text(group.lines, schedule.currency)}", bold=True)
    set_photographs(sheet, schedule.photographs)
    set_proof(sheet, schedule.proof)
    sheet.signatures(("Owner, place, date", "Insurer, place, date"))
    return sheet.finish()


def sum_text(lines: Iterable[ScheduleLine], currency: str) -> str:
    """Return the sum of the known amounts, and the number of copies it leaves out.

    >>> sum_text([ScheduleLine(number="A1-71", title="Ur")], "EUR")
    'no value (1 of 1 without a value)'
    """
    every = list(lines)
    known = [line.amount for line in every if line.amount is not None]
    total = amount_text(sum(known, Decimal()), currency) if known else NO_VALUE
    return total + (f" ({len(every) - len(known)} of {len(every)} without a value)" if len(known) < len(every) else "")


def _summary(sheet: Sheet, schedule: Schedule) -> None:
    sheet.heading("Summary")
    if len(schedule.groups) > 1:
        columns = (
            TableColumn(schedule.grouped_by.capitalize(), 5.0),
            TableColumn("Copies", 1.4, Align.RIGHT),
            TableColumn("Without a value", 2.0, Align.RIGHT),
            TableColumn("Value", 3.0, Align.RIGHT, bold=True),
        )
        rows = [_group_row(group.name, group.lines, schedule.currency) for group in schedule.groups]
        sheet.table(columns, rows)
    for sentence in schedule.summary:
        sheet.paragraph(sentence)
    for sentence in schedule.method:
        sheet.paragraph(sentence, size_pt=SMALL_PT)
    sheet.paragraph(disclaimers.NO_ADVICE, size_pt=SMALL_PT)


def _group_row(name: str, lines: Sequence[ScheduleLine], currency: str) -> tuple[str, ...]:
    known = [line.amount for line in lines if line.amount is not None]
    total = amount_text(sum(known, Decimal()), currency) if known else NO_VALUE
    return (name, str(len(lines)), str(len(lines) - len(known)), total)


def _row(line: ScheduleLine, currency: str) -> tuple[str, ...]:
    value = NO_VALUE if line.amount is None else amount_text(line.amount, currency)
    what = f"{line.title}\n{line.more}" if line.more else line.title
    recorded = "\n".join(filter(None, (line.recorded, line.note)))
    return (line.number, what, line.condition, line.where, value, recorded)
