"""The loads of shelves and bookcases, by hand. Invented."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.flow.lists.import_list import ListKind
from intake.flow.shelves.shelf_loads import CaseReport, weigh_shelves
from intake.flow.shelves.shelf_state import read_shelves
from intake.flow.shelves.shelve_copy import shelve
from intake.units.convert import G_PER_KG
from tests.flow.conftest import NOW, import_text
from tests.made_library import new_library

SHELVES = """room,bookcase,shelf,width_mm,bookcase_width_mm,bookcase_depth_mm,bookcase_mass_kg
Study,A,1,800,1000,500,30
Study,A,2,800,,,
Study,A,3,800,,,
Hall,B,1,800,,,
"""
EDITIONS = "key,title,mass_g,thickness_mm\nL,Light,1000,20\nH,Heavy,5000,50\n"


@pytest.fixture
def cases(tmp_path: Path) -> Iterator[Library]:
    """A bookcase of three shelves and one of one; three light copies and one heavy one at hand."""
    library = new_library(tmp_path / "library")
    import_text(library, tmp_path, ListKind.PLACES, SHELVES)
    import_text(library, tmp_path, ListKind.EDITIONS, EDITIONS)
    import_text(library, tmp_path, ListKind.COPIES, "key\nL\nL\nL\nH\n")
    yield library
    library.close()


def stand(library: Library, **where: str) -> None:
    with library.reading() as records:
        numbers = {shelf.name.replace(" ", ""): shelf.place.number for shelf in read_shelves(records)}
    for copy, shelf in where.items():
        shelve(library, copy.removeprefix("copy"), numbers[shelf], station="test", now=NOW)


def weigh(library: Library, *names: str) -> list[CaseReport]:
    with library.reading() as records:
        chosen = [shelf.place for shelf in read_shelves(records) if shelf.name in names] if names else None
        return list(weigh_shelves(records, chosen))


def test_a_bookcase_carries_what_its_shelves_carry_and_itself(cases: Library) -> None:
    stand(cases, copy1="A1", copy2="A2", copy4="A3")
    first, second = weigh(cases)
    assert (first.name, second.name) == ("Study · A", "Hall · B")
    assert [load.mass_g for _, load in first.shelves] == [1000, 1000, 5000]
    assert (first.load.mass_g, second.load.mass_g) == (37_000, 0)
    # 37 kg at standard gravity on half a square metre, in kPa.
    assert first.load.pressure_kpa == pytest.approx(37_000 / G_PER_KG * 9.80665 / 0.5 / 1000)
    assert second.load.pressure_kpa is None


@pytest.mark.parametrize(
    ("where", "top_heavy"),
    [
        ({"copy1": "A1", "copy2": "A3"}, False),  # as much above as below
        ({"copy1": "A1", "copy2": "A1", "copy3": "A3"}, True),
        ({"copy1": "A1", "copy4": "A3"}, False),
        ({"copy4": "A1"}, True),
        ({"copy4": "A2"}, False),  # the middle of three is neither
        ({}, False),
    ],
)
def test_top_heavy_is_more_above_the_middle_than_below_it(
    cases: Library, where: dict[str, str], top_heavy: bool
) -> None:
    stand(cases, **where)
    assert weigh(cases)[0].top_heavy is top_heavy


def test_some_shelves_alone(cases: Library) -> None:
    stand(cases, copy1="A1", copy2="A2")
    (report,) = weigh(cases, "A 2")
    assert [load.mass_g for _, load in report.shelves] == [1000]
    assert [report.name for report in weigh(cases, "B 1", "A 1")] == ["Study · A", "Hall · B"]
