"""The words of lists in languages other than English: `headings.csv` beside this module, which anybody can extend.

A row for each field, a column for each language (ISO 639), several words in a cell with a bar between. Rows that begin
with @ are words in cells: of a row of totals, for yes and for no. From memory, not from a dictionary.
"""

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path

TABLE = Path(__file__).with_name("headings.csv")
TOTAL, YES, NO = "@total", "@yes", "@no"
ENGLISH = {TOTAL: ("total", "sum", "subtotal", "grand total", "totals"), YES: ("yes", "y", "true"), NO: ("no", "false")}


@cache
def foreign_headings() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """Return the headings of each field by language."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return {row.pop("field"): {code: tuple(cell.split("|")) for code, cell in row.items() if cell} for row in rows}


@cache
def words_in_cells(kind: str) -> frozenset[str]:
    """Return the words of a kind (`TOTAL`, `YES`, `NO`) in all languages, case-folded."""
    foreign = (word for words in foreign_headings()[kind].values() for word in words)
    return frozenset(word.casefold() for word in (*ENGLISH[kind], *foreign))
