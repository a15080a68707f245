"""MARC records for the tests: bytes built field by field, and the independent readers that may be installed."""

import shutil

import pytest

from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.record_remarks import RecordRemark, RemarkKind, Remarks

needs_yaz = pytest.mark.skipif(
    shutil.which("yaz-marcdump") is None, reason="yaz-marcdump is not installed (Debian: yaz)"
)

LEADER = "00000nam a22000001i 4500"


def iso2709(*fields: tuple[str, bytes], coding: bytes = b"a", status: bytes = b"nam") -> bytes:
    """Build a record as MARC 21 Specifications for Record Structure describes it, terminator and all."""
    directory, data = b"", b""
    for tag, body in fields:
        directory += b"%s%04d%05d" % (tag.encode(), len(body) + 1, len(data))
        data += body + b"\x1e"
    base = 24 + len(directory) + 1
    length = base + len(data) + 1
    return b"%05d%s %s22%05d i 4500%s\x1e%s\x1d" % (length, status, coding, base, directory, data)


def field(tag: str, indicators: str, *subfields: str) -> MarcField:
    """Return a data field; each subfield is its code and then its value."""
    return MarcField(tag, indicators, [(text[0], text[1:]) for text in subfields])


def record(*fields: MarcField, leader: str = LEADER) -> MarcRecord:
    return MarcRecord(leader, fields)


def places(remarks: Remarks, kind: RemarkKind) -> set[str]:
    return {remark.where for remark in remarks if remark.kind is kind}


def only(remarks: Remarks) -> RecordRemark:
    (remark,) = remarks
    return remark
