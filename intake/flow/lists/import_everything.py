"""A library made again from a folder that `export_everything` wrote: every record with its own key.

Only into an empty library, since the keys of two libraries are the same numbers for different things. All or nothing:
the files are read and checked first, then applied in parts (`intake.edges.store.parts`).
"""

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from graphlib import CycleError, TopologicalSorter
from itertools import islice
from pathlib import Path

from intake.edges.csv_rows import CsvFile, RowFault, SheetRow
from intake.edges.server_address import LibraryPlace
from intake.edges.store.library import Library, is_library, open_library
from intake.edges.store.numbering import COUNTERS, OWN_KINDS
from intake.edges.store.parts import PlanBasis, PlanChecks, apply_staged
from intake.edges.store.queries.everything import has_records
from intake.edges.store.queries.lists import last_entry
from intake.edges.store.record_cells import CellUnreadableError, read_record
from intake.edges.store.rows import KINDS, RECORD_TYPES, key_name, key_of, table_name
from intake.edges.store.staging import StagedPlan
from intake.edges.store.tables import REFERENCES
from intake.edges.store.untouched import empty_library, untouched
from intake.errors import FileError, RefusedError
from intake.flow.lists.carried_lists import odd_field
from intake.flow.lists.everything_files import (
    EARLIER,
    FILE_OF,
    FILES,
    NUMBERS_COLUMNS,
    NUMBERS_FILE,
    ON_NO_LIST,
    RecordFile,
)
from intake.flow.lists.reasons import BadRow, RowReason
from intake.identifiers import own
from intake.model.changes import Action, ActionKind, Record, made
from intake.model.editions import Edition
from intake.model.identifiers import Identifier

ROWS_AT_ONCE = 2000
MOST_SHOWN = 60
"""Characters of a long cell that is told."""

Key = int | str


@dataclass(slots=True)
class ImportedFolder:
    """What an import of everything did, or would do.

    Attributes:
        rows: of each file, by its name.
        bad_rows: those that cannot be used, each with the name of its file; where there are any, nothing was imported.
        ignored: names of other files in the folder.
        is_older: whether the folder is of a program that did not carry over what lists depend on (`EARLIER`).
        entries: of the ledger.
    """

    rows: dict[str, int] = field(default_factory=dict)
    bad_rows: list[tuple[str, BadRow]] = field(default_factory=list)
    ignored: tuple[str, ...] = ()
    is_older: bool = False
    entries: tuple[int, ...] = ()


def import_everything(place: LibraryPlace, source: Path, *, dry_run: bool = False, station: str) -> ImportedFolder:
    """Make a library from a folder of files.

    Args:
        place: of the library, folder or address; where there is none, one is made once all rows are known to be usable.
        source: the folder that an export wrote.
        dry_run: read and check only.
        station: who does it.

    Raises:
        FileError: a file is missing, or is not one that an export wrote.
        RefusedError: the library has records already.
        StoreError: the library cannot be used.
    """
    with ExitStack() as opened:
        is_new = not is_library(place)
        if dry_run:
            library = opened.enter_context(untouched(place))
        else:
            library = opened.enter_context(empty_library() if is_new else open_library(place))
        basis = _basis(library, place)
        staged = opened.enter_context(StagedPlan())
        files, ignored = _files(source)
        result = ImportedFolder(ignored=ignored, is_older=len(files) < len(FILES))
        numbers = _read_numbers(source / NUMBERS_FILE, result)
        numbers |= _stage(source, files, staged, result, keep=not dry_run)
        if not dry_run and not result.bad_rows and staged.made:
            target = opened.enter_context(open_library(place, create=True)) if is_new else library
            with target.writing(station) as writer:
                writer.raise_counters(numbers)
            action = Action(ActionKind.IMPORT_EVERYTHING, source.name, station=station)
            checks = PlanChecks(PlanBasis(0 if is_new else basis, RECORD_TYPES).check)
            result.entries = apply_staged(target, action, staged, checks).entries
        return result


