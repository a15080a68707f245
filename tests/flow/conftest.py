"""A small invented library to work in."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from intake.edges.sheets import read_csv
from intake.edges.store.library import Library
from intake.flow.lists.import_list import ImportResult, ListKind, import_table
from intake.flow.moving import box_lifecycle
from intake.flow.unpacking.scan_results import Booked, Queued, ScanResult
from tests.made_library import copy_library, new_library

NOW = datetime(2026, 3, 31, 9, 30, tzinfo=UTC)

CATALOG = """key,number,add_on,title,contributors,year,edition,subject,thickness_mm,height_mm,set,volume
F1,978-0-306-40615-7,,Ferns of the Outer Isles,Ada Thorn,1990,,Plants,30,280,Ferns,1
F2,978-3-16-148410-0,,Ferns of the Inner Isles,Ada Thorn,1992,,Plants,32,280,Ferns,2
G1,0-8044-2957-X,,A Guide to Gulls,Bo Lind,1980,1st edition,Birds,25,240,,
G2,1-85798-218-5,,A Guide to Gulls,Bo Lind,1996,2nd edition,Birds,26,240,,
P5,977026435900-8,05,The Shore Quarterly,,2001,,Periodicals,6,297,,
P6,977026435900-8,06,The Shore Quarterly,,2001,,Periodicals,6,297,,
O1,,,Old Charts without a Number,Cy Marrow,1911,,Atlases,40,400,,
"""

COPIES = """box,room,key,grade,jacket,wrapped,value,currency,basis,valued_on,source
1,Study,F1,Fine,none,no,120.00,EUR,market,2026-01-15,own estimate
1,Study,G1,,,yes,,,,,
1,Study,P5,Good,,no,4.50,EUR,replacement,2026-01-15,own estimate
1,Study,O1,Very Good,,no,900,USD,agreed,2025-11-30,appraisal
2,Study,F2,Fine,Very Good,no,130.00,EUR,market,2026-01-15,own estimate
"""

SHELVES = """room,bookcase,shelf,width_mm,height_mm,depth_mm,subject
Study,A,1,800,300,250,Plants
Study,A,2,800,300,250,Birds
Study,B,1,50,420,350,Atlases
"""


def import_text(
    library: Library, folder: Path, kind: ListKind, text: str, *, dry_run: bool = False, skip_bad_rows: bool = False
) -> ImportResult:
    file = folder / f"{kind}.csv"
    file.write_text(text, encoding="utf-8")
    return import_table(
        library,
        kind,
        read_csv(file),
        file=file.name,
        dry_run=dry_run,
        skip_bad_rows=skip_bad_rows,
        station="test",
        today=date(2026, 3, 31),
    )


@pytest.fixture(scope="session")
def library_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the library that `library` copies."""
    folder = tmp_path_factory.mktemp("made")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, CATALOG)
        import_text(library, folder, ListKind.PLACES, SHELVES)
        import_text(library, folder, ListKind.COPIES, COPIES)
    return folder / "library"


@pytest.fixture
def library(library_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Seven editions, five packed copies in two boxes, three shelves; nothing has arrived."""
    with copy_library(library_made, tmp_path / "library") as opened:
        yield opened


@pytest.fixture
def arrived(library: Library) -> Library:
    """The same, with box 1 closed and checked in."""
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.check_in(library, "1", station="test")
    return library


def booked(result: ScanResult) -> Booked:
    """Return the result of a scan that must have been booked."""
    assert isinstance(result, Booked), result
    return result


def queued(result: ScanResult) -> Queued:
    """Return the result of a scan that must wait on the query pile."""
    assert isinstance(result, Queued), result
    return result
