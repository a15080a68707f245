"""The insurance schedule and the high-value list, each with its proof."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.documents import schedules
from intake.edges import fonts
from intake.edges.store.queries.papers import pictures_of_copies
from intake.errors import RefusedError, UsageError
from intake.flow.papers.options import Grouping, PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperPages, PaperSource, PaperTable
from intake.flow.papers.print_photographs import photographs_of
from intake.flow.papers.proofs import over
from intake.flow.papers.schedule_lines import (
    Gathered,
    ScheduledCopy,
    by_class,
    by_room,
    estimate_sums,
    groups_by,
    scheduled,
)
from intake.flow.papers.valued_copies import proof_of, rates_day, valued_copies
from intake.flow.values.set_words import set_remarks
from intake.flow.values.value_copies import set_states
from intake.model.currencies import amount_text
from intake.model.schedules import Photograph, Schedule, ScheduleGroup
from intake.model.valuations import Basis
from intake.valuing.condition import MEANINGS
from intake.valuing.insurance import above_single_limit, apply_average
from intake.valuing.sets import SetState
from intake.valuing.totals import ROUNDING, ValueTotal

NAMED = 12
"""Copies named in one sentence; more are counted."""
HEADER = ("Copy", "Title", "More", "Condition", "Where", "Value", "Currency", "As recorded", "Valued on", "Note")


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleContent:
    """What a schedule says.

    Attributes:
        title: of the paper.
        listed: the copies in the order in which a table lists them.
        gathered: all copies that the list was chosen from.
        sets: how complete each set is; none where the list does not say.
    """

    title: str
    on: date
    listed: tuple[ScheduledCopy, ...]
    gathered: Gathered
    sets: tuple[SetState, ...]
    photographs: tuple[Photograph, ...]
    proof: str


def gather_insurance(source: PaperSource, options: PaperOptions) -> ScheduleContent:
    """Gather every copy with its value in one currency.

    Raises:
        RefusedError: there is no copy.
    """
    copies = valued_copies(source.reader, basis=options.basis)
    gathered = scheduled(source.reader, copies, currency=options.currency, on=rates_day(source, options))
    return ScheduleContent(
        title="Insurance schedule",
        on=source.on,
        listed=gathered.listed,
        gathered=gathered,
        sets=set_states(source.reader) if source.form is PaperFormat.PDF else (),
        photographs=_photographs(source, options, gathered.listed),
        proof=proof_of(source, "insurance schedule", copies, basis=options.basis),
    )


def gather_high_value(source: PaperSource, options: PaperOptions) -> ScheduleContent:
    """Gather the copies that are each worth more than an amount, the dearest first.

    Raises:
        UsageError: no amount was named, or one below zero.
        RefusedError: no copy is worth more.
    """
    if options.limit is None or options.limit < 0:
        raise UsageError("The high-value list", "needs the amount above which a copy is on it", "name it")
    copies = valued_copies(source.reader, basis=options.basis)
    on = rates_day(source, options)
    gathered = scheduled(source.reader, copies, currency=options.currency, on=on)
    listed = _worth_more(gathered, options.limit)
    if not listed:
        amount = amount_text(options.limit, options.currency)
        raise RefusedError("The high-value list", f"would be empty: no copy is worth more than {amount}", "lower it")
    scope = over(options.limit, options.currency, on)
    valued = [one.valued for one in listed]
    return ScheduleContent(
        title="High-value list",
        on=source.on,
        listed=listed,
        gathered=gathered,
        sets=(),
        photographs=_photographs(source, options, listed),
        proof=proof_of(source, "high-value list", valued, scope, basis=options.basis),
    )


def lay_out_insurance(content: ScheduleContent, options: PaperOptions) -> PaperPages:
    """Set the insurance schedule on pages: groups, single articles, sums, and how they were made."""
    singles = () if options.single_limit is None else _worth_more(content.gathered, options.single_limit)
    schedule = Schedule(
        title=content.title,
        on=content.on,
        currency=options.currency,
        groups=groups_by(content.listed, by_class if options.grouping is Grouping.CLASS else by_room),
        grouped_by=options.grouping.value,
        owner=options.owner,
        address=options.address,
        singles=tuple(one.line for one in singles),
        single_limit=options.single_limit,
        summary=(*_summary(content.gathered, options), *_set_sentences(content.sets)),
        method=method_sentences(content.gathered.added, options.basis),
        photographs=content.photographs,
        proof=content.proof,
    )
    return _pages(schedule, options)


def lay_out_high_value(content: ScheduleContent, options: PaperOptions) -> PaperPages:
    """Set the high-value list on pages."""
    limit = options.limit or Decimal()
    count = f"{len(content.listed)} of {len(content.gathered.listed)} copies"
    schedule = Schedule(
        title=content.title,
        on=content.on,
        currency=options.currency,
        groups=(
            ScheduleGroup(
                name=f"Worth more than {amount_text(limit, options.currency)} each",
                lines=tuple(one.line for one in content.listed),
            ),
        ),
        owner=options.owner,
        address=options.address,
        summary=(f"{count}; those without a value cannot be on this list.",),
        method=method_sentences(content.gathered.added, options.basis),
        photographs=content.photographs,
        proof=content.proof,
    )
    return _pages(schedule, options)


def tabulate_schedule(content: ScheduleContent, options: PaperOptions) -> PaperTable:
    """Set a schedule in a table, a row for each copy; one without a value has an empty cell, never a zero."""
    rows = (
        (
            line.number,
            line.title,
            line.more,
            line.condition,
            line.where,
            line.amount,
            options.currency if line.amount is not None else "",
            line.recorded,
            line.valued_on,
            line.note,
        )
        for line in (one.line for one in content.listed)
    )
    return PaperTable(title=content.title, header=HEADER, rows=rows, totals={"Value": "Currency"}, proof=content.proof)


def method_sentences(added: ValueTotal, basis: Basis | None) -> tuple[str, ...]:
    """Return how the figures of a list were made, in sentences."""
    which = f"the latest {basis.value} value" if basis else "the latest value on any basis"
    rates = f"Rates on {added.on.isoformat()}: {'; '.join(added.rates)}." if added.rates else ""
    first = f"For each copy {which} counts; its basis, source and day stand beside it."
    grades = "; ".join(f"{grade.value}: {meaning}" for grade, meaning in MEANINGS.items())
    return tuple(filter(None, (first, rates, ROUNDING, f"Grades, book/jacket. {grades}.")))


def _pages(schedule: Schedule, options: PaperOptions) -> PaperPages:
    pages = schedules.lay_out(schedule, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=schedule.title, pages=pages, author=schedule.owner, proof=schedule.proof)


def _summary(gathered: Gathered, options: PaperOptions) -> list[str]:
    """Return what the total leaves out, and how it compares with the sum insured."""
    added, code = gathered.added, options.currency
    sentences: list[str] = []
    if gathered.estimates:
        low, high = (amount_text(amount, code) for amount in estimate_sums(gathered))
        count = _copies(len(gathered.estimates))
        sentences.append(f"{count} without a value: by like copies {low} to {high}, in no total.")
    if gathered.alone:
        count = _copies(len(gathered.alone))
        sentences.append(f"{count} without a value and without enough like copies: not estimated.")
    if added.unconverted:
        whys = sorted({one.why for one in added.worths if one.valuation is not None and one.amount is None})
        named = ", ".join(added.unconverted[:NAMED]) + (" …" if len(added.unconverted) > NAMED else "")
        sentences.append(f"Could not be included, for want of a rate: {named} ({'; '.join(whys)}).")
    if options.insured is not None and added.amount > 0:
        sentences += _insured(added, options.insured)
    return sentences


def _insured(added: ValueTotal, insured: Decimal) -> list[str]:
    """Compare the sum insured with the value; with what a loss of a tenth would pay under average."""
    loss = (added.amount / 10).quantize(added.amount) if added.amount >= 10 else added.amount
    worked = apply_average(loss=loss, insured=insured, at_risk=added.amount, currency=added.currency)
    if not worked.underinsured:
        return [f"{worked.working[0]}: the sum insured covers what has a value here."]
    tenth = f"Under the condition of average a loss of {amount_text(loss, added.currency)} would pay"
    return [f"{worked.working[0]}: underinsured.", f"{tenth} {worked.working[1]}."]


def _set_sentences(states: Iterable[SetState]) -> list[str]:
    sentences: list[str] = []
    for one in states:
        gaps = f"lacks volume {', '.join(one.gaps)}" if one.gaps else ""
        twice = f"volume {', '.join(one.doubles)} more than once" if one.doubles else ""
        boxed = ", ".join(f"{name} in {box}" for name, box in one.boxed.items())
        still = f"still boxed: {boxed}" if boxed else ""
        if words := "; ".join(filter(None, (gaps, twice, *set_remarks(one), still))):
            sentences.append(f"Set “{one.set.title}”: {words}.")
    return sentences


def _photographs(source: PaperSource, options: PaperOptions, listed: Iterable[ScheduledCopy]) -> tuple[Photograph, ...]:
    """Return the photographs of these copies ready for print, in their order; none where the paper shows none."""
    if options.no_photographs or source.form is not PaperFormat.PDF:
        return ()
    titles = {one.line.number: one.line.title for one in listed}
    pictures = pictures_of_copies(source.reader, titles.keys())
    return photographs_of(source, (one for copy in titles for one in pictures.get(copy, ())), titles)


def _worth_more(gathered: Gathered, limit: Decimal) -> tuple[ScheduledCopy, ...]:
    """Return what is worth more than a limit, the dearest first, equal ones by their numbers."""
    by_number = {one.line.number: one for one in gathered.listed}
    return tuple(by_number[worth.copy] for worth in above_single_limit(gathered.added.worths, limit))


def _copies(count: int) -> str:
    return "1 copy" if count == 1 else f"{count} copies"
