"""The valued inventory: every copy with its condition, where it is, and its value as recorded."""

from intake.documents import inventories
from intake.edges import fonts
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.flow.lookup.wording import edition_words
from intake.flow.papers.copy_words import condition_words
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.flow.papers.valued_copies import ValuedCopy, proof_of, valued_copies
from intake.model.papers import Inventory, InventoryLine

PURPOSE = "Valued inventory"
HEADER = (
    "Copy",
    "Title",
    "Volume",
    "Contributors",
    "Edition",
    "Condition",
    "Where",
    "Amount",
    "Currency",
    "Basis",
    "Valued on",
    "Source",
)


def gather_inventory(source: PaperSource, options: PaperOptions) -> Inventory:
    """Gather every copy; each has its latest value, on any basis, in the currency in which it was recorded."""
    copies = valued_copies(source.reader)
    return Inventory(
        purpose=PURPOSE,
        on=source.on,
        lines=tuple(map(_line, copies)),
        owner=options.owner,
        ledger_seq=count_records(source.reader).entries,
        ledger_head=ledger_head(source.reader),
        proof=proof_of(source, PURPOSE, copies),
    )


def lay_out_inventory(inventory: Inventory, options: PaperOptions) -> PaperPages:
    """Set an inventory on pages."""
    pages = inventories.lay_out(inventory, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=PURPOSE, pages=pages, author=inventory.owner, proof=inventory.proof)


def tabulate_inventory(inventory: Inventory, _options: PaperOptions) -> PaperTable:
    """Set an inventory in a table; a copy without a value has an empty cell, never a zero."""
    rows = (
        (
            line.number,
            line.title,
            line.volume,
            line.contributors,
            line.edition,
            line.condition,
            line.where,
            line.amount,
            line.currency,
            line.basis.value if line.basis else "",
            line.valued_on,
            line.source,
        )
        for line in inventory.lines
    )
    return PaperTable(title="Inventory", header=HEADER, rows=rows, totals={"Amount": "Currency"}, proof=inventory.proof)


def _line(one: ValuedCopy) -> InventoryLine:
    value, edition = one.value, one.edition
    return InventoryLine(
        number=one.copy.accession,
        title=edition.title,
        contributors="; ".join(edition.contributors),
        volume=edition.volume,
        edition=edition_words(edition),
        condition=condition_words(one.copy),
        where=one.where,
        amount=value.amount if value else None,
        currency=value.currency if value else "",
        basis=value.basis if value else None,
        source=value.source if value else "",
        valued_on=value.on if value else None,
    )
