"""The papers of a consignment as a customs officer reads them: every figure worked out by hand.

Three boxes, one of them not weighed; values in five currencies, one of which has no rate that is young enough; books of
1770, 1920 and 1930, and an atlas. Titles are invented.

    box 1   A1 800 g GBP 450 market    A2 600 g USD 80 purchase    A3 1000 g EUR 35.50 purchase   gross 3.2 kg
    box 2   A4 2600 g JPY 12000 market  A5 of unknown mass and value                              gross 4.0 kg
    box 3   A6 1000 g SEK 300 agreed                                                              not weighed
    rates of 31 March 2026: EUR 1 = GBP 0.80 = USD 1.25 = JPY 160; of 2 January: SEK 11

    EUR 450 / 0.8 = 562.50, 80 / 1.25 = 64.00, 35.50, 12000 / 160 = 75.00; together 737.00, and SEK 300.00
"""

import csv
import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pypdfium2
import pytest

from intake.edges.store.library import Library
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle
from intake.flow.moving.consignments import consign
from intake.flow.moving.reconcile import record_damage
from intake.flow.moving.weigh_box import record_mass
from intake.flow.papers import registry
from intake.flow.papers.consignment_content import ConsignmentContent
from intake.flow.papers.consignment_sums import closing_total
from intake.flow.papers.customs_papers import box_sums, gather_customs_list, heading_sums
from intake.flow.papers.customs_questions import asked_before_signing
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.papers.render import render
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.flow.values.exchange_rates import enter_rate
from intake.flow.values.figures import Figure
from intake.flow.values.value_sets import value_set
from intake.model.boxes import Consignment
from intake.model.editions import BookSet
from intake.model.valuations import Basis
from tests.flow.conftest import NOW, booked, import_text
from tests.made_library import copy_library, new_library

TODAY = date(2026, 3, 31)
OPTIONS = PaperOptions(reference="R-1", relief="eu", left_on=date(2026, 2, 1))

CATALOG = """key,number,title,year,subject,printed_in,mass_g
K1,,Voyages to Nowhere Bay,1770,Travel,GB,800
K2,,Tide Tables of Corrovane,1920,Navigation,,600
K3,,Lichens by Lamplight,1930,Plants,PT,1000
K4,978-0-306-40615-7,Atlas of Drowned Valleys,2011,Atlases,IT,2600
K5,978-3-16-148410-0,A Guide to Gulls,1996,Birds,,
"""
COPIES = """box,key,grade,value,currency,basis,valued_on
1,K1,Good,450,GBP,market,2026-01-15
1,K2,,80,USD,purchase,2020-05-01
1,K3,Fine,35.5,EUR,purchase,2025-09-15
2,K4,As New,12000,JPY,market,2026-01-15
2,K5,,,,,
3,K3,,300,SEK,agreed,2026-01-15
"""
RATES = (("GBP", "0.80", TODAY), ("USD", "1.25", TODAY), ("JPY", "160", TODAY), ("SEK", "11", date(2026, 1, 2)))


@pytest.fixture(scope="module")
def shipped_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shipped")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, CATALOG)
        import_text(library, folder, ListKind.COPIES, COPIES)
        import_text(library, folder, ListKind.BOXES, "box,tare_g,gross_g\n1,500,3200\n2,500,4000\n3,500,\n")
        consignment = "reference,consignee,origin,destination,boxes\nR-1,Mx Nobody,Wexmere,Lesser Thornel,all\n"
        import_text(library, folder, ListKind.CONSIGNMENT, consignment)
        for currency, rate, on in RATES:
            enter_rate(library, "EUR", currency, Decimal(rate), on=on, station="test", today=TODAY)
    return folder / "library"


@pytest.fixture
def shipped(shipped_made: Path, tmp_path: Path) -> Iterator[Library]:
    with copy_library(shipped_made, tmp_path / "shipped") as opened:
        yield opened


