"""The words of lists in languages other than English: `headings.csv` beside this module, which anybody can extend.

A row for each field, a column for each language (ISO 639), several words in a cell with a bar between. Rows that begin
with @ are kinds of words: in cells, of a row of totals, for yes and for no; in headings, for what was paid for a copy
and when. From memory, not from a dictionary.
"""

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path

TABLE = Path(__file__).with_name("headings.csv")
TOTAL, YES, NO = "@total", "@yes", "@no"
PURCHASE, PURCHASE_DAY, PRICE = "@purchase", "@purchase_day", "@price"
ENGLISH = {
    TOTAL: ("total", "sum", "subtotal", "grand total", "totals"),
    YES: ("yes", "y", "true"),
    NO: ("no", "false"),
    PURCHASE: ("price paid", "purchase price", "amount paid", "paid", "cost", "cost price", "acquisition price"),
    PRICE: ("price", "amount"),
    PURCHASE_DAY: ("date bought", "purchase date", "date purchased", "date of purchase", "bought", "bought on"),
}


@cache
def foreign_headings() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """Return the headings of each field by language."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return {row.pop("field"): {code: tuple(cell.split("|")) for code, cell in row.items() if cell} for row in rows}


@cache
def words_in_cells(kind: str) -> frozenset[str]:
    """Return the words of a kind (`TOTAL`, `PURCHASE` …) in all languages, case-folded."""
    foreign = (word for words in foreign_headings()[kind].values() for word in words)
    return frozenset(word.casefold() for word in (*ENGLISH[kind], *foreign))
