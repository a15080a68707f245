"""All current records of a library as a folder of CSV files, from which the library can be made again.

The same records give the same bytes: rows are in the order of their keys, own numbers in that of their serials.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from intake.edges.atomic_write import new_folder, write_whole
from intake.edges.sheets import csv_bytes
from intake.edges.store.library import Library
from intake.edges.store.queries.everything import (
    copies_made_out_of_a_box,
    count_records_of,
    each_record,
    highest_numbers,
)
from intake.edges.store.reader import LibraryReader
from intake.edges.store.record_cells import cells
from intake.edges.store.rows import table_name
from intake.flow.lists.carried_lists import carried_listings
from intake.flow.lists.everything_files import EARLIER, FILES, NUMBERS_COLUMNS, NUMBERS_FILE, PICTURES, RecordFile
from intake.flow.lists.merged_editions import MergedEditions
from intake.model.changes import Record
from intake.model.earlier import EarlierListing, EarlierMerge
from intake.model.editions import Copy


@dataclass(frozen=True, slots=True)
class ExportedFolder:
    """What was written.

    Attributes:
        rows: of each file, by its name.
        pictures: count of the records of pictures that were left out.
    """

    rows: dict[str, int]
    pictures: int


def export_everything(library: Library, folder: Path) -> ExportedFolder:
    """Write all current records of a library, as they are at one moment, to a new folder; all files or none.

    Raises:
        FileError: the folder holds something already, or cannot be written.
    """
    with new_folder(folder) as part, library.reading() as reader:
        rows = {file.name: _write(reader, file, part / file.name) for file in FILES}
        rows[NUMBERS_FILE] = _write_numbers(reader, part / NUMBERS_FILE)
        pictures = sum(count_records_of(reader, kind) for kind in PICTURES)
    return ExportedFolder(rows, pictures)


def _write(reader: LibraryReader, file: RecordFile, path: Path) -> int:
    count = 0
    on_no_list = copies_made_out_of_a_box(reader) if file.kind is Copy else frozenset()

    def rows() -> Iterator[Sequence[str]]:
        nonlocal count
        for record in _records(reader, file.kind):
            count += 1
            row = cells(record, file.fields)
            if isinstance(record, Copy):
                row.append("yes" if record.accession in on_no_list else "")
            yield row

    write_whole(path, csv_bytes(file.columns, rows()))
    return count


def _records(reader: LibraryReader, kind: type[Record]) -> Iterable[Record]:
    """Return the records of a kind; those that tell of lists as the ledger tells it now."""
    if kind is EarlierMerge:
        return MergedEditions(reader).names
    return carried_listings(reader) if kind is EarlierListing else each_record(reader, kind)


def _write_numbers(reader: LibraryReader, path: Path) -> int:
    """Write the numbers that are used up; what is carried over of lists is numbered anew each time."""
    anew = {table_name(kind) for kind in EARLIER}
    rows = [(name, str(last)) for name, last in highest_numbers(reader).items() if name not in anew]
    write_whole(path, csv_bytes(NUMBERS_COLUMNS, rows))
    return len(rows)
