"""What papers and pages say of a copy beside its edition: condition, printing, binding, value as recorded."""

from collections.abc import Iterable

from intake.model.condition import ConditionReport
from intake.model.currencies import amount_text
from intake.model.editions import Copy, Printing
from intake.model.sightings import ReadingMethod, methods_in
from intake.model.valuations import SetValue, Valuation
from intake.units.language import say, spoken, term
from intake.units.local_forms import day_text
from intake.valuing.condition import GRADE_LETTERS, MEANINGS, UNOPENED, damage_words, defect_words, grade_words


def condition_words(copy: Copy, damage: str | None = None) -> str:
    """Write the condition as the trade does: book over jacket, then what is always stated.

    Nothing is claimed of a copy that was not inspected; damage seen as it came out of its box is stated.
    """
    grade = grade_words(copy.grade, copy.jacket, has_jacket=copy.has_jacket)
    wrapped = say("wrapped, unopened") if copy.wrapped else ""
    return "; ".join(part for part in (grade, wrapped, defect_words(copy.condition), damage_words(damage)) if part)


def legend_of(graded: Iterable[Copy | ConditionReport]) -> tuple[str, ...]:
    """Return what the letters mean by which copies are graded, in records or reports, of those that are used."""
    used = {grade for one in graded for grade in (one.grade, one.jacket) if grade}
    names = {grade: ", ".join(dict.fromkeys((GRADE_LETTERS[grade], say(grade.value)))) for grade in used}
    return tuple(f"{names[grade]}: {say(MEANINGS[grade])}." for grade in MEANINGS if grade in used)


def report_words(report: ConditionReport) -> str:
    """Write a condition report in one cell: grades, defects, note, day."""
    return "; ".join(
        filter(None, (grades_seen(report), defect_words(report.condition), report.note, day_text(report.at.date())))
    )


def grades_seen(report: ConditionReport | None) -> str:
    """Write the grades of a report, book over jacket; say so where there is no report or nothing was opened."""
    if report is None:
        return say("no report")
    return say(UNOPENED) if report.wrapped else grade_words(report.grade, report.jacket, has_jacket=report.has_jacket)


def recorded_words(value: Valuation | SetValue) -> str:
    """Write a value of a copy or a set as it was recorded: amount, basis, source, day."""
    words = (amount_text(value.amount, value.currency), say(value.basis.value), value.source, day_text(value.on))
    return ", ".join(filter(None, words))


_ORDINALS = {
    "st": term("{number}st printing"),
    "nd": term("{number}nd printing"),
    "rd": term("{number}rd printing"),
    "th": term("{number}th printing"),
}


def printing_words(printing: Printing | None) -> str:
    """Write which printing a copy is of ("2nd printing"); empty where that is unknown.

    >>> printing_words(Printing(id=1, edition_id=1, ordinal=12))
    '12th printing'
    """
    if printing is None or printing.ordinal is None:
        return ""
    tens = printing.ordinal % 100 in (11, 12, 13)
    form = _ORDINALS["th"] if tens else _ORDINALS[{1: "st", 2: "nd", 3: "rd"}.get(printing.ordinal % 10, "th")]
    return say(form, number=printing.ordinal)


def binding_words(copy: Copy) -> str:
    """Write how a copy is bound and boxed, as far as that is recorded."""
    case = {True: say("slipcase"), False: say("lacks slipcase"), None: ""}[copy.slipcase]
    bound = (say(part.value) for part in (copy.sewing, copy.covering, copy.finish) if part)
    return ", ".join(filter(None, (*bound, case)))


def methods_words(methods: str) -> str:
    """Write what a sighting came from; of one that this program does not know the name as it is kept.

    >>> methods_words("zxing person")
    'zxing person'
    """
    between = " " if spoken() is None else ", "
    return between.join(
        say(method.value) if isinstance(method, ReadingMethod) else method for method in methods_in(methods)
    )


def signed_words(copy: Copy) -> str:
    """Write by whom a copy is signed and which number of a limited edition it is; empty for neither."""
    signed = say("signed: {by}", by=copy.signed) if copy.signed else ""
    number = say("number {number}", number=copy.limitation) if copy.limitation else ""
    return ", ".join(filter(None, (signed, number)))