def _basis(library: Library, place: LibraryPlace) -> int:
    with library.reading() as reader:
        if has_records(reader):
            why = "has records already, and everything is imported only into an empty one"
            raise RefusedError(f"The library {place}", why, "name a new folder with --library")
        return last_entry(reader)


def _files(source: Path) -> tuple[Sequence[RecordFile], tuple[str, ...]]:
    """Return the files of records that the folder must have, and the names of others that it has."""
    try:
        names = {path.name for path in source.iterdir()}
    except OSError as error:
        raise FileError(str(source), f"cannot be read ({error.strerror})", "name the folder of an export") from error
    is_older = names.isdisjoint(FILE_OF[kind].name for kind in EARLIER)
    files = [file for file in FILES if file.kind not in EARLIER] if is_older else FILES
    expected = {NUMBERS_FILE, *(file.name for file in files)}
    if missing := sorted(expected - names):
        raise FileError(str(source), f"has no {missing[0]}", "name a folder that 'intake export everything' wrote")
    return files, tuple(sorted(names - expected))


def _stage(
    source: Path, files: Sequence[RecordFile], staged: StagedPlan, result: ImportedFolder, *, keep: bool
) -> dict[str, int]:
    """Read and check all files, each after those that its rows refer to.

    Returns:
        The highest numbers of what is numbered anew by each export, by counter.
    """
    keys: dict[str, set[Key]] = {}
    for file in files:
        rows = _Rows(file, source / file.name, keys, result)
        for on_no_list, records in rows.lots():
            changes = made(*records)
            if keep and not result.bad_rows:
                staged.add(changes, ActionKind.IMPORT_UNLISTED_COPIES if on_no_list else None)
            else:
                staged.count(changes)
        result.rows[file.name] = rows.count
    anew = {table: keys.get(table, set()) for table in map(table_name, EARLIER)}
    return {table: max(map(int, used)) for table, used in anew.items() if used}


