"""ISO 2709: structure and characters as MARC 21 specifies them, damaged files, and independent readers of ours."""

import io
import subprocess
import unicodedata
from pathlib import Path

import pymarc
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.edges.exchange import marc_files
from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.marc_files import (
    RecordTooLongError,
    looks_like_marc,
    marc_bytes,
    parse_marc,
    read_marc,
)
from intake.edges.exchange.record_remarks import RecordError, RecordFault, RecordProblem, RemarkKind, Remarks
from intake.errors import FileError
from tests.edges.exchange.marc_data import field, iso2709, needs_yaz, only, record

WORKED = (
    b"00094nam a22000617i 4500001000300000020001800003245001100021\x1e42\x1e  \x1fa9780306406157\x1e"
    b"00\x1fa\xc3\x89tude\x1e\x1d"
)
"""Computed by hand from MARC 21 Specifications for Record Structure: É takes two bytes, base address 61, length 94."""


def read(path: Path, data: bytes, remarks: Remarks | None = None) -> list[MarcRecord | RecordFault]:
    path.write_bytes(data)
    return list(read_marc(path, remarks or Remarks()))


def titles(records: list[MarcRecord | RecordFault]) -> list[str]:
    return [
        one.problem.value if isinstance(one, RecordFault) else next(one.having("245")).first("a") for one in records
    ]


def book(title: bytes, coding: bytes = b"a") -> bytes:
    return iso2709(("001", b"1"), ("245", b"00\x1fa" + title), coding=coding)


def test_the_worked_record_is_read_and_written_to_the_byte() -> None:
    assert len(WORKED) == 94
    parsed = parse_marc(WORKED[:-1], Remarks())
    assert parsed.fields == [
        MarcField("001", data="42"),
        MarcField("020", "  ", [("a", "9780306406157")]),
        MarcField("245", "00", [("a", "Étude")]),
    ]
    assert marc_bytes(parsed) == WORKED


@pytest.mark.parametrize(
    "between", [b"", b"\r\n", b"\n\n", b"\x1a"], ids=["nothing", "CR LF", "blank lines", "end of file of DOS"]
)
def test_what_stands_between_records_loses_none(tmp_path: Path, between: bytes) -> None:
    data = b"\xef\xbb\xbf" + between.join([book(b"One"), book(b"Two"), book(b"Three"), b""])
    assert titles(read(tmp_path / "a.mrc", data)) == ["One", "Two", "Three"]


@pytest.mark.parametrize("length", [b"00000", b"00010", b"99999", b"abcde"])
def test_a_wrong_length_in_a_leader_loses_nothing_and_is_said(tmp_path: Path, length: bytes) -> None:
    remarks = Remarks()
    data = book(b"One") + length + book(b"Two")[5:] + book(b"Three")
    assert titles(read(tmp_path / "a.mrc", data, remarks)) == ["One", "Two", "Three"]
    remark = only(remarks)
    assert (remark.kind, remark.where, remark.record) == (RemarkKind.REPAIRED, "leader 00-04", 2)


def damaged(entry: bytes) -> bytes:
    whole = book(b"A Title")
    return whole.replace(b"245001200002", entry)


@pytest.mark.parametrize(
    "bad",
    [
        damaged(b"245001200900"),  # begins beyond the data
        damaged(b"245001700002"),  # five bytes too long
        damaged(b"245001100002"),  # one too short
        damaged(b"245001200003"),  # begins in the middle
        damaged(b"245x01200002"),
        damaged(b"2-5001200002"),
        book(b"A Title").replace(b"00049", b"00048"),  # base address
        book(b"A Title").replace(b"00049", b"00037"),
        iso2709(("245", b"0\x1fx")),  # one indicator
    ],
)
def test_a_directory_that_does_not_fit_is_refused_and_the_next_record_is_read(tmp_path: Path, bad: bytes) -> None:
    assert bad != book(b"A Title")
    assert titles(read(tmp_path / "a.mrc", bad + book(b"Next"))) == ["directory", "Next"]


def test_a_file_that_breaks_off_gives_the_records_before_and_a_fault(tmp_path: Path) -> None:
    found = read(tmp_path / "a.mrc", book(b"One") + book(b"Two")[:-20])
    assert titles(found) == ["One", "truncated"]
    assert isinstance(found[1], RecordFault)
    assert found[1].line == 2


def test_junk_without_an_end_is_one_fault_and_is_not_kept_in_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(marc_files, "CHUNK_BYTES", 64)
    monkeypatch.setattr(marc_files, "LONGEST_PIECE", 200)
    data = book(b"One") + b"x" * 5000 + b"\x1d" + book(b"Three")
    assert titles(read(tmp_path / "a.mrc", data)) == ["One", "too_long", "Three"]


def test_text_that_is_no_record_is_said_with_how_it_begins(tmp_path: Path) -> None:
    (fault,) = read(tmp_path / "a.mrc", b"A letter, not a catalog\x1d")
    assert isinstance(fault, RecordFault)
    assert (fault.problem, fault.facts["start"]) == (RecordProblem.NOT_A_RECORD, "A letter, not a catalog")


def test_marc_8_puts_combining_marks_before_their_letter() -> None:
    """E2 65 is an acute accent before e (MARC 21 Specifications, character sets: ANSEL; from memory)."""
    parsed = parse_marc(book(b"\xe2Etude", coding=b" ")[:-1], Remarks())
    assert next(parsed.having("245")).first("a") == "Étude"


