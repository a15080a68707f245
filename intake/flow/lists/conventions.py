"""The decimal mark, order of days and unit of each column: proved by its cells, told by the other columns, or asked.

A cell that can be read in one way only is read so; a column that mixes such cells is told. For those that can be read
in two ways, a person's word comes first; then what the other cells of the column prove; where they prove nothing, what
the other columns of the file prove; then the person is asked.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import TypeVar

from intake.errors import UsageError
from intake.flow.lists.column_survey import NUMERIC, ColumnSurvey, ConventionEvidence
from intake.flow.lists.field_forms import UNITS, FieldForm, form_of, own_unit
from intake.flow.lists.guess_words import unanswered
from intake.flow.lists.list_guess import (
    ChooseReading,
    ColumnReading,
    ListQuestion,
    ListReading,
    QuestionKind,
    QuestionOption,
    Remark,
    Sample,
)
from intake.flow.lists.plausible_sizes import is_usual
from intake.flow.lists.size_orders import SizeOrder
from intake.flow.lists.told_by_cells import is_hint
from intake.flow.lists.written_sizes import order_shown
from intake.model.currencies import currency_codes
from intake.units.advice import advice
from intake.units.written_days import DayOrder
from intake.units.written_numbers import DecimalMark

Choice = TypeVar("Choice", DecimalMark, DayOrder)

OFFERED = {
    **dict.fromkeys((FieldForm.LENGTH, FieldForm.SIZES), ("mm", "cm", "in", "m")),
    FieldForm.MASS: ("g", "kg", "lb", "oz"),
}

CATALOG, NUMBER = "editions", "number"
TEXTS = ("condition", "note")
"""Fields of a list of copies that keep any text."""


class Conventions:
    """Decides how the columns of one list are read.

    Args:
        surveys: of the columns of the list.
        reading: what the person has said.
        choose: asks the person.
        file: name of the file.
        kind: of the list.
    """

    def __init__(
        self, surveys: Sequence[ColumnSurvey], reading: ListReading, choose: ChooseReading, *, file: str, kind: str
    ) -> None:
        self._surveys = surveys
        self._reading = reading
        self._choose = choose
        self._file = file
        self._kind = kind
        used = {survey.guess.field for survey in surveys}
        self._spare = next((field for field in TEXTS if field not in used), "")
        self._told_units: dict[FieldForm, str] = {}
        _check_units(reading.units, {survey.guess.field for survey in surveys}, file)

    def decide(self) -> tuple[ColumnReading, ...]:
        """Return how each column is read.

        Raises:
            FileError: something has to be asked, and nobody answers.
            UsageError: a unit was given that its field does not have.
        """
        return tuple(self._column(survey) for survey in self._surveys)

    def _column(self, survey: ColumnSurvey) -> ColumnReading:
        remarks = dict(survey.remarks)
        decimals, days, unit = None, None, ""
        if survey.form in NUMERIC:
            others = [other.decimals for other in self._surveys if other is not survey]
            decimals, borrowed = self._convention(
                survey, survey.decimals, others, self._reading.decimals, QuestionKind.DECIMALS, DecimalMark
            )
            _note_mixture(survey.decimals, decimals, Remark.DECIMALS_MIXED, remarks)
            if borrowed is not None:
                remarks[Remark.DECIMALS_OF_OTHERS] = borrowed
        if survey.form is FieldForm.DAY:
            orders = [other.days for other in self._surveys if other is not survey]
            days, borrowed = self._convention(
                survey, survey.days, orders, self._reading.dates, QuestionKind.DATES, DayOrder
            )
            _note_mixture(survey.days, days, Remark.DATES_MIXED, remarks)
            if borrowed is not None:
                remarks[Remark.DATES_OF_OTHERS] = borrowed
        if survey.form in UNITS and survey.bare is not None:
            unit, is_assumed = self._unit(survey, survey.bare, decimals or DecimalMark.POINT)
            if is_assumed:
                remarks[Remark.UNIT_ASSUMED] = survey.bare
        fields, counts = survey.fields, survey.counts
        if self._is_of_numbers(survey):
            fields, counts = (*fields, NUMBER), {**counts, **_note_keys(survey, remarks)}
        counts = {**counts, **self._note_grades(survey, remarks)}
        order = None
        if survey.form is FieldForm.SIZES:
            order, is_assumed = self._size_order(survey)
            if is_assumed and survey.first_sizes is not None:
                remarks[Remark.ORDER_ASSUMED] = survey.first_sizes
        return ColumnReading(
            survey.guess,
            survey.filled,
            fields,
            decimals,
            days,
            unit,
            order=order,
            remarks=remarks,
            counts=counts,
            words=survey.words,
            spare=self._spare,
            currencies=survey.currencies,
        )

    def _note_grades(self, survey: ColumnSurvey, remarks: dict[Remark, Sample]) -> Mapping[Remark, int]:
        """Note that most texts of a column are grades, where no column is that of the grades; return how many."""
        has_grades = any(other.form is FieldForm.GRADE for other in self._surveys)
        if has_grades:
            return {}
        if not is_hint(survey.guess.field, survey.of_other, survey.filled):
            return {}
        remarks[Remark.GRADES_AS_TEXT] = (min(survey.rest.values()), ", ".join(map(repr, survey.rest)))
        return {Remark.GRADES_AS_TEXT: survey.of_other}

    def _is_of_numbers(self, survey: ColumnSurvey) -> bool:
        """Return whether a catalog's column of keys is that of its numbers too, for no other has any."""
        return (
            self._kind == CATALOG
            and survey.form is FieldForm.EDITION_NAME
            and NUMBER not in self._reading.mapping
            and not any(other.guess.field == NUMBER and other.filled for other in self._surveys)
            and survey.keys.is_of_numbers(survey.filled)
        )

    def _size_order(self, survey: ColumnSurvey) -> tuple[SizeOrder, bool]:
        """Return the order of several sizes in a cell, and whether nobody has told it."""
        if told := self._reading.size_order or survey.guess.order:
            return told, False
        if shown := order_shown(survey.sizes):
            return shown, True
        sample = (survey.first_sizes,) if survey.first_sizes is not None else ()
        options = tuple(QuestionOption(order.value, sample) for order in SizeOrder)
        question = ListQuestion(QuestionKind.SIZE_ORDER, self._file, survey.guess.heading, survey.guess.field, options)
        return SizeOrder(self._ask(question)), False

    def _convention(
        self,
        survey: ColumnSurvey,
        evidence: ConventionEvidence[Choice],
        others: Sequence[ConventionEvidence[Choice]],
        told: Choice | None,
        kind: QuestionKind,
        choices: type[Choice],
    ) -> tuple[Choice | None, Sample | None]:
        """Return the convention of a column, and the cell that is read as other columns are; each may be None."""
        sole = next(iter(evidence.sure)) if len(evidence.sure) == 1 else None
        if evidence.doubtful is None:
            return sole, None
        if told is not None or sole is not None:
            return told or sole, None
        elsewhere = {choice for other in others for choice in other.sure}
        if not evidence.sure and len(elsewhere) == 1:
            return elsewhere.pop(), evidence.doubtful
        options = tuple(QuestionOption(choice.value, (evidence.doubtful,)) for choice in choices)
        return choices(
            self._ask(ListQuestion(kind, self._file, survey.guess.heading, survey.guess.field, options))
        ), None

    def _unit(self, survey: ColumnSurvey, bare: Sample, mark: DecimalMark) -> tuple[str, bool]:
        """Return the unit of the numbers that have none, and whether nobody has told it."""
        field, form = survey.guess.field, survey.form
        if unit := self._reading.units.get(field, "").casefold() or survey.guess.unit:
            return unit, False
        middle = survey.middle(mark)
        stated = {other.guess.unit for other in self._surveys if other.form is form and other.guess.unit}
        fitting = [unit for unit in OFFERED[form] if middle is None or self._is_usual(field, middle, unit)]
        likely = [unit for unit in fitting if unit in {own_unit(field), *stated}]
        if len(likely) == 1:
            return likely[0], True
        if (told := self._told_units.get(form, "")) in fitting and told:
            return told, True
        units = list(dict.fromkeys((*likely, *fitting, *OFFERED[form])))
        options = tuple(QuestionOption(unit, (bare,)) for unit in units)
        answer = self._ask(ListQuestion(QuestionKind.UNIT, self._file, survey.guess.heading, field, options))
        self._told_units[form] = answer
        return answer, False

    def _is_usual(self, field: str, value: float, unit: str) -> bool:
        return is_usual(self._kind, field, value * UNITS[form_of(field)][unit])

    def _ask(self, question: ListQuestion) -> str:
        answer = self._choose(question)
        if answer is None:
            raise unanswered(question)
        return answer


