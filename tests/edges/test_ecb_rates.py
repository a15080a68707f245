"""The reader of the central bank's form: both of its files, and what is wrong in one named by line."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges import ecb_rates
from intake.errors import FileError

# The two published files, from memory: a trailing comma; days as ISO 8601, or written out in the daily file.
HISTORY = "Date,USD,JPY,ISK,\r\n2026-01-19,1.0843,161.42,N/A,\r\n2026-01-16,1.0800,160.00,N/A,\r\n"
DAILY = "Date, USD, JPY, \n19 January 2026, 1.0843, 161.42, \n"


def read(tmp_path: Path, text: str) -> ecb_rates.RateFile:
    file = tmp_path / "rates.csv"
    file.write_bytes(text.encode())
    return ecb_rates.read(file)


def test_the_history(tmp_path: Path) -> None:
    found = read(tmp_path, HISTORY)
    assert found.faults == ()
    assert [(rate.key, rate.per_base) for rate in found.rates] == [
        ("2026-01-19 EUR USD", Decimal("1.0843")),
        ("2026-01-19 EUR JPY", Decimal("161.42")),
        ("2026-01-16 EUR USD", Decimal("1.0800")),
        ("2026-01-16 EUR JPY", Decimal("160.00")),
    ]


def test_the_file_of_one_day(tmp_path: Path) -> None:
    found = read(tmp_path, DAILY)
    assert found.faults == ()
    assert {(rate.on, rate.currency, rate.per_base) for rate in found.rates} == {
        (date(2026, 1, 19), "USD", Decimal("1.0843")),
        (date(2026, 1, 19), "JPY", Decimal("161.42")),
    }


def test_what_cannot_be_used_is_named(tmp_path: Path) -> None:
    found = read(tmp_path, "Date,USD,QQQ\n2026-02-30,1,1\n2026-02-02,-1,1\n2026-02-03,x,1\n2026-02-04,1.1,1\n")
    assert [rate.key for rate in found.rates] == ["2026-02-04 EUR USD"]
    assert len(found.faults) == 4
    assert any("line 2" in fault for fault in found.faults)
    assert any("QQQ" in fault for fault in found.faults)


@pytest.mark.parametrize("text", ["Day,USD\n2026-02-02,1\n", "Date,Rate\n2026-02-02,1\n", ""])
def test_another_table_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(FileError):
        read(tmp_path, text)
