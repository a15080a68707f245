"""An edition written as a record and read as a row of a catalog is the same edition, whatever it holds."""

import tempfile
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.edges.csv_rows import SheetRow
from intake.edges.exchange import marcxml, onix_write
from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.marc_files import marc_bytes
from intake.edges.exchange.marc_write import marc_record
from intake.edges.exchange.outgoing import OutgoingEdition
from intake.edges.exchange.record_remarks import RecordFault, RecordProblem, RecordRemark, RemarkKind, Remarks
from intake.errors import UsageError
from intake.flow.lists.columns import Cells
from intake.flow.lists.editions import parse_edition
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.parsed_rows import parse_rows
from intake.flow.lists.reasons import BadRow, RowReason
from intake.flow.lists.record_rows import RecordFormat, open_records
from intake.flow.lists.remark_words import remark_lines
from intake.flow.lists.row_words import bad_row_sentence
from intake.model.editions import Edition
from tests.drawn_examples import examples

TODAY = date(2026, 3, 31)
TEXT = st.text(st.characters(exclude_categories=("Cs", "Cc", "Cn", "Co")), max_size=20).map(str.strip)
"""Private and unassigned characters are left out with the controls, as XML forbids two of the latter."""
LINE = TEXT.map(lambda text: " ".join(text.split()))
NUMBERS = st.sampled_from([
    (None, None), ("9780306406157", None), ("9780306406157", "52995"), ("9771234567898", "05"), ("9771234567003", None),
    ("9790260000438", None), ("0012345678905", None),
])  # fmt: skip
SIZE = st.none() | st.floats(0.5, 5000).map(lambda size: round(size, 3))


Numbers = tuple[str | None, str | None]


def outgoing(text: st.SearchStrategy[str], numbers: st.SearchStrategy[Numbers]) -> st.SearchStrategy[OutgoingEdition]:
    name = text.filter(lambda name: name != "" and ";" not in name)
    number = st.shared(numbers, key="number")
    edition = st.builds(
        Edition,
        id=st.just(0),
        title=text.filter(bool),
        key=st.from_regex(r"[A-Z]{1,3}-[0-9]{1,4}", fullmatch=True) | st.just(""),
        number=number.map(lambda pair: pair[0]),
        add_on=number.map(lambda pair: pair[1]),
        contributors=st.lists(name, max_size=3, unique=True).map(tuple),
        publisher=text,
        year=st.none() | st.integers(1400, 2099),
        statement=text,
        binding=text,
        language=st.sampled_from(["", "eng", "eng; fre", "de", "Old Wexmere"]),
        subject=text,
        call_number=st.sampled_from(["", "598.4", "598.4 WIC", "QL 12 .W5", "QL12.W5 1998", "own 7/3"]),
        printed_in=st.sampled_from(["", "DE", "CN"]),
        pages=st.none() | st.integers(1, 5000),
        height_mm=SIZE,
        width_mm=SIZE,
        thickness_mm=SIZE,
        mass_g=SIZE,
        volume=text,
        collects=st.sampled_from(["", "Tidewrack Quarterly 57-83, 90; Tidewrack Quarterly v.2:no.1-6"]),
    )
    return st.builds(OutgoingEdition, edition, text)


def back(data: bytes) -> tuple[Edition, str]:
    """Read a file of one record as a row of a catalog."""
    with tempfile.NamedTemporaryFile() as file:
        file.write(data)
        file.flush()
        rows = open_records(Path(file.name), ListKind.EDITIONS)
        assert rows is not None
        (row,) = rows
        assert {one.kind for one in rows.remarks} <= {RemarkKind.TECHNICAL}
    assert isinstance(row, SheetRow)
    return parse_edition(Cells(row.cells, {name: name for name in rows.header}))


def in_marc(whole: OutgoingEdition) -> bytes:
    return marc_bytes(marc_record(whole, TODAY, Remarks()))


def in_marcxml(whole: OutgoingEdition) -> bytes:
    record = marcxml.marcxml_bytes(marc_record(whole, TODAY, Remarks()))
    return marcxml.OPENING + record + marcxml.CLOSING


def in_onix(whole: OutgoingEdition) -> bytes:
    return onix_write.opening(TODAY) + onix_write.product_bytes(whole, Remarks()) + onix_write.CLOSING


def expected(whole: OutgoingEdition, unnamed: str) -> tuple[Edition, str]:
    """Return the edition as it comes back: where it has neither key nor number, it is called as its record was."""
    edition = whole.edition
    key = edition.key or ("" if edition.number else unnamed)
    return replace(edition, key=key), whole.set_title


@pytest.mark.parametrize("write", [in_marc, in_marcxml])
@given(whole=outgoing(TEXT, NUMBERS))
@settings(max_examples=examples(60))
def test_an_edition_comes_back_from_marc(write: Callable[[OutgoingEdition], bytes], whole: OutgoingEdition) -> None:
    assert back(write(whole)) == expected(whole, "edition-0")


@given(
    whole=outgoing(LINE, NUMBERS.filter(lambda pair: pair[1] is None)),
    heading=st.sampled_from(["", "4901.99"]),
    language=st.sampled_from(["", "ger", "eng; fre"]),
)
@settings(max_examples=examples(60))
def test_an_edition_comes_back_from_onix(whole: OutgoingEdition, heading: str, language: str) -> None:
    """All that ONIX can hold: of a language only a code."""
    held = replace(whole.edition, hs_heading=heading, collects="", language=language)
    whole = replace(whole, edition=held)
    assert back(in_onix(whole)) == expected(whole, "edition-0")


