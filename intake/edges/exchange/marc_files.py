"""MARC 21 records in ISO 2709 files, in and out.

A file is split at the record terminators, not by the lengths that the leaders state, so that one bad record loses no
other. A directory that does not fit the fields is refused, never read as far as it goes: it would put the bytes of one
field into another. Characters: UTF-8 where the bytes are UTF-8, whatever the leader says; else MARC-8. Written is
UTF-8.

Source: MARC 21 Specifications for Record Structure, Character Sets, and Exchange Media (ISO 2709, ANSI/NISO Z39.2).
"""

import contextlib
import io
import re
from collections.abc import Iterator
from pathlib import Path

from intake.edges.exchange.marc_fields import MarcField, MarcRecord, Subfield
from intake.edges.exchange.record_remarks import RecordError, RecordFault, RecordProblem, RemarkKind, Remarks
from intake.errors import FileError

SUBFIELD, FIELD, RECORD = b"\x1f", b"\x1e", b"\x1d"
LEADER_BYTES = 24
ENTRY_BYTES = 12
LONGEST_RECORD = 99_999
LONGEST_FIELD = 9_999
CHUNK_BYTES = 1 << 20
LONGEST_PIECE = 8_000_000
"""Bytes without a record terminator that are not kept in memory: 80 times what a record may have."""
_BETWEEN_RECORDS = b"\r\n\t \x00\x1a"
_LEADER = re.compile(rb"[0-9 ]{5}[^\x1d-\x1f]{7}[0-9]{5}[^\x1d-\x1f]{7}(?:[0-9A-Za-z]{3}[0-9]{9}|\x1e)")
_BOM = b"\xef\xbb\xbf"


def looks_like_marc(first_bytes: bytes) -> bool:
    """Return whether a file that begins like this is ISO 2709: a leader with its directory, or the terminators of one.

    >>> looks_like_marc(b"00094nam a22000617i 4500001000300000")
    True
    """
    start = first_bytes.removeprefix(_BOM).lstrip(_BETWEEN_RECORDS)
    if _LEADER.match(start):
        return True
    return FIELD in start and SUBFIELD in start and b"\0" not in start


