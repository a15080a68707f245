"""The demonstration on a few lists of its own: every step is told, and what is told is what the library then holds.

No picture is read, neither its bars nor its print. The books, persons and carriers are invented.
"""

from dataclasses import dataclass, field
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from intake.edges import ocr
from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.edges.store.queries.sightings import count_waiting
from intake.errors import RefusedError
from intake.flow.demo.run_demo import LISTS, MARK, answer, run_demo
from intake.flow.moving.masses import of_collection
from intake.flow.unpacking.scan_results import Disposition, Option, Question, Scan
from intake.model.boxes import BoxState, CartonState, Discrepancy, DiscrepancyKind, SealState
from intake.model.editions import Copy, CopyState, Edition
from intake.weighing.guess_contents import WRAPPING_G
from tests.flow.conftest import CATALOG, SHELVES

LISTED = {
    "catalog.csv": CATALOG,
    "printings.csv": "key,printing\nF1,1\n",
    "shelves.csv": SHELVES,
    "copies.csv": "box,room,key,wrapped,value,currency\n1,Study,F1,,120,EUR\n1,Study,G1,,,\n1,Study,O1,,,\n"
    "2,Study,F2,yes,,\n",
    "boxes.csv": "box,gross_g\n1,9000\n2,\n",
    "consignment.csv": "reference,carrier,dispatched,boxes\nR 1/7,Nowhere Lines,2026-01-05,all\n",
    "arrivals.csv": "box,carton,seal,gross_g,note\n1,crushed,broken,8000,a corner is open\n2,sound,whole,,\n",
}
TYPED = "978-0-306-40615-7\n\nold charts\n978-0-306-40615-7\nB2-47\n"


@dataclass
class Ran:
    """What a run told, how far it had read of how many pictures, and its folder."""

    into: Path
    told: list[str] = field(default_factory=list)
    read: list[tuple[int, int]] = field(default_factory=list)

    def line(self, beginning: str) -> str:
        (found,) = [line for line in self.told if line.strip().startswith(beginning)]
        return found

    def after(self, heading: str) -> list[str]:
        """The lines below a heading, up to the next empty one."""
        rest = self.told[self.told.index(heading) + 1 :]
        return rest[: rest.index("")] if "" in rest else rest


@pytest.fixture
def scans(tmp_path: Path) -> Path:
    folder = tmp_path / "scans"
    box = folder / "photographs" / "box-1"
    box.mkdir(parents=True)
    for name, text in LISTED.items():
        (folder / name).write_text(text, encoding="utf-8")
    (box / "typed.txt").write_text(TYPED, encoding="utf-8")
    for nth in (1, 2):
        Image.new("L", (60, 40), 90 * nth).save(box / f"{nth}.png")
    return folder