def test_what_a_format_cannot_hold_is_noted() -> None:
    whole = OutgoingEdition(
        Edition(
            id=1,
            title="Salt\x1d\x1e",
            hs_heading="4901.99",
            add_on="05",
            number="9771234567898",
            collects="Tide 1-5",
            price=Decimal("12.50"),
            currency="EUR",
            why="read aloud",
        )
    )
    marc, onix = Remarks(), Remarks()
    record = marc_record(whole, TODAY, marc)
    onix_write.product_bytes(whole, onix)
    assert next(record.having("245")).first("a") == "Salt"
    assert where(marc) == {"control characters", "hs_heading", "price", "why"}
    assert next(record.having("505")).first("a") == "Collects: Tide 1-5"
    assert where(onix) == {"control characters", "add_on", "collects", "price", "why"}


def test_a_serial_s_record_says_which_parts_of_it_are_held() -> None:
    """MARC 21 Format for Holdings Data: fields 853 and 863, and 866 (seen in a copy)."""
    leader = "     nas a22     uc 4500"
    title = MarcField("245", "00", [("a", "Tide Annual")])
    caption = MarcField("853", "20", [("8", "1"), ("a", "v."), ("b", "no."), ("u", "12"), ("v", "r")])
    numbering = [
        MarcField("863", "40", [("8", "1.1"), ("a", "1-3")]),
        MarcField("863", "40", [("8", "1.2"), ("a", "4"), ("b", "1-6")]),
    ]
    text = MarcField("866", "41", [("8", "0"), ("a", "v.1-4;v.6(1996)")])
    for fields, collects in (
        ([caption, *numbering], '"Tide Annual" v.1-3, v.4:no.1-6'),
        ([caption, *numbering, text], '"Tide Annual" v.1-4, 6'),
    ):
        data = marc_bytes(MarcRecord(leader, [title, *fields]))
        assert held(data) == collects
    assert held(marc_bytes(MarcRecord(leader, [title, MarcField("866", "40", [("a", "some of it")])]))) == ""


def held(data: bytes) -> str:
    with tempfile.NamedTemporaryFile() as file:
        file.write(data)
        file.flush()
        rows = open_records(Path(file.name), ListKind.EDITIONS)
        assert rows is not None
        (row,) = rows
    assert isinstance(row, SheetRow)
    assert parse_edition(Cells(row.cells, {name: name for name in rows.header}))[0].collects == row.cells["collects"]
    return row.cells["collects"]


def where(remarks: Iterable[object]) -> set[str]:
    return {str(getattr(remark, "where", "")) for remark in remarks}


FACTS: dict[str, str | int] = {
    "start": "A letter", "where": "field 245", "byte": "0xE9", "type": "z", "at": 7, "why": "no end", "entity": "&own;",
    "millions": 8,
}  # fmt: skip


@pytest.mark.parametrize("problem", list(RecordProblem))
def test_every_problem_of_a_record_is_a_reason_with_a_sentence(problem: RecordProblem) -> None:
    parsed = parse_rows([RecordFault(3, problem, FACTS)], {}, parse_edition)
    assert (parsed.good, parsed.bad) == ([], [BadRow(3, RowReason(f"record_{problem.value}"), FACTS)])
    assert "{" not in bad_row_sentence(parsed.bad[0])


def test_a_table_is_no_file_of_records_and_records_are_no_list_of_boxes(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("key,title\nA1,Salt\n", encoding="utf-8")
    (tmp_path / "a.mrc").write_bytes(in_marc(OutgoingEdition(Edition(id=1, title="Salt"))))
    (tmp_path / "a.xml").write_bytes(in_onix(OutgoingEdition(Edition(id=1, title="Salt"))))
    assert open_records(tmp_path / "a.csv", ListKind.EDITIONS) is None
    rows = open_records(tmp_path / "a.mrc", ListKind.COPIES)
    assert rows is not None
    assert (rows.format, list(rows)) == (RecordFormat.MARC, [])
    with pytest.raises(UsageError):
        open_records(tmp_path / "a.mrc", ListKind.BOXES)
    with pytest.raises(UsageError):
        open_records(tmp_path / "a.xml", ListKind.COPIES)


def test_a_notice_of_deletion_is_told_and_stops_no_other_record(tmp_path: Path) -> None:
    """List 1 of ONIX: notification type 05 is a notice of deletion."""
    salt, gone = (in_onix(OutgoingEdition(Edition(id=nth, title=title))) for nth, title in ((1, "Salt"), (2, "Reed")))
    notice = gone.removeprefix(onix_write.opening(TODAY)).replace(b"Type>03<", b"Type>05<")
    (tmp_path / "a.xml").write_bytes(salt.removesuffix(onix_write.CLOSING) + notice)
    rows = open_records(tmp_path / "a.xml", ListKind.EDITIONS)
    assert rows is not None
    assert [row.cells["title"] for row in rows if isinstance(row, SheetRow)] == ["Salt"]
    assert [(remark.count, remark.record) for remark in rows.remarks if remark.kind is RemarkKind.DELETED] == [(1, 2)]


def test_a_shelfmark_is_not_said_to_have_no_field() -> None:
    (line,) = remark_lines([RecordRemark(RemarkKind.LEFT_OUT, "shelfmark", 1, 1, "597.09 MOO")])
    assert "no field" not in line
    assert "copy edit" in line
