"""The rows of a list compared with the records as they were at the entry that its proof names.

Every copy of the list has its row and no other has one; its title, and its value where that is in the currency it was
recorded in, are those of that day.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from pathlib import Path

from intake.edges.catalogues import find_language, languages
from intake.edges.exchange.text_table import plain_text
from intake.edges.sheets import read_csv
from intake.flow.lookup.wording import title_words
from intake.flow.papers.proofs import ProofRecords
from intake.model.editions import Edition
from intake.model.valuations import Valuation
from intake.units.counts import counted
from intake.units.language import say, speaking

Row = Mapping[str, str]

COPY_COLUMN, TITLE_COLUMNS, AMOUNT_COLUMNS, CURRENCY_COLUMN = (
    "Copy",
    ("Title", "Description"),
    ("Amount", "Value"),
    "Currency",
)


class RowProblem(StrEnum):
    """What is wrong with a row."""

    NO_ROW = "no row"
    NOT_LISTED = "not listed"
    TWICE = "twice"
    OTHER_TITLE = "other title"
    OTHER_AMOUNT = "other amount"


@dataclass(frozen=True, slots=True)
class RowDifference:
    """One row that is not as it was made: what it says, and what the ledger had that day."""

    copy: str
    problem: RowProblem
    printed: str = ""
    recorded: str = ""


@dataclass(frozen=True, slots=True)
class RowCheck:
    """What became of the rows.

    Attributes:
        rows: how many are of a copy.
        differences: what is not as it was made.
        converted: rows whose value is in another currency than it was recorded in, and was not compared.
    """

    rows: int
    differences: tuple[RowDifference, ...]
    converted: int


def read_rows(path: Path) -> tuple[Row, ...] | None:
    """Return the rows of a list; None where the file is none whose rows can be read.

    Raises:
        FileError: the file cannot be read.
    """
    if path.suffix.casefold() != ".csv":
        return None
    table, names = read_csv(path), _heads()
    if COPY_COLUMN not in (names.get(head, head) for head in table.header):
        return None
    return tuple({names.get(head, head): cell for head, cell in row.cells.items()} for row in table.rows)


def _heads() -> Mapping[str, str]:
    """Return the names of the columns by their heads in each language that papers speak."""
    names: dict[str, str] = {}
    for tag in languages():
        with speaking(find_language(tag)):
            names |= {say(name): name for name in (COPY_COLUMN, *TITLE_COLUMNS, *AMOUNT_COLUMNS, CURRENCY_COLUMN)}
    return names


def check_rows(rows: Iterable[Row], then: ProofRecords, listed: set[str], values: Mapping[str, Valuation]) -> RowCheck:
    """Compare rows with the records of their day.

    Args:
        rows: of the list.
        then: the records as they were.
        listed: the copies that it was of.
        values: what they were worth, by copy.
    """
    by_copy: dict[str, Row] = {}
    found: list[RowDifference] = []
    for row in rows:
        number = row.get(COPY_COLUMN, "").strip()
        if not number or (number not in then.copies and not _is_copy(number)):
            continue  # a set that counts once, a sum, a note
        if number in by_copy:
            found.append(RowDifference(number, RowProblem.TWICE))
        elif number not in listed:
            found.append(RowDifference(number, RowProblem.NOT_LISTED))
        by_copy[number] = row
    found += [RowDifference(copy, RowProblem.NO_ROW) for copy in sorted(listed - by_copy.keys())]
    printed = {copy: row for copy, row in by_copy.items() if copy in listed}
    converted = 0
    for copy, row in printed.items():
        found += _title(copy, row, then.editions.get(then.copies[copy].edition_id))
        converted += _is_converted(row, values.get(copy))
        found += _amount(copy, row, values.get(copy))
    return RowCheck(len(by_copy), tuple(found), converted)


def _is_copy(number: str) -> bool:
    return number[:1] == "A" and number[1:2].isdigit()


def _title(copy: str, row: Row, edition: Edition | None) -> Iterator[RowDifference]:
    column = next((name for name in TITLE_COLUMNS if name in row), None)
    if column is None or edition is None:
        return
    printed = plain_text(row[column]).partition("\n")[0]  # some lists have the contributors below it
    if printed not in _titles(edition):
        yield RowDifference(copy, RowProblem.OTHER_TITLE, printed, title_words(edition))


def _titles(edition: Edition) -> Iterator[str]:
    """Yield how a list may write a title: without the volume, or with it in each language that papers speak."""
    yield edition.title
    for tag in languages():
        with speaking(find_language(tag)):
            words = title_words(edition)
        yield words


def _cell(row: Row) -> str:
    return next((row[name] for name in AMOUNT_COLUMNS if name in row), "").strip()


def _is_converted(row: Row, value: Valuation | None) -> bool:
    return bool(_cell(row)) and value is not None and row.get(CURRENCY_COLUMN, "") != value.currency


def _amount(copy: str, row: Row, value: Valuation | None) -> Iterator[RowDifference]:
    printed = _cell(row)
    if not printed or _is_converted(row, value):  # empty where a set counts once; the count and sums are proved apart
        return
    try:
        same = value is not None and Decimal(printed) == value.amount
    except InvalidOperation:
        same = False
    if not same:
        recorded = f"{value.currency} {value.amount}" if value is not None else "none"
        yield RowDifference(
            copy, RowProblem.OTHER_AMOUNT, f"{row.get(CURRENCY_COLUMN, '')} {printed}".strip(), recorded
        )


ROW_WORDS = {
    RowProblem.NO_ROW: "is on the list by its proof, but has no row",
    RowProblem.NOT_LISTED: "has a row, but was not on the list",
    RowProblem.TWICE: "has more than one row",
    RowProblem.OTHER_TITLE: "its title is '{printed}', by the ledger of that day '{recorded}'",
    RowProblem.OTHER_AMOUNT: "its value is {printed}, by the ledger of that day {recorded}",
}


def row_lines(check: RowCheck | None) -> list[str]:
    """Return what became of the rows as sentences; None is for a file whose rows were not compared."""
    if check is None:
        return ["Its rows were not compared, only its count and totals: that is done for a .csv file."]
    lines = [
        f"  row {one.copy}: {ROW_WORDS[one.problem].format(printed=one.printed, recorded=one.recorded)}"
        for one in check.differences
    ]
    if lines:
        return ["Rows of the list were altered after it was made:", *lines]
    said = f"Its {counted(check.rows, 'row is', 'rows are')} as in that entry."
    more = (
        f" The values of {check.converted} are in another currency than they were recorded in, and were not compared."
    )
    return [said + (more if check.converted else "")]
