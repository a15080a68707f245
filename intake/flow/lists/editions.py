"""A person's catalog: rows of editions and of printings.

An edition that the library holds already (same key, else same number, supplement and title) is altered where the row
says something new and left alone where it says the same, so that a list can be imported again after it was mended.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace

from intake.flow.lists.columns import BadRow, CellError, Cells, ListColumn, merged
from intake.identifiers.parse import parse
from intake.model.changes import Change, made
from intake.model.editions import BookSet, Edition, Printing, title_key
from intake.model.identifiers import Identifier, NumberKind

EDITION_COLUMNS = (
    ListColumn("title", ("book title", "name"), required=True),
    ListColumn("key", ("reference", "ref", "id")),
    ListColumn(
        "number", ("isbn", "isbn-13", "isbn13", "isbn-10", "isbn10", "ean", "issn", "ismn", "upc", "gtin", "barcode")
    ),
    ListColumn("add_on", ("addon", "supplement", "issue code")),
    ListColumn("contributors", ("author", "authors", "contributor", "by")),
    ListColumn("publisher", ("imprint",)),
    ListColumn("year", ("published", "date", "publication year")),
    ListColumn("edition", ("statement", "edition statement")),
    ListColumn("binding", ("format", "cover")),
    ListColumn("language", ("lang",)),
    ListColumn("subject", ("group", "category", "class")),
    ListColumn("printed_in", ("country of printing", "printed")),
    ListColumn("call_number", ("call number", "callnumber", "dewey", "lcc", "lc call number", "shelf number")),
    ListColumn("hs_heading", ("hs", "hs code", "tariff")),
    ListColumn("pages", ("extent", "number of pages")),
    ListColumn("height_mm", ("height",)),
    ListColumn("width_mm", ("width",)),
    ListColumn("thickness_mm", ("thickness", "spine")),
    ListColumn("mass_g", ("mass", "weight", "weight_g")),
    ListColumn("set", ("set title", "series set")),
    ListColumn("volume", ("vol", "volume designation")),
)

PRINTING_COLUMNS = (
    ListColumn("key", ("reference", "ref", "number", "isbn"), required=True),
    ListColumn("printing", ("ordinal", "impression"), required=True),
    ListColumn("year", ()),
    ListColumn("number_line", ("number line", "printer's key")),
    ListColumn("points", ("what tells it apart",)),
)

ParsedEdition = tuple[Edition, str]
"""An edition whose ids are still 0, and the title of its set (empty for none)."""


def parse_edition(cells: Cells) -> ParsedEdition:
    """Read one row of a catalog.

    Raises:
        CellError: no title, or a number that fails its check; the reason says which and how to fix it.
    """
    title = cells.text("title")
    if not title:
        raise CellError("title is empty")
    number, add_on = parse_number(cells.text("number"), cells.text("add_on"))
    edition = Edition(
        id=0,
        title=title,
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
    )
    return edition, cells.text("set")


def parse_number(text: str, add_on: str = "") -> tuple[str | None, str | None]:
    """Read the number cell and the supplement's cell.

    Returns:
        The 13 digits and the supplement, each None where empty.

    Raises:
        CellError: the number is wrong, or is one of the tool's own.
    """
    if not text:
        if add_on:
            raise CellError(f"add_on {add_on!r} stands without a number")
        return None, None
    found = parse(f"{text} {add_on}" if add_on else text)
    if isinstance(found, Identifier):
        if found.kind is NumberKind.OWN:
            raise CellError(f"number {text!r} is one of this library's own numbers, not a publisher's")
        return found.number, found.add_on
    hint = f" (perhaps {found.repairs[0].written}: {found.repairs[0].how})" if found.repairs else ""
    raise CellError(f"number {text!r}: {found.reason}{hint}")


def plan_editions(
    rows: Iterable[tuple[int, ParsedEdition]],
    *,
    held: Iterable[Edition],
    sets: Iterable[BookSet],
    new_id: Callable[[type[Edition] | type[BookSet]], int],
) -> tuple[list[Change], list[BadRow], int]:
    """Plan what a catalog changes.

    Args:
        rows: line and parsed row.
        held: editions of the library that a row may mean.
        sets: all sets of the library.
        new_id: gives the next free id.

    Returns:
        The changes, the rows that contradict an earlier row, and the count of rows that change nothing.
    """
    known = {_identity(edition): edition for edition in held}
    set_ids = {book_set.title: book_set.id for book_set in sets}
    lines: dict[tuple[str, ...], int] = {}
    changes: list[Change] = []
    bad: list[BadRow] = []
    unchanged = 0
    for line, (edition, set_title) in rows:
        identity = _identity(edition)
        if identity in lines:
            bad.append(BadRow(line, f"is the same edition as line {lines[identity]}"))
            continue
        lines[identity] = line
        if set_title and set_title not in set_ids:
            set_ids[set_title] = new_id(BookSet)
            changes += made(BookSet(id=set_ids[set_title], title=set_title))
        placed = replace(edition, set_id=set_ids.get(set_title))
        before = known.get(identity)
        if before is None:
            changes += made(replace(placed, id=new_id(Edition)))
        elif (after := merged(before, placed, keep=("id",))) != before:
            changes.append(Change(before, after))
        else:
            unchanged += 1
    return changes, bad, unchanged


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


def plan_printings(
    rows: Iterable[tuple[int, tuple[str, Printing]]],
    *,
    find_edition: Callable[[str], Edition],
    printings_of: Callable[[int], Iterable[Printing]],
    new_id: Callable[[type[Printing]], int],
) -> tuple[list[Change], list[BadRow], int]:
    """Plan what a list of printings changes; a printing is the same if edition and ordinal are.

    `find_edition` raises `CellError` where a name means no edition or several. Returns as `plan_editions` does.
    """
    changes: list[Change] = []
    bad: list[BadRow] = []
    unchanged = 0
    for line, (name, printing) in rows:
        try:
            edition = find_edition(name)
        except CellError as reason:
            bad.append(BadRow(line, str(reason)))
            continue
        held = {known.ordinal: known for known in printings_of(edition.id)}
        before = held.get(printing.ordinal)
        if before is None:
            changes += made(replace(printing, id=new_id(Printing), edition_id=edition.id))
        elif (after := merged(before, printing, keep=("id", "edition_id"))) != before:
            changes.append(Change(before, after))
        else:
            unchanged += 1
    return changes, bad, unchanged


def _identity(edition: Edition) -> tuple[str, ...]:
    if edition.key:
        return ("key", edition.key)
    return (edition.number or "", edition.add_on or "", title_key(edition.title), edition.volume)
