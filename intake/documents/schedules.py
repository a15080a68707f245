"""The insurance schedule and the high-value list: a summary, single articles, every copy by group, and photographs.

A copy without a value is listed in its group with the reason, and is in no total; an amount that could not be converted
has a sum in its own currency. What is lost has sums apart from what is at risk, and each basis has its own. A set that
counts once stands in a line of its own. Sums are of the amounts as printed.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from intake.documents import disclaimers
from intake.documents.grade_legend import set_legend
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.people import printed_words
from intake.documents.photographs import set_photographs
from intake.documents.proof_block import set_proof
from intake.documents.table_columns import ColumnWidths
from intake.documents.text_fit import Measure
from intake.model.currencies import amount_text
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM
from intake.model.schedules import Schedule, ScheduleGroup, ScheduleLine
from intake.model.valuations import Basis, Subtotal, add_up
from intake.units.counts import counted
from intake.units.language import say, say_of, term
from intake.units.local_forms import day_text

COLUMNS = (
    TableColumn("Copy", 1.4, bold=True),
    TableColumn("Title, contributors, edition", 5.4),
    TableColumn("Condition", 3.0),
    TableColumn("Where", 2.2),
    TableColumn("Value", 2.0, Align.RIGHT, bold=True),
    TableColumn("As recorded", 3.2),
)
NO_VALUE = term("no value")
TOTAL_COLUMNS = (
    TableColumn("", 6.0),
    TableColumn("Copies", 1.4, Align.RIGHT),
    TableColumn("Value", 3.0, Align.RIGHT, bold=True),
)


def lay_out(schedule: Schedule, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a schedule.

    Args:
        schedule: finished texts and amounts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    at_risk, lost = ([*_lines(schedule, lost=lost)] for lost in (False, True))
    facts = (
        (say("Owner"), schedule.owner),
        (say("Kept at"), schedule.address),
        (say("Count"), _listed_words(at_risk, lost)),
        (say("At risk"), sum_text(at_risk, schedule.currency)),
        (say("Lost, not at risk"), sum_text(lost, schedule.currency) if lost else ""),
        (say("Date"), day_text(schedule.on)),
    )
    sheet = Sheet(Head(schedule.title, day_text(schedule.on), facts), measure, paper_mm)
    _summary(sheet, schedule)
    columns = sheet.size_columns(COLUMNS, (row for group in schedule.groups for row in map(_row, group.lines)))
    if schedule.single_limit is not None:
        limit = amount_text(schedule.single_limit, schedule.currency)
        sheet.heading(say("Single articles: each worth more than {limit}", limit=limit))
        if schedule.singles:
            _valued(sheet, columns, schedule.singles, schedule.currency, "")
        else:
            sheet.paragraph(say("None."))
    for group in schedule.groups:
        sheet.heading(f"{group.name}: {_count_words(group.lines)}")
        _valued(sheet, columns, group.lines, schedule.currency, group.name)
    set_legend(sheet, schedule.legend)
    set_photographs(sheet, schedule.photographs)
    with sheet.closing():
        set_proof(sheet, schedule.proof)
        sheet.signatures((say("Owner, place, date"), say("Insurer, place, date")))
    return sheet.finish()


def _valued(sheet: Sheet, columns: ColumnWidths, lines: Sequence[ScheduleLine], currency: str, name: str) -> None:
    """Set lines with their sum, which is carried forward where they go on on another page; a group's after its name."""
    sheet.table(columns, map(_row, lines), _RunningSum(lines, currency).text)
    whole = sum_text(lines, currency)
    with sheet.closing():
        sheet.paragraph(f"{name}: {whole}" if name else say("Together {sum}", sum=whole), bold=True)


def sum_text(lines: Iterable[ScheduleLine], currency: str) -> str:
    """Return the sum of the amounts with a part for each basis, those in other currencies, and what is left out.

    >>> sum_text([ScheduleLine(number="A1-71", title="Ur")], "EUR")
    'no value (1 of 1 without a value)'
    """
    every = list(lines)
    return _RunningSum(every, currency).text(len(every))


class _RunningSum:
    """What so many lines add up to: asked for page after page, and every line is added once."""

    def __init__(self, lines: Sequence[ScheduleLine], currency: str) -> None:
        self.lines = lines
        self.currency = currency
        self.done = self.copies = self.unvalued = 0
        self.totals: tuple[Subtotal, ...] = ()

    def text(self, count: int) -> str:
        """Return the sum of the first lines in words; see `sum_text`."""
        if count < self.done:  # what held together did not fit, and is set again in smaller parts
            self.done, self.copies, self.unvalued, self.totals = 0, 0, 0, ()
        further = self.lines[self.done : count]
        self.totals = _totals(further, self.currency, self.totals)
        self.unvalued += len(_unvalued(further))
        self.copies += sum(not line.is_set for line in further)
        self.done = count
        words = _sum_words(self.totals, self.currency)
        if not self.unvalued:
            return words
        return say(
            "{sum} ({unvalued} of {count} without a value)", sum=words, unvalued=self.unvalued, count=self.copies
        )


def _sum_words(totals: Sequence[Subtotal], currency: str) -> str:
    converted = [one for one in totals if one.currency == currency]
    bases = [f"{say(one.basis.value)} {amount_text(one.amount, currency)}" for one in converted]
    apart = f" ({', '.join(bases)})" if len(bases) > 1 else f" ({say(converted[0].basis.value)})" if converted else ""
    amount = sum((one.amount for one in converted), Decimal())
    others = [
        say("not converted {amount} ({basis})", amount=_amount(one), basis=say(one.basis.value))
        for one in totals
        if one.currency != currency
    ]
    known = [amount_text(amount, currency) + apart] if converted else []
    return "; ".join([*known, *others]) or say(NO_VALUE)


