"""Packing lists: what carriers and customs want named is on them, and the totals add up."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

import pytest

from intake.documents import lists
from intake.edges import fonts
from intake.model.pages import Page, Text
from intake.model.papers import A4_MM, LETTER_MM, MasterList, Package, PackedLine, PackingList

ReadText = Callable[[Sequence[Page]], list[str]]

# All persons, firms and titles are invented.
BOX = Package(
    number="B7-52", contents="printed books, bound", quantity=2, marks="Keep dry. This way up.", seal="77120",
    room="Study", net_g=17_900, gross_g=18_650, size_mm=(400, 300, 250),
)  # fmt: skip
PACKED = PackingList(
    package=BOX,
    lines=(
        PackedLine(number="A127-43", title="Die Gräser der Küste", contributors="Irma Tessendorf", mass_g=1250),
        PackedLine(number="A128-40", title="Остров птиц", volume="II"),
    ),
    consignment="MV-2291", consignee="Ada Lindqvist-Moreau\n12 Harbour Row", carrier="Northway", box_of="7 of 41",
    on=date(2026, 3, 4), caution="18.65 kg (Heavy: two people)", caution_basis="By the lifting index.",
)  # fmt: skip
MASTER = MasterList(
    reference="MV-2291",
    packages=(BOX, replace(BOX, number="B8-49", quantity=30, net_g=10_000, gross_g=None, size_mm=None)),
    consignor="Ada Lindqvist-Moreau", consignee="Ada Lindqvist-Moreau", carrier="Northway", origin="Port Ellery",
    destination="St Orrin", on=date(2026, 3, 4), tariff="4901.99",
)  # fmt: skip


def words(text: str) -> str:
    return " ".join(text.split())


def test_a_packing_list_names_box_copies_and_masses(read_text: ReadText) -> None:
    (text,) = map(words, read_text(lists.lay_out_packing_list(PACKED, measure=fonts.measure)))
    for wanted in ("Packing list", "B7-52", "MV-2291", "7 of 41", "77120", "18.65 kg", "17.90 kg", "400 × 300 × 250",
                   "A127-43", "Die Gräser der Küste", "Irma Tessendorf", "A128-40", "Остров птиц",
                   "2 copies in this box", "2026-03-04",
                   "Mass of the copies 1.25 kg, without the 1 of 2 copies whose mass is not known",
                   "Heavy: two people", "By the lifting index.", "page 1 of 1", "Packed by"):  # fmt: skip
        assert wanted in text


def test_a_box_that_was_not_weighed_shows_what_is_known_of_its_mass(read_text: ReadText) -> None:
    unweighed = replace(PACKED, package=replace(BOX, gross_g=None, net_g=None), gross="about 19 kg, estimated")
    (text,) = map(words, read_text(lists.lay_out_packing_list(unweighed, measure=fonts.measure)))
    assert "about 19 kg, estimated" in text
    assert "18.65 kg (Heavy" in text
    bare = replace(unweighed, gross="", caution="", caution_basis="")
    (text,) = map(words, read_text(lists.lay_out_packing_list(bare, measure=fonts.measure)))
    assert "not weighed" in text
    assert "Heavy" not in text


def test_a_count_that_differs_from_the_closed_box_is_said(read_text: ReadText) -> None:
    wrong = replace(PACKED, package=replace(BOX, quantity=3))
    (text,) = map(words, read_text(lists.lay_out_packing_list(wrong, measure=fonts.measure)))
    assert "closed with 3 pieces; this list has 2" in text


def test_the_master_list_names_what_a_packing_list_must(read_text: ReadText) -> None:
    # Parties, references, places; per package number, type, marks, contents, quantity, masses, size; totals
    # (World Bank / UN/CEFACT description of the packing list).
    (text,) = map(words, read_text(lists.lay_out_master_list(MASTER, measure=fonts.measure)))
    for wanted in ("Consignor", "Consignee", "Carrier", "Northway", "MV-2291", "Port Ellery", "St Orrin", "4901.99",
                   "B7-52", "B8-49", "carton", "Keep dry.", "Seal 77120.", "printed books, bound", "not weighed",
                   "not measured", "Consignor, place, date"):  # fmt: skip
        assert wanted in text


def test_totals_are_printed_as_they_are_given(read_text: ReadText) -> None:
    said = replace(MASTER, totals=("2 boxes, 32 pieces", "Net mass 27.90 kg"))
    (text,) = map(words, read_text(lists.lay_out_master_list(said, measure=fonts.measure)))
    assert "Totals 2 boxes, 32 pieces Net mass 27.90 kg" in text


def test_a_size_inside_is_never_printed_as_one_outside(read_text: ReadText) -> None:
    inside = replace(BOX, size_mm=None, inner_mm=(390, 290, 240))
    master = replace(MASTER, packages=(inside, replace(BOX, inner_mm=(390, 290, 240))))
    (text,) = map(words, read_text(lists.lay_out_master_list(master, measure=fonts.measure)))
    assert text.count("inside 390 × 290 × 240") == text.count("390 × 290 × 240") == 1
    (text,) = map(words, read_text(lists.lay_out_packing_list(replace(PACKED, package=inside), measure=fonts.measure)))
    assert "Size inside, mm" in text
    assert "Size outside, mm" not in text


def test_what_nobody_weighed_is_not_zero() -> None:
    assert lists.weighed_text([None, None], *lists.GROSS) == "Gross mass: not weighed"
    assert lists.weighed_text([9000, 500], *lists.GROSS) == "Gross mass 9.50 kg"


@pytest.mark.parametrize("paper", [A4_MM, LETTER_MM])
def test_long_lists_repeat_their_head_and_stay_on_the_paper(read_text: ReadText, paper: tuple[float, float]) -> None:
    many = replace(PACKED, lines=tuple(PackedLine(number=f"A{n}-00", title="Ufer " * (n % 40)) for n in range(150)))
    pages = lists.lay_out_packing_list(many, measure=fonts.measure, paper_mm=paper)
    texts = read_text(pages)
    assert len(pages) > 3
    for number, text in enumerate(texts, start=1):
        assert f"page {number} of {len(pages)}" in text
        assert "B7-52" in text
    seen = " ".join(texts).split()
    assert all(f"A{n}-00" in seen for n in range(150))
    for page in pages:
        for mark in page.marks:
            if isinstance(mark, Text):
                assert 10 < mark.y_mm < paper[1] - 10
                assert 10 < mark.x_mm < paper[0] - 10


def test_a_list_of_nothing_is_still_a_list(read_text: ReadText) -> None:
    empty = replace(PACKED, lines=(), package=replace(BOX, quantity=0))
    (text,) = read_text(lists.lay_out_packing_list(empty, measure=fonts.measure))
    assert "0 copies in this box" in text


def test_a_cell_longer_than_a_page_ends_there() -> None:
    endless = replace(PACKED, lines=(PackedLine(number="A1-00", title="Moose " * 5000),))
    pages = lists.lay_out_packing_list(endless, measure=fonts.measure)
    assert all(mark.y_mm < 290 for page in pages for mark in page.marks if isinstance(mark, Text))


def test_no_list_ends_with_a_page_of_signatures_alone(read_text: ReadText) -> None:
    """Whatever the number of lines, what is signed stands on the page that is signed."""
    for count in range(20, 60):
        packed = replace(PACKED, lines=PACKED.lines[:1] * count)
        last = words(read_text(lists.lay_out_packing_list(packed, measure=fonts.measure))[-1])
        assert "copies in this box" in last
        assert "Checked on arrival by" in last
        master = replace(MASTER, packages=(BOX,) * count, totals=("2 boxes",))
        last = words(read_text(lists.lay_out_master_list(master, measure=fonts.measure))[-1])
        assert "2 boxes" in last
        assert "Consignee, place, date" in last
