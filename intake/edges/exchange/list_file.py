"""A file that a person gives as a list: told by its content, never by its name, and opened as the table it holds."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from intake.edges.exchange.table_cells import RawTable, TableKind
from intake.edges.exchange.text_encoding import EncodingChoice, find_encoding, named_encoding
from intake.edges.exchange.text_table import TextTable, unreadable
from intake.edges.exchange.workbook import open_workbook
from intake.edges.exchange.workbook_guard import PackedKind, packed_kind
from intake.errors import FileError

OTHERS = (
    (b"%PDF-", "a PDF"),
    (b"\xff\xd8\xff", "a picture"),
    (b"\x89PNG", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a packed file (gzip)"),
    (b"7z\xbc\xaf\x27\x1c", "a packed file (7z)"),
    (b"Rar!", "a packed file (RAR)"),
    (b"SQLite format 3\0", "a database"),
    (b"{\\rtf", "a text document (RTF)"),
)
"""First bytes of files that people take for lists, and what they are."""
NOT_TABLES = re.compile(
    rb"\s*(?:(?P<JSON>\{\s*\"|\[\s*[\[{])|(?P<BibTeX>@[A-Za-z]+\s*[{(])|(?P<RIS>TY  - ))", re.DOTALL
)
"""Beginnings of text files that are data and no tables."""
PACKED, COMPOUND = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""First bytes of a zip file, and of the compound file that XLS is."""
LARGEST_TEXT_BYTES = 1 << 29
"""As much as a workbook may unpack to."""
SAVE_AS_TABLE = "save the table as CSV or XLSX"


def table_kind(path: Path) -> TableKind:
    """Return the form of a file that holds a table.

    Raises:
        FileError: it is a folder, cannot be read, is empty, or is no table at all.
    """
    if path.is_dir():
        raise FileError(str(path), "is a folder", "name a file")
    try:
        with path.open("rb") as file:
            start = file.read(64)
        if start.startswith(PACKED):
            kind = packed_kind(path)
            if isinstance(kind, PackedKind):
                raise FileError(str(path), f"is a zip file of {kind}, not a table", SAVE_AS_TABLE)
            return kind
    except OSError as error:
        raise unreadable(path, error) from error
    if start.startswith(COMPOUND):
        return TableKind.XLS
    _check_text(path, start.removeprefix(b"\xef\xbb\xbf"))
    return TableKind.TEXT


def _check_text(path: Path, start: bytes) -> None:
    """Refuse a file that begins as something else than a table of text, or is too large to be one."""
    for mark, name in OTHERS:
        if start.startswith(mark):
            raise FileError(str(path), f"is {name}, not a table", SAVE_AS_TABLE)
    if start.lstrip().startswith(b"<"):
        raise FileError(str(path), "is XML or a web page, not a table", SAVE_AS_TABLE)
    if (match := NOT_TABLES.match(start)) is not None:
        name = next(name for name, found in match.groupdict().items() if found)
        raise FileError(str(path), f"is {name}, not a table", SAVE_AS_TABLE)
    if (size := path.stat().st_size) > LARGEST_TEXT_BYTES:
        why = f"is {size / (1 << 20):,.0f} MB large, more than the {LARGEST_TEXT_BYTES >> 20} MB of one list"
        raise FileError(str(path), why, "divide it into several files, each with the headings, and give them in turn")


def text_encoding(path: Path, encoding: str = "") -> str | tuple[EncodingChoice, ...]:
    """Return the codec of a text file, or the decodings among which a person has to choose.

    Args:
        path: the file.
        encoding: what the person says it is; '' to tell it by its bytes.

    Raises:
        FileError: it is in no encoding, or not in the one named.
        UsageError: there is no encoding of this name.
    """
    try:
        return named_encoding(path, encoding) if encoding else find_encoding(path)
    except OSError as error:
        raise unreadable(path, error) from error


@contextmanager
def open_table(path: Path, kind: TableKind, *, codec: str = "", sheet: str = "") -> Iterator[RawTable]:
    """Open the table in a file until the end of the block.

    Args:
        path: the file.
        kind: its form (`table_kind`).
        codec: of a text file (`text_encoding`).
        sheet: of a workbook; '' for the first that is visible and has cells.

    Raises:
        FileError: the file is damaged, too large, or has no such sheet.
    """
    if kind is TableKind.TEXT:
        if sheet:
            raise FileError(str(path), "is a text file and has no sheets", ("leave --sheet out", "choose no sheet"))
        yield TextTable(path, codec)
    else:
        with open_workbook(path, kind, sheet) as table:
            yield table
