"""The valued inventory: every copy with its condition, where it is, and its value as recorded."""

from collections.abc import Iterator

from intake.documents import inventories
from intake.edges import fonts
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.flow.lookup.wording import edition_words, volume_words, written_number
from intake.flow.papers.copy_words import condition_words, legend_of, recorded_words
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.flow.papers.schedule_lines import part_words, set_number
from intake.flow.papers.valued_copies import ValuedCopy, proof_of, refuse_none, valued_copies
from intake.flow.values.value_sets import counted_sets
from intake.flow.values.value_words import singly_words
from intake.model.currencies import Money
from intake.model.papers import Inventory, InventoryLine
from intake.units.language import say, term
from intake.valuing.set_values import CountedSet, set_parts

PURPOSE = term("Valued inventory")
HEADER = (
    term("Copy"), term("Title"), term("Volume"), term("Contributors"), term("Edition"), term("ISBN"),
    term("Publisher"), term("Year"), term("Condition"), term("Where"), term("Amount"), term("Currency"), term("Basis"),
    term("Counts as"), term("Valued on"), term("Source"), term("Note"),
)  # fmt: skip


def gather_inventory(source: PaperSource, options: PaperOptions) -> Inventory:
    """Gather every copy; each has the value that counts (`intake.valuing.counting`), in its own currency.

    A set that counts as a whole has a line of its own, and the values of its volumes are in no total.
    """
    copies = valued_copies(source.reader)
    refuse_none(copies)
    sets = counted_sets(source.reader, [one.copy for one in copies])
    in_sets = {copy: counted.book_set.id for counted in sets for copy in (*counted.present, *counted.lost)}
    return Inventory(
        purpose=say(PURPOSE),
        on=source.on,
        lines=(
            *(_line(one, in_sets.get(one.copy.accession)) for one in copies),
            *(line for counted in sets for line in _set_lines(counted)),
        ),
        note=" ".join(map(singly_words, (counted for counted in sets if counted.value is None))),
        owner=options.owner,
        ledger_seq=count_records(source.reader).entries,
        ledger_head=ledger_head(source.reader),
        proof=proof_of(source, PURPOSE, copies),
        legend=legend_of(one.copy for one in copies),
    )


def lay_out_inventory(inventory: Inventory, options: PaperOptions) -> PaperPages:
    """Set an inventory on pages."""
    pages = inventories.lay_out(inventory, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=inventory.purpose, pages=pages, author=inventory.owner, proof=inventory.proof)


def copies_on_inventory(inventory: Inventory) -> Iterator[str]:
    """Return the own numbers of the copies listed."""
    return (line.number for line in inventory.lines if not line.is_set)


def tabulate_inventory(inventory: Inventory, _options: PaperOptions) -> PaperTable:
    """Set an inventory in a table; a copy without a value has an empty cell, never a zero."""
    rows = (
        (
            line.number,
            line.title,
            line.volume,
            line.contributors,
            line.edition,
            line.isbn,
            line.publisher,
            line.year,
            line.condition,
            line.where,
            Money(line.amount, line.currency) if line.amount is not None else None,
            line.currency if line.amount is not None else "",
            say(line.basis.value) if line.basis else "",
            say("lost") if line.lost else say("at risk"),
            line.valued_on,
            line.source,
            line.note,
        )
        for line in inventory.lines
    )
    totals = {"Amount": ("Currency", "Basis", "Counts as")}
    return PaperTable(title=say("Inventory"), header=HEADER, rows=rows, totals=totals, proof=inventory.proof)


def _line(one: ValuedCopy, in_set: int | None) -> InventoryLine:
    value, edition = one.value, one.edition
    counts = value if in_set is None else None
    in_words = "" if in_set is None else set_number(in_set)
    note = say("counted in {set}", set=in_words) if in_words else ""
    if in_words and value:
        note = say("counted in {set}; by itself {value}", set=in_words, value=recorded_words(value))
    return InventoryLine(
        number=one.copy.accession,
        title=edition.title,
        contributors="; ".join(edition.contributors),
        volume=edition.volume,
        in_words=volume_words(edition, "volume"),
        edition=edition_words(edition),
        isbn=written_number(edition),
        publisher=edition.publisher,
        year=edition.year,
        room=one.room.name,
        condition=condition_words(one.copy, one.damage),
        where=one.where,
        amount=counts.amount if counts else None,
        currency=counts.currency if counts else "",
        basis=counts.basis if counts else None,
        source=counts.source if counts else "",
        valued_on=counts.on if counts else None,
        lost=one.lost,
        in_set=in_words,
        note=note,
    )


def _set_lines(counted: CountedSet) -> Iterator[InventoryLine]:
    """Yield a line for a set that counts once, and one for what the loss of volumes took from its value."""
    for part in set_parts(counted):
        yield InventoryLine(
            number=set_number(counted.book_set.id),
            title=counted.book_set.title,
            amount=part.own,
            currency=part.value.currency,
            basis=part.value.basis,
            source=part.value.source,
            valued_on=part.value.on,
            lost=part.lost,
            copies=len(part.copies),
            is_set=True,
            note=part_words(part),
        )
