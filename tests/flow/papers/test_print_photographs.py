"""Photographs for print: in the order asked for, with the proportions of their files, or with the reason why not.

What an archive holds is read from its own list of members, by Python's zipfile.
"""

import io
import zipfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from intake.edges.scaled_cache import FOLDER
from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.condition import copy_pictures
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.papers.print_photographs import photographs_of
from intake.flow.safekeeping.backups import back_up, restore
from intake.flow.safekeeping.check_library import check_library
from intake.model.condition import CopyPicture
from intake.model.schedules import Photograph
from tests.flow.conftest import NOW


def picture(width: int, height: int, colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(out, "PNG")
    return out.getvalue()


@pytest.fixture
def pictured(library: Library) -> tuple[Library, tuple[CopyPicture, ...]]:
    """A wide picture of copy 1 with a note, and a high one of copy 2 without."""
    for copy, data, note in (("1", picture(1200, 300, "red"), "jacket"), ("2", picture(200, 800, "blue"), "")):
        photograph_copy(library, copy, data, note=note, station="test", now=NOW)
    with library.reading() as records:
        return library, tuple(copy_pictures(records))


def printed(library: Library, pictures: tuple[CopyPicture, ...], titles: dict[str, str]) -> Iterator[Photograph]:
    with library.reading() as records:
        source = PaperSource(library, records, date(2026, 3, 31), PaperFormat.PDF)
        yield from photographs_of(source, iter(pictures), titles)


def test_a_photograph_has_its_file_s_proportions_its_caption_and_its_digest(
    pictured: tuple[Library, tuple[CopyPicture, ...]],
) -> None:
    library, pictures = pictured
    wide, high = printed(library, pictures, {"A1-59": "Ferns of the Outer Isles"})
    assert (wide.copy, wide.caption, high.copy, high.caption) == (
        "A1-59", "Ferns of the Outer Isles, jacket", "A2-50", "",
    )  # fmt: skip
    assert (wide.sha256, high.sha256) == tuple(one.picture for one in pictures)
    assert (wide.width_px / wide.height_px, high.width_px / high.height_px) == pytest.approx((4, 0.25), rel=0.02)
    for one in (wide, high):
        assert one.data is not None
        assert Image.open(io.BytesIO(one.data)).size == (one.width_px, one.height_px)
        assert one.why == ""


def test_they_come_in_the_order_asked_for_and_one_may_come_twice(
    pictured: tuple[Library, tuple[CopyPicture, ...]],
) -> None:
    library, (wide, high) = pictured
    assert [one.copy for one in printed(library, (high, wide, high), {})] == ["A2-50", "A1-59", "A2-50"]


@pytest.mark.folder
def test_one_that_cannot_be_shown_keeps_its_place_and_says_why(
    pictured: tuple[Library, tuple[CopyPicture, ...]],
) -> None:
    library, pictures = pictured
    stored = library.picture_path(pictures[0].picture)
    assert stored is not None
    Path(stored).unlink()
    lost, kept = printed(library, pictures, {})
    assert (lost.copy, lost.data, kept.data is None) == ("A1-59", None, False)
    assert lost.why
    # Its proportions are known from its record.
    assert (lost.width_px, lost.height_px) == (1200, 300)


@pytest.mark.folder
def test_pictures_scaled_for_print_are_in_no_archive_missed_by_no_restore_and_strange_to_no_check(
    pictured: tuple[Library, tuple[CopyPicture, ...]], tmp_path: Path
) -> None:
    library, pictures = pictured
    before = check_library(library)
    first = list(printed(library, pictures, {}))
    scaled = [path for path in (library.folder / FOLDER).rglob("*") if path.is_file()]
    assert len(scaled) == len(pictures) == 2
    assert check_library(library) == before
    assert not before.findings

    archive = tmp_path / "books.zip"
    back_up(library, archive, NOW)
    with zipfile.ZipFile(archive) as packed:
        members = packed.namelist()
    assert len([name for name in members if name.startswith("pictures/")]) == len(pictures)
    assert not [name for name in members if FOLDER in name or name.endswith(tuple(path.name for path in scaled))]

    restored = restore(archive, tmp_path / "restored")
    assert not restored.findings
    with open_library(tmp_path / "restored") as again:
        assert not (again.folder / FOLDER).exists()
        assert check_library(again).findings == ()
        assert list(printed(again, pictures, {})) == first
        assert len([path for path in (again.folder / FOLDER).rglob("*") if path.is_file()]) == len(scaled)
