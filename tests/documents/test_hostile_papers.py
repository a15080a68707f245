"""Papers of a hostile library: no two texts overlap, nothing leaves the page, no word is lost, no page is empty.

The words are those that PDFium finds in the file. A word that no column is wide enough for is broken between its
letters, and PDFium may find the lines of the next column between its pieces.

    pytest tests/documents/test_hostile_papers.py -m "slow or not slow"     # 2,000 records
"""

import re
import shutil
import subprocess
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from itertools import pairwise

import pypdfium2
import pytest

from intake.documents import customs_list, inventories, lists, move_inventory, moving, packing_plans, schedules
from intake.edges import fonts, pdf
from intake.model.currencies import amount_text
from intake.model.goods import CustomsLine, CustomsList
from intake.model.moving_papers import DiscrepancyLine, LimitsPaper, NoticePaper, PlannedBox, PlannedCopy, PlanPaper
from intake.model.pages import Align, Page, Text
from intake.model.papers import (
    A4_MM,
    LETTER_MM,
    Inventory,
    InventoryLine,
    MasterList,
    Package,
    PackedLine,
    PackingList,
)
from intake.model.schedules import MovedBox, MovedLine, MoveInventory, Schedule, ScheduleGroup, ScheduleLine
from intake.model.valuations import Basis
from intake.units.convert import pt_to_mm
from tests.documents.hostile_records import HostileLibrary, HostileRecord

ON = date(2026, 5, 4)
Records = Sequence[HostileRecord]
Size = tuple[float, float]
Laid = tuple[list[Page], list[str]]
"""The pages, and the texts that have to be on them."""


def _packing_list(records: Records, size: Size) -> Laid:
    package = Package(number="B1-56", contents="books", quantity=len(records), room=records[0].place)
    lines = tuple(
        PackedLine(number=one.number, title=one.title, contributors="; ".join(one.authors), edition=one.edition,
                   mass_g=one.mass_g)
        for one in records
    )  # fmt: skip
    packed = PackingList(package=package, lines=lines, consignee=records[0].title, note=records[0].note)
    said = [text for one in records for text in (one.number, one.title, one.edition)]
    pages = lists.lay_out_packing_list(packed, measure=fonts.measure, paper_mm=size)
    return pages, [*said, *authors(records), records[0].place, records[0].note]


def _master_list(records: Records, size: Size) -> Laid:
    packages = tuple(
        Package(number=one.number, contents=one.condition, quantity=9, marks=one.place, gross_g=one.mass_g)
        for one in records
    )
    master = MasterList(reference=records[0].title, packages=packages, consignor=records[0].place, totals=("9 boxes",))
    said = [text for one in records for text in (one.number, one.condition, one.place)]
    return lists.lay_out_master_list(master, measure=fonts.measure, paper_mm=size), [*said, records[0].title]


def _inventory(records: Records, size: Size) -> Laid:
    lines = tuple(
        InventoryLine(number=one.number, title=one.title, contributors="; ".join(one.authors), edition=one.edition,
                      condition=one.condition, where=one.place, amount=one.amount, currency=one.currency,
                      basis=Basis.MARKET, source="a letter", valued_on=ON, note=one.note)
        for one in records
    )  # fmt: skip
    inventory = Inventory(purpose="valued inventory", on=ON, lines=lines, owner=records[0].place)
    pages = inventories.lay_out(inventory, measure=fonts.measure, paper_mm=size)
    said = [text for one in records for text in (one.number, one.title, one.condition, one.place, money(one), one.note)]
    return pages, [*said, *authors(records)]


def _schedule(records: Records, size: Size) -> Laid:
    lines = tuple(
        ScheduleLine(number=one.number, title=one.title, more="; ".join((*one.authors, one.edition)),
                     condition=one.condition, where=one.place, amount=one.amount, currency=one.currency,
                     basis=Basis.MARKET, recorded="as stated", note=one.note)
        for one in records
    )  # fmt: skip
    half = len(lines) // 2
    groups = (ScheduleGroup(name="Study", lines=lines[:half]), ScheduleGroup(name=records[0].place, lines=lines[half:]))
    schedule = Schedule(title="Insurance schedule", on=ON, currency="EUR", groups=groups, owner=records[-1].place)
    pages = schedules.lay_out(schedule, measure=fonts.measure, paper_mm=size)
    fields = ((one.number, one.title, one.edition, one.condition, one.place, money(one), one.note) for one in records)
    return pages, [text for part in fields for text in part]


