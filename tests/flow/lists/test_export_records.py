"""What is exported can be imported again, in every format, and what a format does not hold is said."""

import codecs
import csv
from datetime import date
from pathlib import Path

import openpyxl
import pymarc
import pytest
from lxml import etree

from intake.edges.csv_rows import CsvFile
from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.exports import shared_numbers
from intake.errors import FileError, UsageError
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_withdrawal
from intake.flow.lists import export_records as exporting
from intake.flow.lists.copies import COPY_COLUMNS
from intake.flow.lists.editions import EDITION_COLUMNS
from intake.flow.lists.export_columns import COPY_CELLS, EDITION_CELLS
from intake.flow.lists.export_records import ExportFormat, ExportKind, choose_format, export_records
from intake.flow.lists.import_file import import_file
from intake.flow.lists.import_list import ImportResult, ListKind
from intake.flow.lists.remark_words import export_lines
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet, Copy, Edition
from intake.model.identifiers import OwnKind
from intake.model.withdrawals import WithdrawalReason
from tests.counting import count_statements
from tests.flow.conftest import import_text
from tests.made_library import new_library

TODAY = date(2026, 3, 31)
FORMATS = [("a.csv", None), ("a.mrc", None), ("a.xml", "marcxml"), ("a.xml", "onix")]


def export(library: Library, kind: ExportKind, path: Path, format_: str | None = None) -> set[str]:
    result = export_records(library, kind, path, format_=format_, today=TODAY)
    return {remark.where for remark in result.remarks}


def brought_in(folder: Path, kind: ListKind, path: Path, *, dry_run: bool = False) -> ImportResult:
    return import_file(folder, kind, path, dry_run=dry_run, station="test", today=TODAY)


@pytest.mark.parametrize(("name", "format_"), FORMATS)
def test_editions_exported_and_imported_again_change_nothing(
    library: Library, tmp_path: Path, name: str, format_: str | None
) -> None:
    path = tmp_path / name
    left_out = export(library, ExportKind.EDITIONS, path, format_)
    assert left_out == ({"add_on"} if format_ == "onix" else set())
    fresh = tmp_path / "fresh"
    assert not brought_in(fresh, ListKind.EDITIONS, path).bad_rows
    with open_library(fresh) as other, other.reading() as there, library.reading() as here:
        titles = [{one.id: one.title for one in reader.all(BookSet)} for reader in (here, there)]
        kept = [
            [(e.key, e.title, None if format_ == "onix" else e.add_on, e.number, e.contributors, e.year, e.height_mm,
              e.statement, e.subject, e.volume, titles[nth].get(e.set_id or 0)) for e in reader.all(Edition)]
            for nth, reader in enumerate((here, there))
        ]  # fmt: skip
    assert kept[0] == kept[1]
    again = brought_in(fresh, ListKind.EDITIONS, path)
    assert (again.made, again.altered, again.entries) == (0, 0, ())


@pytest.mark.parametrize(("name", "format_"), FORMATS[:3])
def test_copies_exported_are_the_same_copies_in_an_empty_library(
    library: Library, tmp_path: Path, name: str, format_: str | None
) -> None:
    export(library, ExportKind.EDITIONS, tmp_path / "editions.csv")
    left_out = export(library, ExportKind.COPIES, tmp_path / name, format_)
    assert left_out == (set() if format_ is None and name == "a.csv" else {"value", "no copies"})
    fresh = tmp_path / "fresh"
    brought_in(fresh, ListKind.EDITIONS, tmp_path / "editions.csv")
    if name.endswith(".csv"):
        # A copy's own number means a copy of the library that it was exported from; another one gives its own.
        with (tmp_path / name).open(encoding="utf-8-sig", newline="") as file:
            header, *rows = csv.reader(file)
        at = header.index("copy")
        with (tmp_path / name).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([*row[:at], *row[at + 1 :]] for row in (header, *rows))
    assert not brought_in(fresh, ListKind.COPIES, tmp_path / name).bad_rows
    with open_library(fresh) as other, other.reading() as there, library.reading() as here:
        kept = [
            sorted((e.key, c.box or "", c.state, c.grade, c.jacket, c.has_jacket, c.wrapped, c.condition, c.note)
                   for e in reader.all(Edition) for c in copies_of_editions(reader, [e.id]))
            for reader in (here, there)
        ]  # fmt: skip
    assert kept[0] == kept[1]
    assert len(kept[0]) == 5


