"""The one rule for words about heavy boxes, wherever they are shown; the figures of the rule are in test_lifting."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdfium2
import pytest

from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_box
from intake.flow.moving import box_lifecycle
from intake.flow.moving.box_lifecycle import ArrivalReport
from intake.flow.moving.box_masses import CarriedMass, box_lift, box_lifts, carried_mass, doubted_in
from intake.flow.moving.guess_parcel import look_into
from intake.flow.moving.lift import (
    STATED_LIMIT_G,
    BoxLift,
    caution_words,
    judge_lift,
    lift_words,
    limit_words,
    mass_words,
    remedy_words,
    short_mass_words,
)
from intake.flow.moving.weigh_box import record_mass
from intake.flow.papers import registry
from intake.flow.papers.box_papers import gather_box_labels, gather_packing_lists
from intake.flow.papers.face_papers import gather_face_labels
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.papers.render import print_paper
from intake.model.boxes import Box, MassSource
from intake.packing.lifting import LiftDemand
from tests.counting import count_statements
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

TWO = "Heavy: two people"


def lift(kilograms: float | None, *, weighed: bool = True, empty: bool = False) -> BoxLift:
    return BoxLift(None if kilograms is None else 1000 * kilograms, weighed=weighed, empty=empty)


def test_each_demand_in_words() -> None:
    limit = STATED_LIMIT_G / 1000
    assert caution_words(lift(limit)) == ""
    assert caution_words(lift(limit + 0.01)) == TWO
    assert caution_words(lift(3 * limit + 0.01)) == "Too heavy: take books out"
    assert caution_words(lift(None, weighed=False)) == "Not weighed: try it first"
    assert caution_words(lift(29, empty=True)) == caution_words(lift(None, weighed=False, empty=True)) == ""


def test_an_estimate_is_called_one_and_rounded() -> None:
    assert short_mass_words(lift(28.96, weighed=False)) == "29 kg estimated"
    assert short_mass_words(lift(28.96)) == mass_words(lift(28.96)) == "28.96 kg"
    assert lift_words(lift(28.96, empty=True)) == "28.96 kg when it was full"
    assert "estimated from its list, not weighed" in lift_words(lift(28.96, weighed=False))
    assert lift_words(lift(28.96)) == "28.96 kg (Heavy: two people; lifting index 2.6)"
    assert short_mass_words(lift(None, weighed=False)) == ""
    assert mass_words(lift(None, weighed=False)) == "not weighed"
    assert lift_words(lift(None, weighed=False)) == "Not weighed: try it first (nothing is on its list)"


def advice_words(kilograms: float, reach_mm: float) -> tuple[str, str]:
    advice = judge_lift(
        1000 * kilograms, reach_mm=reach_mm, start_mm=200, end_mm=750, turn_deg=0, per_minute=1, hours=1, hold="fair"
    )
    return limit_words(advice), remedy_words(advice)


def test_the_command_follows_the_same_rule() -> None:
    # 11.05 kg: the stated lift.
    assert advice_words(11, 350)[1] == ""
    assert "two people" in advice_words(12, 350)[1]
    assert "do not lift it so" in advice_words(34, 350)[1]
    assert advice_words(1, 640)[0].startswith("No load is recommended")
    assert advice_words(11, 350)[0] == "Recommended weight limit 11.05 kg, lifting index 1.00"


@pytest.fixture(scope="module")
def heavy_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("heavy")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, "key,title,mass_g\nB,Bridges of the Ebb,2000\n")
        import_text(library, folder, ListKind.BOXES, "box,room\n1,Study\n2,Study\n3,Study\n")
        import_text(library, folder, ListKind.COPIES, "box,key\n" + "1,B\n" * 14 + "2,B\n")
    return folder / "library"


@pytest.fixture
def heavy(heavy_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Box 1 lists fourteen volumes of 2 kg, box 2 one, box 3 nothing; none was weighed."""
    with copy_library(heavy_made, tmp_path / "library") as opened:
        yield opened


def the_lift(library: Library, box: str) -> BoxLift:
    with library.reading() as records:
        return box_lift(records, find_box(records, box))


def test_a_box_of_29_kg_that_nobody_weighed_carries_the_caution(heavy: Library) -> None:
    found = the_lift(heavy, "1")
    # 14 x 2 kg, a carton of 0.9 kg and 0.25 kg of paper (from memory): 29.15 kg, and 29.15 / 11.05 = 2.64.
    assert found.mass_g == pytest.approx(29_150)
    assert (found.weighed, found.demand) == (False, LiftDemand.TWO_PEOPLE)
    assert found.index == pytest.approx(2.64, abs=0.005)
    assert the_lift(heavy, "2").demand is LiftDemand.ONE_PERSON
    assert the_lift(heavy, "3") == BoxLift(None, weighed=False)


