"""Import a file of a person's lists into the library in a folder; a new library is made once rows are to be kept."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from intake.edges.server_address import LibraryPlace
from intake.edges.store.library import Library, is_library, open_library
from intake.edges.store.untouched import empty_library, untouched
from intake.errors import UsageError
from intake.flow.lists.columns import ListColumn
from intake.flow.lists.import_list import COLUMNS, ImportResult, ListKind, ListRows, RowUnit, import_table
from intake.flow.lists.list_guess import ChooseReading, ListGuess, ListReading, SeeColumns
from intake.flow.lists.open_list import nobody, open_list
from intake.flow.lists.record_rows import RecordRows, open_records


@dataclass(frozen=True, slots=True)
class ListAudience:
    """Who is asked what a file does not tell, and shown what was guessed of it.

    Attributes:
        choose: asks the person what cannot be told from the file.
        show: shows what was guessed of the file, before any of it is applied.
        columns: is told which columns a table has, as far as they were understood, even if it cannot be used.
    """

    choose: ChooseReading = nobody
    show: Callable[[ListGuess], None] | None = None
    columns: SeeColumns | None = None


NO_AUDIENCE = ListAudience()
BESIDE = {ListKind.EDITIONS: ListKind.COPIES, ListKind.COPIES: ListKind.EDITIONS}
"""Lists that people keep in one table: what the books are, and what is known of their own copies."""


@contextmanager
def open_rows(
    path: Path,
    kind: ListKind,
    columns: Sequence[ListColumn],
    *,
    reading: ListReading | None = None,
    audience: ListAudience = NO_AUDIENCE,
    today: date,
) -> Iterator[ListRows]:
    """Open a person's file until the end of the block: records, or a table of any form, told by its content.

    Args:
        path: the file.
        kind: what its rows are.
        columns: the fields that a table may have; records have those of their kind.
        reading: what the person has said of the file.
        audience: who is asked and shown what was guessed of a table.
        today: for years that are yet to come.

    Raises:
        FileError: the file cannot be read, a required column is missing, or a question has no answer.
        UsageError: the person has named an unknown field, heading, unit or encoding, or said something of records.
    """
    records = open_records(path, kind) if path.is_file() else None
    if records is None:
        other = BESIDE.get(kind) if columns is COLUMNS[kind] else None
        beside = (other.value, COLUMNS[other]) if other is not None else None
        with open_list(
            path,
            kind.value,
            columns,
            reading=reading,
            choose=audience.choose,
            see=audience.columns,
            beside=beside,
            today=today,
        ) as listed:
            if audience.show is not None:
                audience.show(listed.guess)
            yield listed.rows
        return
    if reading not in (None, ListReading()):
        why = "holds records, of which nothing has to be guessed"
        raise UsageError(str(path), why, "leave out what was said of its columns and text")
    yield records


def import_file(
    place: LibraryPlace | Library,
    kind: ListKind,
    path: Path,
    *,
    reading: ListReading | None = None,
    audience: ListAudience = NO_AUDIENCE,
    dry_run: bool = False,
    skip_bad_rows: bool = False,
    by_row: bool = False,
    station: str,
    today: date,
) -> ImportResult:
    """Import one file: a table, or records of MARC 21 or ONIX for Books, told by its content.

    Args:
        place: of the library, folder or address; where there is none, one is made when the rows are imported. Or the
            library itself, which stays open.
        kind: what the rows are.
        path: the file.
        reading: what the person has said of the file.
        audience: who is asked and shown what was guessed of a table.
        dry_run: plan only, and leave the folder as it is to the byte.
        skip_bad_rows: import the good rows even if there are bad ones.
        by_row: keep what each row changes.
        station: who does it.
        today: the date of values that carry none.

    Raises:
        FileError: the file cannot be read, a required column is missing, or a question has no answer.
        UsageError: the person has named an unknown field, heading, unit or encoding.
        RefusedError: another station changed meanwhile what the plan was made from.
        StoreError: the library cannot be used.
    """
    with ExitStack() as opened:
        rows = opened.enter_context(
            open_rows(path, kind, COLUMNS[kind], reading=reading, audience=audience, today=today)
        )
        new = None if isinstance(place, Library) or is_library(place) else place
        if isinstance(place, Library):
            library = place
        elif dry_run:
            library = opened.enter_context(untouched(place))
        elif new is not None:
            library = opened.enter_context(empty_library())
        else:
            library = opened.enter_context(open_library(place))

        def into() -> Library:
            return library if new is None else opened.enter_context(open_library(new, create=True))

        result = import_table(
            library,
            kind,
            rows,
            file=path.name,
            dry_run=dry_run,
            skip_bad_rows=skip_bad_rows,
            empty_bad_cells=reading is not None and reading.empty_bad_cells,
            by_row=by_row,
            station=station,
            today=today,
            into=into,
        )
        if isinstance(rows, RecordRows):
            unit = RowUnit.ITEM if kind is ListKind.COPIES else RowUnit.RECORD
            result = replace(result, remarks=tuple(rows.remarks), unit=unit, emptied={})
        return replace(result, is_new_library=new is not None)