def _totals(lines: Iterable[ScheduleLine], currency: str, before: tuple[Subtotal, ...] = ()) -> tuple[Subtotal, ...]:
    return add_up((counted for line in lines if (counted := line.counted) is not None), first=currency, to=before)


def _unvalued(lines: Iterable[ScheduleLine]) -> list[ScheduleLine]:
    return [line for line in lines if line.amount is None and not line.in_set]


def _lines(schedule: Schedule, *, lost: bool) -> Iterable[ScheduleLine]:
    return (line for group in schedule.groups for line in group.lines if line.lost is lost)


def _listed_words(at_risk: Sequence[ScheduleLine], lost: Sequence[ScheduleLine]) -> str:
    """Write how many are listed; where some are lost, those at risk apart, as beside it stands what these are worth."""
    if not lost:
        return _count_words(at_risk)
    return say("At risk: {at_risk}; lost: {lost}", at_risk=_count_words(at_risk), lost=_count_words(lost))


def _count_words(lines: Iterable[ScheduleLine]) -> str:
    """Write how many copies there are, how many sets that count once, and of how many it is what they lost."""
    every = list(lines)
    sets = sum(line.is_set and not line.lost for line in every)
    losses = sum(line.is_set and line.lost for line in every)
    copies = sum(not line.is_set for line in every)
    parts = [
        counted(copies, "copy", "copies") if copies or not sets + losses else "",
        counted(sets, "set that counts once", "sets that count once") if sets else "",
    ]
    words = ", ".join(filter(None, parts))
    if not losses:
        return words
    if not words:
        return say_of(losses, "What {count} set lost", "What {count} sets lost")
    return say_of(losses, "{copies}, and what {count} set lost", "{copies}, and what {count} sets lost", copies=words)


def _summary(sheet: Sheet, schedule: Schedule) -> None:
    sheet.heading(say("Summary"))
    for lost in (False, True):
        lines = list(_lines(schedule, lost=lost))
        if lines:
            sheet.table(TOTAL_COLUMNS, _total_rows(lines, schedule.currency, lost=lost))
            sheet.gap()
    if len(schedule.groups) > 1:
        columns = (TableColumn(schedule.grouped_by, 4.0), TableColumn("Basis", 2.4), *TOTAL_COLUMNS[1:])
        rows = [row for group in schedule.groups for row in _group_rows(group, schedule.currency)]
        sheet.table(columns, rows)
        sheet.gap()
    for sentence in schedule.summary:
        sheet.paragraph(sentence)
    for sentence in schedule.method:
        sheet.paragraph(sentence, size_pt=SMALL_PT)
    sheet.paragraph(say(disclaimers.NO_ADVICE), size_pt=SMALL_PT)


def _total_rows(lines: Sequence[ScheduleLine], currency: str, *, lost: bool) -> Iterable[tuple[str, ...]]:
    """Yield a row for each basis, the sum of those in the currency of the list, and what that leaves out."""
    name = say("Lost") if lost else say("At risk")
    totals = _totals(lines, currency)
    converted = [one for one in totals if one.currency == currency]
    for one in converted:
        sets = sets_words(one, lost=lost)
        yield f"{name}: {basis_words(one.basis)}{sets}", str(one.copies), amount_text(one.amount, currency)
    if len(converted) > 1:
        amount = sum((one.amount for one in converted), Decimal())
        copies = str(sum(one.copies for one in converted))
        yield say("{part}: together", part=name), copies, amount_text(amount, currency)
    for one in totals:
        if one.currency != currency:
            words = say("{part}: {value}, not converted", part=name, value=basis_words(one.basis))
            yield words, str(one.copies), _amount(one)
    unvalued = len(_unvalued(lines))
    if unvalued:
        yield say("{part}: without a value", part=name), str(unvalued), say(NO_VALUE)


def basis_words(basis: Basis) -> str:
    """Write what kind of value an amount is ("replacement value")."""
    return say("{basis} value", basis=say(basis.value))


def sets_words(one: Subtotal, *, lost: bool) -> str:
    """Write, after another phrase, how sets are in a subtotal; empty where none is.

    Args:
        one: the subtotal.
        lost: whether it is of what was lost: then it has what the loss of volumes took from the sets.
    """
    if not one.sets:
        return ""
    if lost:
        return say_of(one.sets, ", with what {count} set lost", ", with what {count} sets lost")
    volumes = counted(one.in_sets, "volume", "volumes")
    return say_of(
        one.sets,
        ", {count} set of {volumes} counted once",
        ", {count} sets of {volumes} counted once",
        volumes=volumes,
    )


def _group_rows(group: ScheduleGroup, currency: str) -> Iterable[tuple[str, ...]]:
    """Yield a row for each currency and basis of a group, so that a sum is never of several."""
    for one in _totals(group.lines, currency):
        basis = say(one.basis.value)
        if one.currency != currency:
            basis = say("{basis}, not converted", basis=basis)
        yield group.name, basis, str(one.copies), _amount(one)
    unvalued = len(_unvalued(group.lines))
    if unvalued:
        yield group.name, "", str(unvalued), say(NO_VALUE)


def _amount(one: Subtotal) -> str:
    return amount_text(one.amount, one.currency)


def _row(line: ScheduleLine) -> tuple[str, ...]:
    value = say("in {set}", set=line.in_set) if line.in_set else say(NO_VALUE)
    if line.amount is not None:
        value = amount_text(line.amount, line.currency)
    what = "\n".join(
        filter(None, (line.title, line.more, printed_words(line.isbn, line.publisher, line.year, line.more)))
    )
    recorded = "\n".join(filter(None, (line.recorded, line.note)))
    return (line.number, what, line.condition, line.where, value, recorded)
