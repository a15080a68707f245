"""The insurance schedule and the high-value list, each with its proof."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.documents import schedules
from intake.edges import fonts
from intake.edges.store.queries.papers import pictures_of_copies
from intake.edges.store.queries.values import latest_valuations
from intake.errors import RefusedError, UsageError
from intake.flow.papers.copy_words import legend_of
from intake.flow.papers.options import Grouping, PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperPages, PaperSource, PaperTable
from intake.flow.papers.print_photographs import photographs_of
from intake.flow.papers.proofs import over
from intake.flow.papers.schedule_lines import (
    Gathered,
    ScheduledCopy,
    ScheduledSet,
    by_class,
    by_room,
    groups_by,
    scheduled,
)
from intake.flow.papers.schedule_words import (
    damaged_sentences,
    how_many_sentence,
    method_sentences,
    set_sentences,
    summary_sentences,
    unconverted_sentences,
)
from intake.flow.papers.valued_copies import lost_group, proof_of, rates_day, valued_copies
from intake.flow.values.exchange_rates import missing_words, notices_of
from intake.flow.values.figures import check_amount
from intake.flow.values.value_sets import set_states
from intake.model.currencies import Money, amount_text
from intake.model.schedules import Photograph, Schedule, ScheduleGroup, ScheduleLine
from intake.units.language import say, term
from intake.valuing.insurance import above_single_limit
from intake.valuing.sets import SetState
from intake.valuing.totals import ValueTotal

HEADER = (
    term("Copy"), term("Title"), term("More"), term("ISBN"), term("Publisher"), term("Year"), term("Condition"),
    term("Where"), term("Value"), term("Currency"), term("Basis"), term("Counts as"), term("As recorded"),
    term("Valued on"), term("Note"),
)  # fmt: skip
GROUP_HEADS = {Grouping.ROOM: term("Room"), Grouping.CLASS: term("Class")}


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleContent:
    """What a schedule says.

    Attributes:
        title: of the paper.
        listed: the copies in the order in which a table lists them.
        listed_sets: the sets that count once among them.
        gathered: all copies that the list was chosen from.
        others: copies at risk that have a value, but none on the basis of the list.
        sets: how complete each set is; none where the list does not say.
    """

    title: str
    on: date
    listed: tuple[ScheduledCopy, ...]
    listed_sets: tuple[ScheduledSet, ...]
    gathered: Gathered
    sets: tuple[SetState, ...]
    photographs: tuple[Photograph, ...]
    proof: str
    others: int = 0

    @property
    def lines(self) -> tuple[ScheduleLine, ...]:
        """Return the lines of all sets that count once, then of all copies."""
        return (*(one.line for one in self.listed_sets), *(one.line for one in self.listed))


def gather_insurance(source: PaperSource, options: PaperOptions) -> ScheduleContent:
    """Gather every copy with its value in one currency, as far as there are rates.

    Raises:
        RefusedError: there is no copy.
        UsageError: an amount that cannot be one, or a day of the rates in the future.
    """
    _check_amounts(options)
    copies = valued_copies(source.reader, basis=options.basis)
    on = rates_day(source, options)
    gathered = scheduled(source.reader, copies, currency=options.currency, on=on, basis=options.basis)
    return ScheduleContent(
        title=say("Insurance schedule"),
        on=source.on,
        listed=gathered.listed,
        listed_sets=gathered.sets,
        gathered=gathered,
        sets=set_states(source.reader) if source.form is PaperFormat.PDF else (),
        photographs=_photographs(source, options, gathered.listed),
        proof=proof_of(source, "insurance schedule", copies, basis=options.basis),
        others=_on_another_basis(source, options, gathered),
    )


def gather_high_value(source: PaperSource, options: PaperOptions) -> ScheduleContent:
    """Gather the copies, and the sets that count as a whole, that are each worth more than an amount.

    Raises:
        UsageError: no amount was named, or one that cannot be one.
        RefusedError: no copy is worth more.
    """
    _check_amounts(options)
    if options.limit is None:
        raise UsageError("The high-value list", "needs the amount above which a copy is on it", "name it")
    copies = valued_copies(source.reader, basis=options.basis)
    on = rates_day(source, options)
    gathered = scheduled(source.reader, copies, currency=options.currency, on=on, basis=options.basis)
    listed = _worth_more(gathered, options.limit)
    sets = tuple(one for one in gathered.sets if _is_above(one.worth.amount, options.limit))
    if not listed and not sets:
        amount = amount_text(options.limit, options.currency)
        rates = "; ".join(map(missing_words, gathered.added.missing))
        unknown = f", as far as there are rates (missing: {rates})" if rates else ""
        why = f"would be empty: no copy is worth more than {amount}{unknown}"
        raise RefusedError("The high-value list", why, "lower the amount")
    scope = over(options.limit, options.currency, on)
    valued = [one.valued for one in listed]
    return ScheduleContent(
        title=say("High-value list"),
        on=source.on,
        listed=listed,
        listed_sets=sets,
        gathered=gathered,
        sets=(),
        photographs=_photographs(source, options, listed),
        proof=proof_of(source, "high-value list", valued, scope, basis=options.basis),
    )


def lay_out_insurance(content: ScheduleContent, options: PaperOptions) -> PaperPages:
    """Set the insurance schedule on pages: groups, single articles, sums, and how they were made."""
    schedule = Schedule(
        title=content.title,
        on=content.on,
        currency=options.currency,
        groups=groups_by(content.gathered, by_class if options.grouping is Grouping.CLASS else by_room),
        grouped_by=GROUP_HEADS[options.grouping],
        owner=options.owner,
        address=options.address,
        singles=_singles(content.gathered, options.single_limit),
        single_limit=options.single_limit,
        summary=(*summary_sentences(content.gathered, options, others=content.others), *set_sentences(content.sets)),
        method=method_sentences(content.gathered.added, options.basis),
        photographs=content.photographs,
        proof=content.proof,
        legend=legend_of(one.valued.copy for one in content.listed),
    )
    return _pages(schedule, options, content.gathered.added)


def lay_out_high_value(content: ScheduleContent, options: PaperOptions) -> PaperPages:
    """Set the high-value list on pages: what is at risk, and apart from it what is lost."""
    limit = amount_text(options.limit or Decimal(), options.currency)
    groups = (
        (say("Worth more than {limit} each", limit=limit), [line for line in content.lines if not line.lost]),
        (
            say("{lost}; were worth more than {limit} each", lost=lost_group().name, limit=limit),
            [line for line in content.lines if line.lost],
        ),
    )
    schedule = Schedule(
        title=content.title,
        on=content.on,
        currency=options.currency,
        groups=tuple(ScheduleGroup(name=name, lines=tuple(of)) for name, of in groups if of),
        grouped_by=term("Part"),
        owner=options.owner,
        address=options.address,
        summary=(
            how_many_sentence(content.gathered, [one.line for one in content.listed]),
            *unconverted_sentences(content.gathered.added),
            *damaged_sentences(content.gathered),
        ),
        method=method_sentences(content.gathered.added, options.basis),
        photographs=content.photographs,
        proof=content.proof,
        legend=legend_of(one.valued.copy for one in content.listed),
    )
    return _pages(schedule, options, content.gathered.added)


def copies_on_schedule(content: ScheduleContent) -> Iterable[str]:
    """Return the own numbers of the copies listed."""
    return (one.line.number for one in content.listed)


def tabulate_schedule(content: ScheduleContent, _options: PaperOptions) -> PaperTable:
    """Set a schedule in a table, a row for each copy and for each set that counts once.

    A copy without a value has an empty cell, never a zero; one whose value cannot be converted has it in the currency
    it was recorded in. Sums are split by currency, by basis, and by what is at risk and what is lost.
    """
    rows = (
        (
            line.number,
            line.title,
            line.more,
            line.isbn,
            line.publisher,
            line.year,
            line.condition,
            line.where,
            Money(line.amount, line.currency) if line.amount is not None else None,
            line.currency if line.amount is not None else "",
            say(line.basis.value) if line.basis is not None else "",
            say("lost") if line.lost else say("at risk"),
            line.recorded,
            line.valued_on,
            line.note,
        )
        for line in content.lines
    )
    return PaperTable(
        title=content.title,
        header=HEADER,
        rows=rows,
        totals={"Value": ("Currency", "Basis", "Counts as")},
        proof=content.proof,
        notices=notices_of(content.gathered.added.missing),
    )


def _on_another_basis(source: PaperSource, options: PaperOptions, gathered: Gathered) -> int:
    """Count the copies at risk without a value on the basis of the list that have one on another."""
    if options.basis is None:
        return 0
    valued = latest_valuations(source.reader)
    return sum(copy in valued for copy in gathered.added.at_risk.unvalued)


def _check_amounts(options: PaperOptions) -> None:
    named = (("Limit", options.limit), ("Single-article limit", options.single_limit), ("Sum insured", options.insured))
    for name, amount in named:
        if amount is not None:
            check_amount(name, amount, options.currency)


def _pages(schedule: Schedule, options: PaperOptions, added: ValueTotal) -> PaperPages:
    pages = schedules.lay_out(schedule, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(
        title=schedule.title,
        pages=pages,
        author=schedule.owner,
        proof=schedule.proof,
        notices=notices_of(added.missing),
    )


def _photographs(source: PaperSource, options: PaperOptions, listed: Iterable[ScheduledCopy]) -> tuple[Photograph, ...]:
    """Return the photographs of these copies ready for print, in their order; none where the paper shows none."""
    if options.no_photographs or source.form is not PaperFormat.PDF:
        return ()
    titles = {one.line.number: one.line.title for one in listed}
    pictures = pictures_of_copies(source.reader, titles.keys())
    return photographs_of(source, (one for copy in titles for one in pictures.get(copy, ())), titles)


def _worth_more(gathered: Gathered, limit: Decimal) -> tuple[ScheduledCopy, ...]:
    """Return what is worth more than a limit by itself, the dearest first, equal ones by their numbers."""
    by_number = {one.line.number: one for one in gathered.listed}
    return tuple(by_number[worth.copy] for worth in above_single_limit(gathered.added.worths, limit))


def _singles(gathered: Gathered, limit: Decimal | None) -> tuple[ScheduleLine, ...]:
    """Return the single articles at risk: sets that count as a whole, then copies that count by themselves."""
    if limit is None:
        return ()
    sets = [one.line for one in gathered.sets if _is_above(one.worth.amount, limit)]
    copies = [one.line for one in _worth_more(gathered, limit) if not one.line.in_set]
    return tuple(line for line in (*sets, *copies) if not line.lost)


def _is_above(amount: Decimal | None, limit: Decimal) -> bool:
    return amount is not None and amount > limit
