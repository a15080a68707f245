"""The collection as a book, of an invented household: groups, indexes, strips of rulers; what stands on its pages."""

import zipfile
from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from lxml import html

from intake.documents import catalogues
from intake.edges import fonts
from intake.edges.store.library import Library, open_library
from intake.errors import FileError
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.edit_copy import plan_copy_edit
from intake.flow.corrections.edit_edition import plan_edition_edit
from intake.flow.lists.import_list import ListKind
from intake.flow.papers import registry
from intake.flow.papers.collection_paper import NO_SERIAL, NO_WHY, PRIVATE, collection_site, gather_collection
from intake.flow.papers.options import CatalogueOrder, PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.papers.render import print_paper, render, save
from intake.model.catalogues import CollectionCatalogue
from intake.model.pages import Text
from tests.flow.conftest import import_text
from tests.flow.runs.household import TITLE, household

__all__ = ["household"]

TODAY = date(2026, 3, 31)


def gathered(library: Library, order: CatalogueOrder) -> CollectionCatalogue:
    with library.reading() as reader:
        source = PaperSource(library, reader, TODAY, PaperFormat.PDF)
        return gather_collection(source, PaperOptions(catalogue_order=order))


def test_every_held_copy_is_an_entry_and_the_indexes_name_them(household: Library) -> None:
    book = gathered(household, CatalogueOrder.SERIAL)
    assert [heading for heading, _ in book.groups] == [TITLE]
    entries = [entry for _, entries in book.groups for entry in entries]
    assert [entry.number for entry in entries] == [1, 2, 3, 4]
    assert dict(book.indexes)["Serials"] == ((TITLE, (1, 2, 3, 4)),)
    assert dict(dict(book.indexes)["Titles"])["Tidewrack in Storm"] == (4,)
    strips = {entry.title: [(strip.size, strip.spans) for strip in entry.strips] for entry in entries}
    # 1 to 12, the inserted 12½, 13 to 60; two annuals on a line of their own.
    assert strips["Tidewrack in Storm"] == [(61, ((9, 11), (13, 15))), (2, ((0, 0),))]
    assert strips["Tidewrack Gathered, vol. 2"] == [(61, ((12, 12), (21, 40)))]
    assert NO_SERIAL not in dict(book.groups)


@pytest.mark.parametrize("order", CatalogueOrder)
def test_the_same_copies_stand_in_it_however_it_is_grouped(household: Library, order: CatalogueOrder) -> None:
    book = gathered(household, order)
    assert len({entry.copy for _, entries in book.groups for entry in entries}) == 4


def test_its_pages_tell_why_a_copy_is_kept_and_no_value(household: Library, tmp_path: Path) -> None:
    with household.reading() as reader:
        values = ["why=Read aloud on the crossing", "signed=J. Ostervane"]
        plan = plan_copy_edit(reader, "T3", values=values, station="test")
        not_kept = plan_copy_edit(reader, "T3", values=[*values, "kept=no"], station="test")
    assert (len(plan.remarks), len(not_kept.remarks)) == (0, 1), "T3 is marked as kept, so its note needs no more"
    apply_correction(household, plan)
    path = tmp_path / "book.pdf"
    save(render(household, registry.COLLECTION, PaperOptions(), PaperFormat.PDF, on=TODAY), path)
    with pypdfium2.PdfDocument(path) as document:
        text = " ".join(page.get_textpage().get_text_range() for page in document)
    assert "Why it is kept: Read aloud on the crossing" in text
    assert "Collects 1-20 of Tidewrack Quarterly" in text
    assert "Signed, numbered" in text
    assert "signed: J. Ostervane" in text
    assert "EUR" not in text
    with household.reading() as reader:
        source = PaperSource(household, reader, TODAY, PaperFormat.PDF)
        with_notes = gather_collection(source, PaperOptions())
        without = gather_collection(source, PaperOptions(no_why=True))
    pages, told = collection_site(with_notes)
    assert PRIVATE in told
    assert not any(PRIVATE.encode() in page for page in pages.values()), "it is said to who makes the book alone"
    assert PRIVATE not in collection_site(without)[1]
    assert NO_WHY in without.left_out
    assert not any(entry.why for _, entries in without.groups for entry in entries)


