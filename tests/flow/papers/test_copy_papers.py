"""Everything about one copy: what its paper says of the edition, the printings, the values and the set. Invented."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import shelves_in_order
from intake.errors import RefusedError
from intake.flow.condition.condition_report import Inspection, report_condition
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle
from intake.flow.moving.reconcile import record_damage
from intake.flow.papers.copy_papers import gather_copy, lay_out_copy
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.values import value_copies, value_sets
from intake.flow.values.figures import Figure
from intake.model.changes import Action, ActionKind, Change
from intake.model.condition import Occasion
from intake.model.editions import Copy, CopyState, Grade
from intake.model.schedules import Dossier, Section
from intake.model.valuations import Basis
from intake.valuing import proof
from intake.valuing.condition import UNOPENED
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

TODAY = date(2026, 3, 31)
EDITIONS = """key,number,title,contributors,publisher,year,edition,printed_in,pages,set,volume
F1,9780306406157,Ferns of the Outer Isles,Ada Thorn; Bo Lind,Heron & Sedge,1990,1st edition,Nowhere,320,Ferns,1
F2,,Ferns of the Inner Isles,Ada Thorn,,,,,,Ferns,2
F4,,Ferns of the Far Isles,Ada Thorn,,,,,,Ferns,4
G1,,A Guide to Gulls,,,,,,,,
"""
PRINTINGS = """key,printing,year,number_line,points
F1,2,1992,5 4 3 2,blue endpapers
F1,1,1990,5 4 3 2 1,green endpapers
"""
COPIES = """box,key,printing,grade,jacket,wrapped,value,currency,basis,valued_on,source,note
1,F1,1,Fine,Good,no,120.00,EUR,market,2026-01-15,own estimate,a gift
1,F1,2,,,yes,40.00,EUR,market,2026-01-15,,
1,F1,,,,no,,,,,,
,F2,,,,,,,,,,
,G1,,,,,,,,,,
"""


@pytest.fixture(scope="module")
def ferns_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ferns")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, EDITIONS)
        import_text(library, folder, ListKind.PRINTINGS, PRINTINGS)
        import_text(library, folder, ListKind.PLACES, "room,bookcase,shelf,width_mm\nStudy,A,1,800\n")
        import_text(library, folder, ListKind.COPIES, COPIES)
    return folder / "library"


@pytest.fixture
def ferns(ferns_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Three copies of one volume in a box, of the first, the second and an unknown printing; two more at hand."""
    with copy_library(ferns_made, tmp_path / "library") as opened:
        yield opened


def gather(library: Library, copy: str = "1") -> Dossier:
    with library.reading() as records:
        source = PaperSource(library, records, TODAY, PaperFormat.PDF)
        return gather_copy(source, PaperOptions(copy=copy))


def section(dossier: Dossier, beginning: str) -> Section:
    (found,) = [one for one in dossier.sections if one.heading.startswith(beginning)]
    return found


def headings(dossier: Dossier) -> list[str]:
    return [one.heading for one in dossier.sections]


def value(library: Library, amount: str, on: date = TODAY, copy: str = "1", *, basis: Basis = Basis.AGREED) -> None:
    figure = Figure(amount=Decimal(amount), currency="EUR", on=on, basis=basis, source="a letter")
    value_copies.value_copy(library, copy, figure, station="test", today=TODAY)


def test_the_facts_of_a_copy_and_of_its_edition(ferns: Library) -> None:
    dossier = gather(ferns)
    assert (dossier.title, dossier.number, dossier.on) == ("Ferns of the Outer Isles, vol. 1", "A1-59", TODAY)
    facts = dict(dossier.facts)
    assert (facts["Contributors"], facts["Publisher"], facts["Printed in"], facts["Pages"]) == (
        "Ada Thorn; Bo Lind", "Heron & Sedge", "Nowhere", "320",
    )  # fmt: skip
    assert (facts["Number"], facts["Printing"]) == ("978-0-306-40615-7", "1st printing")
    assert (facts["Condition"], facts["Note"]) == ("F/G", "a gift")
    assert (facts["Where"], facts["State"], facts["Travelled in box"]) == ("box B1-56", "packed", "B1-56")


