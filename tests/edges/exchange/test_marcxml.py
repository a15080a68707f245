"""MARCXML: read by pymarc, yaz and us alike; and XML that was made to hurt."""

import io
import subprocess
from pathlib import Path

import pymarc
import pytest

from intake.edges.exchange import safe_xml
from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.marc_files import marc_bytes
from intake.edges.exchange.marcxml import CLOSING, OPENING, looks_like_marcxml, marcxml_bytes, read_marcxml
from intake.edges.exchange.record_remarks import RecordFault, RecordProblem, Remarks
from tests.edges.exchange.marc_data import field, needs_yaz, record

OURS = record(
    MarcField("001", data="SEA-1"),
    MarcField("008", data="980401s1998    xx a     b    001 0 eng d"),
    field("245", "10", "aSeevögel & <Möwen>", 'b\r\nein "Führer"', "p鳥の海"),
)  # fmt: skip


def read(path: Path, data: bytes) -> list[MarcRecord | RecordFault]:
    path.write_bytes(data)
    return list(read_marcxml(path, Remarks()))


def problem(found: list[MarcRecord | RecordFault]) -> RecordProblem:
    assert isinstance(found[-1], RecordFault)
    return found[-1].problem


def test_a_record_comes_back(tmp_path: Path) -> None:
    (back,) = read(tmp_path / "a.xml", OPENING + marcxml_bytes(OURS) + CLOSING)
    assert isinstance(back, MarcRecord)
    assert back.fields == list(OURS.fields)


def test_pymarc_reads_what_is_written() -> None:
    whole = io.BytesIO(OPENING + marcxml_bytes(OURS) + CLOSING)
    (theirs,) = pymarc.parse_xml_to_array(whole)  # type: ignore[no-untyped-call]  # pymarc gives it no types
    assert theirs["245"].get_subfields("a", "b", "p") == [value for _, value in OURS.fields[2].subfields]
    assert theirs["008"].data == OURS.fields[1].data


@needs_yaz
def test_yaz_reads_the_same_from_both_formats(tmp_path: Path) -> None:
    plain = OURS._replace(fields=[*OURS.fields[:2], field("245", "10", "aSeevögel & <Möwen>", "p鳥の海")])
    (tmp_path / "a.mrc").write_bytes(marc_bytes(plain) * 2)
    (tmp_path / "a.xml").write_bytes(OPENING + marcxml_bytes(plain) * 2 + CLOSING)
    dumps = [
        subprocess.run(["yaz-marcdump", "-i", kind, str(tmp_path / name)], capture_output=True, check=True, text=True)
        for kind, name in (("marc", "a.mrc"), ("marcxml", "a.xml"))
    ]
    lines = [[line for line in dump.stdout.splitlines() if line[5:8] != "nam"] for dump in dumps]
    assert lines[0] == lines[1]
    assert "245 10 $a Seevögel & <Möwen> $p 鳥の海" in lines[0]
    assert [dump.stderr for dump in dumps] == ["", ""]


@pytest.mark.parametrize(
    ("opening", "closing"),
    [
        ("<collection>", "</collection>"),  # no namespace
        ('<m:collection xmlns:m="http://www.loc.gov/MARC21/slim">', "</m:collection>"),
    ],
)
def test_records_are_known_with_a_prefix_and_without_a_namespace(tmp_path: Path, opening: str, closing: str) -> None:
    m = "m:" if "m:" in opening else ""
    text = (
        f'{opening}<{m}record><{m}leader/><{m}datafield tag="245" ind1="0" ind2="0"><{m}subfield code="a">Salt'
        f"</{m}subfield></{m}datafield></{m}record>{closing}"
    )
    assert looks_like_marcxml(text.encode())
    (back,) = read(tmp_path / "a.xml", text.encode("utf-8"))
    assert isinstance(back, MarcRecord)
    assert back.fields[0].first("a") == "Salt"


def around(body: str, dtd: str = "") -> bytes:
    inside = f'<datafield tag="245" ind1="0" ind2="0"><subfield code="a">{body}</subfield></datafield>'
    return f'<?xml version="1.0"?>{dtd}<collection xmlns="http://www.loc.gov/MARC21/slim"><record>{inside}</record></collection>'.encode()


def test_entities_are_never_expanded_nor_fetched(tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("a secret", encoding="utf-8")
    bomb = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10 if n else "x" * 10}">' for n in range(9))
    outside = f'<!ENTITY e8 SYSTEM "{(tmp_path / "secret.txt").as_uri()}">'
    small = '<!ENTITY e8 "xxx">'
    for declared, expected in (
        (bomb, RecordProblem.BROKEN_XML),
        (outside, RecordProblem.UNKNOWN_ENTITY),
        (small, RecordProblem.UNKNOWN_ENTITY),
    ):
        found = read(tmp_path / "a.xml", around("Salt &e8;", f"<!DOCTYPE collection [{declared}]>"))
        assert problem(found) is expected
        assert len(found) == 1


@pytest.mark.parametrize(
    "data",
    [
        OPENING + marcxml_bytes(OURS) + marcxml_bytes(OURS)[:80],  # breaks off
        around("x" * 11_000_000),  # a text of more than ten million characters
        OPENING + marcxml_bytes(OURS) + b"<a>" * 300 + b"</a>" * 300 + CLOSING,  # too deep
        OPENING + marcxml_bytes(OURS) + b"\x01" + CLOSING,
        OPENING + marcxml_bytes(OURS) + CLOSING + OPENING,
    ],
    ids=["cut", "long", "deep", "control character", "two roots"],
)
def test_what_is_not_well_formed_is_a_fault_after_the_records_before_it(tmp_path: Path, data: bytes) -> None:
    found = read(tmp_path / "a.xml", data)
    assert problem(found) is RecordProblem.BROKEN_XML
    assert all(isinstance(one, MarcRecord) for one in found[:-1])


def test_a_file_without_records_is_not_kept_in_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(safe_xml, "LONGEST_ELEMENT", 100_000)
    junk = b"<junk>of no use</junk>" * 10_000
    assert problem(read(tmp_path / "a.xml", OPENING + junk + CLOSING)) is RecordProblem.TOO_LONG
    many = OPENING + marcxml_bytes(OURS) * 1000 + CLOSING
    assert len(many) > 200_000
    assert len(read(tmp_path / "a.xml", many)) == 1000


def test_a_record_without_fields_is_a_fault_and_the_next_is_read(tmp_path: Path) -> None:
    found = read(tmp_path / "a.xml", OPENING + b"<record/>" + marcxml_bytes(OURS) + CLOSING)
    assert isinstance(found[0], RecordFault)
    assert isinstance(found[1], MarcRecord)


@pytest.mark.parametrize(
    ("start", "is_marcxml"),
    [
        (OPENING, True),
        (b'<?xml version="1.0"?><record><leader>', True),
        ("<collection><record><controlfield".encode("utf-16"), True),
        (b"<html><body>record</body></html>", False),
        (b"<ONIXMessage>", False),
        (b"key,title", False),
    ],
)
def test_a_file_is_told_by_how_it_begins(start: bytes, is_marcxml: bool) -> None:
    assert looks_like_marcxml(start) is is_marcxml