def content_of(library: Library, options: PaperOptions = OPTIONS) -> ConsignmentContent:
    with library.reading() as records:
        return gather_customs_list(PaperSource(library, records, TODAY, PaperFormat.PDF), options)


def csv_of(library: Library, paper: str, options: PaperOptions = OPTIONS) -> list[dict[str, str]]:
    data = render(library, registry.find_paper(paper), options, PaperFormat.CSV, on=TODAY).data
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def pdf_of(library: Library, paper: str, options: PaperOptions = OPTIONS) -> str:
    data = render(library, registry.find_paper(paper), options, PaperFormat.PDF, on=TODAY).data
    with pypdfium2.PdfDocument(data) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


def test_every_line_by_hand(shipped: Library) -> None:
    rows = [row for row in csv_of(shipped, "customs") if row["Copy"]]
    lines = [
        (row["Box"][:2], row["Copy"][:2], row["ISBN"], row["HS heading"], row["Printed in"], row["State"], row["Value"],
         row["Currency"], row["Net, kg"], row["Gross, kg"])
        for row in rows
    ]  # fmt: skip
    # 3200 g over 800, 600 and 1000: 1066.67, 800 and 1333.33 g. In box 2 one mass is not known, box 3 is not weighed.
    assert lines == [
        ("B1", "A1", "", "4901.99", "GB", "used", "562.50", "EUR", "0.800", "1.067"),
        ("B1", "A2", "", "4901.99", "", "not inspected", "64.00", "EUR", "0.600", "0.800"),
        ("B1", "A3", "", "4901.99", "PT", "used", "35.50", "EUR", "1.000", "1.333"),
        ("B2", "A4", "978-0-306-40615-7", "4905.20", "IT", "as new", "75.00", "EUR", "2.600", ""),
        ("B2", "A5", "978-3-16-148410-0", "4901.99", "", "not inspected", "", "", "", ""),
        ("B3", "A6", "", "4901.99", "PT", "not inspected", "300.00", "SEK", "1.000", ""),
    ]
    questions = [row["To be decided"] for row in rows]
    assert questions[0].startswith("4901 or 9706.10?")
    assert questions[1].startswith("4901 or 9706.90?")
    assert questions[2:] == ["", "", "", ""]
    assert "256 years" in questions[0]
    assert "106 years" in questions[1]


def test_the_closing_total_by_hand(shipped: Library) -> None:
    content = content_of(shipped)
    a5 = content.boxes[1][1][1].line.number
    b3 = content.boxes[2][0].number
    value = "Value EUR 737.00 (market EUR 637.50, purchase EUR 99.50); not converted SEK 300.00 (agreed)"
    assert closing_total(content) == [
        "3 boxes, 6 pieces",
        f"{value} (1 of 6 without a value)",
        f"Net mass 6.000 kg, without {a5}, of unknown mass",
        f"Gross mass 7.200 kg, without {b3}, not weighed",
    ]


def test_what_is_asked_before_signing(shipped: Library) -> None:
    content = content_of(shipped)
    asks = list(asked_before_signing(content))
    numbers = [one.line.number for one in content.listed]
    assert [number for number in numbers if number in asks[0]] == [numbers[5]], "not converted"
    assert "88 days earlier" in asks[1], "2 January to 31 March 2026"
    assert "'intake rates enter EUR SEK RATE --on 2026-03-31'" in asks[1]
    named = {ask.split(":")[0]: [number for number in numbers if number in ask] for ask in asks[2:]}
    assert named == {
        "Country of printing not known": [numbers[1], numbers[4]],
        "No value recorded": [numbers[4]],
        "Mass not known": [numbers[4]],
        "Not weighed": [],
        "Heading to be decided": [numbers[0], numbers[1]],
    }


