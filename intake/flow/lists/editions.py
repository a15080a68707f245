"""A person's catalog: rows of editions and of printings.

What is in the library already (`edition_planner` tells which editions are) is altered where the row says something new
and left alone where it says the same, so that a list can be imported again after it was corrected.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal

from intake.edges.store.queries.lists import printings_of_editions
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.columns import Cells, ListColumn, merged
from intake.flow.lists.lot_plan import LotPlan
from intake.flow.lists.merged_editions import MergedEditions
from intake.flow.lists.named_editions import name_editions
from intake.flow.lists.reasons import CellError, RowReason, bad_row
from intake.flow.lists.written_cells import beside_number
from intake.flow.lookup.statement_words import fault_words
from intake.identifiers.parse import parse
from intake.identifiers.running_text import may_hold_number
from intake.model.changes import Change, Provisional
from intake.model.currencies import amount_fault, currency_codes
from intake.model.editions import Edition, Printing
from intake.model.identifiers import Check, Identifier, NumberKind
from intake.runs.notation import read_statement
from intake.runs.statements import StatementFault

ISBN_HEADINGS = (
    *("isbn-13", "isbn13", "isbn-10", "isbn10", "ean", "issn", "ismn", "upc", "gtin", "barcode"),
    *("isbn code", "isbn number", "isbn no"),
)
PUBLICATION_HEADINGS = (
    *("published", "date", "publication year", "year published", "year of publication", "publ. year", "pub. year"),
    *("year publ", "year pub"),
    *("publication date", "date published", "date of publication", "publ. date", "pub. date"),
)
EDITION_COLUMNS = (
    ListColumn("title", ("book title", "title of book", "name", "name of book"), required=True),
    ListColumn("key", ("reference", "ref", "id")),
    ListColumn("number", ("isbn", *ISBN_HEADINGS)),
    ListColumn("add_on", ("addon", "supplement", "issue code")),
    ListColumn("contributors", ("author", "authors", "primary author", "main author", "contributor", "by")),
    ListColumn("publisher", ("imprint", "publ", "published by")),
    ListColumn("year", PUBLICATION_HEADINGS),
    ListColumn("edition", ("statement", "edition statement")),
    ListColumn("binding", ("format", "cover")),
    ListColumn("language", ("lang",)),
    ListColumn("subject", ("group", "category", "class")),
    ListColumn("printed_in", ("country of printing", "printed")),
    ListColumn("call_number", ("call number", "callnumber", "dewey", "lcc", "lc call number", "shelf number")),
    ListColumn("hs_heading", ("hs", "hs code", "tariff")),
    ListColumn("pages", ("extent", "number of pages", "page count", "no of pages", "no pages", "pp", "pgs")),
    ListColumn("height_mm", ("height", "h")),
    ListColumn("width_mm", ("width", "w")),
    ListColumn("thickness_mm", ("thickness", "thick", "thk", "spine")),
    ListColumn("mass_g", ("mass", "weight", "weight_g")),
    ListColumn("set", ("set title", "series set", "series", "series title")),
    ListColumn("volume", ("vol", "volume designation", "volume number", "vol no")),
    ListColumn("collects", ("collected parts", "contains numbers")),
    ListColumn("price", ("list price", "price new")),
    ListColumn("currency", ()),
    ListColumn("why", ("why kept",)),
)

SIZES = ListColumn("size", ("dimensions", "measurements", "format"))
"""A column of several sizes in one cell, of which the fields of the edition are made."""
PRINTING_COLUMNS = (
    ListColumn("key", ("reference", "ref", "number", "isbn"), required=True),
    ListColumn("printing", ("ordinal", "impression"), required=True),
    ListColumn("year", ()),
    ListColumn("number_line", ("number line", "printer's key")),
    ListColumn("points", ("what tells it apart",)),
)

ISBN_DIGITS = 13
_ISBN = re.compile("97(?:8|9(?!-?0))(-?)[0-9]{1,5}\\1[0-9]{2,7}\\1[0-9]{1,6}\\1[0-9]")
"""An ISBN-13 with all its hyphens or none; 979-0 is printed music."""

ParsedEdition = tuple[Edition, str]
"""An edition whose ids are still 0, and the title of its set (empty for none)."""


def parse_edition(cells: Cells) -> ParsedEdition:
    """Read one row of a catalog.

    Raises:
        CellError: no title, or a number that fails its check; the reason says which and how to fix it.
    """
    number, add_on = cells.attempt("number", lambda: parse_number(cells.text("number"), cells.text("add_on"))) or (
        None,
        None,
    )
    price, currency = cells.attempt("price", lambda: parse_price(cells, "price")) or (None, "")
    edition = Edition(
        id=0,
        title=cells.given("title"),
        key=cells.text("key"),
        number=number,
        add_on=add_on,
        contributors=tuple(name.strip() for name in cells.text("contributors").split(";") if name.strip()),
        publisher=cells.text("publisher"),
        year=cells.whole("year"),
        statement=cells.text("edition"),
        binding=cells.text("binding"),
        language=cells.text("language"),
        subject=cells.text("subject"),
        printed_in=cells.text("printed_in"),
        call_number=cells.text("call_number"),
        hs_heading=cells.text("hs_heading"),
        pages=cells.whole("pages"),
        height_mm=cells.length("height_mm"),
        width_mm=cells.length("width_mm"),
        thickness_mm=cells.length("thickness_mm"),
        mass_g=cells.length("mass_g"),
        volume=cells.text("volume"),
        collects=cells.attempt("collects", lambda: parse_collects(cells.text("collects"))) or "",
        price=price,
        currency=currency,
        why=cells.text("why"),
    )
    return edition, cells.text("set")


def parse_collects(text: str) -> str:
    """Check the cell that says what an edition collects; it is kept as it is written.

    Raises:
        CellError: it is no such statement; the reason says where and why.
    """
    if text and isinstance(read := read_statement(text), StatementFault):
        raise CellError(RowReason.COLLECTS_NOT_UNDERSTOOD, text=text, why=fault_words(read))
    return text


def parse_price(cells: Cells, field: str) -> tuple[Decimal | None, str]:
    """Read an amount and its currency beside it; nothing and an empty text where there is no amount.

    Raises:
        CellError: it is not an amount, or its currency is missing, unknown, or has fewer decimals.
    """
    amount = cells.amount(field)
    if amount is None:
        return None, ""
    currency = cells.text("currency").upper()
    if currency not in currency_codes():
        if not currency:
            raise CellError(RowReason.CURRENCY_MISSING, field=field, amount=str(amount))
        raise CellError(RowReason.CURRENCY_UNKNOWN, text=currency)
    if why := amount_fault(amount, currency):
        raise CellError(RowReason.AMOUNT_IMPOSSIBLE, field=field, amount=str(amount), why=why)
    return amount, currency


def parse_number(text: str, add_on: str = "") -> tuple[str | None, str | None]:
    """Read the number cell and the add-on's cell.

    Returns:
        The 13 digits and the add-on, each None where empty.

    Raises:
        CellError: the number is wrong, or is one of the tool's own.
    """
    if not text:
        if add_on:
            raise CellError(RowReason.ADD_ON_ALONE, text=add_on)
        return None, None
    if not add_on and (isbn := _plain_isbn(text)):
        return isbn, None
    number = parse(f"{text} {add_on}" if add_on else text)
    if isinstance(number, Identifier):
        if number.kind is NumberKind.OWN:
            raise CellError(RowReason.OWN_NUMBER, text=text)
        if may_hold_number(beside := beside_number(text)):
            raise CellError(RowReason.NUMBER_NOT_ALONE, text=text, number=number.written, beside=beside)
        return number.number, number.add_on
    if number.check is Check.AMBIGUOUS and number.repairs:
        numbers = " or ".join(repair.written for repair in number.repairs)
        raise CellError(RowReason.NUMBER_AMBIGUOUS, text=text, why=number.reason, numbers=numbers)
    if number.repairs:
        repair = number.repairs[0]
        raise CellError(
            RowReason.NUMBER_REPAIRABLE, text=text, why=number.reason, repair=repair.written, how=repair.how
        )
    raise CellError(RowReason.NUMBER_REJECTED, text=text, why=number.reason)


def _plain_isbn(text: str) -> str | None:
    """Return the digits of a cell that is just an ISBN-13, as most are; the parser gives the same result."""
    if not _ISBN.fullmatch(text) or len(digits := text.replace("-", "")) != ISBN_DIGITS:
        return None
    figures = [int(digit) for digit in digits]
    # GS1 General Specifications, 7.9.1: weights 1 and 3 in turn give a multiple of 10.
    return digits if (sum(figures[::2]) + 3 * sum(figures[1::2])) % 10 == 0 else None


def parse_printing(cells: Cells) -> tuple[str, Printing]:
    """Read one row of a list of printings: the edition it names, and the printing without its ids.

    Raises:
        CellError: a printing that is not a whole number.
    """
    printing = Printing(
        id=0,
        edition_id=0,
        ordinal=cells.whole("printing"),
        year=cells.whole("year"),
        number_line=cells.text("number_line"),
        points=cells.text("points"),
    )
    return cells.text("key"), printing


class PrintingPlanner:
    """Plans a list of printings; a printing is the same if edition and ordinal are."""

    def __init__(self, reader: LibraryReader) -> None:
        self._reader = reader
        self._merged = MergedEditions(reader)
        self._new = Provisional()
        self._planned: dict[tuple[int, int | None], Printing] = {}

    def plan(self, rows: Iterable[tuple[int, tuple[str, Printing]]]) -> LotPlan:
        """Plan the next rows; a later row of one printing adds to an earlier one."""
        lot = LotPlan()
        listed = list(rows)
        named = name_editions(self._reader, (name for _, (name, _) in listed), self._merged)
        editions = {edition.id for edition in named.values() if isinstance(edition, Edition)}
        stored = {(row.edition_id, row.ordinal): row for row in printings_of_editions(self._reader, editions)}
        for line, (name, printing) in listed:
            edition = named[name]
            if isinstance(edition, CellError):
                lot.bad.append(bad_row(line, edition))
                continue
            self._take(line, edition.title, replace(printing, edition_id=edition.id), stored, lot)
        return lot

    def _take(
        self, line: int, name: str, row: Printing, stored: Mapping[tuple[int, int | None], Printing], lot: LotPlan
    ) -> None:
        key = (row.edition_id, row.ordinal)
        before = self._planned.get(key) or stored.get(key)
        after = replace(row, id=self._new.id()) if before is None else merged(before, row, keep=("id", "edition_id"))
        lot.book(line, name, () if after == before else (Change(before, after),))
        self._planned[key] = after

    def finish(self) -> LotPlan:
        """Plan nothing more."""
        return LotPlan()
