"""Why something matches, or cannot be booked, as data; the words for it are made in `intake.flow.lookup.wording`."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from enum import StrEnum

from intake.model.editions import CopyState


class ReasonKind(StrEnum):
    """What speaks for or against a match; beside each, the facts of `Reason` that go with it."""

    UNLISTED = "unlisted"
    """The edition is in the catalog, and no copy of it was ever recorded."""
    OTHER_EDITION_RECORDED = "other edition recorded"
    """No copy of this edition is recorded, but there are copies of the title in another edition."""
    COPY_OF_OTHER_EDITION = "copy of other edition"
    """This is a copy of the same title under another number: copy, state, box; texts: what tells that edition."""
    LISTED_HERE = "listed here"
    """It is listed in the open box and not yet seen."""
    LISTED_ELSEWHERE = "listed elsewhere"
    """Where the records have it: state, box."""
    TURNED_UP = "turned up"
    """It was recorded as missing from the open box."""
    ALIKE = "alike"
    """So many copies differ in nothing but their numbers: count."""
    ALL_SEEN = "all seen"
    """Every recorded copy was seen already: count."""
    SEEN_HERE = "seen here"
    """It was taken out of the open box already: copy."""
    SEEN_ELSEWHERE = "seen elsewhere"
    """It was seen already: copy, state, box."""
    SHARED_NUMBER = "shared number"
    """So many editions carry the number: count."""
    ADD_ON_AS_READ = "add-on as read"
    """The edition's add-on is the one that was read: add_on."""
    ADD_ON_OTHER_ISSUE = "add-on of other issue"
    """The add-ons say that it is another issue: add_on, and number for the add-on that was read."""
    ADD_ON_NOT_READ = "add-on not read"
    """The issue has an add-on, and none was read: add_on."""
    ADD_ON_STATED = "add-on stated"
    """The edition has an add-on: add_on."""
    ISSUE_NOT_RECORDED = "issue not recorded"
    """The edition's record does not say which issue it is."""
    OWN_FLAG = "own flag"
    """The copy's own number was read or typed, or the copy was chosen by it."""
    OUT_ALREADY = "out already"
    """The copy that its own number names was seen already: copy, state."""

    COVER_SEEN = "cover seen"
    """Its cover is that of an earlier photograph of this copy: copy; count: places that agree."""
    COVER_LIKE = "cover like"
    """Its cover is perhaps that of an earlier photograph of this copy: copy; count: places that agree."""
    COVER_UNLIKE = "cover unlike"
    """Parts of its cover look different from that of the earlier photograph."""
    COVER_OF_VOLUME = "cover of volume"
    """It is a volume, of whose set no other was photographed: another may wear the same cover."""
    COVERS_BESIDE = "covers beside"
    """The picture shows so many books beside each other: count."""
    COVER_SHARED = "cover shared"
    """So many copies have this cover, or may have: count; texts: what tells them apart by their records."""

    NAMED = "named"
    """Its key was typed, or the words of its set or title with its volume."""
    SAME_TITLE = "same title"
    """The very title was typed."""
    WORDS_FOUND = "words found"
    """So many of the words typed are in it: count, of."""
    WORD_ALIKE = "word alike"
    """A word typed is like one in it: texts, the one and the other."""

    NOTHING_READ = "nothing read"
    EMPTY_PICTURE = "empty picture"
    """Nothing could be read in the picture."""
    NOT_IN_CATALOG = "not in catalog"
    """No edition carries the number: number, as a person writes it."""
    NEIGHBOURS_SWAPPED = "neighbours swapped"
    """The catalog has it with two neighbouring digits swapped: number."""
    TWIN_NUMBER = "twin number"
    """The catalog has the number, and with two neighbouring digits swapped another one: number."""
    REJECTED = "rejected"
    """It is no number: texts, the check that failed in words."""
    REPAIRED = "repaired"
    """The catalog has a number that is like it: number; texts, the change in words."""
    NO_SUCH_COPY = "no such copy"
    """It has the form of a copy's number, and no copy has it: number."""
    NO_SUCH_NUMBER = "no such number"
    """It has the form of an own number, and nothing has it: number."""
    NO_COPY_THERE = "no copy there"
    """It is the number of a box or a place without a copy: number."""
    WITHDRAWN = "withdrawn"
    """The copy whose own number was read left the collection: copy."""
    TITLES_ALIKE = "titles alike"
    """There are titles like the words typed: texts; where only the likest are offered, count and of."""
    NO_TITLE_ALIKE = "no title alike"
    """There are none: texts."""
    OTHER_NUMBERS = "other numbers"
    """The reading may be one of other numbers too: texts."""
    UNCERTAIN_READING = "uncertain reading"
    """The number was not read surely enough to book; the reasons after it hold if it is right."""
    BOOKED_BEFORE = "booked before"
    """The same request was booked before."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason: its kind and the facts that its kind names, the others being None or empty."""

    kind: ReasonKind
    copy: str | None = None
    box: str | None = None
    state: CopyState | None = None
    number: str | None = None
    add_on: str | None = None
    count: int | None = None
    of: int | None = None
    texts: tuple[str, ...] = ()


Reasons = tuple[Reason, ...]


def reasons_text(reasons: Iterable[Reason]) -> str:
    """Write reasons as a query keeps them: a JSON list of objects with the facts that are known.

    >>> reasons_text([Reason(ReasonKind.ALIKE, count=2)])
    '[{"kind":"alike","count":2}]'
    """
    names = [field.name for field in fields(Reason)]
    facts = [{name: getattr(reason, name) for name in names if getattr(reason, name)} for reason in reasons]
    return json.dumps(facts, ensure_ascii=False, separators=(",", ":"))


def reasons_in(text: str) -> Reasons | None:
    """Read reasons that a query keeps; None where the text is a sentence, as older libraries hold.

    >>> reasons_in('[{"kind":"alike","count":2}]')[0].count
    2
    >>> reasons_in("two editions carry it") is None
    True
    """
    if not text.startswith("[{"):
        return None
    try:
        return tuple(_reason(facts) for facts in json.loads(text))
    except (ValueError, TypeError, KeyError, RecursionError):
        return None


def _reason(facts: Mapping[str, object]) -> Reason:
    known: dict[str, object] = {**facts, "kind": ReasonKind(str(facts["kind"])), "texts": tuple(_texts(facts))}
    if "state" in facts:
        known["state"] = CopyState(str(facts["state"]))
    return Reason(**known)  # type: ignore[arg-type] # a fact of another name or a wrong type is refused by the caller


def _texts(facts: Mapping[str, object]) -> list[str]:
    texts = facts.get("texts", [])
    if not isinstance(texts, list):
        raise TypeError("texts are a list")
    return [str(text) for text in texts]
