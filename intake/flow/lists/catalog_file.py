"""A catalog in a CSV file, for reading pictures without a library."""

from intake.flow.lists.columns import Cells, ListColumn, map_columns
from intake.flow.lists.editions import EDITION_COLUMNS, parse_number
from intake.flow.lists.import_list import ListRows, parse_rows
from intake.flow.lists.reasons import BadRow, CellError, RowReason

_NUMBER = next(column for column in EDITION_COLUMNS if column.field == "number")
_COLUMNS = (
    ListColumn("isbn", ("number", *_NUMBER.names), required=True),
    ListColumn("title", ("book title", "name"), required=True),
)


def titles_by_number(table: ListRows, *, file: str) -> tuple[dict[str, str], list[BadRow]]:
    """Read the numbers and titles of a catalog file.

    Returns:
        Title by 13-digit number, and the rows that have no usable number or title.

    Raises:
        FileError: the file has no column `isbn` or none `title`.
    """
    headings = map_columns(table.header, _COLUMNS, file=file, mapping={})
    rows, bad = parse_rows(table, headings, _parse)
    return dict(entry for _, entry in rows), bad


def _parse(cells: Cells) -> tuple[str, str]:
    number, _ = parse_number(cells.text("isbn"))
    if number is None:
        raise CellError(RowReason.EMPTY, field="isbn")
    return number, cells.text("title")
