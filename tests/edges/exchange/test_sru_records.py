"""What the fields of MARCXML and Dublin Core become.

Fields, subfields and traps: MARC 21 Format for Bibliographic Data, as seen in a copy of the list of fields.
"""

import httpx
import pytest
from lxml import etree

from intake.edges.exchange.marc_editions import edition_cells
from intake.edges.exchange.marcxml import record_of
from intake.edges.exchange.record_remarks import Remarks
from intake.edges.exchange.sru_records import read_record
from intake.model.lookups import LookedUpRecord, RecordNoteKind, RecordNumber
from tests.edges.exchange.stub_server import SALT, marc


def record(xml: str) -> LookedUpRecord:
    read = read_record(etree.fromstring(xml))
    assert read is not None
    return read


def value(*lines: str, name: str) -> object:
    return record(marc(*lines)).fields.get(name)


def kinds(*lines: str) -> list[RecordNoteKind]:
    return [note.kind for note in record(marc(*lines)).notes]


def test_a_record_of_a_book() -> None:
    salt = record(SALT)
    assert salt.fields == {
        "title": "Salt: a history",
        "contributors": ("Thorn, Ada",),
        "publisher": "Gull Press",
        "year": 1987,
        "pages": 357,
        "height_mm": 280.0,
    }
    assert salt.numbers == (RecordNumber("9780306406157", "hbk."),)
    assert {note.kind for note in salt.notes} == {
        RecordNoteKind.PAGES_ADDED,
        RecordNoteKind.HEIGHT_ROUNDED_UP,
    }
    assert ("245 $c", "Ada Thorn.") in salt.left_out


def test_before_2013_the_qualifier_stood_beside_the_number() -> None:
    numbers = record(marc("020 ## $a 0306406152 (pbk. : v. 1)", "020 ## $a 316148410X $z 9783161484100")).numbers
    assert numbers == (
        RecordNumber("0306406152", "pbk. : v. 1"),
        RecordNumber("316148410X"),
        RecordNumber("9783161484100", cancelled=True),
    )


def test_an_issn_that_is_wrong_or_cancelled_is_marked_and_an_ean_has_its_add_on() -> None:
    numbers = record(
        marc("022 0# $a 0264-3596 $y 0264-3597", "024 3# $a 9770264359008 $d 05", "024 8# $a 1234")
    ).numbers
    assert numbers == (
        RecordNumber("0264-3596"),
        RecordNumber("9770264359008 05"),
        RecordNumber("0264-3597", cancelled=True),
    )


@pytest.mark.parametrize(
    ("text", "year", "note"),
    [
        ("1987.", 1987, None),
        ("c1987", 1987, RecordNoteKind.YEAR_OF_COPYRIGHT),
        ("[1987?]", 1987, RecordNoteKind.YEAR_UNCERTAIN),
        ("1987, ©1986", 1987, RecordNoteKind.YEAR_FIRST_OF_SEVERAL),
        ("1990-", 1990, RecordNoteKind.YEAR_FIRST_OF_SEVERAL),
        ("[ca. 1890]", 1890, RecordNoteKind.YEAR_UNCERTAIN),
        ("9999", None, None),
        ("0198", None, None),
        ("[19--]", None, None),
    ],
)
def test_a_year_as_it_is_catalogued(text: str, year: int | None, note: RecordNoteKind | None) -> None:
    lines = ("245 10 $a Salt.", f"260 ## $b Gull Press, $c {text}")
    assert value(*lines, name="year") == year
    assert kinds(*lines) == ([note] if note else [])


def test_of_the_statements_of_264_only_publication_and_copyright_count() -> None:
    lines = ("264 #3 $b Ink Works, $c 1999.", "264 #1 $b Gull Press, $c 1987.")
    assert (value(*lines, name="publisher"), value(*lines, name="year")) == ("Gull Press", 1987)


