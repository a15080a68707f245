"""What a person can say of a list before it is read, and how they are asked what the file does not tell."""

import sys
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, fields

import click

from intake.cli.context import CommandContext
from intake.errors import UsageError
from intake.flow.lists.field_forms import SOFT_WORDS
from intake.flow.lists.guess_words import guess_lines, option_words, question_words
from intake.flow.lists.list_guess import ListGuess, ListQuestion, ListReading
from intake.flow.lists.size_orders import SizeOrder
from intake.units.written_days import DayOrder
from intake.units.written_numbers import DecimalMark

ALL = "all"


def reading_options() -> list[click.Parameter]:
    """Return the options of every command that reads a list."""
    return [
        click.Option(
            ["--map", "pairs"],
            multiple=True,
            metavar="FIELD=HEADING",
            help='Name the column of a field, by its heading or as "column B"; FIELD= for none.',
        ),
        click.Option(
            ["--unit", "units"],
            multiple=True,
            metavar="FIELD=UNIT",
            help="Unit of a column's bare numbers, such as cm; of amounts the currency, as value=EUR.",
        ),
        click.Option(["--encoding"], default="", metavar="NAME", help="Encoding of a text file, such as cp1252."),
        click.Option(["--sheet"], default="", metavar="NAME", help="Sheet of a workbook; else the first with cells."),
        click.Option(
            ["--decimal"],
            type=click.Choice([mark.value for mark in DecimalMark]),
            help="What stands before the decimals.",
        ),
        click.Option(
            ["--dates"],
            type=click.Choice([order.value for order in DayOrder]),
            help="Whether day or month comes first.",
        ),
        click.Option(
            ["--size-order"],
            type=click.Choice([order.value for order in SizeOrder]),
            help="Order of several sizes in a cell: h height, w width, t thickness.",
        ),
        click.Option(
            ["--empty-bad-cells"],
            is_flag=True,
            help=f"Keep a row of which {SOFT_WORDS} (it is today then) cannot be read, and leave the cell empty.",
        ),
        click.Option(
            ["--leave-out", "leave_out"],
            multiple=True,
            metavar="LINE",
            help="Leave out a row that is none of the list.",
        ),
        click.Option(
            ["--as-is", "as_is"], multiple=True, metavar="LINE", help="Take an odd row as it is; 'all' for every one."
        ),
    ]


@dataclass(frozen=True, slots=True)
class ReadingArguments:
    """The values of `reading_options`, as the command line gives them."""

    pairs: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    encoding: str = ""
    sheet: str = ""
    decimal: str | None = None
    dates: str | None = None
    size_order: str | None = None
    as_is: tuple[str, ...] = ()
    leave_out: tuple[str, ...] = ()
    empty_bad_cells: bool = False

    @classmethod
    def taken_from(cls, arguments: dict[str, object]) -> "ReadingArguments":
        """Take its own values out of all those of a command."""
        return cls(**{field.name: arguments.pop(field.name) for field in fields(cls)})  # type: ignore[arg-type] # as click gives them

    def reading(self) -> ListReading:
        """Return what the person has said.

        Raises:
            UsageError: a pair or a line is not written as it should be.
        """
        lines, left_out = _listed(self.as_is), _listed(self.leave_out)
        return ListReading(
            mapping=_pairs(self.pairs, "--map", "number=EAN"),
            units=_pairs(self.units, "--unit", "height_mm=cm"),
            encoding=self.encoding,
            sheet=self.sheet,
            decimals=DecimalMark(self.decimal) if self.decimal else None,
            dates=DayOrder(self.dates) if self.dates else None,
            size_order=SizeOrder(self.size_order) if self.size_order else None,
            as_is=_lines(lines - {ALL}, "--as-is"),
            all_as_is=ALL in lines,
            leave_out=_lines(left_out, "--leave-out"),
            empty_bad_cells=self.empty_bad_cells,
        )


@dataclass(frozen=True, slots=True)
class ListPerson:
    """The person at the command line, who sees what is guessed and answers what is asked."""

    context: CommandContext
    file: str
    show_all: bool = False

    def show(self, guess: ListGuess) -> None:
        """Show what was guessed of a list."""
        for line in guess_lines(self.file, guess, show_all=self.show_all):
            self.context.say(line)

    def choose(self, question: ListQuestion) -> str | None:
        """Ask, where a person is there to answer."""
        if not sys.stdin.isatty():
            return None
        self.context.say(question_words(question))
        for nth, option in enumerate(question.options, start=1):
            self.context.say(f"  {nth}  {option_words(question, option)}")
        answer: int = click.prompt("Which (0 for none of them)", type=click.IntRange(0, len(question.options)))
        return question.options[answer - 1].value if answer else None


def _listed(values: Sequence[str]) -> set[str]:
    return {text.strip() for value in values for text in value.split(",")}


def _lines(texts: Collection[str], option: str) -> frozenset[int]:
    if bad := next((text for text in texts if not text.isdecimal()), None):
        raise UsageError(f"{option} {bad!r}", "is not a line of the file", f"write for example {option} 14")
    return frozenset(map(int, texts))


def _pairs(texts: Sequence[str], option: str, example: str) -> Mapping[str, str]:
    pairs = {}
    for text in texts:
        field, equals, value = text.partition("=")
        if not equals or not field.strip():
            raise UsageError(
                f"{option} {text!r}", "is not of the form FIELD=…", f"write for example {option} {example}"
            )
        pairs[field.strip()] = value.strip()
    return pairs
