"""What labels say, and which of them are printed again. The books are invented."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import printed_labels, shelves_in_order
from intake.errors import UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.papers import label_registry
from intake.flow.papers.label_papers import LabelRun, labels_to_record, lay_out_labels, range_words
from intake.flow.papers.options import PaperOptions, SpineText
from intake.flow.papers.paper import Paper, PaperFormat, PaperSource
from intake.flow.papers.render import print_paper
from intake.flow.shelves.make_places import set_order
from intake.flow.shelves.shelf_state import Filing, read_shelves
from intake.flow.shelves.shelve_copy import shelve
from intake.model.changes import ActionKind
from intake.model.pages import Text
from intake.model.papers import LabelUse
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library, new_library

EDITIONS = """key,title,contributors,language,subject,thickness_mm,height_mm,set,volume,call_number,isbn
A,The Auks: a monograph,"Thorn, Ada",eng,Birds,10,240,,,598.3,9780306406157
B,Buntings (revised),Bo Lind,eng,Birds,10,240,,,,
C,Cranes,,eng,Birds,10,240,,,,
F,Finches of the Coast,Cy Marrow,eng,Birds,10,240,Small Birds,2,598.8,
"""
SHELVES = "room,bookcase,shelf,width_mm,subject\nStudy,A,1,300,Birds\nStudy,A,2,300,\nStudy,A,3,300,Plants\n"
FLAGS, SHELF = label_registry.COPY_FLAGS, label_registry.SHELF_LABELS


@pytest.fixture(scope="module")
def birds_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("birds")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, EDITIONS)
        import_text(library, folder, ListKind.PLACES, SHELVES)
        import_text(library, folder, ListKind.COPIES, "key\nA\nB\nC\nF\n")
        for copy in ("1", "2", "3", "4"):
            shelve(library, copy, numbers(library)[0], station="test", now=NOW)
    return folder / "library"


@pytest.fixture
def birds(birds_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Four copies on the first shelf, A B C F from the left; two empty shelves, one of no subject."""
    with copy_library(birds_made, tmp_path / "library") as opened:
        yield opened


def numbers(library: Library) -> list[str]:
    with library.reading() as records:
        return [shelf.number for shelf in shelves_in_order(records)]


def run(library: Library, paper: Paper[LabelRun], **chosen: object) -> LabelRun:
    with library.reading() as records:
        source = PaperSource(library, records, NOW.date(), PaperFormat.PDF)
        options = replace(paper.defaults, **chosen)  # type: ignore[arg-type] # fields by name
        return paper.gather(source, options)


def take(library: Library, *order: int) -> None:
    """Stand copies from the left in another order, by number."""
    shelf = numbers(library)[0]
    for nth, copy in enumerate(order):
        shelve(library, str(copy), shelf, behind=str(order[nth - 1]) if nth else "", station="test", now=NOW)


def ends(library: Library) -> str:
    with library.reading() as records:
        return range_words(read_shelves(records)[0], Filing(records))


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        # An article and a subtitle file nowhere; a volume of a set files under the set.
        ("title", "Birds: Auks – Small Birds 2"),
        # The family name, however the name is written; who has no author files under the title.
        ("author title", "Birds: Thorn – Marrow"),
        # By its call number, where it has one.
        ("dewey title", "Birds: 598.3 – 598.8"),
        # The subject and the size are not what a label names.
        ("subject size title", "Birds: Auks – Small Birds 2"),
    ],
)
def test_the_range_of_a_shelf_names_its_first_and_its_last_book_by_the_rule(
    birds: Library, rule: str, words: str
) -> None:
    set_order(birds, rule, station="test")
    assert ends(birds) == words


@pytest.mark.parametrize(
    ("rule", "words"), [("author title", "Birds: Lind – Cranes"), ("dewey title", "Birds: Buntings – Cranes")]
)
def test_a_book_without_what_the_rule_asks_for_is_named_by_its_title(birds: Library, rule: str, words: str) -> None:
    set_order(birds, rule, station="test")
    take(birds, 2, 1, 4, 3)
    assert ends(birds) == words


def test_one_book_is_named_once_and_an_empty_shelf_by_its_subject_alone(birds: Library) -> None:
    first, second, third = numbers(birds)
    for copy in ("2", "3", "4"):
        shelve(birds, copy, second, station="test", now=NOW)
    assert [content["range"] for content in run(birds, SHELF).contents] == [
        "Birds: Auks",
        "Buntings – Small Birds 2",
        "Plants",
    ]
    assert [content["number"] for content in run(birds, SHELF, shelves=(third, first)).contents] == [first, third]


def test_shelf_labels_name_the_place(birds: Library) -> None:
    content = run(birds, SHELF).contents[1]
    assert (content["number"], content["shelfmark"], content["room"], content["place"]) == (
        numbers(birds)[1], "A 2", "Study", "A · 2",
    )  # fmt: skip