@pytest.mark.parametrize(
    ("extent", "size", "pages", "height", "width"),
    [
        ("xii, 345 p. :", "28 cm.", 357, 280, None),
        ("81 p., [5] leaves of plates :", "21 cm", 81, 210, None),
        ("345 Seiten", "20 x 28 cm", 345, 200, 280),
        ("3 v. (1250 p.)", "25 x 36 cm", None, 250, 360),
        ("v. :", "4to", None, None, None),
        ("p. cm.", "", None, None, None),
        ("[6], 120 p.", "30,5 cm", 126, 305, None),
    ],
)
def test_extent_and_size(extent: str, size: str, pages: int | None, height: int | None, width: int | None) -> None:
    """Height is rounded up to whole centimetres; after it the width where it is unusual (MARC 21, field 300)."""
    fields = record(marc(f"300 ## $a {extent} $c {size}")).fields
    assert (fields.get("pages"), fields.get("height_mm"), fields.get("width_mm")) == (pages, height, width)


@pytest.mark.parametrize(
    ("lines", "title", "volume"),
    [
        (("245 14 $a The salt road /",), "The salt road", None),
        (("245 10 $a Ferns. $n Vol. 2, $p Of the inner isles :",), "Of the inner isles", "Vol. 2"),
        (("245 10 $a Gulls : $b and terns.",), "Gulls: and terns", None),
        (("245 10 $a Gulls ...",), "Gulls ...", None),
    ],
)
def test_titles(lines: tuple[str, ...], title: str, volume: str | None) -> None:
    assert (value(*lines, name="title"), value(*lines, name="volume")) == (title, volume)


def test_a_work_that_is_named_in_a_record_is_no_person_of_the_book() -> None:
    lines = ("100 1# $a Thorn, Ada", "700 12 $a Lind, Bo. $t Terns.", "700 1# $a Thorn, Ada", "710 2# $a Gull Society.")
    assert value(*lines, name="contributors") == ("Thorn, Ada", "Gull Society")


def test_languages_and_classes() -> None:
    fixed = f'<controlfield tag="008">{"910710s1991    nju           00010 ger  ":40}</controlfield>'
    assert record(marc("245 00 $a Salz.", control=fixed)).fields == {"title": "Salz", "language": "ger", "year": 1991}
    old = ("041 1# $a engfre $h ger", "082 04 $a 551.46/003 $2 20", "050 00 $a GB1")
    read = record(marc(*old))
    assert (read.fields["language"], read.fields["call_number"]) == ("eng; fre", "551.46003")
    assert ("050 besides", "GB1") in read.left_out


WORDS = (
    *("12.00", "Salt", "history", "Thorn", "1950", "author", "2nd", "revised", "Wren", "Gull", "n.d.", "Tern Press"),
    *("ill", "folio", "map", "Shore", "12", "Tides", "History", "Third issue", "whatever", "Terns", "Lind"),
)


def test_nothing_of_a_record_vanishes() -> None:
    """Every text of the data fields is in a field, in a note or among what no field takes."""
    lines = (
        "020 ## $a 9780306406157 $c 12.00",
        "245 10 $a Salt : $b a history / $c Ada Thorn.",
        "100 1# $a Thorn, Ada, $d 1950- $e author $0 (link)1",
        "700 12 $a Lind, Bo. $t Terns.",
        "250 ## $a 2nd ed. / $b revised.",
        "250 ## $a Third issue.",
        "260 ## $b Tern Press",
        "260 ## $a Port Wren : $b Gull Press, $c [n.d.]",
        "300 ## $a 3 v. : $b ill. ; $c folio + $e 1 map",
        "490 1# $a Shore studies ; $v 12",
        "505 0# $a v. 1. Tides -- v. 2. Pans",
        "650 #0 $a Salt $x History",
        "999 ## $a whatever",
    )
    read = record(marc(*lines))
    shown = " ".join([*map(str, read.fields.values()), *(text for _, text in read.left_out)])
    for word in WORDS:
        assert word in shown, word


def test_a_text_that_is_too_long_to_be_a_title_is_left_out() -> None:
    read = record(marc(f"245 10 $a {'x' * 1_000_000}"))
    assert "title" not in read.fields
    assert [tag for tag, _ in read.left_out] == ["title"]


