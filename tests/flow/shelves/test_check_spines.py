"""Unlabelled spines held against the record: by lines as a reader gives them, and through the reader where it is there.

The spines are drawn with a font and text of our own, so that the truth is known; they are no photographs.
"""

from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image, ImageDraw, ImageFont

from intake.edges import ocr
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import shelves_in_order
from intake.errors import RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.shelves.check_spines import SpineQuestion, check_spines
from intake.flow.shelves.shelve_copy import shelve
from intake.model.readings import TextLine
from tests.flow.conftest import NOW, import_text
from tests.made_library import new_library

TITLES = ["Auks of the Outer Rocks", "Barnacle Keys", "Cranes at Dusk", "Dykes and Ditches", "Estuary Birds",
          "Ferns on Old Walls", "Gulls and Terns", "Herons of the Marsh"]  # fmt: skip
FONT = "source-sans/ttf/SourceSans3-Semibold.ttf"
EDITIONS = "key,title,contributors\n" + "".join(f"K{n},{title},Ada Thorn\n" for n, title in enumerate(TITLES))
SHELVES = "room,bookcase,shelf,width_mm\nStudy,A,1,800\nStudy,A,2,800\n"


@pytest.fixture
def stood(tmp_path: Path) -> Iterator[tuple[Library, list[str], str]]:
    """Eight copies on one shelf by title; the copies' numbers, and the shelf's."""
    library = new_library(tmp_path / "library")
    import_text(library, tmp_path, ListKind.EDITIONS, EDITIONS)
    import_text(library, tmp_path, ListKind.PLACES, SHELVES)
    import_text(library, tmp_path, ListKind.COPIES, "key\n" + "".join(f"K{n}\n" for n in range(len(TITLES))))
    with library.reading() as records:
        shelf = shelves_in_order(records)[0].number
        copies = [copy.accession for copy, _ in sorted(all_copies(records), key=lambda pair: pair[1].id)]
    for copy in copies:
        shelve(library, copy, shelf, station="test", now=NOW)
    yield library, copies, shelf
    library.close()


def lines(*texts: str) -> list[TextLine]:
    return [TextLine(text, (60.0 * n, 0, 60.0 * n + 30, 300), 0.9) for n, text in enumerate(texts)]


def test_lines_become_a_diagnosis(stood: tuple[Library, list[str], str]) -> None:
    library, copies, shelf = stood
    texts = [title.upper() for title in TITLES]
    texts[2], texts[3] = texts[3], texts[2]
    del texts[6]
    with library.reading() as records:
        report = check_spines(records, lines(*texts), shelf_text=shelf)
    assert all(spine.sure for spine in report.spines)
    assert report.shelf.diagnosis.missing == (copies[6],)
    assert [one.copy for one in report.shelf.diagnosis.misplaced] == [copies[3]]


def test_the_doubtful_are_asked_about(stood: tuple[Library, list[str], str]) -> None:
    library, copies, shelf = stood
    asked: list[SpineQuestion] = []

    def ask(question: SpineQuestion) -> str | None:
        asked.append(question)
        return question.candidates[0] if question.candidates else None

    with library.reading() as records:
        report = check_spines(records, lines("AUKS OF THE", "QQQQ", "BARNACLE KEYS"), shelf_text=shelf, ask=ask)
    assert [question.text for question in asked] == ["AUKS OF THE", "QQQQ"]
    assert report.shelf.diagnosis.in_place == (copies[0], copies[1])
    with library.reading() as records:
        alone = check_spines(records, lines("AUKS OF THE"), shelf_text=shelf)
    assert alone.shelf.diagnosis.in_place == ()


def test_without_the_part_the_sentence_says_how_to_get_it() -> None:
    if ocr.is_installed():
        pytest.skip("the part that reads text is installed")
    with pytest.raises(RefusedError, match=r"pip install 'book-intake\[ocr\]'"):
        ocr.read_lines(np.full((50, 50), 255, np.uint8))


def picture(titles: list[str], angles: list[int]) -> npt.NDArray[np.uint8]:
    """Draw spines side by side, the text running down (270) or up (90)."""
    font_file = resources.files("weblate_fonts").joinpath("static", "weblate_fonts", *FONT.split("/"))
    with resources.as_file(font_file) as path:
        font = ImageFont.truetype(str(path), 44)
    row = Image.new("L", (110 * len(titles), 820), 70)
    for nth, (title, angle) in enumerate(zip(titles, angles, strict=True)):
        spine = Image.new("L", (800, 100), 235 if nth % 2 else 40)
        ink = 20 if nth % 2 else 240
        ImageDraw.Draw(spine).text((40, 22), f"{title}     Ada Thorn", font=font, fill=ink)
        row.paste(spine.rotate(angle, expand=True), (110 * nth + 5, 10))
    return np.asarray(row)


@pytest.mark.slow
def test_spines_through_the_reader(stood: tuple[Library, list[str], str]) -> None:
    if not ocr.is_installed():
        pytest.skip("the part that reads text is not installed")
    library, copies, shelf = stood
    order = [0, 1, 3, 2, 4, 5, 7]
    found = ocr.read_lines(picture([TITLES[n] for n in order], [270, 270, 90, 270, 90, 90, 270]))
    with library.reading() as records:
        report = check_spines(records, found, shelf_text=shelf)
    assert [spine.copy for spine in report.spines] == [copies[n] for n in order]
    assert report.shelf.diagnosis.missing == (copies[6],)
    assert [one.copy for one in report.shelf.diagnosis.misplaced] == [copies[3]]