def test_pages_workbook_and_csv_say_the_same(shipped: Library) -> None:
    text = pdf_of(shipped, "customs")
    rows = csv_of(shipped, "customs")
    data = render(shipped, registry.CUSTOMS, OPTIONS, PaperFormat.XLSX, on=TODAY).data
    book = openpyxl.load_workbook(io.BytesIO(data))
    notes = [str(cell.value) for cell in book["Notes"]["A"]]
    assert [row["Notes"] for row in rows if row["Notes"]] == notes
    for sentence in closing_total(content_of(shipped)):
        assert sentence in text
        assert sentence in notes
    for wanted in ("EUR 562.50", "GBP 450.00", "1.067 kg", "SEK 300.00", "2.600 kg", "978-0-306-40615-7"):
        assert wanted in text
    sheet = book.worksheets[0]
    header = [cell.value for cell in sheet[1]]
    values = [row[header.index("Value")].value for row in sheet.iter_rows(min_row=2, max_row=7)]
    assert values == [562.5, 64, 35.5, 75, None, 300]


def test_a_list_in_yen_has_no_decimals_and_one_in_a_currency_without_a_rate_is_in_the_others(shipped: Library) -> None:
    yen = [(row["Value"], row["Currency"]) for row in csv_of(shipped, "customs", replace(OPTIONS, currency="JPY"))][:6]
    # EUR 562.50, 64, 35.50 and 75 at 160; the yen as they were.
    assert yen == [("90000", "JPY"), ("10240", "JPY"), ("5680", "JPY"), ("12000", "JPY"), ("", ""), ("300.00", "SEK")]
    (first, second, *_) = closing_total(content_of(shipped, replace(OPTIONS, currency="SEK")))
    assert first == "3 boxes, 6 pieces"
    others = ("EUR 35.50 (purchase)", "GBP 450.00 (market)", "JPY 12,000 (market)", "USD 80.00 (purchase)")
    apart = "; ".join(f"not converted {amount}" for amount in others)
    assert second == f"Value SEK 300.00 (agreed); {apart} (1 of 6 without a value)"


def test_the_move_inventory_states_the_same_values(shipped: Library) -> None:
    text = pdf_of(shipped, "move")
    assert "Value EUR 737.00 (market EUR 637.50, purchase EUR 99.50); not converted SEK 300.00 (agreed)" in text
    assert "Gross mass 7.200 kg, without" in text
    assert "EUR 0.00" not in text
    rows = [row for row in csv_of(shipped, "move") if row["Copy"]]
    assert [(row["Value"], row["Currency"]) for row in rows][-2:] == [("", ""), ("300.00", "SEK")]


def receive(library: Library, *boxes: str) -> None:
    for box in boxes:
        box_lifecycle.close_box(library, box, station="test")
        box_lifecycle.check_in(library, box, station="test")


def take_out(library: Library, folder: Path, key: str, option: int) -> str:
    """Give an edition a number, take a copy of it out of box 1, and return the copy's."""
    import_text(
        library, folder, ListKind.EDITIONS, f"key,number,title\n{key},978-0-8044-2957-3,Voyages to Nowhere Bay\n"
    )
    scan = Scan("978-0-8044-2957-3", f"{key} {option}")
    taken = book_scan(library, "1", scan, choose=lambda question: question.options[option], station="test", now=NOW)
    return booked(taken).copy.accession


