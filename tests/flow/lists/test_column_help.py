"""Every column that a list may have is explained, and its example is one that the import takes."""

import csv
import io
from datetime import date
from pathlib import Path

import pytest

from intake.flow.lists.column_help import MEANINGS, column_help
from intake.flow.lists.import_file import import_file
from intake.flow.lists.import_list import COLUMNS, ListKind

STANDS_ALONE = [ListKind.EDITIONS, ListKind.PLACES, ListKind.CONSIGNMENT]
"""The others name editions, printings or consignments that a library has to hold."""


def test_every_column_is_explained_and_nothing_else() -> None:
    assert {column.field for columns in COLUMNS.values() for column in columns} == set(MEANINGS)


@pytest.mark.parametrize("kind", STANDS_ALONE)
def test_the_example_row_is_taken(kind: ListKind, tmp_path: Path) -> None:
    columns = column_help(COLUMNS[kind])
    text = io.StringIO()
    csv.writer(text).writerows([[column.field for column in columns], [column.example for column in columns]])
    file = tmp_path / "list.csv"
    file.write_text(text.getvalue(), encoding="utf-8")
    result = import_file(tmp_path / "library", kind, file, dry_run=True, station="test", today=date(2026, 5, 1))
    assert result.bad_rows == ()
    assert result.made >= 1
