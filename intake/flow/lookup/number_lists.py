"""Numbers of one list, written one way."""

from collections.abc import Iterable

from intake.identifiers.parse import parse
from intake.model.identifiers import Identifier, NumberKind


def written_alike(texts: Iterable[str]) -> dict[str, str]:
    """Return how to write each number of a list: ISBNs with hyphens if each of them can be, else without.

    An ISBN whose registrant is in no known range has no known places for hyphens.

    Args:
        texts: numbers; text that is not one is passed over.

    Returns:
        How to write a number, by the text as given and by its usual way of writing.

    >>> written_alike(["9780306406157"])["9780306406157"]
    '978-0-306-40615-7'
    >>> written_alike(["9780306406157", "9789999817189"])["978-0-306-40615-7"]
    '9780306406157'
    """
    parsed = {text: parse(text) for text in dict.fromkeys(texts)}
    numbers = {text: each for text, each in parsed.items() if isinstance(each, Identifier)}
    bare = any(each.kind is NumberKind.ISBN and each.written == each.number for each in numbers.values())
    return {
        form: each.number if bare and each.kind is NumberKind.ISBN else each.written
        for text, each in numbers.items()
        for form in (text, each.written)
    }
