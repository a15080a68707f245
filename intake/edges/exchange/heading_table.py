"""The words of lists in languages other than English: `headings.csv` beside this module, which anybody can extend.

A row for each field, a column for each language (ISO 639), several words in a cell with a bar between. Rows that begin
with @ are kinds of words: in cells, of a row of totals, for yes and for no, of the trade's grades and of jackets; in
headings, for what was paid for a copy and when, and for where a thing is, box or room. From memory, not from a
dictionary.
"""

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path

TABLE = Path(__file__).with_name("headings.csv")
TOTAL, YES, NO = "@total", "@yes", "@no"
JACKET, NO_JACKET = "@jacket", "@no_jacket"
AS_NEW, FINE, NEAR_FINE, VERY_GOOD = "@as_new", "@fine", "@near_fine", "@very_good"
GOOD, FAIR, POOR = "@good", "@fair", "@poor"
PURCHASE, PURCHASE_DAY, PRICE = "@purchase", "@purchase_day", "@price"
WHERE = "@where"
ENGLISH = {
    TOTAL: ("total", "sum", "subtotal", "grand total", "totals"),
    AS_NEW: ("as new",),
    FINE: ("fine", "f"),
    NEAR_FINE: ("near fine", "nf"),
    VERY_GOOD: ("very good", "vg"),
    GOOD: ("good", "g"),
    FAIR: ("fair",),
    POOR: ("poor",),
    JACKET: ("yes", "y", "with jacket", "with dj", "with dw", "in jacket", "dj", "dw", "x"),
    NO_JACKET: (
        *("none", "no", "n", "without", "without jacket", "no jacket", "no dust jacket", "no dj", "no dw", "ndj"),
        *("lacking", "missing", "jacket missing"),
    ),
    YES: ("yes", "y", "true"),
    NO: ("no", "false"),
    PURCHASE: ("price paid", "purchase price", "amount paid", "paid", "cost", "cost price", "acquisition price"),
    PRICE: ("price", "amount"),
    WHERE: ("location", "storage location", "storage place", "stored in", "kept in", "whereabouts"),
    PURCHASE_DAY: ("date bought", "purchase date", "date purchased", "date of purchase", "bought", "bought on"),
}


@cache
def foreign_headings() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """Return the headings of each field by language."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return {row.pop("field"): {code: tuple(cell.split("|")) for code, cell in row.items() if cell} for row in rows}


def foreign_words(name: str) -> list[str]:
    """Return the words for a field, or of a kind, in all languages other than English; none where it has no row."""
    return [word for words in foreign_headings().get(name, {}).values() for word in words]


@cache
def words_in_cells(kind: str) -> frozenset[str]:
    """Return the words of a kind (`TOTAL`, `PURCHASE` …) in all languages, case-folded."""
    return frozenset(word.casefold() for word in (*ENGLISH[kind], *foreign_words(kind)))
