"""The shelves that a search for room looks at, and in which order. The books are invented."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import edition_by_key
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.import_list import ListKind
from intake.flow.shelves.near_shelves import NearShelves, Search, ShelvesNeeded, folded, run_together
from intake.flow.shelves.shelf_state import read_shelves
from intake.flow.shelves.shelve_copy import shelve
from intake.model.editions import Edition
from tests.counting import count_statements
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

SHELVES = """room,bookcase,shelf,width_mm,subject
Study,A,1,800,Birds
Study,A,2,800,birds
Study,A,3,800,Plants
Study,B,1,800,
Study,B,2,800,Birds
"""
EDITIONS = """key,title,subject,thickness_mm,set,volume
A,Auks,Birds,30,,
U,Unknown Birds,BIRDS,30,,
M,Mosses,Stones,30,,
N,On Nothing,,30,,
F1,Finches,Birds,30,Small Birds,1
F2,Finches,Birds,30,Small Birds,2
F3,Finches,Birds,30,Small Birds,3
F4,Finches,Birds,30,Small Birds,4
H1,Herons,Birds,30,Large Birds,1
H2,Herons,Birds,30,Large Birds,2
"""


@pytest.fixture(scope="module")
def birds_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("birds")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.PLACES, SHELVES)
        import_text(library, folder, ListKind.EDITIONS, EDITIONS)
        import_text(library, folder, ListKind.COPIES, "box,key\n,A\n,F1\n,F2\n,F3\n,H1\n7,F4\n7,H2\n")
    return folder / "library"


@pytest.fixture
def birds(birds_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Auks, finches 1 to 3 and herons 1 at hand; finches 4 and herons 2 in a box."""
    with copy_library(birds_made, tmp_path / "library") as opened:
        yield opened


def stand(library: Library, **where: str) -> None:
    """Put copies on shelves: copy1="A 1" and so on."""
    with library.reading() as records:
        numbers = {shelf.name: shelf.place.number for shelf in read_shelves(records)}
    for copy, shelf in where.items():
        shelve(library, copy.removeprefix("copy"), numbers[shelf], station="test", now=NOW)


def edition(reader: LibraryReader, key: str) -> Edition:
    found = edition_by_key(reader, key)
    assert found is not None
    return found


def zones(library: Library, key: str) -> list[list[str]]:
    with library.reading() as reader:
        names = {shelf.place.number: shelf.name for shelf in read_shelves(reader)}
        wanted = edition(reader, key)
        found = NearShelves(reader, [wanted]).zones(wanted)
    assert all(reason for _, reason in found)
    return [[names[place.number] for place in places] for places, _ in found]


def test_the_shelves_of_its_subject_however_it_is_written_then_those_of_no_subject(birds: Library) -> None:
    assert zones(birds, "A") == zones(birds, "U") == [["A 1", "A 2", "B 2"], ["B 1"]]


def test_of_a_subject_without_shelves_or_of_none_only_those_of_no_subject(birds: Library) -> None:
    assert zones(birds, "M") == zones(birds, "N") == [["B 1"]]


def test_where_its_set_stands_comes_first(birds: Library) -> None:
    stand(birds, copy2="A 3")
    assert zones(birds, "F4") == [["A 3"], ["A 1", "A 2", "B 2"], ["B 1"]]
    # Most of it stands among the birds, as that is written there; the stray volume does not count.
    stand(birds, copy3="A 2", copy4="A 2")
    assert zones(birds, "F4")[0] == ["A 2"]
    assert zones(birds, "A") == [["A 1", "A 2", "B 2"], ["B 1"]], "another book's set is not its own"


def test_volumes_in_boxes_are_those_of_the_sets_on_the_shelves_and_of_its_own(birds: Library) -> None:
    stand(birds, copy5="A 1")
    with birds.reading() as reader:
        auks, finch = edition(reader, "A"), edition(reader, "F1")
        near = NearShelves(reader, [auks, finch])
        places = [place for zone, _ in near.zones(auks) for place in zone]
        near.read([ShelvesNeeded(whole=[place.number for place in places])])
        shelves = near.shelves(places)
        assert [shelf.name for shelf in shelves] == ["A 1", "A 2", "B 2", "B 1"]
        assert [volume.key for volume in near.to_come(shelves, auks)] == ["H2"]
        assert {volume.key for volume in near.to_come(shelves, finch)} == {"F4", "H2"}
        assert near.to_come(shelves[1:], auks) == []
        assert [pair[1].key for pair in near.copies_of_set(finch)] == ["F1", "F2", "F3", "F4"]
        assert near.copies_of_set(auks) == []


def test_the_first_copy_of_a_shelf(birds: Library) -> None:
    stand(birds, copy2="A 1", copy1="A 1")
    with birds.reading() as reader:
        auks = edition(reader, "A")
        near = NearShelves(reader, [auks])
        first, second, *_ = [place.number for zone, _ in near.zones(auks) for place in zone]
        near.read([ShelvesNeeded(first=[first, second])])
        assert near.first_key(first) == [near.filing.key(auks)]
        assert near.first_key(second) == []


def test_what_was_read_is_not_read_again(birds: Library) -> None:
    stand(birds, copy1="A 1")
    with birds.reading() as reader:
        auks = edition(reader, "A")
        near = NearShelves(reader, [auks])
        places = [place.number for zone, _ in near.zones(auks) for place in zone]
        need = ShelvesNeeded(whole=places, first=places)
        with count_statements(birds) as first:
            near.read([need])
        with count_statements(birds) as again:
            near.read([need, ShelvesNeeded(first=places[:1])])
    assert first.statements > 0
    assert again.statements == 0


def test_searches_side_by_side_answer_in_their_own_order(birds: Library) -> None:
    def search(rounds: int, answer: str) -> Search[str]:
        for _ in range(rounds):
            yield ShelvesNeeded()
        return answer

    with birds.reading() as reader:
        near = NearShelves(reader, [])
        assert run_together([search(3, "a"), search(0, "b"), search(1, "c")], near) == ["a", "b", "c"]
        assert run_together([], near) == []


def test_the_case_of_a_subject_does_not_matter() -> None:
    assert folded("  Birds ") == folded("BIRDS") != folded("Bird")


def test_a_copy_that_stands_alone_of_its_set_is_no_reason_for_itself(birds: Library) -> None:
    stand(birds, copy2="B 1")
    with birds.reading() as reader:
        wanted = edition(reader, "F1")
        near = NearShelves(reader, [wanted])
        (copy,) = [copy for copy, of in near.copies_of_set(wanted) if of.key == "F1"]
        own = [reason for _, reason in near.zones(wanted, copy)]
        others = [reason for _, reason in near.zones(edition(reader, "F2"))]
    assert own[0] == "shelf of 'Birds'"
    assert others[0] == "other volumes of its set stand on this shelf or on one like it"
