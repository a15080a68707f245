"""Which edition each of many names means: the same rule as `resolve.find_edition`, for a whole lot at once."""

from collections.abc import Iterable, Sequence

from intake.edges.store.queries.editions import ISSN_DIGITS, ISSN_PREFIX, editions_titled
from intake.edges.store.queries.lists import editions_with_keys, editions_with_numbers, numbers_in_library
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.merged_editions import MergedEditions
from intake.flow.lists.reasons import CellError, RowReason
from intake.identifiers.parse import parse
from intake.identifiers.running_text import may_hold_number
from intake.model.editions import Edition
from intake.model.identifiers import Identifier, Rejection


def name_editions(
    reader: LibraryReader, names: Iterable[str], merged: MergedEditions
) -> dict[str, Edition | CellError]:
    """Find the edition of each name: a key of the person's own list, a number with or without its add-on, or a title.

    A name that no edition has any more means the edition into which its own was merged.

    Args:
        reader: of the library.
        names: of the rows of a lot.
        merged: the editions that were merged into others.

    Returns:
        By name, the edition, or why the name means none or several.
    """
    unique = list(dict.fromkeys(names))
    by_name: dict[str, Edition | CellError] = {}
    for edition in editions_with_keys(reader, unique):
        by_name.setdefault(edition.key, edition)
    parsed = _parse_all(reader, [name for name in unique if name not in by_name])
    numbers = (read.number for read in parsed.values() if isinstance(read, Identifier))
    by_number: dict[str, list[Edition]] = {}
    for edition in editions_with_numbers(reader, numbers):
        by_number.setdefault(_stem(edition.number or ""), []).append(edition)
    titled = _by_title(reader, [name for name, read in parsed.items() if isinstance(read, Rejection)])
    for name, read in parsed.items():
        if isinstance(read, Rejection):
            by_name[name] = _titled(name, titled.get(name, []), read)
        else:
            by_name[name] = _choose(read, by_number.get(_stem(read.number), []))
    lost = (RowReason.EDITION_UNKNOWN, RowReason.EDITION_NOT_A_NUMBER)
    for name, found in by_name.items():
        if isinstance(found, CellError) and found.reason in lost:
            read = parsed[name]
            number = read.number if isinstance(read, Identifier) else name
            by_name[name] = merged.named(name) or merged.named(number) or found
    return by_name


def _parse_all(reader: LibraryReader, names: Sequence[str]) -> dict[str, Identifier | Rejection]:
    """Read the names as numbers; what the parser asks the library about is asked for all of them together."""
    asked: set[str] = set()
    answered: set[str] = set()
    known: set[str] = set()

    def is_known(number: str) -> bool:
        asked.add(number)
        return number in known

    while True:
        parsed = {name: parse(name, is_known=is_known) for name in names}
        if not (new := asked - answered):
            return parsed
        known |= numbers_in_library(reader, new)
        answered |= new


def _by_title(reader: LibraryReader, titles: Sequence[str]) -> dict[str, list[Edition]]:
    by_title: dict[str, list[Edition]] = {}
    for edition in editions_titled(reader, titles) if titles else ():
        by_title.setdefault(edition.title, []).append(edition)
    return by_title


def _titled(name: str, editions: Sequence[Edition], read: Rejection) -> Edition | CellError:
    """Return the one edition whose title a name is that is no number, else why it names none."""
    if not editions and not may_hold_number(name):
        return CellError(RowReason.EDITION_UNKNOWN, text=repr(name))
    if not editions:
        return CellError(RowReason.EDITION_NOT_A_NUMBER, text=name, why=read.reason)
    if len(editions) > 1:
        keys = ", ".join(edition.key or edition.number or str(edition.year or "no year") for edition in editions)
        return CellError(RowReason.EDITION_AMBIGUOUS, text=name, count=len(editions), keys=keys)
    return editions[0]


def _choose(read: Identifier, carriers: list[Edition]) -> Edition | CellError:
    exact = [edition for edition in carriers if read.add_on is not None and edition.add_on == read.add_on]
    editions = exact or carriers
    if not editions:
        return CellError(RowReason.EDITION_UNKNOWN, text=read.written)
    if len(editions) > 1:
        keys = ", ".join(edition.key or edition.title for edition in editions)
        return CellError(RowReason.EDITION_AMBIGUOUS, text=read.written, count=len(editions), keys=keys)
    return editions[0]


def _stem(number: str) -> str:
    """Return the part of a number that all its variants share."""
    return number[:ISSN_DIGITS] if number.startswith(ISSN_PREFIX) else number