def read_marc(path: Path, remarks: Remarks) -> Iterator[MarcRecord | RecordFault]:
    """Yield the records of an ISO 2709 file, and the fault of each that cannot be used.

    Args:
        path: the file.
        remarks: what is repaired on the way is noted here; its `record` is the number of the one that was yielded.

    Raises:
        FileError: the file cannot be read.
    """
    try:
        with path.open("rb") as file:
            for number, (piece, is_whole) in enumerate(_pieces(file), start=1):
                remarks.record = number
                try:
                    if not is_whole:
                        if len(piece) >= LONGEST_PIECE:
                            raise RecordError(RecordProblem.TOO_LONG, millions=LONGEST_PIECE // 1_000_000)
                        raise RecordError(RecordProblem.TRUNCATED)
                    yield parse_marc(piece, remarks)
                except RecordError as error:
                    yield error.at(number)
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check the path") from error


def _pieces(file: io.BufferedReader) -> Iterator[tuple[bytes, bool]]:
    """Yield what lies between record terminators, without them, and whether a terminator ended it."""
    kept, skipping = b"", False
    while chunk := file.read(CHUNK_BYTES):
        *ended, kept = (kept + chunk).split(RECORD)
        for piece in ended:
            cleaned = piece.removeprefix(_BOM).lstrip(_BETWEEN_RECORDS)
            if cleaned and not skipping:
                yield cleaned, True
            skipping = False
        if len(kept) >= LONGEST_PIECE:
            if not skipping:
                yield kept, False
            kept, skipping = b"", True
    if (rest := kept.removeprefix(_BOM).lstrip(_BETWEEN_RECORDS)) and not skipping:
        yield rest, False


def parse_marc(piece: bytes, remarks: Remarks) -> MarcRecord:
    """Read one record.

    Args:
        piece: its bytes, without the record terminator.
        remarks: what is repaired is noted here.

    Raises:
        RecordError: the leader, the directory or the characters are not what they should be.
    """
    base = _base_address(piece)
    if piece[:5] != b"%05d" % (len(piece) + 1):
        remarks.add(RemarkKind.REPAIRED, "leader 00-04", piece[:5].decode("latin-1"))
    pairs = list(_directory(piece, base))
    decode = _Decoder(piece, [body for _, body in pairs], remarks)
    return MarcRecord(decode.leader, [_field(tag, body, decode) for tag, body in pairs])


def _base_address(piece: bytes) -> int:
    digits = piece[12:17]
    if len(piece) <= LEADER_BYTES or not digits.isdigit():
        raise RecordError(RecordProblem.NOT_A_RECORD, start=piece[:24].decode("latin-1"))
    base = int(digits)
    has_entries = base > LEADER_BYTES and (base - 1 - LEADER_BYTES) % ENTRY_BYTES == 0
    if not has_entries or piece[base - 1 : base] != FIELD or FIELD in piece[LEADER_BYTES : base - 1]:
        raise RecordError(RecordProblem.DIRECTORY, where="where the fields begin")
    return base


def _directory(piece: bytes, base: int) -> Iterator[tuple[str, bytes]]:
    """Yield tag and bytes of each field, without its terminator."""
    for at in range(LEADER_BYTES, base - 1, ENTRY_BYTES):
        entry = piece[at : at + ENTRY_BYTES]
        tag = entry[:3].decode("latin-1")
        if not entry[3:].isdigit() or not entry[:3].isalnum():
            raise RecordError(RecordProblem.DIRECTORY, where=f"field {tag}")
        start = base + int(entry[7:])
        end = start + int(entry[3:7])
        body = piece[start : end - 1]
        if piece[end - 1 : end] != FIELD or FIELD in body or piece[start - 1 : start] != FIELD:
            raise RecordError(RecordProblem.DIRECTORY, where=f"field {tag}")
        yield tag, body


def _field(tag: str, body: bytes, decode: "_Decoder") -> MarcField:
    if tag < "010" and tag.isdigit():
        return MarcField(tag, data=decode(tag, body))
    if len(body.partition(SUBFIELD)[0]) != 2:
        raise RecordError(RecordProblem.DIRECTORY, where=f"field {tag}")
    indicators, *parts = decode.parts(tag, body)
    subfields: list[Subfield] = [(text[0], text[1:]) for text in parts if text]
    return MarcField(tag, indicators, subfields)


class _Decoder:
    """Turns the bytes of one record into text."""

    def __init__(self, piece: bytes, bodies: list[bytes], remarks: Remarks) -> None:
        self.leader = piece[:LEADER_BYTES].decode("latin-1")
        self._marc8 = False
        if b"\x1b" in piece and self.leader[9] != "a":
            self._marc8 = True
            return
        try:
            is_ascii = piece.isascii()
            if not is_ascii:
                piece.decode()
        except UnicodeDecodeError as error:
            byte = f"0x{piece[error.start]:02X}"
            if self.leader[9] == "a":
                raise RecordError(RecordProblem.ENCODING, byte=byte) from error
            if any(not body.isascii() and _is_utf8(body) for body in bodies):
                raise RecordError(RecordProblem.MIXED_ENCODINGS, byte=byte) from error
            self._marc8 = True
            return
        if not is_ascii and self.leader[9] != "a":
            remarks.add(RemarkKind.REPAIRED, "leader 09", self.leader[9])

    def __call__(self, tag: str, data: bytes) -> str:
        """Return the text of a field or subfield.

        Raises:
            RecordError: a byte stands for no character of MARC-8.
        """
        return _from_marc8(tag, data) if self._marc8 and not _is_plain(data) else data.decode()

    def parts(self, tag: str, body: bytes) -> list[str]:
        """Return the texts of the indicators and subfields of a field; in MARC-8 each begins with the usual letters.

        Raises:
            RecordError: as above.
        """
        if self._marc8:
            return [self(tag, part) for part in body.split(SUBFIELD)]
        return body.decode().split(SUBFIELD.decode())


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode()
    except UnicodeDecodeError:
        return False
    return True


def _is_plain(data: bytes) -> bool:
    return data.isascii() and b"\x1b" not in data


def _from_marc8(tag: str, data: bytes) -> str:
    from pymarc.marc8 import marc8_to_unicode  # noqa: PLC0415 - its tables take a tenth of a second; few files need them

    # The converter writes what it cannot convert to standard error and puts a blank in its place.
    with contextlib.redirect_stderr(io.StringIO()) as complaints:
        try:
            text: str = marc8_to_unicode(data)
        except UnicodeDecodeError as error:
            raise RecordError(RecordProblem.ENCODING, byte=f"field {tag}") from error
    if complaints.getvalue():
        raise RecordError(RecordProblem.ENCODING, byte=f"field {tag}")
    return text


class RecordTooLongError(ValueError):
    """A record or a field is longer than the four and five digits of ISO 2709 can state."""


def marc_bytes(record: MarcRecord) -> bytes:
    """Return a record in ISO 2709, UTF-8.

    Args:
        record: the positions of its leader that state lengths and the encoding are filled in here.

    Raises:
        RecordTooLongError: a field has more than 9,999 bytes, or the record more than 99,999.
    """
    directory, bodies, start = [], [], 0
    for field in record.fields:
        body = (
            field.data or field.indicators + "".join(f"\x1f{code}{value}" for code, value in field.subfields)
        ).encode()
        size = len(body) + 1
        if size > LONGEST_FIELD or start + size > LONGEST_RECORD:
            raise RecordTooLongError(field.tag)
        directory.append(b"%3s%04d%05d" % (field.tag.encode(), size, start))
        bodies.append(body + FIELD)
        start += size
    base = LEADER_BYTES + ENTRY_BYTES * len(directory) + 1
    length = base + start + 1
    if length > LONGEST_RECORD:
        raise RecordTooLongError("record")
    leader = f"{length:05d}{record.leader[5:9]}a22{base:05d}{record.leader[17:20]}4500".encode()
    return b"".join((leader, *directory, FIELD, *bodies, RECORD))