def test_records_of_copies_say_which_editions_are_in_none(library: Library, tmp_path: Path) -> None:
    with library.reading() as reader:
        without = [one.title for one in reader.all(Edition) if not copies_of_editions(reader, [one.id])]
    for name, format_ in FORMATS[:3]:
        result = export_records(library, ExportKind.COPIES, tmp_path / name, format_=format_, today=TODAY)
        bare = [(one.count, one.example) for one in result.remarks if one.where == "no copies"]
        assert bare == ([] if name == "a.csv" else [(len(without), without[0])])


def test_a_table_has_the_columns_of_the_import_and_no_other(library: Library, tmp_path: Path) -> None:
    for kind, columns, cells in (
        (ExportKind.EDITIONS, EDITION_COLUMNS, set(EDITION_CELLS)),
        (ExportKind.COPIES, COPY_COLUMNS, set(COPY_CELLS)),
    ):
        names = [column.field for column in columns]
        assert cells == set(names)
        export(library, kind, tmp_path / "a.csv")
        export(library, kind, tmp_path / "a.xlsx")
        assert list(CsvFile(tmp_path / "a.csv").header) == names
        sheet = openpyxl.load_workbook(tmp_path / "a.xlsx").worksheets[0]
        assert [cell.value for cell in sheet[1]] == names


def test_a_workbook_keeps_numbers_of_books_as_text_and_amounts_as_numbers(library: Library, tmp_path: Path) -> None:
    export(library, ExportKind.EDITIONS, tmp_path / "a.xlsx")
    export(library, ExportKind.COPIES, tmp_path / "c.xlsx")
    editions = openpyxl.load_workbook(tmp_path / "a.xlsx").worksheets[0]
    copies = openpyxl.load_workbook(tmp_path / "c.xlsx").worksheets[0]
    first = {name.value: cell.value for name, cell in zip(editions[1], editions[2], strict=True)}
    assert (first["number"], first["year"], first["height_mm"]) == ("9780306406157", 1990, 280)
    value = {name.value: cell.value for name, cell in zip(copies[1], copies[2], strict=True)}
    assert (value["value"], value["currency"]) == (120, "EUR")


def test_the_suffix_decides_and_xml_is_asked_about(tmp_path: Path) -> None:
    assert choose_format(tmp_path / "A.MRC", ExportKind.COPIES, None) is ExportFormat.MARC
    assert choose_format(tmp_path / "a.xml", ExportKind.EDITIONS, "onix") is ExportFormat.ONIX
    for name, kind, format_ in (
        ("a.xml", ExportKind.EDITIONS, None),
        ("a.xml", ExportKind.COPIES, "onix"),
        ("a.csv", ExportKind.EDITIONS, "marcxml"),
        ("a.pdf", ExportKind.EDITIONS, None),
        ("a", ExportKind.EDITIONS, None),
    ):
        with pytest.raises(UsageError):
            choose_format(tmp_path / name, kind, format_)


def test_a_copy_whose_edition_has_no_name_of_its_own_is_said(library: Library, tmp_path: Path) -> None:
    twins = "title,number,volume\nTwin Tides,9780110002224,1\nTwin Tides,9780110002224,2\nNameless,,\n"
    import_text(library, tmp_path, ListKind.EDITIONS, twins)
    with library.reading() as reader:
        assert shared_numbers(reader) == {"9770264359008", "9780110002224"}
        nameless = [edition for edition in reader.all(Edition) if not edition.key]
    new = Provisional()
    copies = [Copy(accession=new.number(OwnKind.COPY), edition_id=edition.id) for edition in nameless]
    library.apply(Action(ActionKind.IMPORT_COPIES, "by hand", station="test"), made(*copies))
    result = export_records(library, ExportKind.COPIES, tmp_path / "a.csv", today=TODAY)
    assert {remark.where: remark.count for remark in result.remarks} == {
        "shared number": 2,
        "no name": 1,
    }


