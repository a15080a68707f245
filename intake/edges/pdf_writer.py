"""The objects of a PDF file, written one after the other (ISO 32000-1, 7.3 to 7.5).

What is written is kept as the bytes of the file alone, so that a list of a thousand pages with its tags takes little
more memory than its file. Objects are packed by the hundred (7.5.7), a tagged file being twice as large otherwise;
streams stand by themselves. The same objects in the same order give the same bytes.
"""

import hashlib
import io
import re
import struct
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Union

HEADER = b"%PDF-1.7\n%\xbf\xf7\xa2\xfe\n"
PACKED = 100
"""Objects in one stream: as many as a reader has to unpack for one of them."""
ROW = struct.Struct(">BIH")
EMPTY = ROW.pack(0, 0, 0)
SPECIAL = re.compile(rb"[\\()]")


class Ref(int):
    """An object of the file, by its number."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Name:
    """A name, without its slash: letters, figures, "+" and "-" alone."""

    text: str


Value = Union[Ref, Name, str, bool, int, float, Sequence["Value"], Mapping[str, "Value"]]  # noqa: UP007 - recursive


def serialised(value: Value) -> bytes:
    """Return a value as it stands in a file.

    >>> serialised({"Type": Name("Page"), "Parent": Ref(2), "Box": [0, 1.50], "Alt": "Ur", "Title": "é"})
    b'<</Type/Page/Parent 2 0 R/Box[0 1.5]/Alt(Ur)/Title<feff00e9>>>'
    """
    match value:
        case Ref():
            return b"%d 0 R" % value
        case Name():
            return b"/" + value.text.encode("ascii")
        case str():
            return _string(value)
        case bool():
            return b"true" if value else b"false"
        case int():
            return b"%d" % value
        case float():
            return f"{value:.6f}".rstrip("0").rstrip(".").encode()
        case Mapping():
            return b"<<" + b"".join(_entry(key, one) for key, one in value.items()) + b">>"
    return b"[" + b" ".join(map(serialised, value)) + b"]"


def _entry(key: str, value: Value) -> bytes:
    written = serialised(value)
    return b"/" + key.encode("ascii") + (written if written[:1] in b"/([<" else b" " + written)


def _string(text: str) -> bytes:
    """Return a text as itself where it is of ASCII, and otherwise in UTF-16 (7.9.2.2)."""
    if text.isascii() and (text.isprintable() or not text):
        return b"(" + SPECIAL.sub(rb"\\\g<0>", text.encode("ascii")) + b")"
    return b"<feff" + text.encode("utf-16-be", "replace").hex().encode() + b">"


class PdfWriter:
    """A file being written."""

    def __init__(self) -> None:
        self._out = io.BytesIO()
        self._out.write(HEADER)
        # One row of the cross-reference table for each object (7.5.8.3), as there may be hundreds of thousands.
        self._table = bytearray(ROW.pack(0, 0, 65535))
        self._packed: list[tuple[Ref, bytes]] = []

    def reserve(self) -> Ref:
        """Return an object that is written later."""
        self._table += EMPTY
        return Ref(len(self._table) // ROW.size - 1)

    def write(self, value: Value, at: Ref | None = None) -> Ref:
        """Write an object, packed together with others."""
        place = at or self.reserve()
        self._packed.append((place, serialised(value)))
        if len(self._packed) == PACKED:
            self._flush()
        return place

    def stream(self, data: bytes, entries: Mapping[str, Value], *, packed: bool = True) -> Ref:
        """Write a stream, compressed unless it is so already, or is to be read as it stands."""
        place = self.reserve()
        if packed:
            data, entries = zlib.compress(data), {**entries, "Filter": Name("FlateDecode")}
        self._plain(place, serialised({**entries, "Length": len(data)}), b"\nstream\n", data, b"\nendstream")
        return place

    def finish(self, root: Ref, about: Mapping[str, Value]) -> bytes:
        """Return the bytes of the file, given its catalogue and the facts about it, which are never packed."""
        info = self.reserve()
        self._plain(info, serialised(about))
        self._flush()
        table = self.reserve()
        start = self._out.tell()
        self._place(table, 1, start, 0)
        digest = hashlib.sha256(self._out.getbuffer()).digest()[:16].hex().encode()
        data = zlib.compress(self._table)
        entries: dict[str, Value] = {
            "Type": Name("XRef"),
            "Size": len(self._table) // ROW.size,
            "W": [1, 4, 2],
            "Root": root,
            "Info": info,
            "Filter": Name("FlateDecode"),
            "Length": len(data),
        }
        head = serialised(entries)[:-2] + b"/ID[<%b><%b>]>>" % (digest, digest)
        self._out.write(b"%d 0 obj\n%b\nstream\n" % (table, head))
        self._out.write(data)
        self._out.write(b"\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % start)
        return self._out.getvalue()

    def _plain(self, place: Ref, *pieces: bytes) -> None:
        """Write an object that stands by itself."""
        self._place(place, 1, self._out.tell(), 0)
        self._out.write(b"%d 0 obj\n" % place)
        for piece in pieces:
            self._out.write(piece)
        self._out.write(b"\nendobj\n")

    def _flush(self) -> None:
        """Write the objects that wait to be packed."""
        if not self._packed:
            return
        packed, self._packed = self._packed, []
        heads, start = [], 0
        for number, body in packed:
            heads.append(b"%d %d" % (number, start))
            start += len(body) + 1
        head = b" ".join(heads) + b"\n"
        bodies = b"\n".join(body for _, body in packed)
        whole = self.stream(head + bodies, {"Type": Name("ObjStm"), "N": len(packed), "First": len(head)})
        for nth, (number, _) in enumerate(packed):
            self._place(number, 2, whole, nth)

    def _place(self, place: Ref, *row: int) -> None:
        ROW.pack_into(self._table, place * ROW.size, *row)