class _Rows:
    """The rows of one file, read and checked.

    Args:
        file: what it should be.
        path: where it is.
        keys: by table, those of the files before; this one's are added.
        result: takes the rows that cannot be used.
    """

    def __init__(self, file: RecordFile, path: Path, keys: dict[str, set[Key]], result: ImportedFolder) -> None:
        self._file = file
        self._table = CsvFile(path)
        _check_header(path, self._table.header, file.columns)
        self._references = {
            name: REFERENCES[f"{table_name(file.kind)}.{name}"].partition(".")[0]
            for name in file.fields
            if f"{table_name(file.kind)}.{name}" in REFERENCES
        } | {name: table_name(kind) for name, kind in file.refers.items()}
        self._keys = keys
        self._own: set[Key] = keys.setdefault(table_name(file.kind), set())
        self._result = result
        self.count = 0

    def lots(self) -> Iterator[tuple[bool, Sequence[Record]]]:
        """Yield the records in an order that their references allow, and whether they were copies on no list."""
        if table_name(self._file.kind) in self._references.values():
            # Records that refer to others of their kind; of these there are few.
            yield False, self._after_their_own_kind([row for _, rows in self._plain_lots() for row in rows])
            return
        for on_no_list, rows in self._plain_lots():
            yield on_no_list, [record for _, record in rows]

    def _plain_lots(self) -> Iterator[tuple[bool, list[tuple[int, Record]]]]:
        rows = iter(self._table)
        while listed := list(islice(rows, ROWS_AT_ONCE)):
            self.count += len(listed)
            parts: dict[bool, list[tuple[int, Record]]] = {False: [], True: []}
            for row in listed:
                if isinstance(row, RowFault):
                    self._bad(row.line, RowReason.TOO_MANY_CELLS, cells=row.cells, columns=row.columns)
                elif (record := self._read(row)) is not None:
                    parts[row.cells.get(ON_NO_LIST) == "yes"].append((row.line, record))
            yield from ((on_no_list, part) for on_no_list, part in parts.items() if part)

    def _read(self, row: SheetRow) -> Record | None:
        """Return the record of a row; None where it cannot be used, and why is noted."""
        kind = self._file.kind
        try:
            record: Record = read_record(
                kind, {name: row.cells[name] for name in self._file.fields if name in row.cells}
            )
        except CellUnreadableError as fault:
            self._bad(row.line, RowReason.CELL_UNREADABLE, field=fault.field, text=fault.text)
            return None
        key = key_of(record)
        if kind in OWN_KINDS:
            number = own.read(str(key), expect=OWN_KINDS[kind])
            if not isinstance(number, Identifier) or number.number != key:
                self._bad(row.line, RowReason.NOT_AN_OWN_NUMBER, field=key_name(kind), text=str(key))
                return None
        if key in self._own:
            self._bad(row.line, RowReason.SAME_RECORD, field=key_name(kind), text=str(key))
            return None
        self._own.add(key)
        if (name := odd_field(record, self._keys.get(table_name(Edition), ()))) is not None:
            text = str(getattr(record, name))[:MOST_SHOWN]
            self._bad(row.line, RowReason.CELL_UNREADABLE, field=name, text=text)
            return None
        return record if self._refers_well(row.line, record) else None

    def _refers_well(self, line: int, record: Record) -> bool:
        for name, table in self._references.items():
            value = getattr(record, name)
            if value is not None and table != table_name(self._file.kind) and value not in self._keys[table]:
                file = FILE_OF[KINDS[table]].name
                self._bad(line, RowReason.REFERENCE_MISSING, field=name, text=str(value), file=file)
                return False
        return True

    def _after_their_own_kind(self, rows: Sequence[tuple[int, Record]]) -> list[Record]:
        """Put each record after the one of its own kind that it refers to."""
        (name,) = (name for name, table in self._references.items() if table == table_name(self._file.kind))
        records = {key_of(record): record for _, record in rows}
        graph: dict[Key, list[Key]] = {}
        for line, record in rows:
            other: Key | None = getattr(record, name)
            if other is not None and other not in records:
                facts = {"field": name, "text": str(other), "file": self._file.name}
                self._bad(line, RowReason.REFERENCE_MISSING, **facts)
            graph[key_of(record)] = [] if other is None or other not in records else [other]
        try:
            return [records[key] for key in TopologicalSorter(graph).static_order()]
        except CycleError as error:
            key = error.args[1][0]
            line = next(line for line, record in rows if key_of(record) == key)
            self._bad(line, RowReason.REFERENCE_IN_A_CIRCLE, field=name, text=str(graph[key][0]))
            return []

    def _bad(self, line: int, reason: RowReason, **facts: str | int) -> None:
        self._result.bad_rows.append((self._file.name, BadRow(line, reason, facts)))


def _check_header(path: Path, header: Sequence[str], expected: Sequence[str]) -> None:
    if unknown := [name for name in header if name not in expected]:
        raise FileError(str(path), f"has a column {unknown[0]!r} that no export writes", "take the column out")
    if missing := [name for name in expected if name not in header]:
        raise FileError(str(path), f"has no column {missing[0]!r}", "take the file as the export wrote it")


def _read_numbers(path: Path, result: ImportedFolder) -> dict[str, int]:
    """Return the numbers that were used up, by counter."""
    table = CsvFile(path)
    _check_header(path, table.header, NUMBERS_COLUMNS)
    numbers: dict[str, int] = {}
    for row in table:
        name, last = (row.cells["counter"], row.cells["last"]) if isinstance(row, SheetRow) else ("", "")
        if name in COUNTERS and last.isascii() and last.isdecimal():
            numbers[name] = int(last)
        else:
            facts = {"field": "counter", "text": f"{name} {last}".strip()}
            result.bad_rows.append((path.name, BadRow(row.line, RowReason.CELL_UNREADABLE, facts)))
    result.rows[path.name] = len(numbers)
    return numbers