def test_what_was_lost_and_what_is_on_no_list(shipped: Library) -> None:
    receive(shipped, "1", "2", "3")
    seen = Scan("978-3-16-148410-0", "1")
    book_scan(shipped, "2", seen, choose=lambda question: question.options[0], station="test", now=NOW)
    again = Scan("978-3-16-148410-0", "2")
    surplus = booked(
        book_scan(shipped, "2", again, choose=lambda question: question.options[-1], station="test", now=NOW)
    ).copy.accession
    _, (lost,) = box_lifecycle.finish(shipped, "2", now=NOW, station="test")
    content = content_of(shipped)
    assert content.surplus == {surplus}
    # What was lost, worth EUR 75 and 2.6 kg, is apart from the 737.00 and 6.000 kg.
    value, apart, net = closing_total(content)[1:4]
    kept = "EUR 662.00 (market EUR 562.50, purchase EUR 99.50); not converted SEK 300.00 (agreed)"
    assert value == f"Value of 6 pieces {kept} (2 of 6 without a value)"
    assert apart == f"Apart from these 1 piece not found since the move: {lost.accession}; value EUR 75.00 (market)"
    found, gone = net.split("; ")
    assert found == f"Net mass 3.400 kg, without {content.listed[4].line.number}, {surplus}, of unknown mass"
    assert gone == "of what was not found since the move: 2.600 kg"
    asks = " ".join(asked_before_signing(content))
    assert f"on no packing list: {surplus}" in asks
    declared = {row["Copy"]: row for row in csv_of(shipped, "household") if row["Copy"]}
    assert declared[lost.accession]["Declaration"] == "not covered"
    assert declared[surplus]["Why"].startswith("found in its box, on no packing list")
    # By box and by heading they stand apart: two, one and one of box 2; six pieces that are here of two headings.
    parts = [(sums.pieces, sums.what) for sums in box_sums(content, *content.boxes[1])]
    assert [pieces for pieces, _ in parts] == [1, 1, 1]
    assert [what for _, what in parts[1:]] == ["not found since the move", "on no packing list"]
    headings = [(sums.name, sums.pieces, sums.what) for sums in heading_sums(content)]
    assert headings == [
        ("4901.99", 6, "printed books"),
        ("4905.20", 1, "maps, atlases; not found since the move"),
    ]
    assert "is the one at packing, with what was not found since the move" in closing_total(content)[-1]


def test_a_surplus_copy_takes_no_share_of_what_a_box_weighed_at_packing(shipped: Library, tmp_path: Path) -> None:
    """Box 1 weighed 3.2 kg with three books in it; a fourth one of 800 g was not among those."""
    receive(shipped, "1")
    take_out(shipped, tmp_path, "K1", 0)
    take_out(shipped, tmp_path, "K1", -1)
    rows = {row["Copy"]: row["Gross, kg"] for row in csv_of(shipped, "customs") if row["Box"][:2] == "B1"}
    content = content_of(shipped)
    assert len(content.surplus) == 1
    assert sorted(rows.values()) == ["", "0.800", "1.067", "1.333"]
    assert rows[next(iter(content.surplus))] == ""


def test_pieces_and_empty_box_that_weigh_more_than_the_box_did_are_said(shipped: Library, tmp_path: Path) -> None:
    # 2.4 kg of books and 0.9 kg of box in 3.2 kg.
    import_text(shipped, tmp_path, ListKind.BOXES, "box,tare_g\n1,900\n")
    (ask,) = [ask for ask in asked_before_signing(content_of(shipped)) if "empty box" in ask]
    assert all(mass in ask for mass in ("2.400 kg", "0.900 kg", "3.200 kg"))


def test_a_box_that_has_not_arrived_with_the_others_is_said_on_every_paper(shipped: Library) -> None:
    assert "not arrived" not in " ".join([pdf_of(shipped, paper) for paper in ("customs", "move", "household")])
    receive(shipped, "1", "3")
    (late,) = {one.valued.copy.box for one in content_of(shipped).awaited}
    a4, a5 = (one.line.number for one in content_of(shipped).awaited)
    said = closing_total(content_of(shipped))
    # Without the EUR 75 of A4: 662 and the SEK.
    assert said[1].startswith("Value of 4 pieces EUR 662.00")
    assert said[2] == (
        f"Apart from these 2 pieces of {late}, not arrived with the others: {a4}, {a5}; value EUR 75.00 (market) "
        "(1 of 2 without a value)"
    )
    assert "of boxes that have not arrived: 2.600 kg" in said[3]
    assert "of it 4.000 kg of boxes that have not arrived" in said[4]
    assert any(a4 in ask and "Do not declare" in ask for ask in asked_before_signing(content_of(shipped)))
    customs = {row["Copy"]: row["To be decided"] for row in csv_of(shipped, "customs") if row["Copy"]}
    assert [number for number, asks in customs.items() if "its box has not arrived" in asks] == [a4, a5]
    moved = {row["Copy"]: row["Condition at destination"] for row in csv_of(shipped, "move") if row["Copy"]}
    assert [number for number, seen in moved.items() if seen == "box has not arrived"] == [a4, a5]
    declared = {row["Copy"]: row for row in csv_of(shipped, "household") if row["Copy"]}
    assert declared[a4]["Declaration"] == declared[a5]["Declaration"] == "not covered"
    insured = {row["Copy"]: row["Where"] for row in csv_of(shipped, "insurance") if row["Copy"]}
    assert insured[a4] == f"box {late}, packed, which has not arrived"


