"""Reading exchange rates from the CSV format in which the European Central Bank publishes its reference rates.

There is one row per day and one column per currency; each cell is the amount for one euro, or "N/A". The history has
dates in ISO 8601 form, the file of one day "15 January 2026"; both end their lines with a comma (from memory of the
published files). For a table of another bank in the same format, another base can be given. A cell that cannot be used
is reported as a fault with its row and column, never guessed.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path

from intake.edges.sheets import read_csv
from intake.errors import FileError
from intake.model.currencies import currency_codes
from intake.model.valuations import Rate, rate_key

MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
NONE = {"", "n/a", "-"}


@dataclass(frozen=True, slots=True)
class RateFile:
    """The rates of a file, the faults in it, and how many of its cells say that there is none."""

    rates: tuple[Rate, ...]
    faults: tuple[str, ...]
    without: int = 0


def read(path: Path, *, base: str = "EUR", source: str = "European Central Bank") -> RateFile:
    """Read a file of rates.

    Args:
        path: CSV with a column "Date" and one for each currency.
        base: the currency to one unit of which every rate applies.
        source: the publisher, printed beside a total.

    Raises:
        FileError: it cannot be read, or has no column of dates or of a currency.
    """
    table = read_csv(path)
    days = next((name for name in table.header if name.strip().casefold() == "date"), None)
    currencies = {name: name.strip().upper() for name in table.header if name != days}
    known = {name: code for name, code in currencies.items() if code in currency_codes()}
    if days is None or not known:
        missing = "no column 'Date'" if days is None else "no column that is a currency (ISO 4217)"
        raise FileError(str(path), f"has {missing}", "give the central bank's CSV file, with one column per currency")
    faults = [f"line {fault.line}: {fault.reason}" for fault in table.faults]
    faults += [f"column '{name}' is not a currency (ISO 4217)" for name in currencies if name not in known]
    rates: dict[str, Rate] = {}
    without = 0
    for row in table.rows:
        on = _day(row.cells[days])
        if on is None:
            faults.append(f"line {row.line}: '{row.cells[days]}' is not a date such as 2026-01-15")
            continue
        for name, code in known.items():
            cell = row.cells[name].strip()
            if cell.casefold() in NONE:
                without += bool(cell)
                continue
            rate = _rate(cell)
            if rate is None:
                faults.append(f"line {row.line}, {code}: '{cell}' is not a rate")
                continue
            key = rate_key(on, base, code)
            rates[key] = Rate(key=key, on=on, base=base, currency=code, per_base=rate, source=source)
    return RateFile(tuple(rates.values()), tuple(faults), without)


def _rate(cell: str) -> Decimal | None:
    try:
        rate = Decimal(cell)
    except InvalidOperation:
        return None
    return rate if rate.is_finite() and rate > 0 else None


def _day(cell: str) -> date | None:
    """Parse a date in the format of either file; None if it is not one."""
    text = cell.strip()
    named = re.fullmatch(r"(\d{1,2}) ([A-Za-z]+) (\d{4})", text)
    try:
        if named and named[2].casefold() in MONTHS:
            return date(int(named[3]), MONTHS.index(named[2].casefold()) + 1, int(named[1]))
        return date.fromisoformat(text)
    except ValueError:
        return None
