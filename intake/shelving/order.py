"""The person's own rule of order, composed of keys, and the sort key of each book under it.

A book without the data for a key (no year, no call number) files before all that have it. The two call-number keys use
`Edition.call_number`; a text that is not a number of that kind files last, as written. The order of volumes and the
size classes are common practice, no source.
"""

import difflib
import re
from collections.abc import Callable
from functools import partial

from intake.errors import UsageError
from intake.model.editions import Edition
from intake.model.shelving import Key, Ordering
from intake.model.volumes import volume_numbers
from intake.shelving.call_numbers import CallKey, congress_key, dewey_key
from intake.shelving.collation import Collate, collator, filing_title

SortKey = tuple[object, ...]
"""Comparable with other keys of the same rule."""
KeyOf = Callable[[Edition, str], SortKey]
"""(edition, title of its set or an empty text) -> sort key."""


SIZE_LIMITS_MM = (260.0, 340.0)
SIZE_CLASSES = ("octavo", "quarto", "folio")

FAMILY_NAME_FIRST = {"hu", "hun", "zh", "chi", "zho", "ja", "jpn", "ko", "kor", "vi", "vie"}


def parse_keys(text: str) -> tuple[str, ...]:
    """Parse a rule as a person writes it ("subject, set, volume, title").

    Raises:
        UsageError: a key is unknown or named twice, or there is none.
    """
    words = [word.casefold() for word in re.split(r"[\s,;]+", text.strip()) if word]
    known = [key.value for key in Key]
    for nth, word in enumerate(words):
        if word not in known:
            near = difflib.get_close_matches(word, known, n=1)
            remedy = f"did you mean '{near[0]}'" if near else f"use some of {', '.join(known)}"
            raise UsageError(f"The key {word!r}", "is unknown", remedy)
        if word in words[:nth]:
            raise UsageError(f"The key {word!r}", "is given twice", "give each key once")
    if not words:
        raise UsageError("The rule of order", "has no key", f"use some of {', '.join(known)}")
    return tuple(words)


def key_function(rule: Ordering) -> KeyOf:
    """Return the function that computes the sort key of a book under a rule.

    Raises:
        UsageError: the rule's language is unknown.
    """
    collate = collator(rule.language)
    parts = [_PARTS[Key(key)] for key in rule.keys]

    def key_of(edition: Edition, set_title: str) -> SortKey:
        return tuple(part(edition, set_title, collate) for part in parts)

    return key_of


def size_class(height_mm: float | None) -> int:
    """Return 0 for octavo, 1 for quarto, 2 for folio (`SIZE_CLASSES`); a book of unknown height counts as octavo.

    >>> [SIZE_CLASSES[size_class(height)] for height in (240, 300, 400)]
    ['octavo', 'quarto', 'folio']
    """
    return sum((height_mm or 0) > limit for limit in SIZE_LIMITS_MM)


def volume_key(text: str, collate: Collate) -> SortKey:
    """Return the sort key of a volume designation: by its first number, a part after its volume, then by its words.

    >>> sorted(["Band 10", "Index", "1-2", "IV", "3/2", "3"], key=lambda text: volume_key(text, str.encode))
    ['1-2', '3', '3/2', 'IV', 'Band 10', 'Index']
    """
    numbers = volume_numbers(text)
    if numbers:
        return (1, numbers[0], collate(text))
    return (2 if text.strip() else 0, (), collate(text))


def _author(edition: Edition, _set_title: str, collate: Collate) -> object:
    """Return the sort key by the first contributor's family name: the last word, unless there is a comma."""
    name = edition.contributors[0].strip() if edition.contributors else ""
    given, _, family = name.rpartition(" ")
    if "," in name or not given or edition.language.casefold() in FAMILY_NAME_FIRST:
        return collate(name)
    return collate(f"{family}, {given}")


def _set(edition: Edition, set_title: str, collate: Collate) -> object:
    return collate(filing_title(set_title or edition.title, edition.language))


def _call(read: Callable[[str], CallKey | None], edition: Edition, _set_title: str, collate: Collate) -> object:
    key = read(edition.call_number)
    if key is not None:
        return (1, key, b"")
    return (2 if edition.call_number else 0, (), collate(edition.call_number))


_PARTS: dict[Key, Callable[[Edition, str, Collate], object]] = {
    Key.SUBJECT: lambda edition, _, collate: collate(edition.subject),
    Key.SET: _set,
    Key.VOLUME: lambda edition, _, collate: volume_key(edition.volume or edition.add_on or "", collate),
    Key.AUTHOR: _author,
    Key.TITLE: lambda edition, _, collate: collate(filing_title(edition.title, edition.language)),
    Key.YEAR: lambda edition, _, __: edition.year or 0,
    Key.SIZE: lambda edition, _, __: size_class(edition.height_mm),
    Key.DEWEY: partial(_call, dewey_key),
    Key.CONGRESS: partial(_call, congress_key),
}