def test_recorded_damage_is_on_every_paper(shipped: Library, tmp_path: Path) -> None:
    receive(shipped, "1")
    number = take_out(shipped, tmp_path, "K1", 0)
    record_damage(shipped, number, "wet throughout", now=NOW, station="test")
    columns = {
        "insurance": "Condition",
        "customs": "State",
        "move": "Condition at destination",
        "inventory": "Condition",
    }
    for paper, column in columns.items():
        rows = {row["Copy"]: row[column] for row in csv_of(shipped, paper) if row["Copy"]}
        assert "came damaged: wet throughout" in rows[number], paper
        assert [copy for copy, words in rows.items() if "damaged" in words] == [number]


def test_a_set_counts_once_and_its_volumes_say_so(shipped: Library, tmp_path: Path) -> None:
    """A1 and A2 are the volumes of a set that is worth GBP 600 as a whole: EUR 750, not 562.50 and 64."""
    volumes = "key,title,set,volume\nK1,Voyages to Nowhere Bay,Voyages,1\nK2,Tide Tables of Corrovane,Voyages,2\n"
    import_text(shipped, tmp_path, ListKind.EDITIONS, volumes)
    with shipped.reading() as records:
        (book_set,) = records.all(BookSet)
    whole = Figure(amount=Decimal(600), currency="GBP", on=date(2026, 2, 1), basis=Basis.MARKET)
    value_set(shipped, book_set.id, whole, station="test", today=TODAY)
    rows = [row for row in csv_of(shipped, "customs") if row["Copy"]]
    number = f"set {book_set.id}"
    by_copy = {row["Copy"]: (row["Value"], row["Currency"]) for row in rows}
    assert by_copy[number] == ("750.00", "EUR")
    assert [by_copy[row["Copy"]] for row in rows[:2]] == [("", ""), ("", "")]
    assert all(f"counted in {number}" in row["As recorded"] for row in rows[:2])
    # 750 and 75 on the market, 35.50 paid; the set is no piece of its own.
    said = closing_total(content_of(shipped))
    assert said[0] == "3 boxes, 6 pieces"
    assert said[1].startswith("Value EUR 860.50 (market EUR 825.00, purchase EUR 35.50); not converted SEK 300.00")
    for paper in ("customs", "move"):
        text = pdf_of(shipped, paper)
        for wanted in (f"counted in {number}", "EUR 750.00", "EUR 860.50"):
            assert wanted in text


def test_masses_that_contradict_each_other_are_in_no_share(shipped: Library, tmp_path: Path) -> None:
    import_text(shipped, tmp_path, ListKind.EDITIONS, "key,title,mass_g\nK1,Voyages to Nowhere Bay,4000\n")
    content = content_of(shipped)
    asks = [ask for ask in asked_before_signing(content) if "lighter" in ask]
    # 4000 + 600 + 1000 g of books in 3.2 kg.
    assert len(asks) == 1
    assert "5.600 kg by the catalog" in asks[0]
    rows = [row for row in csv_of(shipped, "customs") if row["Copy"]]
    assert [row["Gross, kg"] for row in rows[:3]] == ["", "", ""]


