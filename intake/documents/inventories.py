"""The valued inventory: every copy with its value, and the basis, date and source of the value.

Amounts in different currencies, or on different bases, are never added together, nor what is lost with what is at risk;
a set that counts once stands in a line of its own. Copies without a value are counted and stated, never taken as zero.
The head of the ledger's hash chain is printed, so that the list can be checked against the ledger later. Values are
neither assessed nor converted.
"""

from collections.abc import Iterator, Sequence

from intake.documents import disclaimers
from intake.documents.grade_legend import set_legend
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.people import few_people, printed_words
from intake.documents.proof_block import set_proof
from intake.documents.schedules import NO_VALUE, basis_words, sets_words
from intake.documents.text_fit import Measure
from intake.model.currencies import amount_text
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM, Inventory, InventoryLine
from intake.model.valuations import add_up
from intake.units.counts import counted
from intake.units.language import say
from intake.units.local_forms import day_text, order_of

COLUMNS = (
    TableColumn("Copy", 1.6, bold=True),
    TableColumn("Title, contributors, edition", 5.6),
    TableColumn("Condition", 2.2),
    TableColumn("Where", 2.4),
    TableColumn("Value", 2.1, Align.RIGHT, bold=True),
    TableColumn("Basis, source, date", 2.7),
)
ROOM_COLUMNS = (
    TableColumn("Room or box", 5.0, bold=True),
    TableColumn("Basis", 2.4),
    TableColumn("Copies", 1.2, Align.RIGHT),
    TableColumn("Value", 3.0, Align.RIGHT, bold=True),
)


def lay_out(inventory: Inventory, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a valued inventory.

    Args:
        inventory: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (
        (say("Owner"), inventory.owner),
        (say("Kept at"), inventory.address),
        (say("Count"), _count_words(inventory.lines)),
        (say("Date"), day_text(inventory.on)),
    )
    title = inventory.purpose[:1].upper() + inventory.purpose[1:]
    sheet = Sheet(Head(title, day_text(inventory.on), facts), measure, paper_mm)
    sheet.paragraph(inventory.note)
    sheet.heading(say("Totals"))
    for line in totals(inventory.lines):
        sheet.paragraph(line, bold=True)
    sheet.paragraph(say(disclaimers.NO_ADVICE), size_pt=SMALL_PT)
    rooms = list(_room_rows(inventory.lines))
    if rooms:
        sheet.heading(say("By room, box and basis"))
        sheet.table(ROOM_COLUMNS, rooms)
    sheet.heading(say("Copies"))
    sheet.table(COLUMNS, map(_row, inventory.lines), lambda count: "; ".join(totals(inventory.lines[:count])))
    set_legend(sheet, inventory.legend)
    with sheet.closing():
        if inventory.ledger_head:
            set_proof(sheet, inventory.proof)
            entry = {"number": inventory.ledger_seq, "digest": inventory.ledger_head}
            sheet.paragraph(say("Ledger entry {number}, SHA-256 {digest}", **entry))
        sheet.signatures((say("Owner, place, date"), say("Witness, place, date")))
    return sheet.finish()


def totals(lines: tuple[InventoryLine, ...]) -> list[str]:
    """Return one total for each currency and basis, what is lost apart from the rest, and what has no value.

    >>> totals((InventoryLine(number="A1-00", title="Ur"),))
    ['1 copy without a value: in no total']
    """
    sentences = []
    for lost in (False, True):
        part = [line for line in lines if line.lost is lost]
        for one in add_up(amount for line in part if (amount := line.counted) is not None):
            words = ", ".join(
                (amount_text(one.amount, one.currency), basis_words(one.basis), counted(one.copies, "copy", "copies"))
            )
            words += sets_words(one, lost=lost)
            sentences.append(say("Lost, and in no total above: {amount}", amount=words) if lost else words)
        without = sum(line.amount is None and not line.in_set for line in part)
        if without:
            copies = counted(without, "lost copy", "lost copies") if lost else counted(without, "copy", "copies")
            sentences.append(say("{copies} without a value: in no total", copies=copies))
    return sentences


def _count_words(lines: Sequence[InventoryLine]) -> str:
    """Write how many copies are listed, and how many of them are lost and so in no total."""
    copies = [line for line in lines if not line.is_set]
    words, lost = counted(len(copies), "copy", "copies"), sum(line.lost for line in copies)
    return say("{copies}, {lost} of them lost", copies=words, lost=lost) if lost else words


def _room_rows(lines: Sequence[InventoryLine]) -> Iterator[tuple[str, ...]]:
    """Yield what the copies of each room or box are worth on each basis, and at the end of all; what is lost apart."""
    rooms = dict.fromkeys((line.room, line.lost) for line in lines if line.room or line.is_set)
    for room, lost in sorted(rooms, key=lambda one: (one[1], not one[0], order_of(one[0]))):
        of = [line for line in lines if (line.room, line.lost) == (room, lost)]
        yield from _basis_rows(room or (say("Lost of sets counted once") if lost else say("Sets counted once")), of)
    if len(rooms) > 1:
        yield from _basis_rows(say("Total, not lost"), [line for line in lines if not line.lost])


def _basis_rows(name: str, lines: Sequence[InventoryLine]) -> Iterator[tuple[str, ...]]:
    for one in add_up(amount for line in lines if (amount := line.counted) is not None):
        yield name, say(one.basis.value), str(one.copies), amount_text(one.amount, one.currency)
    without = sum(line.amount is None and not line.in_set for line in lines)
    if without:
        yield name, "", str(without), say(NO_VALUE)


def _row(line: InventoryLine) -> tuple[str, ...]:
    people = few_people(line.contributors)
    more = "; ".join(filter(None, (line.in_words or line.volume, people, line.edition)))
    what = "\n".join(filter(None, (line.title, more, printed_words(line.isbn, line.publisher, line.year, more))))
    if line.amount is None:
        value = say("in {set}", set=line.in_set) if line.in_set else say(NO_VALUE)
        return (line.number, what, line.condition, line.where, value, line.note)
    basis = say(line.basis.value) if line.basis else ""
    on = day_text(line.valued_on)
    source = "\n".join(filter(None, (", ".join(filter(None, (basis, line.source, on))), line.note)))
    return (line.number, what, line.condition, line.where, amount_text(line.amount, line.currency), source)