def test_what_is_not_recorded_is_left_empty_and_of_a_wrapped_copy_nothing_is_claimed(ferns: Library) -> None:
    gulls, wrapped = dict(gather(ferns, "5").facts), dict(gather(ferns, "2").facts)
    for name in ("Contributors", "Number", "Printing", "Pages", "Travelled in box", "Note"):
        assert gulls[name] == "", name
    assert (gulls["Condition"], gulls["Where"]) == ("not inspected", gulls["State"])
    assert wrapped["Condition"] not in ("", "not inspected")
    assert wrapped["Printing"] == "2nd printing"


def test_damage_and_the_grade_of_a_wrapped_copy_stand_with_its_condition(ferns: Library) -> None:
    with ferns.reading() as records:
        wrapped = next(copy for copy in records.all(Copy) if copy.wrapped)
    graded = replace(wrapped, grade=Grade.VERY_GOOD, has_jacket=False)
    ferns.apply(Action(ActionKind.INSPECT_COPY, wrapped.accession, "test"), [Change(wrapped, graded)])
    assert dict(gather(ferns, wrapped.accession).facts)["Damage"] == ""
    box_lifecycle.close_box(ferns, "1", station="test")
    box_lifecycle.check_in(ferns, "1", station="test")
    unpacked = replace(graded, state=CopyState.UNPACKED)
    ferns.apply(Action(ActionKind.UNPACK_COPY, wrapped.accession, "test"), [Change(graded, unpacked)])
    record_damage(ferns, wrapped.accession, "text block cracked", now=NOW, station="test")
    facts = dict(gather(ferns, wrapped.accession).facts)
    assert facts["Condition"] == f"VG/no jacket; {UNOPENED}"
    assert facts["Damage"] == "came damaged: text block cracked"


def test_printings_from_the_first_with_what_copies_of_each_are_worth(ferns: Library) -> None:
    value(ferns, "30.00", copy="3")
    rows = section(gather(ferns), "Known printings").rows
    assert [row[0] for row in rows] == ["1st printing (this copy)", "2nd printing"]
    assert [row[1:4] for row in rows] == [
        ("1990", "5 4 3 2 1", "green endpapers"), ("1992", "5 4 3 2", "blue endpapers"),
    ]  # fmt: skip
    # The third copy, worth EUR 30, is of neither as far as is known.
    assert [row[4] for row in rows] == ["EUR 120.00", "EUR 40.00"]
    assert [row[0] for row in section(gather(ferns, "2"), "Known printings").rows][1].endswith("(this copy)")
    assert not any("printings" in heading for heading in headings(gather(ferns, "5")))


def test_values_from_the_latest_and_which_of_them_counts(ferns: Library) -> None:
    value(ferns, "150.00")
    dossier = gather(ferns)
    values = section(dossier, "Values")
    assert [row[:2] for row in values.rows] == [("2026-03-31", "EUR 150.00"), ("2026-01-15", "EUR 120.00")]
    assert [row[2:4] for row in values.rows] == [("agreed", "a letter"), ("market", "own estimate")]
    assert "EUR 150.00" in values.sentences[0]
    proven = proof.parse(dossier.proof)
    assert proven is not None
    assert (proven.scope, proven.copies, proven.unvalued) == ("copy A1-59", 1, 0)
    assert [(total.currency, total.amount, total.count) for total in proven.totals] == [("EUR", Decimal("150.00"), 1)]
    value(ferns, "12.00", basis=Basis.PURCHASE)  # a bill found later
    counts, latest = section(gather(ferns), "Values").sentences
    assert "EUR 150.00, agreed" in counts
    assert [amount in latest for amount in ("EUR 12.00, purchase", "EUR 120.00, market", "EUR 150.00, agreed")] == [
        True,
        True,
        True,
    ]
    without = gather(ferns, "5")
    assert (len(section(without, "Values").sentences), section(without, "Values").rows) == (1, ())
    unproven = proof.parse(without.proof)
    assert unproven is not None
    assert (unproven.copies, unproven.unvalued, unproven.totals) == (1, 1, ())