def test_flags_are_of_the_copies_named_in_their_order_or_of_all_on_shelves(birds: Library, tmp_path: Path) -> None:
    import_text(birds, tmp_path, ListKind.COPIES, "box,key\n3,F\n")
    assert [content["number"].split("-")[0] for content in run(birds, FLAGS).contents] == ["A1", "A2", "A3", "A4"]
    named = run(birds, FLAGS, copies=("5", "2")).contents
    assert [content["number"].split("-")[0] for content in named] == ["A5", "A2"]
    packed, standing = named
    assert (packed["set"], packed["volume"], packed["box"]) == ("Small Birds", "Volume 2", "B3-38")
    assert (standing["set"], standing["volume"], standing["box"], standing["shelfmark"]) == ("", "", "", "A 1")
    assert run(birds, FLAGS, copies=("1",)).contents[0]["isbn"] == "978-0-306-40615-7"


def test_a_spine_label_has_the_call_number_only_under_a_rule_of_call_numbers(birds: Library) -> None:
    chosen = {"copies": ("1", "2", "4")}
    assert [one["shelfmark"] for one in run(birds, label_registry.SPINE_LABELS, **chosen).contents] == ["A 1"] * 3
    set_order(birds, "congress title", station="test")
    labels = run(birds, label_registry.SPINE_LABELS, **chosen).contents
    assert [one["shelfmark"] for one in labels] == ["598.3", "A 1", "598.8"]
    assert [one["volume"] for one in labels] == ["", "", "Volume 2"]


def test_a_spine_label_shows_the_title_where_that_is_chosen(birds: Library, tmp_path: Path) -> None:
    options = {"copies": ("1", "4"), "spine_text": SpineText.TITLE}
    chosen = run(birds, label_registry.SPINE_LABELS, **options)
    assert [one.get("shelfmark") for one in chosen.contents] == [None, None]
    assert [one["title"] for one in chosen.contents] == ["The Auks", "Finches of the Coast"]
    pages = lay_out_labels(chosen, replace(label_registry.SPINE_LABELS.defaults, spine_text=SpineText.TITLE)).pages
    words = " ".join(mark.text for mark in pages[0].marks if isinstance(mark, Text))
    assert "The Auks" in words
    assert "A 1" not in words
    mine = tmp_path / "mine.toml"
    field = '{ text = "{number}", x_mm = 1, y_mm = 1, width_mm = 20, height_mm = 8 }'
    mine.write_text(f"[roll]\nwidth_mm = 24\nlength_mm = 30\n[spine]\nfield = [{field}]\n")
    with pytest.raises(UsageError):
        lay_out_labels(chosen, PaperOptions(template=str(mine), spine_text=SpineText.TITLE))


def test_what_was_printed_is_remembered_and_replaced_when_it_changes(birds: Library, tmp_path: Path) -> None:
    def print_all() -> None:
        print_paper(birds, SHELF, SHELF.defaults, tmp_path / "x.pdf", on=NOW.date(), station="test")

    def remembered() -> list[str]:
        with birds.reading() as records:
            return [
                found.words for found in printed_labels(records, [f"shelf {one}" for one in numbers(birds)]).values()
            ]

    first = run(birds, SHELF)
    assert (len(first.contents), len(first.printed)) == (3, 3)
    assert [change.before for change in first.printed] == [None] * 3
    print_all()
    assert len(remembered()) == 3
    assert run(birds, SHELF).printed == ()
    shelve(birds, "4", numbers(birds)[1], station="test", now=NOW)
    again = run(birds, SHELF, only_changed=True)
    assert [content["number"] for content in again.contents] == numbers(birds)[:2]
    assert all(change.before is not None for change in again.printed)
    # All are printed where all were asked for, and only what changed is remembered anew.
    assert (len(run(birds, SHELF).contents), len(run(birds, SHELF).printed)) == (3, 2)
    print_all()
    assert run(birds, SHELF).printed == ()
    assert sum("Small Birds" in words for words in remembered()) == 1


def test_the_ledger_calls_each_printing_by_its_use(birds: Library) -> None:
    for paper, use, kind in (
        (SHELF, LabelUse.SHELF, ActionKind.PRINT_SHELF_LABELS),
        (FLAGS, LabelUse.FLAG, ActionKind.PRINT_FLAG_LABELS),
        (label_registry.SPINE_LABELS, LabelUse.SPINE, ActionKind.PRINT_SPINE_LABELS),
    ):
        gathered = run(birds, paper)
        record = labels_to_record(gathered)
        assert gathered.use is use
        assert record is not None
        assert (record.action, record.changes) == (kind, gathered.printed)
        assert labels_to_record(replace(gathered, printed=())) is None


def test_pages_of_labels_know_how_many_there_are(birds: Library) -> None:
    gathered = run(birds, FLAGS)
    pages = lay_out_labels(gathered, FLAGS.defaults)
    assert (pages.labels, len(pages.pages)) == (4, 1)
    # Begun at the last label of the first sheet, the others come on a second one.
    assert len(lay_out_labels(gathered, replace(PaperOptions(template="a4-4x2"), start=8)).pages) == 2
