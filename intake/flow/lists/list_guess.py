"""What a person says of a list, what is guessed of it, and what has to be asked: data, for `guess_words` to word."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum, auto

from intake.edges.exchange.table_cells import TableFacts
from intake.flow.lists.headings import ColumnGuess
from intake.flow.lists.size_orders import SizeOrder
from intake.units.written_days import DayOrder
from intake.units.written_numbers import DecimalMark


@dataclass(frozen=True, slots=True)
class ListReading:
    """What a person says of a list, so that it need not be guessed or asked.

    Attributes:
        mapping: field to heading; '' for a field that is to have no column.
        units: field to unit, for numbers without one.
        encoding: of a text file, by any usual name.
        sheet: of a workbook.
        decimals: what stands before the decimals.
        dates: whether day or month comes first.
        size_order: in which order several sizes stand in a cell.
        as_is: lines that are to be taken as they are, though they look odd.
        all_as_is: whether all are.
        leave_out: lines that are none of the list.
        empty_bad_cells: whether cells that a record can do without are left empty where they cannot be read.
    """

    mapping: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    encoding: str = ""
    sheet: str = ""
    decimals: DecimalMark | None = None
    dates: DayOrder | None = None
    size_order: SizeOrder | None = None
    as_is: frozenset[int] = frozenset()
    all_as_is: bool = False
    leave_out: frozenset[int] = frozenset()
    empty_bad_cells: bool = False

    def takes(self, line: int) -> bool:
        """Return whether a line is to be taken as it is."""
        return self.all_as_is or line in self.as_is


Sample = tuple[int, str]
"""A line of the file, and what stands there."""


class QuestionKind(StrEnum):
    """What cannot be told from a file alone."""

    ENCODING = auto()
    DECIMALS = auto()
    DATES = auto()
    UNIT = auto()
    SIZE_ORDER = auto()


@dataclass(frozen=True, slots=True)
class QuestionOption:
    """One answer, and how it reads some of the file."""

    value: str
    samples: tuple[Sample, ...]


@dataclass(frozen=True, slots=True)
class ListQuestion:
    """A question about a list, the likeliest answer first.

    Attributes:
        kind: what is asked.
        file: name of the file.
        heading: of the column that is asked about; '' for the whole file.
        field: of that column.
        options: the answers.
    """

    kind: QuestionKind
    file: str
    heading: str
    field: str
    options: tuple[QuestionOption, ...]


ChooseReading = Callable[[ListQuestion], str | None]
"""Returns the value of an option, None where nobody is there to choose."""
SeeColumns = Callable[[Sequence[ColumnGuess]], None]
"""Is told the columns of a table: first by their headings alone, then with the field of each."""


class LeftOutReason(StrEnum):
    """Why a row is not one of the list."""

    ABOVE = auto()
    HEADINGS_AGAIN = auto()
    TOTALS = auto()
    NOTE = auto()
    ASKED = auto()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A row that is not one of the list."""

    line: int
    reason: LeftOutReason
    text: str


class Remark(StrEnum):
    """What was done to cells of a column, or assumed of them."""

    ZERO_RESTORED = auto()
    UNIT_ASSUMED = auto()
    DECIMALS_MIXED = auto()
    DATES_MIXED = auto()
    DECIMALS_OF_OTHERS = auto()
    DATES_OF_OTHERS = auto()
    TEXT_OF_FORMULA = auto()
    BESIDE_NUMBER = auto()
    NUMBERS_IN_KEYS = auto()
    KEYS_ALONE = auto()
    YEAR_READ = auto()
    YEAR_UNTOLD = auto()
    YEAR_OTHERWISE = auto()
    PAGES_ADDED = auto()
    ORDINALS = auto()
    ORDER_ASSUMED = auto()
    LINE_BREAKS = auto()
    LANGUAGE_KEPT = auto()
    SHEET_NAMED = auto()
    GRADES_AS_TEXT = auto()


@dataclass(frozen=True, slots=True)
class ColumnReading:
    """How the cells of one column are read.

    Attributes:
        guess: which field the column is.
        filled: count of its cells that are not empty.
        fields: that it fills: its own, or several where its cells hold several things.
        decimals: the convention of its numbers; None where each of them fits one only, or none has a mark.
        dates: the order of its days; None where each of them fits one only, or none needs it.
        unit: of its numbers without one; '' where there are none.
        order: of several sizes in a cell; None where there are none.
        remarks: what was done or assumed, with the first cell.
        counts: of the cells, by remark.
        words: what texts of cells are read as, where that is another text.
        spare: a field of text that no column of the list fills, for cells that cannot be read; '' for none.
        currencies: of the cells that are formatted in a currency, or with a sign of several, how many.
    """

    guess: ColumnGuess
    filled: int = 0
    fields: tuple[str, ...] = ()
    decimals: DecimalMark | None = None
    dates: DayOrder | None = None
    unit: str = ""
    order: SizeOrder | None = None
    remarks: Mapping[Remark, Sample] = field(default_factory=dict)
    counts: Mapping[Remark, int] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    spare: str = ""
    currencies: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ListGuess:
    """All that was found of a list and guessed of its columns.

    Attributes:
        facts: how the table was found in its file.
        header_line: line of the headings.
        columns: how each is read, in the order of the file.
        left_out: rows that are not of the list, by line.
        rows: count of those that are.
    """

    facts: TableFacts
    header_line: int
    columns: tuple[ColumnReading, ...]
    left_out: tuple[LeftOut, ...]
    rows: int