def test_a_declaration_covers_what_the_record_allows(shipped: Library) -> None:
    """Article 4 of Regulation (EC) No 1186/2009, with the residence given up on 1 February 2026."""
    rows = [row for row in csv_of(shipped, "household") if row["Copy"]]
    assert [(row["Copy"][:2], row["Purchase value dated"], row["Declaration"]) for row in rows] == [
        ("A1", "", "for the signer to answer"),
        ("A2", "2020-05-01", "covered"),
        ("A3", "2025-09-15", "for the signer to answer"),
        ("A4", "", "for the signer to answer"),
        ("A5", "", "for the signer to answer"),
        ("A6", "", "for the signer to answer"),
    ]
    whys = {row["Copy"][:2]: row["Why"] for row in rows}
    assert whys["A2"].startswith("purchase value dated 2020-05-01: bought by then, at least 6 months before")
    assert whys["A3"].startswith("purchase value dated 2025-09-15: is that the day of purchase? It is later than 6")
    text = pdf_of(shipped, "household")
    covered = "6 covered or for the signer to answer, value EUR 737.00 (market EUR 637.50, purchase EUR 99.50)"
    for wanted in ("article 3", "article 4", "article 5", "article 7", "article 8", "2026-02-01", "Mx Nobody", covered):
        assert wanted in text


def test_a_declaration_before_settling_and_one_for_the_united_states(shipped: Library) -> None:
    early = replace(OPTIONS, settled_on=date(2026, 6, 1), entry_on=date(2026, 4, 20))
    assert "article 9" in pdf_of(shipped, "household", early)
    us = replace(OPTIONS, relief="us", left_on=None, entry_on=date(2026, 4, 20), settled_on=date(2014, 4, 20))
    text = pdf_of(shipped, "household", us)
    assert "148.52" in text
    assert "1186" not in text
    assert "later than 10 years" in text
    rows = {row["Copy"][:2]: row["Declaration"] for row in csv_of(shipped, "household", us) if row["Copy"]}
    assert (rows["A2"], rows["A3"]) == ("covered", "for the signer to answer")


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ({"settled_on": date(2023, 8, 1)}, "before the old one"),
        ({"abroad_since": date(2026, 2, 2)}, "after you had left"),
        ({"entry_on": date(2026, 3, 8)}, "before they were dispatched"),
        ({"relief": "us"}, "has no use for"),
    ],
)
def test_days_that_cannot_be_are_in_no_declaration(shipped: Library, days: dict[str, Any], said: str) -> None:
    consign(shipped, Consignment(reference="R-1", dispatched=date(2026, 3, 9)), (), station="test")
    with pytest.raises(UsageError, match=said):
        pdf_of(shipped, "household", replace(OPTIONS, **days))


def test_what_is_not_met_is_not_there_to_be_signed(shipped: Library) -> None:
    """Articles 5 and 7 of Regulation (EC) No 1186/2009: twelve months outside; entered within twelve of settling."""
    met = replace(
        OPTIONS, abroad_since=date(2020, 1, 1), left_on=date(2025, 2, 1), settled_on=date(2025, 2, 3), entry_on=TODAY
    )
    late = pdf_of(shipped, "household", met)
    assert "(c) I had lived outside" in late
    assert "(e) Not declared: by the days stated the condition of article 7 is NOT met" in late
    short = pdf_of(shipped, "household", replace(met, abroad_since=date(2024, 6, 1), settled_on=date(2025, 4, 1)))
    assert "I had lived outside" not in short
    assert "(c) Not declared: by the days stated the condition of article 5 is NOT met" in short
    assert "(e) I took up residence" in short
    coming = pdf_of(shipped, "household", replace(met, entry_on=date(2026, 4, 9)))
    assert "entry, 2026-04-09 still to come" in coming


def test_a_consignment_of_nothing_is_refused(shipped: Library, tmp_path: Path) -> None:
    import_text(shipped, tmp_path, ListKind.CONSIGNMENT, "reference\nR-2\nR-3\n")
    for paper in ("customs", "household", "move"):
        with pytest.raises(RefusedError):
            render(shipped, registry.find_paper(paper), replace(OPTIONS, reference="R-2"), PaperFormat.PDF, on=TODAY)


