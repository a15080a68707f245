"""Labels that say what stands on a shelf, printed again only where they changed; the drawing of a bookcase."""

import re
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest

from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import shelves_in_order
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.papers import shelf_papers
from intake.flow.papers.printing import SHELF_TEMPLATE, LabelStock
from intake.flow.papers.shelf_labels import shelf_labels, spine_labels
from intake.flow.shelves.find_room import put
from intake.flow.shelves.make_places import set_order
from intake.model.papers import LabelUse
from tests.flow.conftest import NOW, import_text

EDITIONS = """key,title,contributors,language,subject,thickness_mm,height_mm,set,volume,call_number
A,The Auks: a monograph,Ada Thorn,eng,Birds,30,240,,,598.3
B,Buntings,Bo Lind,eng,Birds,30,240,,,
F,Finches,Cy Marrow,eng,Birds,30,240,Small Birds,2,
"""
SHELVES = (
    "room,bookcase,shelf,width_mm,height_mm,depth_mm,subject\nStudy,A,1,65,300,250,Birds\nStudy,A,2,65,300,250,Birds\n"
)


@pytest.fixture
def birds(tmp_path: Path) -> Iterator[Library]:
    library = open_library(tmp_path / "library", create=True)
    import_text(library, tmp_path, ListKind.EDITIONS, EDITIONS)
    import_text(library, tmp_path, ListKind.PLACES, SHELVES)
    import_text(library, tmp_path, ListKind.COPIES, "key\nA\nB\nF\n")
    put(library, "A1", station="test", now=NOW)
    put(library, "A2", station="test", now=NOW)
    yield library
    library.close()


def ranges(library: Library) -> list[str]:
    with library.reading() as records:
        return [content["range"] for content in shelf_labels(records, shelves_in_order(records))]


def test_the_range_on_a_shelf_follows_what_stands_there(birds: Library) -> None:
    assert ranges(birds) == ["Birds: Auks – Buntings", "Birds"]
    put(birds, "A3", station="test", now=NOW)
    assert ranges(birds) == ["Birds: Auks – Buntings", "Birds: Small Birds 2"]
    set_order(birds, "author", station="test")
    assert ranges(birds)[0] == "Birds: Thorn – Lind"


def test_only_what_changed_is_printed_again(birds: Library, tmp_path: Path) -> None:
    def labels() -> int:
        with birds.reading() as records:
            shelves = shelves_in_order(records)
        on, path = LabelStock(SHELF_TEMPLATE), tmp_path / "labels.pdf"
        _, count = shelf_papers.print_labels(
            birds, LabelUse.SHELF, shelves, on, path, only_changed=True, station="test"
        )
        return count

    assert [labels(), labels()] == [2, 0]
    put(birds, "A3", station="test", now=NOW)
    assert [labels(), labels()] == [1, 0]


def test_spine_labels_carry_the_shelfmark_or_the_call_number(birds: Library) -> None:
    with birds.reading() as records:
        copies = [copy for copy, _ in all_copies(records)]
        assert [content["shelfmark"] for content in spine_labels(records, copies)] == ["A 1", "A 1", ""]
    set_order(birds, "dewey title", station="test")
    with birds.reading() as records:
        assert [content["shelfmark"] for content in spine_labels(records, copies)] == ["598.3", "A 1", ""]


def test_nothing_chosen_prints_nothing(birds: Library, tmp_path: Path) -> None:
    with pytest.raises(RefusedError, match="nothing was chosen"):
        shelf_papers.print_labels(
            birds, LabelUse.SPINE, [], LabelStock("a4-15x9"), tmp_path / "x.pdf", only_changed=False, station="test"
        )
    assert not (tmp_path / "x.pdf").exists()


def test_a_bookcase_is_drawn_by_name_as_pdf_and_svg(birds: Library, tmp_path: Path) -> None:
    with birds.reading() as records:
        shelf_papers.draw_bookcase(records, "a", tmp_path / "a.pdf")
        shelf_papers.draw_bookcase(records, "A", tmp_path / "a.svg")
        shelf_papers.print_bookcases(records, tmp_path / "all.pdf")
        with pytest.raises(UsageError, match=r"end its name in \.pdf or \.svg"):
            shelf_papers.draw_bookcase(records, "A", tmp_path / "a.png")
        with pytest.raises(RefusedError, match="is a shelf, not a bookcase"):
            shelf_papers.draw_bookcase(records, shelves_in_order(records)[0].number, tmp_path / "b.pdf")
    document = pypdfium2.PdfDocument(tmp_path / "a.pdf")
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert "Study · A" in text
    assert "Anchor the bookcase to the wall" in text
    drawn = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert re.search(r"<title>Bookcase A</title>", drawn)
