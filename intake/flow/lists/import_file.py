"""Import a file of a person's lists into the library in a folder; a new library is made once rows are to be kept."""

from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import replace
from datetime import date
from pathlib import Path

from intake.edges.csv_rows import CsvFile
from intake.edges.store.library import Library, is_library, open_library
from intake.edges.store.untouched import empty_library, untouched
from intake.flow.lists.import_list import ImportResult, ListKind, import_table


def import_file(
    folder: Path,
    kind: ListKind,
    path: Path,
    *,
    mapping: Mapping[str, str] | None = None,
    dry_run: bool = False,
    skip_bad_rows: bool = False,
    by_row: bool = False,
    station: str,
    today: date,
) -> ImportResult:
    """Import one CSV file.

    Args:
        folder: of the library; where there is none, one is made when the rows are imported, and not before.
        kind: what the rows are.
        path: the file.
        mapping: field to heading, where the headings are not the usual ones.
        dry_run: plan only, and leave the folder as it is to the byte.
        skip_bad_rows: import the good rows even if there are bad ones.
        by_row: keep what each row changes.
        station: who does it.
        today: the date of values that carry none.

    Raises:
        FileError: the file cannot be read, or a required column is missing.
        UsageError: the mapping names an unknown field or heading.
        RefusedError: another station changed meanwhile what the plan was made from.
        StoreError: the library cannot be used.
    """
    table = CsvFile(path)
    with ExitStack() as opened:
        is_new = not is_library(folder)
        if dry_run:
            library = opened.enter_context(untouched(folder))
        elif is_new:
            library = opened.enter_context(empty_library())
        else:
            library = opened.enter_context(open_library(folder))

        def into() -> Library:
            return opened.enter_context(open_library(folder, create=True)) if is_new else library

        result = import_table(
            library,
            kind,
            table,
            file=path.name,
            mapping=mapping,
            dry_run=dry_run,
            skip_bad_rows=skip_bad_rows,
            by_row=by_row,
            station=station,
            today=today,
            into=into,
        )
        return replace(result, is_new_library=is_new)