def test_what_was_seen_on_arrival_is_no_condition_at_origin(shipped: Library, tmp_path: Path) -> None:
    """The inventory is signed by the carrier: damage that is found on arrival was not there when he took the book."""
    receive(shipped, "1")
    number = take_out(shipped, tmp_path, "K1", 0)
    surplus = take_out(shipped, tmp_path, "K1", -1)
    record_damage(shipped, number, "lower corner crushed", now=NOW, station="test")
    rows = {row["Copy"]: row for row in csv_of(shipped, "move") if row["Copy"]}
    assert rows[number]["Condition at origin"] == "G"
    assert "lower corner crushed" in rows[number]["Condition at destination"]
    assert rows[surplus]["Condition at origin"] == "not reported"
    assert pdf_of(shipped, "move").count("lower corner crushed") == 1


def test_a_box_that_lost_mass_on_the_way_says_so_beside_its_gross_mass(shipped: Library) -> None:
    """Box 1 weighed 3.2 kg at packing; 2.3 kg on arrival is 900 g less, 3.1 kg what scale and water explain."""
    box_lifecycle.close_box(shipped, "1", station="test")
    light = box_lifecycle.ArrivalReport(arrived_g=2300, as_weighed=True)
    box_lifecycle.check_in(shipped, "1", seen=light, station="test")
    content = content_of(shipped)
    one = content.boxes[0][0].number
    assert f"counted as at packing, but weighed on arrival: {one} 2.300 kg" in closing_total(content)[-1]
    (first, *_) = box_sums(content, *content.boxes[0])
    assert "at packing; 2.300 kg on arrival" in first.what
    record_mass(shipped, "1", 3100, station="test")
    assert "on arrival" not in closing_total(content_of(shipped))[-1]


def test_the_insurer_is_told_that_nothing_is_taken_off_for_damage(shipped: Library, tmp_path: Path) -> None:
    assert "Came damaged" not in pdf_of(shipped, "insurance")
    receive(shipped, "1")
    number = take_out(shipped, tmp_path, "K1", 0)
    record_damage(shipped, number, "wet throughout", now=NOW, station="test")
    text = pdf_of(shipped, "insurance")
    assert f"nothing is taken off for the damage: {number}." in text


def test_each_line_of_the_pages_gives_the_basis_of_its_value(shipped: Library) -> None:
    """So that the sums by basis can be added up from them; a converted value gives it with what was recorded."""
    for paper in ("customs", "move"):
        text = pdf_of(shipped, paper)
        for wanted in ("EUR 35.50 purchase", "SEK 300.00 agreed", "recorded", "USD 80.00, purchase"):
            assert wanted in text, paper


def test_a_lost_volume_counts_in_the_loss_of_its_set(shipped: Library, tmp_path: Path) -> None:
    volumes = "key,title,set,volume\nK1,Voyages to Nowhere Bay,Voyages,1\nK2,Tide Tables of Corrovane,Voyages,2\n"
    import_text(shipped, tmp_path, ListKind.EDITIONS, volumes)
    with shipped.reading() as records:
        (book_set,) = records.all(BookSet)
    for amount, lacking in ((600, ""), (200, "2")):
        whole = Figure(amount=Decimal(amount), currency="GBP", on=date(2026, 2, 1), basis=Basis.MARKET)
        value_set(shipped, book_set.id, whole, lacking=lacking, station="test", today=TODAY)
    receive(shipped, "1")
    take_out(shipped, tmp_path, "K1", 0)
    box_lifecycle.finish(shipped, "1", now=NOW, station="test")
    rows = {row["Copy"][:2]: row["As recorded"] for row in csv_of(shipped, "customs") if row["Copy"]}
    assert f"counted in set {book_set.id}" in rows["A1"]
    assert f"counted in the loss of set {book_set.id}" in rows["A2"]