def test_what_the_catalog_does_not_weigh_is_estimated_as_the_collection_teaches(heavy: Library, tmp_path: Path) -> None:
    import_text(heavy, tmp_path, ListKind.EDITIONS, "key,title,mass_g\nB,Bridges of the Ebb,2000\nN,No Facts,\n")
    import_text(heavy, tmp_path, ListKind.COPIES, "box,key\n2,N\n2,N\n")
    # An illustrated hardcover of which nothing is known: 1.2 kg (from memory).
    assert the_lift(heavy, "2").mass_g == pytest.approx(900 + 250 + 2_000 + 2 * 1_200)


def test_the_scale_overrules_the_list_and_the_latest_the_earlier(heavy: Library) -> None:
    box_lifecycle.close_box(heavy, "2", gross_g=12_000, station="test")
    assert (the_lift(heavy, "2").weighed, caution_words(the_lift(heavy, "2"))) == (True, TWO)
    box_lifecycle.check_in(heavy, "2", seen=ArrivalReport(arrived_g=3_000), station="test")
    assert caution_words(the_lift(heavy, "2")) == ""
    record_mass(heavy, "2", 40_000, station="test")
    assert caution_words(the_lift(heavy, "2")) == "Too heavy: take books out"


def test_an_unpacked_box_asks_for_nothing(heavy: Library) -> None:
    box_lifecycle.close_box(heavy, "1", station="test")
    box_lifecycle.check_in(heavy, "1", station="test")
    assert caution_words(the_lift(heavy, "1")) == TWO
    box_lifecycle.finish(heavy, "1", now=NOW, station="test")
    assert the_lift(heavy, "1").demand is None
    # The packing list keeps the mass and the caution of what was packed; a label that is printed now does not.
    with heavy.reading() as records:
        (label, *_) = gather_box_labels(papers(heavy, records), PaperOptions(boxes=("1",))).contents
        (packed,) = gather_packing_lists(papers(heavy, records), PaperOptions(boxes=("1",)))
    assert (label["count"], label["mass"], label["caution"]) == ("14 copies, unpacked", "", "")
    assert packed.gross.startswith("about 29 kg")
    assert packed.caution.startswith(TWO)


def papers(library: Library, records: LibraryReader) -> PaperSource:
    return PaperSource(library, records, date(2026, 5, 4), PaperFormat.PDF)


def test_every_paper_of_boxes_says_the_same(heavy: Library) -> None:
    with heavy.reading() as records:
        source = papers(heavy, records)
        labels = gather_box_labels(source, PaperOptions()).contents
        faces = gather_face_labels(source, PaperOptions())
        lists = gather_packing_lists(source, PaperOptions())
    assert [(label["mass"], label["caution"]) for label in labels] == [
        ("29 kg estimated", TWO), ("3 kg estimated", ""), ("", "Not weighed: try it first")
    ]  # fmt: skip
    assert [(face.mass, face.caution) for face in faces] == [(label["mass"], label["caution"]) for label in labels]
    assert [packed.caution for packed in lists] == [f"{TWO} (lifting index 2.6)", "", "Not weighed: try it first"]
    assert [bool(packed.caution_basis) for packed in lists] == [True, False, True]
    assert "estimated" in lists[0].gross
    box_lifecycle.close_box(heavy, "1", gross_g=30_000, station="test")
    with heavy.reading() as records:
        weighed = gather_packing_lists(papers(heavy, records), PaperOptions(boxes=("1",)))[0]
    assert (weighed.gross, weighed.package.gross_g) == ("", 30_000)


def test_the_packing_list_prints_the_estimate_the_caution_and_what_it_rests_on(heavy: Library, tmp_path: Path) -> None:
    path = tmp_path / "list.pdf"
    print_paper(heavy, registry.PACKING_LIST, PaperOptions(boxes=("1",)), path, on=date(2026, 5, 4), station="test")
    document = pypdfium2.PdfDocument(path)
    text = " ".join(document[0].get_textpage().get_text_range().split())
    document.close()
    assert "about 29 kg, estimated from its list, not weighed" in text
    assert "Heavy: two people (lifting index 2.6)" in text
    assert "NIOSH publication 94-110, revised 2021" in text


