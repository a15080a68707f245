"""The few facts about a copy that need a person: printing, binding, jacket, wrap, condition by part.

All are optional: a copy of which nothing was said stays 'not yet inspected'. Each saving is one ledger entry, and can
be taken back as one.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.editions import printings_of
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Provisional, made
from intake.model.condition import ConditionReport, Occasion, join_parts, report_of, split_parts
from intake.model.editions import Copy, CopyState, Covering, Edition, Finish, Grade, Printing, Sewing
from intake.valuing.condition import doubtful_grade, occasion_of
from intake.valuing.number_line import parse_number_line as parse_line


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What a person saw. A field that is None was not looked at and leaves the record as it is.

    Attributes:
        number_line: the printer's key as printed.
        binding: of the edition.
        sewing, covering, finish, slipcase: of this copy.
        parts: defects by part of the book, in words; an empty text takes earlier words away.
    """

    grade: Grade | None = None
    jacket: Grade | None = None
    has_jacket: bool | None = None
    wrapped: bool | None = None
    number_line: str | None = None
    binding: str | None = None
    sewing: Sewing | None = None
    covering: Covering | None = None
    finish: Finish | None = None
    slipcase: bool | None = None
    parts: Mapping[str, str] = field(default_factory=dict)
    note: str | None = None


@dataclass(frozen=True, slots=True)
class FactsPlan:
    """What is to be recorded of a copy: the copy as it will be, with provisional keys, and the changes."""

    after: Copy
    changes: tuple[Change, ...]


def plan_facts(records: LibraryReader, copy: Copy, facts: Facts, *, station: str) -> FactsPlan:
    """Plan what a person saw of a copy.

    Raises:
        RefusedError: its condition is given while it is missing, or its printing would be replaced by a number line
            that states none.
    """
    new = Provisional()
    edition = records.get(Edition, copy.edition_id)
    printing_id, changes = plan_printing(records, copy, facts.number_line or "", new)
    after = replace(_with_facts(copy, facts), printing_id=printing_id)
    if edition is not None and facts.binding is not None and facts.binding != edition.binding:
        changes = (*changes, Change(edition, replace(edition, binding=facts.binding)))
    if after != copy:
        report = _report(copy, after, station, new)
        if report:
            check_here(copy, occasion_of(after))
        changes = (*changes, Change(copy, after), *report)
    return FactsPlan(after, changes)


def apply_facts(
    library: Library, plan: FactsPlan, *, station: str, request: str | None
) -> tuple[Copy, LedgerEntry | None]:
    """Record what was planned.

    Returns:
        The copy as it now is, and the ledger entry; no entry where the facts say nothing new.
    """
    after = plan.after
    if not plan.changes:
        return after, None
    applied = library.apply(Action(ActionKind.INSPECT_COPY, after.accession, station, request), plan.changes)
    if after.printing_id is not None:
        after = replace(after, printing_id=applied.key(after.printing_id))
    return after, applied.entry


def question_about(seen: Copy | ConditionReport) -> str:
    """Return what to ask the person about a grade that the stated defects contradict; empty where nothing."""
    return doubtful_grade(seen)


def check_here(copy: Copy, occasion: Occasion) -> None:
    """Refuse an inspection, other than one of before the move, of a copy that nobody has.

    Raises:
        RefusedError: it is recorded as missing.
    """
    if copy.state is CopyState.MISSING and occasion is not Occasion.BEFORE:
        why = f"is recorded as missing{f' from box {copy.box}' if copy.box else ''}, so nobody can have looked at it"
        remedy = "if it turned up, unpack it first; a report of before the move says so by its occasion"
        raise RefusedError(f"Copy {copy.accession}", why, remedy)


def _report(before: Copy, after: Copy, station: str, new: Provisional) -> tuple[Change, ...]:
    """Keep what was seen as a dated report too, where it says anything new of the condition."""
    stated = (after.grade, after.jacket, after.has_jacket, after.wrapped, after.condition)
    if stated == (before.grade, before.jacket, before.has_jacket, before.wrapped, before.condition):
        return ()
    return made(report_of(after, new.id(), at=clock.now(), occasion=occasion_of(after), station=station))


def _with_facts(copy: Copy, facts: Facts) -> Copy:
    parts = {**split_parts(copy.condition), **{part: words for part, words in facts.parts.items() if part}}
    return replace(
        copy,
        grade=facts.grade or copy.grade,
        jacket=None if facts.has_jacket is False else facts.jacket or copy.jacket,
        has_jacket=copy.has_jacket if facts.has_jacket is None else facts.has_jacket,
        wrapped=copy.wrapped if facts.wrapped is None else facts.wrapped,
        sewing=facts.sewing or copy.sewing,
        covering=facts.covering or copy.covering,
        finish=facts.finish or copy.finish,
        slipcase=copy.slipcase if facts.slipcase is None else facts.slipcase,
        condition=join_parts(parts),
        note=copy.note if facts.note is None else facts.note,
    )


def plan_printing(
    records: LibraryReader, copy: Copy, number_line: str, new: Provisional
) -> tuple[int | None, tuple[Change, ...]]:
    """Return the printing that the line means, made anew where the library has none, and what that changes.

    Raises:
        RefusedError: the line states no printing, and the copy's is known.
    """
    if not number_line.strip():
        return copy.printing_id, ()
    known = printings_of(records, copy.edition_id)
    line = parse_line(number_line)
    ordinal = line.printing
    for printing in known:
        if _folded(printing.number_line) == _folded(number_line):
            return printing.id, ()
    for printing in known:
        if ordinal is not None and printing.ordinal == ordinal:
            return printing.id, ()
    present = next((printing for printing in known if printing.id == copy.printing_id), None)
    if ordinal is None and present is not None and present.ordinal is not None:
        remedy = f"correct it, or leave it out: copy {copy.accession} stays printing {present.ordinal}"
        raise RefusedError(f"The number line {number_line!r}", line.why, remedy)
    made_now = Printing(id=new.id(), edition_id=copy.edition_id, ordinal=ordinal, number_line=number_line)
    return made_now.id, made(made_now)


def _folded(number_line: str) -> str:
    return " ".join(number_line.split()).casefold()