def test_volumes_stand_in_the_order_of_their_numbers(tmp_path: Path) -> None:
    volumes = ["10", "2", "IX", "V", "1"]
    with open_library(tmp_path / "library", create=True) as library:
        rows = "".join(f"V{nth},Moths,Moths,{volume}\n" for nth, volume in enumerate(volumes))
        import_text(library, tmp_path, ListKind.EDITIONS, f"key,title,set,volume\n{rows}")
        import_text(library, tmp_path, ListKind.COPIES, "key\n" + "".join(f"V{nth}\n" for nth in range(len(volumes))))
        book = gathered(library, CatalogueOrder.ROOM)
    titles = [entry.title for _, entries in book.groups for entry in entries]
    assert titles == [f"Moths, vol. {volume}" for volume in ("1", "2", "V", "IX", "10")]
    index = [title for title, _ in dict(book.indexes)["Titles"]]
    assert index.index("Moths, vol. 2") < index.index("Moths, vol. 10")


def test_figures_behind_a_name_from_right_to_left_stay_with_what_they_count(household: Library) -> None:
    """What is in one run of ICU's bidirectional algorithm (UAX 9) stands together, and runs are told from the left."""
    with household.reading() as reader:
        values = ["title=ציפורי החוף", "contributors=תמרה אבן־סוף", "pages=240", "height_mm=281", "width_mm=215"]
        apply_correction(household, plan_edition_edit(reader, "T3", values=values, station="test"))
    book = gathered(household, CatalogueOrder.SERIAL)
    (entry,) = [entry for _, entries in book.groups for entry in entries if entry.title == "ציפורי החוף"]
    runs = [words.strip("\u200e ") for words, backwards in fonts.directions(entry.description) if not backwards]
    assert runs == ["240 pages. 281\u00a0×\u00a0215\u00a0mm"]
    pages = catalogues.lay_out(book, measure=fonts.measure)
    (heading,) = [
        mark.text
        for page in pages
        for mark in page.marks
        if isinstance(mark, Text) and mark.bold and mark.text.endswith(entry.title)
    ]
    first, *_ = fonts.directions(heading)
    assert first == (f"\u200e{entry.number}. ", False), "its number stands at the left, as those of the others"


def test_its_web_pages_need_nothing_but_their_folder_and_every_link_leads_somewhere(
    household: Library, tmp_path: Path
) -> None:
    folder = tmp_path / "new" / "book"
    options = PaperOptions(catalogue_order=CatalogueOrder.SERIAL, owner="The Ferrow household", show_values=True)
    print_paper(household, registry.COLLECTION, options, folder, on=TODAY, station="test")
    pages = {path.name: html.parse(path).getroot() for path in folder.glob("*.html")}
    assert len([anchor for page in pages.values() for anchor in page.xpath("//article/@id")]) == 4
    links = [link for page in pages.values() for link in page.xpath("//@href | //@src")]
    assert len(links) > 10
    for link in links:
        name, _, anchor = link.partition("#")
        assert (folder / name).is_file()
        assert not anchor or pages[name].get_element_by_id(anchor) is not None
    assert "The Ferrow household" in pages["index.html"].text_content()
    with pytest.raises(FileError):
        print_paper(household, registry.COLLECTION, options, folder, on=TODAY, station="test")


def test_the_same_book_is_the_same_archive(household: Library, tmp_path: Path) -> None:
    one, other = tmp_path / "one.zip", tmp_path / "other.zip"
    for path in (one, other):
        print_paper(household, registry.COLLECTION, PaperOptions(), path, on=TODAY, station="test")
    with zipfile.ZipFile(one) as archive:
        assert archive.testzip() is None
        assert "index.html" in archive.namelist()
    assert one.read_bytes() == other.read_bytes()
