"""The chain of the ledger: how the digest of an entry is made, so that anyone can check it with other tools.

The digest of an entry is SHA-256 (FIPS 180-4), as 64 lower-case hexadecimal digits, over the UTF-8 bytes of a JSON
object with these members:

    seq       number of the entry, 1, 2, 3 …
    at        the moment in UTC, "2026-05-01T09:30:00.000000+00:00"
    name, subject, station, request, note, undoes      the action; text, or null where there is none; undoes a number;
              name is the value of its kind (`intake.model.changes.ActionKind`), so that a kind's value never changes
    previous  the digest of the entry before; 64 zeros for the first
    changes   a list of objects with the members table, key (text), before, after; the last two hold the plain values
              of the record (see `rows`), or null

in canonical form: members sorted by name, no space outside of texts, every character as itself except those that JSON
must escape (`json.dumps(…, sort_keys=True, separators=(",", ":"), ensure_ascii=False)`).

A changed, added or lost entry breaks the chain from there on. Cutting off its end does not: that is found by comparing
the head of the chain with one printed earlier.
"""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass

from intake.model.changes import Action

FIRST_PREVIOUS = "0" * 64

# Made once: an import of 100,000 records writes 400,000 texts.
_ENCODER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def canonical(value: object) -> str:
    """Write a plain value as canonical JSON.

    Raises:
        ValueError: a number that is not finite.

    >>> canonical({"b": [1, None], "a": "é"})
    '{"a":"é","b":[1,null]}'
    """
    return _ENCODER.encode(value)


@dataclass(frozen=True, slots=True)
class ChangeText:
    """A change as it stands in the ledger, its plain values as canonical JSON."""

    table: str
    key: str
    before: str | None
    after: str | None

    def json(self) -> str:
        """Return its canonical JSON; the parts are canonical already, so they are put together unread."""
        before, after = self.before or "null", self.after or "null"
        return f'{{"after":{after},"before":{before},"key":{canonical(self.key)},"table":{canonical(self.table)}}}'

    def is_canonical(self) -> bool:
        """Return whether both parts are canonical JSON objects, without which putting them together proves nothing."""
        return all(part is None or _is_canonical_object(part) for part in (self.before, self.after))


def _is_canonical_object(text: str) -> bool:
    try:
        value = json.loads(text)
        return isinstance(value, dict) and canonical(value) == text
    except (ValueError, RecursionError):
        return False


def digest(seq: int, at: str, action: Action, previous: str, changes: Iterable[ChangeText]) -> str:
    """Return the digest of an entry, as the docstring of this module describes it.

    Raises:
        ValueError: a text that UTF-8 cannot carry.
    """
    listed = ",".join(change.json() for change in changes)
    rest = canonical(
        {
            "name": action.name,
            "note": action.note,
            "previous": previous,
            "request": action.request,
            "seq": seq,
            "station": action.station,
            "subject": action.subject,
            "undoes": action.undoes,
        }
    )
    whole = f'{{"at":{canonical(at)},"changes":[{listed}],{rest[1:]}'
    return hashlib.sha256(whole.encode()).hexdigest()
