"""The insurance schedule and the high-value list, as PDF, workbook or CSV, each with its proof."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from intake.documents import schedules
from intake.edges import fonts, pdf, sheets
from intake.edges.store.library import Library
from intake.edges.store.queries.condition import copy_pictures
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.papers.print_photographs import photographs_of
from intake.flow.papers.proofs import ALL, over, proof_now
from intake.flow.papers.schedule_lines import (
    Gathered,
    ScheduledCopy,
    by_class,
    by_room,
    estimate_sums,
    gather,
    groups_by,
)
from intake.flow.values.exchange_rates import currency_code
from intake.flow.values.value_copies import set_states
from intake.model.condition import CopyPicture
from intake.model.currencies import amount_text
from intake.model.pages import Page, PrintReport
from intake.model.papers import A4_MM
from intake.model.schedules import Photograph, Schedule, ScheduleGroup, ScheduleLine
from intake.model.valuations import Basis
from intake.valuing import proof as proof_words
from intake.valuing.condition import MEANINGS
from intake.valuing.insurance import above_single_limit, apply_average
from intake.valuing.sets import SetState
from intake.valuing.totals import ROUNDING, ValueTotal

SUFFIXES = (".pdf", ".xlsx", ".csv")
NAMED = 12
"""Copies named in one sentence; more are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleRequest:
    """How a valued list is wanted.

    Attributes:
        currency: of all totals.
        on: the day of the list.
        rates_on: the day of the rates; None for that of the list.
        basis: the basis whose latest values count; None for the latest on any.
        by_class: grouped by class instead of by room.
        single_limit: what is worth more is listed by itself.
        insured: the sum insured, to hold the value against.
        photographs: whether photographs are printed.
    """

    currency: str
    on: date
    owner: str = ""
    address: str = ""
    basis: Basis | None = None
    by_class: bool = False
    rates_on: date | None = None
    single_limit: Decimal | None = None
    insured: Decimal | None = None
    photographs: bool = True
    paper_mm: tuple[float, float] = A4_MM


def print_insurance(library: Library, path: Path, wanted: ScheduleRequest) -> PrintReport:
    """Write the insurance schedule of all copies.

    Raises:
        UsageError: the file's name ends in none of .pdf, .xlsx and .csv; the currency is none.
        RefusedError: there is no copy.
    """
    with library.reading() as records:
        gathered = _gather(records, wanted)
        proof = proof_now(records, "insurance schedule", ALL, basis=wanted.basis, on=wanted.on)
        words = proof_words.to_text(proof)
        if path.suffix.casefold() != ".pdf":
            return save_table(path, [one.line for one in gathered.listed], wanted.currency, words, "Insurance schedule")
        limit = wanted.single_limit
        singles = [] if limit is None else _worth_more(gathered, limit)
        schedule = Schedule(
            title="Insurance schedule",
            on=wanted.on,
            currency=wanted.currency,
            groups=groups_by(gathered.listed, by_class if wanted.by_class else by_room),
            grouped_by="class" if wanted.by_class else "room",
            owner=wanted.owner,
            address=wanted.address,
            singles=tuple(one.line for one in singles),
            single_limit=limit,
            summary=(*_summary(gathered, wanted), *_set_sentences(set_states(records))),
            method=method_sentences(gathered.added, wanted.basis),
            photographs=_photographs(library, records, gathered.listed) if wanted.photographs else (),
            proof=words,
        )
    return save_schedule(path, schedule, wanted.paper_mm)


def print_high_value(library: Library, path: Path, wanted: ScheduleRequest) -> PrintReport:
    """Write the list of the copies that are each worth more than `wanted.single_limit`, the dearest first.

    Raises:
        UsageError: see `print_insurance`; no limit was named.
        RefusedError: no copy is worth more.
    """
    limit = wanted.single_limit
    if limit is None or limit < 0:
        raise UsageError("The high-value list", "needs the amount above which a copy is on it", "name it")
    with library.reading() as records:
        gathered = _gather(records, wanted)
        dear = _worth_more(gathered, limit)
        if not dear:
            said = amount_text(limit, wanted.currency)
            raise RefusedError("The high-value list", f"would be empty: no copy is worth more than {said}", "lower it")
        scope = over(limit, wanted.currency, wanted.rates_on or wanted.on)
        words = proof_words.to_text(proof_now(records, "high-value list", scope, basis=wanted.basis, on=wanted.on))
        if path.suffix.casefold() != ".pdf":
            return save_table(path, [one.line for one in dear], wanted.currency, words, "High-value list")
        group = ScheduleGroup(
            name=f"Worth more than {amount_text(limit, wanted.currency)} each", lines=tuple(one.line for one in dear)
        )
        schedule = Schedule(
            title="High-value list",
            on=wanted.on,
            currency=wanted.currency,
            groups=(group,),
            owner=wanted.owner,
            address=wanted.address,
            summary=(f"{len(dear)} of {len(gathered.listed)} copies; those without a value cannot be on this list.",),
            method=method_sentences(gathered.added, wanted.basis),
            photographs=_photographs(library, records, dear) if wanted.photographs else (),
            proof=words,
        )
    return save_schedule(path, schedule, wanted.paper_mm)


def save_schedule(path: Path, schedule: Schedule, paper_mm: tuple[float, float]) -> PrintReport:
    """Lay out a schedule and save it as PDF."""
    pages = schedules.lay_out(schedule, measure=fonts.measure, paper_mm=paper_mm)
    return save_pages(path, pages, schedule.title, schedule.proof, author=schedule.owner)