def test_the_set_names_its_gaps_its_doubles_and_where_each_volume_is(ferns: Library) -> None:
    belongs = section(gather(ferns), "The set")
    # Volume 3 is of no catalog and of volume 4 there is no copy; volume 1 is there three times.
    assert belongs.rows == (
        ("1", "Ferns of the Outer Isles", "A1-59, A2-50, A3-41", "box B1-56, box B1-56, box B1-56"),
        ("2", "Ferns of the Inner Isles", "A4-32", "at hand"),
        ("4", "Ferns of the Far Isles", "none", ""),
    )
    assert any("volumes 3 and 4" in sentence for sentence in belongs.sentences)
    assert len(belongs.sentences) == 2
    assert not any(heading.startswith("The set") for heading in headings(gather(ferns, "5")))


def test_a_set_that_was_valued_says_what_the_loss_of_this_volume_costs(ferns: Library, tmp_path: Path) -> None:
    """Volume 3 is missing. 400 as it is, 210 without volume 1 too: 190; of three there a fair proportion is 133.33."""
    import_text(ferns, tmp_path, ListKind.COPIES, "key\nF4\n")
    with ferns.reading() as records:
        (state,) = value_sets.set_states(records)
    for amount, lacking in ((900, ""), (400, "3"), (210, "1, 3"), (300, "2, 3")):
        figure = Figure(amount=Decimal(amount), currency="EUR", on=TODAY, basis=Basis.MARKET)
        value_sets.value_set(ferns, state.set.id, figure, lacking=lacking, station="test", today=TODAY)
    said = " ".join(section(gather(ferns), "The set").sentences)
    for words in ("EUR 400.00", "EUR 210.00", "EUR 190.00", "EUR 133.33", "without volume 3"):
        assert words in said
    assert "EUR 300.00" not in said
    assert "EUR 900.00" not in said
    other = " ".join(section(gather(ferns, "4"), "The set").sentences)
    assert "EUR 100.00" in other
    assert "EUR 210.00" not in other


def test_reports_sightings_and_history_are_listed_where_there_are_any(ferns: Library) -> None:
    bare = headings(gather(ferns, "5"))
    assert not any(heading.startswith(("Condition", "When it was seen")) for heading in bare)
    seen = Inspection(grade=Grade.GOOD, note="lent")
    report_condition(ferns, "5", seen, occasion=Occasion.OTHER, station="desk", now=NOW)
    with ferns.reading() as records:
        shelf = shelves_in_order(records)[0].number
    shelve(ferns, "5", shelf, station="desk", now=NOW)
    dossier = gather(ferns, "5")
    assert section(dossier, "Condition").rows == (("2026-03-31", "inspection", "G", "–", "lent"),)
    ((when, station, _, box, place),) = section(dossier, "When it was seen").rows
    assert (when, station, box, place) == ("2026-03-31 09:30", "desk", "", shelf)
    assert dict(dossier.facts)["Where"] == "Study · A · 1"
    entries = [int(row[0]) for row in section(dossier, "Its history").rows]
    assert entries == sorted(entries)
    assert len(entries) == 3
    assert [row[2] for row in section(dossier, "Its history").rows] == ["test", "desk", "desk"]


def test_a_copy_that_left_its_box_says_in_which_it_travelled(ferns: Library) -> None:
    box_lifecycle.close_box(ferns, "1", station="test")
    box_lifecycle.check_in(ferns, "1", station="test")
    box_lifecycle.finish(ferns, "1", why=lambda _missing: "not in it", station="test")
    facts = dict(gather(ferns).facts)
    assert (facts["State"], facts["Travelled in box"]) == ("missing", "B1-56")


def test_the_pages_are_named_after_the_copy(ferns: Library) -> None:
    dossier = gather(ferns)
    pages = lay_out_copy(dossier, PaperOptions(size="letter"))
    assert (pages.proof, pages.title.startswith("A1-59")) == (dossier.proof, True)
    assert (pages.pages[0].width_mm, pages.pages[0].height_mm) == PaperOptions(size="letter").paper_mm


def test_a_copy_that_there_is_not(ferns: Library) -> None:
    with pytest.raises(RefusedError):
        gather(ferns, "99")
    with ferns.reading() as records:
        assert records.get(Copy, "A99-84") is None