@pytest.fixture
def ran(scans: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ran:
    monkeypatch.setattr(ocr, "is_installed", lambda: False)
    return run(scans, tmp_path / "demo")


def run(scans: Path, into: Path) -> Ran:
    result = Ran(into)
    run_demo(
        scans, into, decoders=(), workers=1, write_line=result.told.append,
        progress=lambda done, total: result.read.append((done, total)),
    )  # fmt: skip
    return result


def reopened(result: Ran) -> Library:
    return open_library(result.into / "library")


def test_the_whole_job_is_told_as_it_is_recorded(ran: Ran) -> None:
    with reopened(ran) as library, library.reading() as records:
        copies = {edition.key: copy for copy, edition in all_copies(records)}
        boxes = {box.number: box for box in list_boxes(records)}
        counts, head, waiting = count_records(records), ledger_head(records), count_waiting(records)
        assert verify_chain(records) is None
        damaged = [one for one in records.all(Discrepancy) if one.kind is not DiscrepancyKind.MISSING]
        parcel = of_collection(records).of(next(edition for _, edition in all_copies(records) if edition.key == "F2"))
    # Every list, none of its rows bad.
    lists = [line.split(None, 1) for line in ran.after("The lists that were made before the move")]
    assert [name for name, _ in lists] == [name for _, name in LISTS]
    told = dict(lists)
    assert told["catalog.csv"] == "made 1 set and 7 editions, altered nothing, 0 bad rows"
    assert told["boxes.csv"] == "made nothing, altered 1 box, 0 bad rows"
    assert told["consignment.csv"] == "made 1 consignment, altered 2 boxes, 0 bad rows"
    assert all(words.endswith(", 0 bad rows") for words in told.values())
    # The boxes as they looked when they came.
    assert "2 boxes" in ran.line("2 boxes closed")
    first, second = boxes["B1-56"], boxes["B2-47"]
    assert (first.state, first.carton, first.seal_state, first.arrived_g, first.note) == (
        BoxState.UNPACKED, CartonState.CRUSHED, SealState.BROKEN, 8000, "a corner is open",
    )  # fmt: skip
    assert (second.state, second.carton, second.arrived_g) == (BoxState.ARRIVED, CartonState.SOUND, None)
    assert ran.line("B1-56  carton").endswith(", a corner is open")
    assert ran.line("Lighter: 1000 g")
    # What came out of box 1, and what did not.
    assert {key: copy.state for key, copy in copies.items()} == {
        "F1": CopyState.SHELVED, "O1": CopyState.SHELVED, "G1": CopyState.MISSING, "F2": CopyState.PACKED,
    }  # fmt: skip
    opened = ran.after("Box B1-56, Study")
    assert [line.split()[0] for line in opened] == ["1.png", "2.png", "typed", "typed", "typed", "typed", "finished;"]
    assert copies["F1"].accession in opened[2]
    assert copies["O1"].accession in opened[3], "the person takes the copy that is listed in the box"
    assert opened[4].split()[1:3] == ["?", "query"]
    assert "B2-47: box B2-47" in opened[5]
    assert opened[-1].endswith(f"missing: {copies['G1'].accession}")
    assert ran.read == [(1, 2), (2, 2)]
    # A damaged copy of the crushed box; a parcel that weighs what its one copy and the wrapping do.
    assert [(one.copy, one.kind) for one in damaged] == [(copies["F1"].accession, DiscrepancyKind.DAMAGED)]
    mass = parcel.mass_g.mean + WRAPPING_G.mean
    assert f"box B2-47, {mass:.0f} g" in ran.line("A wrapped parcel")
    assert ran.line("Consignment R 1/7")
    assert ran.line("Shelved 2 of 2 copies; 0 times")
    assert ran.line(f"Ledger: {counts.entries} entries, whole, head {head[:16]}")
    assert ran.line(f"On the query pile: {waiting}.")
    assert waiting == 3


def test_every_paper_that_is_named_is_there(ran: Ran) -> None:
    papers = ran.into / "papers"
    named = {line.split(str(papers) + "/")[1].split("  ")[0] for line in ran.told if f"{papers}/" in line}
    there = {path.name for path in papers.iterdir()}
    assert named == there
    assert {"master-list-R-1-7.pdf", "discrepancies-R-1-7.pdf", "inventory.csv", "box-labels-four-faces.pdf"} <= there
    with pypdfium2.PdfDocument(papers / "discrepancies-R-1-7.pdf") as document:
        text = " ".join(page.get_textpage().get_text_range() for page in document)
    assert "R 1/7" in text
    assert (papers / "inventory.csv").read_text(encoding="utf-8").count("A") > 4


def test_an_earlier_demonstration_is_replaced_and_other_files_are_not(scans: Path, tmp_path: Path) -> None:
    into = tmp_path / "mine"
    into.mkdir()
    own = into / "letters.txt"
    own.write_text("keep", encoding="utf-8")
    with pytest.raises(RefusedError):
        run(scans, into)
    assert list(into.iterdir()) == [own]
    (into / MARK).write_text("", encoding="utf-8")
    (scans / "catalog.csv").write_text("key,title\n", encoding="utf-8")
    with pytest.raises(Exception):  # noqa: B017, PT011 - it ends where a box list names a book of no catalog
        run(scans, into)
    assert not own.exists()
    assert (into / MARK).read_text(encoding="utf-8")


def test_the_person_takes_the_copy_that_is_listed_in_the_open_box_and_leaves_the_rest() -> None:
    gulls = Edition(id=1, title="A Guide to Gulls")
    here = Copy(accession="A1-59", edition_id=1, state=CopyState.PACKED, box="B1-56")
    there = Copy(accession="A2-50", edition_id=1, state=CopyState.PACKED, box="B2-47")
    loose = Copy(accession="A3-41", edition_id=1, state=CopyState.AT_HAND)
    book = [Option(Disposition.BOOK, gulls, copy) for copy in (loose, there, here)]
    others = [Option(Disposition.AGAIN, gulls, here), Option(Disposition.NEW_COPY, gulls, None)]

    def asked(*options: Option) -> Option | None:
        return answer(Question(Scan("gulls", "r1"), "B1-56", (), options))

    assert asked(*others, *book) == book[2]
    assert asked(*others, *book[:2]) is None
    assert asked() is None