def test_a_record_says_how_many_characters_its_title_is_filed_without(library: Library, tmp_path: Path) -> None:
    """MARC 21, field 245, second indicator: 4 for "The " (from memory)."""
    titles = "title,language\nThe Gulls,eng\nDie Wellen,ger\nDie Casting,eng\nL’île,fre\n"
    import_text(library, tmp_path, ListKind.EDITIONS, titles)
    export(library, ExportKind.EDITIONS, tmp_path / "a.mrc")
    with (tmp_path / "a.mrc").open("rb") as file:
        filed = {record["245"]["a"]: record["245"].indicator2 for record in pymarc.MARCReader(file) if record}
    assert filed["A Guide to Gulls"] == "0"  # the language is not known
    assert [filed[title] for title in ("The Gulls", "Die Wellen", "Die Casting", "L’île")] == ["4", "4", "0", "2"]


def test_a_record_that_is_too_large_is_refused_and_the_file_is_as_it_was(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.EDITIONS, f"title\n{'Long ' * 3000}\n")
    path = tmp_path / "a.mrc"
    path.write_bytes(b"before")
    with pytest.raises(FileError):
        export(library, ExportKind.EDITIONS, path)
    assert path.read_bytes() == b"before"
    assert [file.name for file in tmp_path.glob("*.part")] + [file.name for file in tmp_path.glob(".*.part")] == []
    export(library, ExportKind.EDITIONS, tmp_path / "a.xml", "marcxml")


def test_the_elements_of_a_message_stand_in_the_order_of_the_schema(library: Library, tmp_path: Path) -> None:
    """The order of the ONIX 3.0 schema's composites, from memory."""
    export(library, ExportKind.EDITIONS, tmp_path / "a.xml", "onix")
    names = (
        "ProductComposition ProductForm ProductFormDescription Measure CountryOfManufacture ProductClassification "
        "Collection TitleDetail Contributor EditionStatement Language Extent Subject"
    )
    order = names.split()
    described = list(etree.parse(tmp_path / "a.xml").iter("{*}DescriptiveDetail"))
    assert len(described) == 7
    for detail in described:
        places = [order.index(etree.QName(child).localname) for child in detail]
        assert places == sorted(places)