def _customs(records: Records, size: Size) -> Laid:
    lines = tuple(
        CustomsLine(box="B1-56", copy=one.number, title=one.title, goods="printed books", heading="4901.99",
                    isbn=one.isbn, more=one.edition, questions=(one.note,), country=one.place[:20],
                    state=one.condition, value=money(one), net_g=one.mass_g)
        for one in records
    )  # fmt: skip
    customs = CustomsList(reference="R-1", on=ON, facts=(("Consignor", records[0].note),), lines=lines)
    pages = customs_list.lay_out(customs, measure=fonts.measure, paper_mm=size)
    fields = ((one.number, one.title, one.isbn, one.edition, one.note, one.condition, money(one)) for one in records)
    return pages, [text for part in fields for text in part]


def _move(records: Records, size: Size) -> Laid:
    lines = tuple(
        MovedLine(
            number=one.number, title=one.title, at_origin=one.condition, at_destination=one.note, value=money(one)
        )
        for one in records
    )
    boxes = (MovedBox(number="B1-56", facts=(("Room", records[0].place),), lines=lines),
             MovedBox(number="B2-47", facts=(("Room", records[0].title),), lines=()))  # fmt: skip
    move = MoveInventory(reference="R-1", on=ON, facts=(), boxes=boxes, totals=(records[0].note,))
    pages = move_inventory.lay_out(move, measure=fonts.measure, paper_mm=size)
    fields = ((one.number, one.title, one.condition, one.note, money(one)) for one in records)
    return pages, [text for part in fields for text in part]


def _notice(records: Records, size: Size) -> Laid:
    lines = tuple(
        DiscrepancyLine(number=one.number, title=one.title, box="B1-56", what="damaged", reason=one.note,
                        amount=one.amount, currency=one.currency)
        for one in records
    )  # fmt: skip
    notice = NoticePaper(reference="R-1", on=ON, sender=records[0].place, carrier=records[0].condition,
                         delivered="2026-05-01", faults=(), lines=lines, totals=("Damaged: all",))  # fmt: skip
    pages = moving.lay_out_notice(notice, measure=fonts.measure, paper_mm=size)
    fields = ((one.number, one.title, one.note, money(one)) for one in records)
    return pages, [*(text for part in fields for text in part), records[0].condition]


def _plan(records: Records, size: Size) -> Laid:
    copies = tuple(
        PlannedCopy(number=one.number, title=one.title, pile=1, layer=n, mass_g=one.mass_g)
        for n, one in enumerate(records)
    )
    box = PlannedBox(name="Box 1", kind="carton", room=records[0].place, mass_g=9000.0, copies=copies)
    left = tuple((one.number, one.title, one.note) for one in records[:3])
    paper = PlanPaper(on=ON, remarks=(records[0].note,), boxes=(box,), left=left)
    said = [text for one in records for text in (one.number, one.title)]
    return packing_plans.lay_out(paper, measure=fonts.measure, paper_mm=size), said


def _periods(records: Records, size: Size) -> Laid:
    first = records[0]
    limits = LimitsPaper(
        reference="R-1", on=ON, carrier=first.condition, regime=first.place,
        facts=tuple((one.condition, money(one)) for one in records), deliveries=(first.place,),
        periods=tuple((one.condition, "2026-05-09: over", one.place, one.edition, one.number) for one in records),
        losses=tuple(("missing", "market", one.title, money(one), money(one)) for one in records),
        limits=tuple((one.number, one.place, money(one)) for one in records),
        notes=(("What was left out", tuple(one.note for one in records if one.note)),),
    )  # fmt: skip
    fields = ((one.number, one.title, one.condition, one.place, one.edition, one.note, money(one)) for one in records)
    pages = moving.lay_out_periods(limits, measure=fonts.measure, paper_mm=size)
    return pages, [text for part in fields for text in part]


PAPERS = (_packing_list, _master_list, _inventory, _schedule, _customs, _move, _notice, _periods, _plan)


def authors(records: Records) -> Iterator[str]:
    """Yield the authors that stand in a narrow column: all, or the first of many."""
    yield from (author for one in records for author in one.authors[:3])


def money(one: HostileRecord) -> str:
    return amount_text(one.amount, one.currency)


