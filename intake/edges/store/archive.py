"""The archive of a library: one ZIP file, the same for every database.

    manifest.json            what is in it: see `Manifest`
    tables/NAME.jsonl        a row a line, as a JSON object; the ledger and the counters are tables like the others
    pictures/ab/ab…cd.jpg    the files, as they lie in the library

A list is text that holds JSON, as it stands in its column; a truth value is 0 or 1. A cell that JSON cannot carry,
which no program writes, is an object: {"bytes": base64} for what is no text, {"text": base64} for text that is not
UTF-8.
"""

import base64
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection, column, select
from sqlalchemy import table as bare_table

from intake.edges.store.engines.sqlite import undecoded
from intake.errors import FileError

FORMAT = "book-intake archive 1"
MANIFEST = "manifest.json"
REMEDY = "name another archive that 'intake backup' has written"
AT_ONCE = 1000

_ENCODER = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False, allow_nan=False)


@dataclass(frozen=True, slots=True)
class Member:
    """A file of the archive: its SHA-256 and its size."""

    sha256: str
    size: int


@dataclass(frozen=True, slots=True)
class TableMember:
    """A table of the archive: the names of its columns, and the count of its rows."""

    columns: Sequence[str]
    rows: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What an archive has in it.

    Attributes:
        format: FORMAT.
        revision: that of the tables.
        made: the moment, ISO 8601 in UTC.
        entries: number of the latest entry of the ledger.
        head: its digest.
        tables: by name, each after those that it refers to.
        files: every other member by its name.
        missing: SHA-256 of pictures that the library had a record of, but no file.
    """

    format: str
    revision: str
    made: str
    entries: int
    head: str
    tables: Mapping[str, TableMember]
    files: Mapping[str, Member]
    missing: Sequence[str]

    def to_json(self) -> bytes:
        """Write it as JSON."""
        return json.dumps(asdict(self), indent=1, ensure_ascii=False).encode()

    @classmethod
    def read(cls, data: bytes, name: str) -> "Manifest":
        """Read it.

        Raises:
            FileError: it is none.
        """
        try:
            plain = json.loads(data)
            if plain["format"] != FORMAT:
                why = f"is an archive of another form ({str(plain['format'])[:40]})"
                raise FileError(name, why, "restore it with the version of the program that wrote it, or a newer one")
            tables = {
                str(table): TableMember(tuple(map(str, of["columns"])), int(of["rows"]))
                for table, of in plain["tables"].items()
            }
            files = {str(path): Member(str(of["sha256"]), int(of["size"])) for path, of in plain["files"].items()}
            return cls(
                format=FORMAT,
                revision=str(plain["revision"]),
                made=str(plain["made"]),
                entries=int(plain["entries"]),
                head=str(plain["head"]),
                tables=tables,
                files=files,
                missing=tuple(map(str, plain["missing"])),
            )
        except (ValueError, TypeError, LookupError, AttributeError, RecursionError) as error:
            raise FileError(name, "has no manifest that can be read", REMEDY) from error


def table_path(name: str) -> str:
    """Return the name of the member that holds a table."""
    return f"tables/{name}.jsonl"


def table_lines(connection: Connection, name: str, columns: Sequence[str], order: Sequence[str]) -> Iterator[bytes]:
    """Yield the rows of a table as lines, in the order of some columns."""
    rows = bare_table(name, *(column(each) for each in columns))
    statement = select(*rows.c).order_by(*(rows.c[each] for each in order))
    with undecoded(connection):
        for row in connection.execute(statement.execution_options(yield_per=AT_ONCE)):
            yield _line(columns, row)


def _line(columns: Sequence[str], row: Sequence[Any]) -> bytes:
    try:
        return _ENCODER.encode(dict(zip(columns, row, strict=True))).encode() + b"\n"
    except (TypeError, ValueError):  # a value that no program writes
        odd = {name: _odd(value) for name, value in zip(columns, row, strict=True)}
        return _ENCODER.encode(odd).encode() + b"\n"


def _odd(value: object) -> object:
    if isinstance(value, bytes):
        return {"bytes": base64.b64encode(value).decode()}
    if isinstance(value, float) and not math.isfinite(value):
        return {"real": repr(value)}
    if isinstance(value, str):
        data = value.encode("utf-8", "surrogateescape")
        return value if data == value.encode("utf-8", "replace") else {"text": base64.b64encode(data).decode()}
    return value


@dataclass(frozen=True, slots=True)
class StrayText:
    """Text that is not UTF-8, as bytes."""

    data: bytes


def cell_of(value: object) -> object:
    """Return the cell that a value of a line stands for.

    Raises:
        ValueError: it stands for none.
    """
    if isinstance(value, dict):
        ((kind, content),) = value.items()
        if kind == "real":
            return float(content)
        data = base64.b64decode(str(content), validate=True)
        if kind not in ("bytes", "text"):
            raise ValueError(kind)
        return data if kind == "bytes" else StrayText(data)
    if isinstance(value, bool | list):
        raise ValueError(str(type(value)))
    return value