def test_an_export_asks_a_few_questions_whatever_the_size(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with count_statements(library) as few:
        export(library, ExportKind.COPIES, tmp_path / "a.csv")
    rows = "".join(f"E{n},Title {n}\n" for n in range(200))
    import_text(library, tmp_path, ListKind.EDITIONS, f"key,title\n{rows}")
    import_text(library, tmp_path, ListKind.COPIES, "key,box\n" + "".join(f"E{n},1\n" for n in range(200)))
    with count_statements(library) as many:
        export(library, ExportKind.COPIES, tmp_path / "a.csv")
    assert many.statements == few.statements
    monkeypatch.setattr(exporting, "EDITIONS_AT_ONCE", 10)
    export(library, ExportKind.COPIES, tmp_path / "b.csv")
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()


@pytest.mark.parametrize("name", ["a.csv", "a.xlsx", "a.mrc", "a.xml"])
def test_a_jacket_of_no_grade_comes_back_and_whole_copies_and_values_that_are_left_out_are_counted(
    library: Library, tmp_path: Path, name: str
) -> None:
    """Three jackets: of a grade, of none, and absent; a price paid before the value; a copy withdrawn with a value."""
    head = "key,copy,jacket,value,currency,basis,valued_on\n"
    import_text(library, tmp_path, ListKind.COPIES, f"{head}G2,,yes,90,EUR,purchase,2020-01-31\nP6,,Good,,,,\n")
    with library.reading() as reader:
        (ungraded,) = (copy.accession for copy in reader.all(Copy) if copy.has_jacket and copy.jacket is None)
    import_text(library, tmp_path, ListKind.COPIES, f"{head}G2,{ungraded},,95,EUR,market,2026-01-31\n")
    with library.reading() as reader:
        terms = WithdrawalTerms(reason=WithdrawalReason.SOLD, on=TODAY)
        plan = plan_withdrawal(reader, ["A3-41"], terms, today=TODAY, station="test")
    apply_correction(library, plan)
    format_ = "marcxml" if name == "a.xml" else None
    export(library, ExportKind.EDITIONS, tmp_path / "editions.csv")
    counts = {
        remark.where: remark.count
        for remark in export_records(library, ExportKind.COPIES, tmp_path / name, format_=format_, today=TODAY).remarks
    }
    assert counts["withdrawn copies"] == 1
    assert counts.get("other values", 0) == (1 if name in ("a.csv", "a.xlsx") else 0)
    fresh = tmp_path / "fresh"
    brought_in(fresh, ListKind.EDITIONS, tmp_path / "editions.csv")
    assert not brought_in(fresh, ListKind.COPIES, tmp_path / name).bad_rows
    with open_library(fresh) as other, other.reading() as there:
        words = [(copy.has_jacket, copy.jacket and copy.jacket.value) for copy in there.all(Copy)]
    assert words.count((True, None)) == 1
    assert (False, None) in words
    assert (True, "Good") in words


def test_what_is_kept_from_other_people_is_counted_once_and_said_so(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.EDITIONS, "key,title,price,currency,why\nP1,Salt,3,EUR,for its plates\n")
    import_text(library, tmp_path, ListKind.COPIES, "key,kept,why\nP1,yes,read aloud\nP1,,a gift\n")
    remarks = export_records(library, ExportKind.COPIES, tmp_path / "a.mrc", today=TODAY).remarks
    counts = {remark.where: remark.count for remark in remarks}
    assert {where: counts[where] for where in ("price", "why", "kept")} == {"price": 1, "why": 3, "kept": 1}
    lines = [line for line in export_lines(remarks) if line.startswith(("price", "why", "what is never to go"))]
    assert len(lines) == 3
    assert all("records that go to others" in line for line in lines)


@pytest.mark.parametrize("name", ["a.csv", "a.xlsx"])
def test_what_looks_like_a_formula_comes_back_as_it_was(tmp_path: Path, name: str) -> None:
    # OWASP, CSV injection: what a spreadsheet may run begins with one of these; they are titles here.
    cells = ["=1+1", "+44 Days", "-273", "@Home", "'Tis the Tide", "\u2067שלום\u2069", '\'=""Tern""', '\'\'=""Gull""']
    titles = [*cells[:6], '="Tern"', '\'="Gull"']
    lines = "\r\n".join(f'K{n},"{cell}"' for n, cell in enumerate(cells))
    with new_library(tmp_path / "library") as library:
        import_text(library, tmp_path, ListKind.EDITIONS, f"key,title\r\n{lines}\r\n")
        path = tmp_path / name
        export_records(library, ExportKind.EDITIONS, path, marked=True, today=TODAY)
    if name == "a.csv":
        assert path.read_bytes().startswith(codecs.BOM_UTF8)
        with path.open(encoding="utf-8-sig", newline="") as file:
            written = [row["title"] for row in csv.DictReader(file)]
        assert written == ["'=1+1", "'+44 Days", "'-273", "'@Home", "'Tis the Tide", titles[5],
                           *(f"'{title}" for title in titles[6:])]  # fmt: skip
    again = brought_in(tmp_path / "library", ListKind.EDITIONS, path)
    assert (again.made, again.altered, again.unchanged) == (0, 0, len(titles))
    with open_library(tmp_path / "library") as library, library.reading() as reader:
        assert [edition.title for edition in reader.all(Edition)] == titles
