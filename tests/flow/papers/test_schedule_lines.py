"""Lines of a valued list: printings, bindings and groups in words, and the sums of the small library by hand."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies, copies_in_box
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.wording import where_each_is
from intake.flow.moving import box_lifecycle
from intake.flow.papers.copy_words import binding_words, printing_words, recorded_words, signed_words
from intake.flow.papers.schedule_lines import Gathered, by_class, by_room, estimate_sums, groups_by, scheduled
from intake.flow.papers.valued_copies import valued_copies
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.model.editions import Copy, Covering, Printing, Sewing
from intake.model.places import Place
from intake.model.valuations import Basis, Valuation
from tests.flow.conftest import NOW, import_text

TODAY = date(2026, 3, 31)


def in_euros(records: LibraryReader, basis: Basis | None = None) -> Gathered:
    return scheduled(records, valued_copies(records, basis=basis), currency="EUR", on=TODAY)


@pytest.mark.parametrize(
    ("ordinal", "words"),
    [
        (1, "1st printing"), (2, "2nd printing"), (3, "3rd printing"), (4, "4th printing"), (11, "11th printing"),
        (12, "12th printing"), (13, "13th printing"), (21, "21st printing"), (101, "101st printing"),
        (111, "111th printing"), (None, ""),
    ],
)  # fmt: skip
def test_printings_in_english(ordinal: int | None, words: str) -> None:
    assert printing_words(Printing(id=1, edition_id=1, ordinal=ordinal)) == words


def test_bindings_say_what_was_said() -> None:
    assert printing_words(None) == binding_words(Copy(accession="A1-59", edition_id=1)) == ""
    full = Copy(
        accession="A1-59",
        edition_id=1,
        sewing=Sewing.SEWN,
        covering=Covering("cloth"),
        slipcase=True,
        signed="Ada Thorn",
        limitation="7/50",
    )
    assert binding_words(full).split(", ")[:2] == ["sewn in gatherings", "cloth"]
    assert signed_words(full) == "signed: Ada Thorn, number 7/50"
    assert signed_words(Copy(accession="A1-59", edition_id=1)) == ""
    boxed = {
        state: binding_words(Copy(accession="A1-59", edition_id=1, slipcase=state)) for state in (True, False, None)
    }
    assert len(set(boxed.values())) == 3
    assert boxed[None] == ""


def test_a_valuation_as_it_was_recorded() -> None:
    value = Valuation(id=1, copy="A1-59", amount=Decimal("5.5"), currency="EUR", on=TODAY, basis=Basis.MARKET)
    assert recorded_words(value) == "EUR 5.50, market, 2026-03-31"


def test_every_copy_is_a_line_and_the_total_is_theirs(library: Library) -> None:
    with library.reading() as records:
        found = in_euros(records)
    assert [one.valued.copy.accession.split("-")[0] for one in found.listed] == ["A1", "A2", "A3", "A4", "A5"]
    amounts = [one.line.amount for one in found.listed]
    # 900 USD have no rate and stay what they are, the gulls have no value.
    assert amounts == [Decimal("120.00"), None, Decimal("4.50"), Decimal(900), Decimal("130.00")]
    assert [one.line.currency for one in found.listed if one.line.amount is not None] == ["EUR", "EUR", "USD", "EUR"]
    assert found.added.at_risk.amount == Decimal("254.50")
    assert [bool(one.line.recorded) for one in found.listed] == [True, False, True, True, True]
    assert [bool(one.line.note) for one in found.listed] == [False, True, False, True, False]
    assert found.listed[0].line.where.startswith("box B1-56")


def test_rooms_and_classes_with_the_unplaced_last(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "key\nG2\nG2\n")
    with library.reading() as records:
        shelf = next(place.number for place in records.all(Place) if place.width_mm == 800)
        at_hand = next(copy.accession for copy, edition in all_copies(records) if edition.key == "G2")
    shelve(library, at_hand, shelf, station="test", now=NOW)
    with library.reading() as records:
        found = in_euros(records)
    assert [(group.name, len(group.lines)) for group in groups_by(found, by_room)] == [
        ("In box B1-56", 4), ("In box B2-47", 1), ("Study", 1), ("Not placed", 1),
    ]  # fmt: skip
    shelved = next(one for one in found.listed if one.valued.copy.accession == at_hand)
    assert shelved.line.where.split(" · ")[:2] == ["Study", "A"]
    assert [group.name for group in groups_by(found, by_class)] == ["Atlases", "Birds", "Periodicals", "Plants"]


def test_a_list_says_where_a_copy_is_as_its_own_page_does(library: Library) -> None:
    box_lifecycle.close_box(library, "1", seal="", station="test")
    box_lifecycle.check_in(library, "1", station="test")
    with library.reading() as records:
        listed_in_2 = copies_in_box(records, "B2-47")[0].accession
    book_scan(library, "1", Scan(listed_in_2, "r"), station="test", now=NOW)
    with library.reading() as records:
        found = in_euros(records)
        words = where_each_is(records, [one.valued.copy for one in found.listed])
    assert {one.line.number: one.line.where.removesuffix(f", {one.valued.copy.state}") for one in found.listed} == words
    assert {"B1-56", "B2-47"} <= set(words[listed_in_2].replace(",", "").split()), "found in one box, listed in another"
    assert [(group.name, len(group.lines)) for group in groups_by(found, by_room)] == [
        ("In box B1-56", 4), ("Out of box B1-56", 1),
    ]  # fmt: skip


def test_what_like_copies_are_worth_stands_beside_a_copy_without_a_value(library: Library, tmp_path: Path) -> None:
    # Two more copies of the gulls, of EUR 10 and 30: the one without a value may be worth 10 to 30. The charts have a
    # value, though no rate converts its dollars: they are not estimated.
    rows = "box,key,value,currency,basis,valued_on\n3,G1,10,EUR,market,2026-01-15\n3,G1,30,EUR,market,2026-01-15\n"
    import_text(library, tmp_path, ListKind.COPIES, rows)
    with library.reading() as records:
        found = in_euros(records)
    # They have a value, so that they are not estimated.
    assert estimate_sums(found) == (Decimal(10), Decimal(30))
    notes = {one.valued.edition.key: one.line.note for one in found.listed if one.line.note}
    assert "2 of the same edition: EUR 10.00 to EUR 30.00" in notes["G1"]
    assert "no rate of EUR in USD" in notes["O1"]
    assert found.alone == ()


def test_only_values_on_one_basis(library: Library) -> None:
    with library.reading() as records:
        market = in_euros(records, Basis.MARKET)
    assert market.added.at_risk.amount == Decimal("250.00")
