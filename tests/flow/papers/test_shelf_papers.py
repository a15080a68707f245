"""Labels that say what stands on a shelf, printed again only where they changed; the drawing of a bookcase."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import shelves_in_order
from intake.errors import FileError, RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.papers import label_registry, registry
from intake.flow.papers.label_papers import LabelRun, UnchangedError
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper, PaperFormat, PaperSource
from intake.flow.papers.render import RenderedPaper, print_paper, render
from intake.flow.shelves.find_room import put
from intake.flow.shelves.make_places import set_order
from intake.model.papers import LabelContent
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

EDITIONS = """key,title,contributors,language,subject,thickness_mm,height_mm,set,volume,call_number
A,The Auks: a monograph,Ada Thorn,eng,Birds,30,240,,,598.3
B,Buntings,Bo Lind,eng,Birds,30,240,,,
F,Finches,Cy Marrow,eng,Birds,30,240,Small Birds,2,
"""
SHELVES = (
    "room,bookcase,shelf,width_mm,height_mm,depth_mm,subject\nStudy,A,1,65,300,250,Birds\nStudy,A,2,65,300,250,Birds\n"
)


@pytest.fixture(scope="module")
def birds_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("birds")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, EDITIONS)
        import_text(library, folder, ListKind.PLACES, SHELVES)
        import_text(library, folder, ListKind.COPIES, "key\nA\nB\nF\n")
        put(library, "A1", station="test", now=NOW)
        put(library, "A2", station="test", now=NOW)
    return folder / "library"


@pytest.fixture
def birds(birds_made: Path, tmp_path: Path) -> Iterator[Library]:
    with copy_library(birds_made, tmp_path / "library") as opened:
        yield opened


def contents(library: Library, paper: Paper[LabelRun], options: PaperOptions | None = None) -> list[LabelContent]:
    with library.reading() as reader:
        source = PaperSource(library, reader, NOW.date(), PaperFormat.PDF)
        return list(paper.gather(source, options or paper.defaults).contents)


def ranges(library: Library) -> list[str]:
    return [content["range"] for content in contents(library, label_registry.SHELF_LABELS)]


def write(library: Library, paper: Paper[Any], path: Path, options: PaperOptions | None = None) -> RenderedPaper:
    return print_paper(library, paper, options or paper.defaults, path, on=NOW.date(), station="test")


def test_the_range_on_a_shelf_follows_what_stands_there(birds: Library) -> None:
    assert ranges(birds) == ["Birds: Auks – Buntings", "Birds"]
    put(birds, "A3", station="test", now=NOW)
    assert ranges(birds) == ["Birds: Auks – Buntings", "Birds: Small Birds 2"]
    set_order(birds, "author", station="test")
    assert ranges(birds)[0] == "Birds: Thorn – Lind"


def test_only_what_changed_is_printed_again(birds: Library, tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    options = replace(label_registry.SHELF_LABELS.defaults, only_changed=True)
    assert write(birds, label_registry.SHELF_LABELS, path, options).labels == 2
    path.unlink()
    with pytest.raises(UnchangedError):
        write(birds, label_registry.SHELF_LABELS, path, options)
    assert not path.exists()
    put(birds, "A3", station="test", now=NOW)
    assert write(birds, label_registry.SHELF_LABELS, path, options).labels == 1


def test_labels_that_are_not_saved_do_not_count_as_printed(birds: Library, tmp_path: Path) -> None:
    with pytest.raises(FileError):
        write(birds, label_registry.SHELF_LABELS, tmp_path / "no" / "labels.pdf")
    render(birds, label_registry.SHELF_LABELS, label_registry.SHELF_LABELS.defaults, PaperFormat.PDF, on=NOW.date())
    options = replace(label_registry.SHELF_LABELS.defaults, only_changed=True)
    assert write(birds, label_registry.SHELF_LABELS, tmp_path / "labels.pdf", options).labels == 2


def test_spine_labels_carry_the_shelfmark_or_the_call_number(birds: Library) -> None:
    copies = PaperOptions(copies=("A1", "A2", "A3"))
    assert [c["shelfmark"] for c in contents(birds, label_registry.SPINE_LABELS, copies)] == ["A 1", "A 1", ""]
    set_order(birds, "dewey title", station="test")
    assert [c["shelfmark"] for c in contents(birds, label_registry.SPINE_LABELS, copies)] == ["598.3", "A 1", ""]


def test_nothing_chosen_prints_nothing(birds: Library, tmp_path: Path) -> None:
    with pytest.raises(RefusedError):
        write(birds, label_registry.BOX_LABELS, tmp_path / "x.pdf")
    assert not (tmp_path / "x.pdf").exists()


def test_a_bookcase_is_drawn_by_name_as_pdf_and_svg(birds: Library, tmp_path: Path) -> None:
    write(birds, registry.BOOKCASES, tmp_path / "a.pdf", PaperOptions(bookcases=("a",)))
    write(birds, registry.BOOKCASES, tmp_path / "a.svg", PaperOptions(bookcases=("A",)))
    write(birds, registry.BOOKCASES, tmp_path / "all.pdf")
    with pytest.raises(UsageError):
        write(birds, registry.BOOKCASES, tmp_path / "a.png", PaperOptions(bookcases=("A",)))
    with birds.reading() as records:
        shelf = shelves_in_order(records)[0].number
    with pytest.raises(RefusedError):
        write(birds, registry.BOOKCASES, tmp_path / "b.pdf", PaperOptions(bookcases=(shelf,)))
    document = pypdfium2.PdfDocument(tmp_path / "a.pdf")
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert "Study · A" in text
    text = " ".join(text.split())
    assert "Anchor the bookcase to the wall" in text
    # The floor's figures with their codes, and who decides, stand on the drawing itself.
    for words in ("IBC 2021, table 1607.1", "EN 1991-1-1, table 6.4", "structural engineer decide", "A stroke across"):
        assert words in text
    drawn = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert re.search(r"<title>Bookcase A</title>", drawn)
