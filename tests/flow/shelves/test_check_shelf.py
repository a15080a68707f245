"""A photographed shelf held against the record, from the picture on.

The photograph is drawn: spines of different widths and heights, each with the QR symbol of its copy's number by zint,
an encoder that is not ours; the whole seen a little askew, blurred and grainy. So what stands where is known.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pytest
import zint

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import shelves_in_order
from intake.edges.store.queries.sightings import sightings_of
from intake.errors import RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.shelves.check_shelf import ShelfReport, check_shelves, names_of, note_sightings, report_row
from intake.flow.shelves.shelve_copy import shelve
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, CopyState
from intake.model.places import Place
from intake.reading.decoders import available
from intake.reading.read import read
from intake.shelving.check import ReadRow
from tests.flow.conftest import NOW, import_text
from tests.made_library import new_library
from tests.reading.drawing import symbol

Grey = npt.NDArray[np.uint8]

COUNT = 12
EDITIONS = "key,title,thickness_mm\n" + "".join(f"K{n},Invented Title {n:02d},30\n" for n in range(COUNT + 4))
SHELVES = "room,bookcase,shelf,width_mm\nStudy,A,1,800\nStudy,A,2,800\nHall,B,1,800\n"
COPIES = "key\n" + "".join(f"K{n}\n" for n in range(COUNT + 4))
MODULE_PX = 4


@pytest.fixture
def shelved(tmp_path: Path) -> Iterator[tuple[Library, list[str], list[str]]]:
    """Copies 0 to 9 on the first shelf, 10 to 13 on the second, two at hand; the copies' and the shelves' numbers."""
    library = new_library(tmp_path / "library")
    import_text(library, tmp_path, ListKind.EDITIONS, EDITIONS)
    import_text(library, tmp_path, ListKind.PLACES, SHELVES)
    import_text(library, tmp_path, ListKind.COPIES, COPIES)
    with library.reading() as records:
        shelves = [shelf.number for shelf in shelves_in_order(records)]
        copies = [copy.accession for copy, _ in sorted(all_copies(records), key=lambda pair: pair[1].id)]
    for nth, copy in enumerate(copies[:14]):
        shelve(library, copy, shelves[0] if nth < 10 else shelves[1], station="test", now=NOW)
    yield library, copies, shelves
    library.close()


def photograph(rows: Sequence[tuple[Sequence[str], str]], *, degrees: float = 2.0) -> Grey:
    """Draw rows of spines with their labels over the edge of their shelf, and photograph them."""
    rng = np.random.default_rng(4)
    pitch, left = 600, 60
    picture = np.full((pitch * len(rows) + 130, 150 * max(len(copies) for copies, _ in rows) + 160), 90, np.float32)
    for nth, (copies, shelf) in enumerate(rows):
        floor, x = (nth + 1) * pitch, left
        for copy in copies:
            width, height = int(rng.integers(118, 140)), int(rng.integers(340, 460))
            picture[floor - height : floor, x : x + width - 3] = rng.integers(60, 190)
            stick(picture, copy, x + width // 2, floor - 120 - int(rng.integers(0, 60)))
            x += width
        picture[floor : floor + 105] = 150
        if shelf:
            stick(picture, shelf, left + 300, floor + 52, module_px=3)
    height, width = picture.shape
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), degrees, 0.96)
    seen = cv2.warpAffine(picture, turn, (width, height), flags=cv2.INTER_AREA, borderValue=80)
    noisy = np.asarray(cv2.GaussianBlur(seen, (0, 0), 0.9), np.float64) + rng.normal(0, 3, seen.shape)
    return np.asarray(np.clip(np.rint(noisy), 0, 255), np.uint8)


def stick(picture: npt.NDArray[np.float32], number: str, x: int, y: int, *, module_px: int = MODULE_PX) -> None:
    """Stick a white label with the QR symbol of a number, its middle at a point."""
    bitmap = symbol(zint.Symbology.QRCODE, number, scale=module_px)
    label = np.pad(bitmap, 4 * module_px, constant_values=255).astype(np.float32)
    height, width = label.shape
    top, left = y - height // 2, x - width // 2
    picture[top : top + height, left : left + width] = 40 + label / 255 * 190


def diagnose(library: Library, picture: Grey, shelf: str = "") -> tuple[ShelfReport, ...]:
    readings = read(picture, decoders=available())
    with library.reading() as records:
        return check_shelves(records, readings, shelf_text=shelf)


def test_two_swapped_and_one_gone_are_diagnosed_exactly(shelved: tuple[Library, list[str], list[str]]) -> None:
    library, copies, shelves = shelved
    seen = copies[:10]
    seen[2], seen[3] = seen[3], seen[2]
    del seen[7]
    (report,) = diagnose(library, photograph([(seen, shelves[0])]))
    assert report.where == "Study · A · 1"
    assert report.diagnosis.missing == (copies[7],)
    assert report.diagnosis.foreign == ()
    assert [(one.copy, one.behind) for one in report.diagnosis.misplaced] in (
        [(copies[3], copies[2])], [(copies[2], copies[1])])  # fmt: skip
    assert set(report.diagnosis.in_place) == set(copies[:10]) - {copies[7], report.diagnosis.misplaced[0].copy}
    assert len(report.sentences) == 2


def test_two_far_ones_swapped_are_both_named(shelved: tuple[Library, list[str], list[str]]) -> None:
    library, copies, shelves = shelved
    seen = copies[:10]
    seen[1], seen[8] = seen[8], seen[1]
    del seen[5]
    (report,) = diagnose(library, photograph([(seen, "")], degrees=-3), shelf=shelves[0])
    assert {one.copy: one.behind for one in report.diagnosis.misplaced} == {copies[1]: copies[0], copies[8]: copies[7]}
    assert report.diagnosis.missing == (copies[5],)


def test_two_rows_with_a_stranger_and_one_of_the_other_row(shelved: tuple[Library, list[str], list[str]]) -> None:
    library, copies, shelves = shelved
    upper = [*copies[:4], copies[12], *copies[4:10]]
    lower = [copies[10], copies[11], copies[15], copies[13], "A999-74"]
    first, second = diagnose(library, photograph([(upper, shelves[0]), (lower, shelves[1])]))
    assert [(one.copy, one.home, one.behind) for one in first.diagnosis.misplaced] == [
        (copies[12], shelves[1], copies[11])]  # fmt: skip
    assert second.diagnosis.missing == (copies[12],)
    assert second.diagnosis.foreign[0] == copies[15]
    assert second.sentences[-1 if len(second.diagnosis.foreign) == 1 else -2].endswith(
        "is recorded as at hand, on no shelf."
    )
    count = note_sightings(library, (first, second), picture=None, station="test", now=NOW)
    assert count == 15
    with library.reading() as records:
        assert sightings_of(records, copies[12])[-1].place == shelves[0]
        copy = records.get(Copy, copies[12])
        assert copy is not None
        assert copy.place == shelves[1]  # a sighting moves nothing in the record


def test_a_photograph_of_another_shelf(shelved: tuple[Library, list[str], list[str]]) -> None:
    library, copies, shelves = shelved
    with pytest.raises(RefusedError, match=r"shows Study · A · 1, not Hall · B · 1"):
        diagnose(library, photograph([(copies[:4], shelves[0])]), shelf=shelves[2])
    with pytest.raises(RefusedError, match=r"shows nothing of Hall · B · 1, but books of Study · A · 1"):
        diagnose(library, photograph([(copies[:4], "")]), shelf=shelves[2])
    with pytest.raises(RefusedError, match="name the shelf of its upper row"):
        diagnose(library, photograph([(copies[:4], "")]))
    with pytest.raises(RefusedError, match="no label that could be read"):
        diagnose(library, np.full((200, 300), 128, np.uint8))
    with pytest.raises(RefusedError, match="more rows than there are shelves"):
        diagnose(library, photograph([(copies[10:14], ""), (copies[:4], "")]), shelf=shelves[1])


def compare(library: Library, shelf: str, numbers: Sequence[str], *, labelled: bool = True) -> ShelfReport:
    """Compare a row whose symbols were read with the record of a shelf."""
    with library.reading() as records:
        place = records.get(Place, shelf)
        assert place is not None
        return report_row(records, place, ReadRow(tuple(numbers), (shelf,) if labelled else ()))


def test_a_copy_that_is_recorded_as_missing_has_no_home_on_a_shelf(
    shelved: tuple[Library, list[str], list[str]],
) -> None:
    library, copies, shelves = shelved
    with library.writing() as work:
        copy = work.get(Copy, copies[12])
        assert copy is not None
        work.apply(
            Action(ActionKind.IMPORT_COPIES, copy.accession), [Change(copy, replace(copy, state=CopyState.MISSING))]
        )
    report = compare(library, shelves[0], [*copies[:10], copies[12]])
    assert (report.diagnosis.misplaced, report.diagnosis.foreign) == ((), (copies[12],))
    assert "missing" in report.sentences[-1]
    assert "Study · A · 2" in report.sentences[-1]


def test_a_misplaced_copy_is_sent_home_behind_its_neighbour_or_to_the_front(
    shelved: tuple[Library, list[str], list[str]],
) -> None:
    library, copies, shelves = shelved
    report = compare(library, shelves[0], [copies[10], *copies[1:10], copies[0], copies[13]])
    assert [(one.copy, one.home, one.behind) for one in report.diagnosis.misplaced] == [
        (copies[0], shelves[0], None), (copies[10], shelves[1], None), (copies[13], shelves[1], copies[12]),
    ]  # fmt: skip
    own, first, behind = report.sentences
    assert "Invented Title 00" in own
    assert "Study" not in own, "it is on its own shelf already"
    assert all(part in first for part in ("Invented Title 10", "Study · A · 2", "front"))
    assert all(part in behind for part in ("Invented Title 13", "Study · A · 2", copies[12]))
    assert "front" not in behind


def test_a_row_without_a_label_is_refused_only_where_most_of_it_belongs_to_one_other_shelf(
    shelved: tuple[Library, list[str], list[str]],
) -> None:
    library, copies, shelves = shelved
    hall = shelves[2]
    with pytest.raises(RefusedError):
        compare(library, hall, [*copies[:3], copies[10]], labelled=False)
    with pytest.raises(RefusedError):
        compare(library, hall, [*copies[:2], copies[14]], labelled=False)
    # Its own label says which shelf it is; half of it from each shelf, or nothing of any, says nothing.
    assert len(compare(library, hall, copies[:3]).diagnosis.misplaced) == 3
    assert len(compare(library, hall, [*copies[:2], *copies[10:12]], labelled=False).diagnosis.misplaced) == 4
    assert compare(library, hall, copies[14:16], labelled=False).diagnosis.foreign == tuple(copies[14:16])
    assert compare(library, hall, [], labelled=False).diagnosis.in_place == ()
    # One that belongs here is enough.
    first = compare(library, shelves[1], [copies[10], *copies[:4]], labelled=False)
    assert first.diagnosis.in_place == (copies[10],)


def test_what_was_seen_is_noted_at_the_shelf_it_was_seen_on(shelved: tuple[Library, list[str], list[str]]) -> None:
    library, copies, shelves = shelved
    report = compare(library, shelves[1], [copies[10], copies[0], copies[14], "A999-74"])
    assert note_sightings(library, [report], picture=None, station="test", now=NOW) == 3
    with library.reading() as records:
        for copy in (copies[10], copies[0], copies[14]):
            sighting = sightings_of(records, copy)[-1]
            assert (sighting.place, sighting.methods, sighting.station) == (shelves[1], "shelf check", "test")
        assert names_of(records, [copies[0], "A999-74"]) == {
            copies[0]: f"{copies[0]} 'Invented Title 00'", "A999-74": "A999-74",
        }  # fmt: skip
    nothing = compare(library, shelves[1], ["A999-74"])
    assert note_sightings(library, [nothing], picture=None, station="test", now=NOW) == 0


def test_two_copies_at_one_place_are_told_before_all_else(shelved: tuple[Library, list[str], list[str]]) -> None:
    library, copies, shelves = shelved
    with library.writing() as work:
        copy = work.get(Copy, copies[1])
        assert copy is not None
        work.apply(Action(ActionKind.IMPORT_COPIES, copy.accession), [Change(copy, replace(copy, position=1))])
    report = compare(library, shelves[0], copies[:9])
    assert all(copy in report.sentences[0] for copy in copies[:2])
    assert copies[9] in report.sentences[-1]
