"""Room kept for volumes to come: where among the others, how much of it, and for which. The books are invented."""

from collections.abc import Iterator, Sequence

import pytest

from intake.edges.store.library import Library
from intake.flow.shelves.gaps import ShelfSequence, gap, lines, sets_on, with_gaps
from intake.flow.shelves.shelf_state import Filing, Shelf
from intake.model.editions import Copy, Edition
from intake.model.places import Place, PlaceKind, PlacePath
from intake.model.shelving import Space

THICK = 30.0


def edition(nth: int, title: str, volume: str = "", set_id: int | None = None) -> Edition:
    return Edition(id=nth, title=title, subject="Birds", volume=volume, set_id=set_id, thickness_mm=THICK)


AUKS, GULLS, WRENS = edition(1, "Auks"), edition(2, "Gulls"), edition(3, "Wrens")
F1, F2, F3, F4, F5 = (edition(10 + n, "Finches", str(n), 7) for n in range(1, 6))
H1, H2 = (edition(20 + n, "Herons", str(n), 8) for n in (1, 2))


@pytest.fixture
def filing(library: Library) -> Iterator[Filing]:
    with library.reading() as records:
        yield Filing(records)


def shelf(*standing: Edition, width_mm: float | None = 1000.0, name: str = "A 1") -> Shelf:
    place = Place(number=name, kind=PlaceKind.SHELF, name=name, width_mm=width_mm)
    space = Space(shelf=name, width_mm=width_mm) if width_mm else None
    pairs = tuple((Copy(accession=f"A{one.id}", edition_id=one.id), one) for one in standing)
    return Shelf(place, name, PlacePath(("Study", "A", "1")), None, space, pairs)


def written(line: ShelfSequence) -> list[str]:
    """What stands on a line, copies by their numbers and room kept by its volume."""
    return [book.copy or book.name for book in line.books]


def keep(
    filing: Filing, shelves: Sequence[Shelf], packed: Sequence[Edition], in_hand: Edition | None = None
) -> tuple[list[list[str]], list[str]]:
    kept, beside = with_gaps(packed, shelves, lines(shelves, filing), in_hand, filing)
    assert all(list(line.keys) == sorted(line.keys) for line in kept)
    assert all(line.kept == sum(not book.copy for book in line.books) for line in kept)
    return [written(line) for line in kept], [volume.volume for volume in beside]


def test_room_is_kept_behind_the_volume_before_it(filing: Filing) -> None:
    standing = shelf(AUKS, F1, F3, GULLS)
    assert keep(filing, [standing], [F2, F4]) == ([["A1", "A11", "Volume 2", "A13", "Volume 4", "A2"]], [])


def test_room_is_kept_before_the_set_where_no_lower_volume_stands(filing: Filing) -> None:
    assert keep(filing, [shelf(AUKS, F3, F4, GULLS)], [F1]) == ([["A1", "Volume 1", "A13", "A14", "A2"]], [])


@pytest.mark.parametrize(("free_mm", "kept"), [(29, 0), (30, 1), (59, 1), (60, 2), (1000, 2)])
def test_as_many_as_the_free_width_takes(filing: Filing, free_mm: float, kept: int) -> None:
    ((line,), _) = keep(filing, [shelf(F1, width_mm=30 + free_mm)], [F2, F3])
    assert line == ["A11", "Volume 2", "Volume 3"][: 1 + kept]


def test_on_a_shelf_of_unknown_width_none_is_kept(filing: Filing) -> None:
    assert keep(filing, [shelf(F1, width_mm=None)], [F2]) == ([["A11"]], [])


def test_for_each_volume_room_is_kept_once_on_the_first_shelf_of_its_set_that_has_it(filing: Filing) -> None:
    both = [shelf(F1), shelf(F2, name="A 2")]
    assert keep(filing, both, [F3]) == ([["A11", "Volume 3"], ["A12"]], [])
    first_is_full = [shelf(F1, width_mm=40), shelf(F2, name="A 2")]
    assert keep(filing, first_is_full, [F3]) == ([["A11"], ["A12", "Volume 3"]], [])


def test_only_for_sets_that_stand_there(filing: Filing) -> None:
    shelves = [shelf(AUKS, F1, WRENS), shelf(name="A 2")]
    assert keep(filing, shelves, [H1, F2]) == ([["A1", "A11", "Volume 2", "A3"], []], [])
    assert sets_on(shelves) == {7}
    assert sets_on([shelf(AUKS)]) == set()


def test_none_for_the_volume_in_the_hand(filing: Filing) -> None:
    assert keep(filing, [shelf(F1, GULLS)], [F2, F3], F2) == ([["A11", "Volume 3", "A2"]], [])


def test_of_the_set_in_the_hand_those_come_beside_it_that_nothing_stands_between(filing: Filing) -> None:
    full = [shelf(AUKS, F4, GULLS, width_mm=90)]
    assert keep(filing, full, [F5, F3, F1, F2], F2) == ([["A1", "A14", "A2"]], ["1", "3"])
    # The first of its set: nothing of it stands anywhere, and all belong beside it.
    assert keep(filing, [shelf(AUKS, GULLS)], [F5, F3, F1], F2) == ([["A1", "A2"]], ["1", "3", "5"])
    # Beside another set's volumes none of those is its own.
    assert keep(filing, [shelf(H2, width_mm=30)], [H1, F3], F2) == ([["A22"]], ["3"])


def test_a_second_copy_stands_behind_the_first_so_lower_volumes_do_not_belong_beside_it(filing: Filing) -> None:
    full = [shelf(AUKS, F2, width_mm=60)]
    assert keep(filing, full, [F1, F3], F2) == ([["A1", "A12"]], ["3"])


def test_on_empty_shelves_all_of_its_set_come_beside_it(filing: Filing) -> None:
    assert keep(filing, [shelf()], [F3, F1], F2) == ([[]], ["1", "3"])


def test_a_book_of_no_set_has_nothing_to_come_beside_it(filing: Filing) -> None:
    assert keep(filing, [shelf(F1)], [F2], AUKS) == ([["A11", "Volume 2"]], [])


def test_lines_without_one_copy(filing: Filing) -> None:
    shelves = [shelf(AUKS, F1), shelf(GULLS, name="A 2")]
    assert [written(line) for line in lines(shelves, filing)] == [["A1", "A11"], ["A2"]]
    bare = lines(shelves, filing, leaving_out="A1")
    assert [written(line) for line in bare] == [["A11"], ["A2"]]
    assert bare[0].keys == (filing.key(F1),)
    assert [line.kept for line in bare] == [0, 0]


def test_the_room_of_a_volume_is_as_thick_as_the_volume() -> None:
    room = gap(F2)
    assert (room.copy, room.name, room.thickness_mm, room.set_id) == ("", "Volume 2", THICK, 7)