def save_pages(path: Path, pages: list[Page], title: str, proof: str, *, author: str = "") -> PrintReport:
    """Save pages as PDF, with the words of the proof where `verify` looks for them."""
    return pdf.save(pages, path, title=title, author=author, subject=proof)


HEADER = ("Copy", "Title", "More", "Condition", "Where", "Value", "Currency", "As recorded", "Valued on",
          "Note", "Proof")  # fmt: skip


def save_table(path: Path, lines: list[ScheduleLine], currency: str, proof: str, title: str) -> PrintReport:
    """Save lines as a workbook or as CSV; the words of the proof stand in the last column of the first row."""
    check_suffix(path)
    rows = [
        (line.number, line.title, line.more, line.condition, line.where, line.amount,
         currency if line.amount is not None else "", line.recorded, line.valued_on, line.note, "" if nth else proof)
        for nth, line in enumerate(lines)
    ]  # fmt: skip
    if path.suffix.casefold() == ".csv":
        sheets.save_csv(path, HEADER, rows)
    else:
        without = [row[:-1] for row in rows]
        sheets.save_xlsx(path, HEADER[:-1], without, title=title, totals={"Value": "Currency"}, proof=proof)
    return PrintReport(pages=1)


def check_suffix(path: Path) -> None:
    """Refuse a file name that does not say which kind of file is wanted.

    Raises:
        UsageError: it ends in none of .pdf, .xlsx and .csv.
    """
    if path.suffix.casefold() not in SUFFIXES:
        raise UsageError(str(path), "does not say what kind of file it is to be", "end its name in .pdf, .xlsx or .csv")


def method_sentences(added: ValueTotal, basis: Basis | None) -> tuple[str, ...]:
    """Say how the figures of a list were made."""
    which = f"the latest {basis.value} value" if basis else "the latest value on any basis"
    rates = f"Rates on {added.on.isoformat()}: {'; '.join(added.rates)}." if added.rates else ""
    first = f"For each copy {which} counts; its basis, source and day stand beside it."
    grades = "; ".join(f"{grade.value}: {meaning}" for grade, meaning in MEANINGS.items())
    return tuple(filter(None, (first, rates, ROUNDING, f"Grades, book/jacket. {grades}.")))


def _gather(records: LibraryReader, wanted: ScheduleRequest) -> Gathered:
    code = currency_code(wanted.currency)
    gathered = gather(records, currency=code, on=wanted.rates_on or wanted.on, basis=wanted.basis)
    if not gathered.listed:
        raise RefusedError("The library", "holds no copy, so there is nothing to list", "import or pack copies first")
    return gathered


def _summary(gathered: Gathered, wanted: ScheduleRequest) -> list[str]:
    """Say what the total leaves out, and how the sum insured stands to it."""
    added, code = gathered.added, wanted.currency
    said: list[str] = []
    if gathered.estimates:
        low, high = (amount_text(amount, code) for amount in estimate_sums(gathered))
        said.append(f"{_copies(len(gathered.estimates))} without a value: by like copies {low} to {high}, in no total.")
    if gathered.alone:
        said.append(f"{_copies(len(gathered.alone))} without a value and without enough like copies: not estimated.")
    if added.unconverted:
        whys = sorted({one.why for one in added.worths if one.valuation is not None and one.amount is None})
        named = ", ".join(added.unconverted[:NAMED]) + (" …" if len(added.unconverted) > NAMED else "")
        said.append(f"Could not be included, for want of a rate: {named} ({'; '.join(whys)}).")
    if wanted.insured is not None and added.amount > 0:
        said += _insured(added, wanted.insured)
    return said


def _insured(added: ValueTotal, insured: Decimal) -> list[str]:
    """Hold the sum insured against the value, with what a loss of a tenth would pay under average."""
    loss = (added.amount / 10).quantize(added.amount) if added.amount >= 10 else added.amount
    worked = apply_average(loss=loss, insured=insured, at_risk=added.amount, currency=added.currency)
    if not worked.underinsured:
        return [f"{worked.working[0]}: the sum insured covers what has a value here."]
    tenth = f"Under the condition of average a loss of {amount_text(loss, added.currency)} would pay"
    return [f"{worked.working[0]}: underinsured.", f"{tenth} {worked.working[1]}."]


def _set_sentences(states: tuple[SetState, ...]) -> list[str]:
    said: list[str] = []
    for one in states:
        lacks = f"lacks volume {', '.join(one.gaps)}" if one.gaps else ""
        twice = f"volume {', '.join(one.doubles)} more than once" if one.doubles else ""
        boxed = ", ".join(f"{name} in {box}" for name, box in one.boxed.items())
        still = f"still boxed: {boxed}" if boxed else ""
        if words := "; ".join(filter(None, (lacks, twice, still))):
            said.append(f"Set “{one.set.title}”: {words}.")
    return said


def _photographs(library: Library, records: LibraryReader, listed: Iterable[ScheduledCopy]) -> tuple[Photograph, ...]:
    """Make the photographs of these copies ready, in their order."""
    titles = {one.copy.accession: one.line.title for one in listed}
    shown: dict[str, list[CopyPicture]] = {}
    for picture in copy_pictures(records):
        if picture.copy in titles:
            shown.setdefault(picture.copy, []).append(picture)
    return photographs_of(library, records, (one for copy in titles for one in shown.get(copy, ())), titles)


def _worth_more(gathered: Gathered, limit: Decimal) -> list[ScheduledCopy]:
    """List what is worth more than a limit, the dearest first, equal ones by their numbers."""
    by_copy = {one.copy.accession: one for one in gathered.listed}
    return [by_copy[worth.copy] for worth in above_single_limit(gathered.added.worths, limit)]


def _copies(count: int) -> str:
    return "1 copy" if count == 1 else f"{count} copies"
