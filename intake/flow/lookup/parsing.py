"""Reading a number with the library at hand, which knows what may have been meant."""

from intake.edges.store.queries.editions import numbers_held
from intake.edges.store.reader import LibraryReader
from intake.identifiers.parse import parse
from intake.model.identifiers import Identifier, Rejection


def parse_known(records: LibraryReader, text: str) -> Identifier | Rejection:
    """Read a text as `parse` does, with what the library holds; at most one statement, none where nothing is in doubt.

    A wrong number has over a hundred repairs. They are collected first, looked up together, and the text is read again.
    """
    asked: set[str] = set()

    def note(number: str) -> bool:
        asked.add(number)
        return False

    found = parse(text, is_known=note)
    held = numbers_held(records, asked) if asked else frozenset()
    return parse(text, is_known=held.__contains__) if held else found