def box_of(mark: Text) -> tuple[float, float, float, float]:
    """Return left, top, right and foot of a line of text: from its capitals to its descenders."""
    width, em = fonts.measure(mark.text, mark.size_pt, mark.bold), pt_to_mm(mark.size_pt)
    left = mark.x_mm - width * {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}[mark.align]
    return left, mark.y_mm - 0.9 * em, left + width, mark.y_mm + 0.25 * em


def assert_no_overlap(page: Page) -> None:
    marks = [mark for mark in page.marks if isinstance(mark, Text) and mark.text.strip()]
    boxes = sorted(((box_of(mark), mark.text) for mark in marks), key=lambda one: one[0][1])
    for n, (box, text) in enumerate(boxes):
        assert box[0] >= 4
        assert box[2] <= page.width_mm - 4
        assert box[1] >= 4
        assert box[3] <= page.height_mm - 4
        for other, more in boxes[n + 1 :]:
            if other[1] >= box[3] - 0.05:
                break
            assert other[0] >= box[2] - 0.05 or box[0] >= other[2] - 0.05, (text, more)


def letters(text: str) -> str:
    """Return the letters of a text without spaces, marks of direction and sizes of presentation."""
    found = unicodedata.normalize("NFC", text)
    return "".join(letter for letter in found if not letter.isspace() and unicodedata.category(letter) != "Cf")


def extracted(data: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(data)
    texts = [str(document[n].get_textpage().get_text_range()) for n in range(len(document))]
    document.close()
    return texts


def read_by_poppler(data: bytes) -> str:
    """Return the text as pdftotext finds it; empty where that is not installed.

    PDFium takes a row for one line, and turns the number at its begin round where its title is read from right to left.
    """
    if shutil.which("pdftotext") is None:
        return ""
    return subprocess.run(["pdftotext", "-", "-"], input=data, capture_output=True, check=True).stdout.decode()


def lost_words(said: Iterable[str], found: Iterable[str]) -> list[str]:
    """Return the words that are nowhere, neither whole nor in the pieces in which they stand on several lines."""
    whole = letters("".join(found))
    backwards = re.compile("[\u0590-\u08ff]")
    words = sorted({letters(word) for text in said for word in text.split()})
    missing = [word for word in words if word not in whole and not _in_pieces(word, whole)]
    # What is read from right to left is turned round line by line.
    return [word for word in missing if not backwards.search(word) or not Counter(word) <= Counter(whole)]


def _in_pieces(word: str, whole: str) -> bool:
    """Return whether a word can be put together of pieces of a text, but for the last of two letters at least."""
    while word:
        length = next((n for n in range(len(word), 0, -1) if word[:n] in whole), 0)
        # An ideograph may stand alone on a line.
        if length < min(2, len(word)) and not (length and ord(word[0]) >= 0x2E80):
            return False
        word = word[length:]
    return True


def check(lay_out: Callable[[Records, Size], Laid], records: Records, size: Size) -> None:
    pages, said = lay_out(records, size)
    for page in pages:
        assert_no_overlap(page)
    data = pdf.draw(pages, title="hostile")[0]
    found = extracted(data)
    assert lost_words(said, [*found, read_by_poppler(data)]) == []
    assert lost_words(said, (mark.text for page in pages for mark in page.marks if isinstance(mark, Text))) == []
    amounts = [text for text in said if re.fullmatch(r"[A-Z]{3} [\d,.]+", text)]
    lines = {mark.text.replace("\u00a0", " ") for page in pages for mark in page.marks if isinstance(mark, Text)}
    assert [amount for amount in amounts if not any(amount in line for line in lines)] == []
    heads = [{mark.text for mark in page.marks if isinstance(mark, Text)} for page in pages]
    assert all(f"page {number} of {len(found)}" in head for number, head in enumerate(heads, start=1))
    for before, after in pairwise(heads):
        assert after - before, "each page has something of its own"
    assert all(len(head) > 8 for head in heads[1:-1])


@pytest.mark.parametrize("lay_out", PAPERS)
@pytest.mark.parametrize("size", [A4_MM, LETTER_MM])
def test_a_few_hostile_records(lay_out: Callable[[Records, Size], Laid], size: Size) -> None:
    check(lay_out, HostileLibrary(len(lay_out.__name__)).records(12), size)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 200))
def test_two_thousand_hostile_records(seed: int) -> None:
    records = HostileLibrary(seed).records(20)
    for nth, lay_out in enumerate(PAPERS):
        check(lay_out, records, (A4_MM, LETTER_MM)[(seed + nth) % 2])