def test_many_boxes_are_weighed_in_as_many_statements_as_one(heavy: Library, tmp_path: Path) -> None:
    import_text(heavy, tmp_path, ListKind.COPIES, "box,key\n" + "".join(f"{n},B\n" for n in range(10, 60)))
    with heavy.reading() as records:
        boxes = [find_box(records, str(n)) for n in (1, 2, *range(10, 60))]
        counts = []
        for some in (boxes[:1], boxes):
            with count_statements(heavy) as count:
                box_lifts(records, some)
            counts.append(count.statements)
    assert counts[0] == counts[1] == 2


def test_a_box_as_it_was_carried() -> None:
    """Weighed at packing, else on arrival, else what its list weighs; never a later mass in place of an earlier one."""
    both = Box(number="B1-56", gross_g=12_000.0, arrived_g=11_500.0)
    assert carried_mass(both, 9_000.0) == CarriedMass(12_000.0, MassSource.PACKING)
    assert carried_mass(replace(both, gross_g=None), 9_000.0) == CarriedMass(11_500.0, MassSource.ARRIVAL)
    assert carried_mass(Box(number="B1-56"), 9_000.0) == CarriedMass(9_000.0, MassSource.LIST)


@pytest.fixture
def doubtful(heavy: Library, tmp_path: Path) -> Library:
    """Box 4 lists three volumes of 2 kg, and one of 300 x 240 x 30 mm of which the catalog says 20 kg."""
    rows = "key,title,mass_g,height_mm,width_mm,thickness_mm\nP,Pounds for Kilograms,20000,300,240,30\n"
    import_text(heavy, tmp_path, ListKind.EDITIONS, rows)
    import_text(heavy, tmp_path, ListKind.COPIES, "box,key\n4,B\n4,B\n4,B\n4,P\n")
    return heavy


def test_a_mass_that_the_size_contradicts_is_used_nowhere(doubtful: Library) -> None:
    # 20 kg in 2.16 litres would be 9.3 g/cm3; nothing that the library teaches but volumes of 2 kg, so it counts as
    # estimated from its thickness: between 0.4 and 1.3 g/cm3, 0.9 to 2.8 kg.
    found = the_lift(doubtful, "4")
    assert found.mass_g is not None
    assert 3 * 2000 + 1150 + 864 < found.mass_g < 3 * 2000 + 1150 + 2808
    with doubtful.reading() as records:
        box = find_box(records, "4")
        assert [name.split(" ", 1)[1] for name in doubted_in(records, [box])] == ["Pounds for Kilograms"]
        source = papers(doubtful, records)
        (packed,) = gather_packing_lists(source, PaperOptions(boxes=("4",)))
        (label,) = gather_box_labels(source, PaperOptions(boxes=("4",))).contents
        by_list = look_into(records, "4", mass_g=20_000, scale_g=10, thickness_mm=None, height_mm=None, wrapped=False)
    assert sorted(line.mass_g or 0 for line in packed.lines) == [0, 2000, 2000, 2000]
    assert "Pounds for Kilograms" in packed.remarks[0]
    assert label["mass"] == short_mass_words(found)
    assert all(guess.probability < 0.01 for guess in by_list.answer.guesses if len(guess.keys) == 1)
    # The three others weigh 6 kg: a box of 8 kg is no contradiction, one of 5.9 kg is, and what it leaves out is said.
    with pytest.raises(RefusedError, match=r"6\.00 kg by the catalog, without 1 mass that size and extent contradict"):
        box_lifecycle.close_box(doubtful, "4", gross_g=5900, station="test")
    assert box_lifecycle.close_box(doubtful, "4", gross_g=8000, station="test").gross_g == 8000


def test_a_packing_list_has_the_mass_at_packing_and_the_caution_that_belongs_to_it(heavy: Library) -> None:
    box_lifecycle.close_box(heavy, "1", gross_g=51_000, station="test")
    box_lifecycle.check_in(heavy, "1", seen=ArrivalReport(arrived_g=48_000), station="test")
    with heavy.reading() as records:
        (packed,) = gather_packing_lists(papers(heavy, records), PaperOptions(boxes=("1",)))
    # 51 / 11.05
    assert (packed.package.gross_g, packed.caution) == (51_000, "Too heavy: take books out (lifting index 4.6)")
    assert the_lift(heavy, "1").mass_g == 48_000


def test_a_packing_list_says_that_a_box_was_weighed_on_arrival_only(heavy: Library) -> None:
    box_lifecycle.close_box(heavy, "1", station="test")
    box_lifecycle.check_in(heavy, "1", seen=ArrivalReport(arrived_g=29_100), station="test")
    with heavy.reading() as records:
        (packed,) = gather_packing_lists(papers(heavy, records), PaperOptions(boxes=("1",)))
    assert packed.gross == "29.10 kg, weighed on arrival"
