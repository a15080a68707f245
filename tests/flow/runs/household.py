"""An invented household's serial: overlapping volumes, one still boxed, one missing, some only in the catalog."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store.library import Library, open_library
from intake.flow.lists.import_list import ListKind
from intake.flow.runs.set_extent import set_extent
from tests.flow.conftest import import_text

EDITIONS = """key,title,set,volume,collects,price,currency,thickness_mm,binding
T1,Tidewrack Gathered,Tidewrack Gathered,1,Tidewrack Quarterly 1-20,,,30,hardcover
T2,Tidewrack Gathered,Tidewrack Gathered,2,"Tidewrack Quarterly 21-40, 12½",,,32,hardcover
T3,Tidewrack in Storm,,,"Tidewrack Quarterly 10-15; tidewrack quarterly annual 1",,,12,softcover
T4,Tidewrack Late,,,Tidewrack Quarterly 41-60,12.50,EUR,30,softcover
T5,Tidewrack Later,,,Tidewrack Quarterly 41-50,5,EUR,15,softcover
T6,Tidewrack Latest,,,Tidewrack Quarterly 51-60,8,USD,15,softcover
T7,Tidewrack Lost,,,Tidewrack Quarterly 45,,,8,softcover
T8,Tidewrack Unpriced,,,Tidewrack Quarterly 41-60,,,30,cloth
"""
COPIES = """key,box,kept
T1,,
T1,,
T2,1,
T3,,yes
"""
TITLE = "Tidewrack Quarterly"


@pytest.fixture
def household(tmp_path: Path) -> Iterator[Library]:
    with open_library(tmp_path / "library", create=True) as library:
        import_text(library, tmp_path, ListKind.EDITIONS, EDITIONS)
        import_text(library, tmp_path, ListKind.COPIES, COPIES)
        set_extent(library, TITLE, "1-60, annual 1-2", station="test")
        yield library