def _note_mixture(
    evidence: ConventionEvidence[Choice], decided: Choice | None, remark: Remark, remarks: dict[Remark, Sample]
) -> None:
    """Note that a column mixes conventions, with a cell of each; `decided` is that of its cells in doubt."""
    read = dict(evidence.sure)
    if decided is not None and evidence.doubtful is not None:
        read.setdefault(decided, evidence.doubtful)
    if len(read) > 1:
        cells = sorted(read.values())
        remarks[remark] = (cells[0][0], ", ".join(f"{text} on line {line}" for line, text in cells))


def _note_keys(survey: ColumnSurvey, remarks: dict[Remark, Sample]) -> Mapping[Remark, int]:
    """Note which keys are taken as numbers and which are not; return how many."""
    keys = survey.keys
    if keys.first is not None:
        remarks[Remark.NUMBERS_IN_KEYS] = keys.first
    if keys.other is not None:
        remarks[Remark.KEYS_ALONE] = keys.other
    return {Remark.NUMBERS_IN_KEYS: keys.numbers, Remark.KEYS_ALONE: survey.filled - keys.numbers}


def _check_units(units: Mapping[str, str], fields: set[str], file: str) -> None:
    for field, unit in units.items():
        form = form_of(field)
        is_amount = form is FieldForm.AMOUNT
        known: Collection[str] = currency_codes() if is_amount else UNITS.get(form, {})
        if not known:
            raise UsageError(
                f"Field {field!r}", "has no unit", "give units of lengths and masses, and currencies of amounts, only"
            )
        if (unit.upper() if is_amount else unit.casefold()) not in known:
            names = "the three letters of a currency, such as EUR" if is_amount else f"one of {', '.join(known)}"
            raise UsageError(f"Unit {unit!r}", f"is not one that {field} has", f"use {names}")
        if field not in fields:
            raise UsageError(
                f"Field {field!r}",
                f"has no column in {file}",
                advice("name its column with --map", "say which column it is"),
            )