def test_a_lookup_takes_of_a_record_what_an_import_does() -> None:
    """One mapping: what the server sends and what the same record gives from a file are the same cells."""
    lines = (
        "020 ## $a 9780306406157 $q (hbk.)",
        "100 1# $6 880-01 $a Zemtsov, I.",
        "245 10 $6 880-02 $a Trava. $n 2, $p Sol' /",
        "260 ## $a X : $b Sever, $c [ca. 1998]",
        "300 ## $a 345 с. ; $c 20 x 28 cm",
        "563 ## $a Half leather",
        "880 1# $6 100-01/(N $a Земцов, И.",
        "880 10 $6 245-02/(N $a Трава. $n 2, $p Соль",
    )
    xml = etree.fromstring(marc(*lines))
    cells = edition_cells(record_of(xml), Remarks())
    fields = record(marc(*lines)).fields
    assert fields["set"] == cells["set"] == "Трава"
    assert (fields["title"], fields["volume"], fields["binding"]) == ("Соль", "2", "Half leather")
    numbers = {"year": int, "pages": int, "height_mm": float, "width_mm": float}
    assert fields == {
        name: numbers[name](text) if name in numbers else (text,) if name == "contributors" else text
        for name, text in cells.items()
        if name not in ("key", "number")
    }
    assert fields["pages"] == 345
    scripts = [note.field for note in record(marc(*lines)).notes if note.kind is RecordNoteKind.OTHER_SCRIPT]
    assert scripts == ["contributors", "title", "set"]


def test_holdings_and_names_are_no_record_of_an_edition() -> None:
    for leader in ("00000nx  a2200000 a 4500", "00000nz  a2200000 a 4500"):
        xml = marc("245 00 $a Salt.").replace("00000nam a2200000 a 4500", leader)
        assert read_record(etree.fromstring(xml)) is None


def test_dublin_core() -> None:
    xml = (
        '<oai xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>Salt : a history /</dc:title>'
        "<dc:creator>Thorn, Ada</dc:creator><dc:contributor>Bo Lind</dc:contributor>"
        "<dc:publisher>Gull Press</dc:publisher>"
        "<dc:date>c1987</dc:date><dc:language>eng</dc:language><dc:identifier>urn:ISBN:0-306-40615-2</dc:identifier>"
        "<dc:format>xii, 345 p. ; 28 cm</dc:format><dc:subject>Salt</dc:subject></oai>"
    )
    read = record(xml)
    assert read.fields == {
        "title": "Salt : a history",
        "contributors": ("Thorn, Ada", "Bo Lind"),
        "publisher": "Gull Press",
        "year": 1987,
        "language": "eng",
        "pages": 357,
        "height_mm": 280.0,
    }
    assert read.numbers == (RecordNumber("0-306-40615-2"),)
    assert read.left_out == (("dc:subject", "Salt"),)


def test_marcxml_without_its_namespace_is_read() -> None:
    assert record(SALT.replace(' xmlns="http://www.loc.gov/MARC21/slim"', "")) == record(SALT)


def test_another_format_is_not_read() -> None:
    assert read_record(etree.fromstring("<mods xmlns='http://www.loc.gov/mods/v3'><title>Salt</title></mods>")) is None


def test_the_records_of_yaz_ztest(ztest: str) -> None:
    """Debian's yaz-ztest sends the sample records of the library YAZ, made by cataloguers (MARCXML, SRU 1.1)."""
    parameters = {"version": "1.1", "operation": "searchRetrieve", "query": "a computer", "maximumRecords": "50"}
    body = httpx.get(ztest, params={**parameters, "recordSchema": "marcxml"}, timeout=10).content
    records = [record(etree.tostring(each).decode()) for each in etree.fromstring(body).iter("{*}recordData")]
    assert records
    assert all(read.fields["title"] for read in records)
    first = records[0]
    assert first.id == "11224466"
    assert first.fields["title"] == "How to program a computer"
    assert (first.fields["year"], first.fields["language"]) == (1991, "eng")