@needs_yaz
@pytest.mark.parametrize("title", ["Łódź nad rzeką", "ποίηση", "Горы и воды", "Grüße aus Köln", "鳥の海"])
def test_what_yaz_writes_in_marc_8_is_read(tmp_path: Path, title: str) -> None:
    # yaz drops composed letters, so it gets letters and marks apart.
    (tmp_path / "u.mrc").write_bytes(book(unicodedata.normalize("NFD", title).encode()))
    words = ["yaz-marcdump", "-f", "utf-8", "-t", "marc-8", "-l", "9=32", "-o", "marc", str(tmp_path / "u.mrc")]
    made = subprocess.run(words, capture_output=True, check=True).stdout
    assert made[9:10] == b" "
    assert titles(read(tmp_path / "m.mrc", made)) == [unicodedata.normalize("NFC", title)]


def test_utf_8_under_a_leader_that_says_marc_8_is_read_as_utf_8_and_said(tmp_path: Path) -> None:
    remarks = Remarks()
    assert titles(read(tmp_path / "a.mrc", book("Étude".encode(), coding=b" "), remarks)) == ["Étude"]
    assert (only(remarks).kind, only(remarks).where) == (RemarkKind.REPAIRED, "leader 09")


@pytest.mark.parametrize(
    ("bad", "problem"),
    [
        (book("Étude".encode("latin-1")), RecordProblem.ENCODING),  # says UTF-8 and is not
        (book(b"\xff\xfe", coding=b" "), RecordProblem.ENCODING),  # no character of ANSEL
        (book(b"\x1b$1!0", coding=b" "), RecordProblem.ENCODING),  # two of the three bytes of a character
        (
            iso2709(("245", b"00\x1fa\xe2etude"), ("264", "00\x1fbÉditions".encode()), coding=b" "),
            RecordProblem.MIXED_ENCODINGS,
        ),
    ],
)
def test_characters_that_are_in_no_encoding_are_refused_and_never_guessed(bad: bytes, problem: RecordProblem) -> None:
    with pytest.raises(RecordError) as caught:
        parse_marc(bad[:-1], Remarks())
    assert caught.value.problem is problem


def test_pymarc_reads_what_is_written() -> None:
    ours = record(
        MarcField("001", data="SEA-1"),
        field("245", "10", "aSeevögel", "nBand 2", "p鳥の海"),
        field("852", "8 ", "hBirds 12", "pA1-59"),
    )
    (theirs,) = list(pymarc.MARCReader(io.BytesIO(marc_bytes(ours))))
    assert theirs is not None
    assert [
        (one.tag, one.data or "", [tuple(sub) for sub in one.subfields] if not one.data else []) for one in theirs
    ] == [(one.tag, one.data, list(one.subfields)) for one in ours.fields]


def test_a_record_that_cannot_be_stated_in_five_digits_is_not_written() -> None:
    with pytest.raises(RecordTooLongError, match="500"):
        marc_bytes(record(field("500", "  ", "a" + "x" * 10_000)))
    with pytest.raises(RecordTooLongError, match="500"):
        marc_bytes(record(*[field("500", "  ", "a" + "x" * 9_000)] * 12))
    fits = marc_bytes(record(field("500", "  ", "a" + "x" * 9_994)))
    assert parse_marc(fits[:-1], Remarks()).fields[0].first("a") == "x" * 9_994


TEXT = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=30)
FIELDS = st.lists(
    st.builds(
        MarcField,
        st.sampled_from(["020", "245", "700", "880"]),
        st.sampled_from(["  ", "10", "04"]),
        st.lists(st.tuples(st.sampled_from("abz6"), TEXT), max_size=4),
        st.just(""),
    ),
    max_size=5,
)


@given(FIELDS)
def test_any_record_comes_back(fields: list[MarcField]) -> None:
    remarks = Remarks()
    assert parse_marc(marc_bytes(record(*fields))[:-1], remarks).fields == fields
    assert not list(remarks)


def parsed_or_fault(piece: bytes) -> MarcRecord | RecordFault:
    try:
        return parse_marc(piece, Remarks())
    except RecordError as error:
        return error.at(1)


@given(st.binary(max_size=200))
def test_whatever_the_bytes_are_a_record_or_a_reason_comes_of_them(data: bytes) -> None:
    assert isinstance(parsed_or_fault(data), MarcRecord | RecordFault)


@given(st.data())
def test_a_record_with_one_byte_changed_is_read_or_refused(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(WORKED) - 2))
    changed = WORKED[:at] + bytes([data.draw(st.integers(0, 255))]) + WORKED[at + 1 : -1]
    assert isinstance(parsed_or_fault(changed), MarcRecord | RecordFault)


@pytest.mark.parametrize(
    ("start", "is_marc"),
    [
        (WORKED, True),
        (b"\xef\xbb\xbf\r\n" + WORKED, True),
        (b"broken" + WORKED[6:], True),
        (b"key,title\nA1,Salt\n", False),
        (b"00094,9780306406157,Salt\n", False),
        (b"PK\x03\x04\x1e\x1f\x00", False),
        (b"<collection>", False),
        (b"", False),
    ],
)
def test_a_file_is_told_by_how_it_begins(start: bytes, is_marc: bool) -> None:
    assert looks_like_marc(start) is is_marc


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        list(read_marc(tmp_path / "none.mrc", Remarks()))
