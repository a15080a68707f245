"""What papers and pages say of a copy beside its edition: condition, printing, binding, value as recorded."""

from collections.abc import Iterable

from intake.model.condition import ConditionReport
from intake.model.currencies import amount_text
from intake.model.editions import Copy, Printing
from intake.model.valuations import SetValue, Valuation
from intake.valuing.condition import GRADE_LETTERS, MEANINGS, UNOPENED, grade_words


def condition_words(copy: Copy, damage: str | None = None) -> str:
    """Write the condition as the trade does: book over jacket, then what is always stated.

    Nothing is claimed of a copy that was not inspected; damage seen as it came out of its box is stated.
    """
    grade = grade_words(copy.grade, copy.jacket, has_jacket=copy.has_jacket)
    wrapped = "wrapped, unopened" if copy.wrapped else ""
    return "; ".join(part for part in (grade, wrapped, copy.condition, damage_words(damage)) if part)


def legend_of(graded: Iterable[Copy | ConditionReport]) -> tuple[str, ...]:
    """Return what the letters mean by which copies are graded, in records or reports, of those that are used."""
    used = {grade for one in graded for grade in (one.grade, one.jacket) if grade}
    return tuple(f"{GRADE_LETTERS[grade]}, {grade.value}: {MEANINGS[grade]}." for grade in MEANINGS if grade in used)


def damage_words(damage: str | None) -> str:
    """Write what was recorded of the damage as a copy came out of its box; empty for None.

    >>> damage_words("wet throughout")
    'came damaged: wet throughout'
    """
    return "" if damage is None else f"came damaged: {damage or 'not described'}"


def report_words(report: ConditionReport) -> str:
    """Write a condition report in one cell: grades, defects, note, day."""
    return "; ".join(filter(None, (grades_seen(report), report.condition, report.note, report.at.date().isoformat())))


def grades_seen(report: ConditionReport | None) -> str:
    """Write the grades of a report, book over jacket; say so where there is no report or nothing was opened."""
    if report is None:
        return "no report"
    return UNOPENED if report.wrapped else grade_words(report.grade, report.jacket, has_jacket=report.has_jacket)


def recorded_words(value: Valuation | SetValue) -> str:
    """Write a value of a copy or a set as it was recorded: amount, basis, source, day."""
    words = (amount_text(value.amount, value.currency), value.basis.value, value.source, value.on.isoformat())
    return ", ".join(filter(None, words))


def printing_words(printing: Printing | None) -> str:
    """Write which printing a copy is of ("2nd printing"); empty where that is unknown.

    >>> printing_words(Printing(id=1, edition_id=1, ordinal=12))
    '12th printing'
    """
    if printing is None or printing.ordinal is None:
        return ""
    tens = printing.ordinal % 100 in (11, 12, 13)
    ending = "th" if tens else {1: "st", 2: "nd", 3: "rd"}.get(printing.ordinal % 10, "th")
    return f"{printing.ordinal}{ending} printing"


def binding_words(copy: Copy) -> str:
    """Write how a copy is bound and boxed, as far as that is recorded."""
    case = {True: "slipcase", False: "lacks slipcase", None: ""}[copy.slipcase]
    return ", ".join(filter(None, (copy.sewing, copy.covering, copy.finish, case)))


def signed_words(copy: Copy) -> str:
    """Write by whom a copy is signed and which number of a limited edition it is; empty for neither."""
    signed = f"signed: {copy.signed}" if copy.signed else ""
    number = f"number {copy.limitation}" if copy.limitation else ""
    return ", ".join(filter(None, (signed, number)))
