"""The words for reasons: why something matches, waits on the query pile, or was decided."""

from collections.abc import Callable, Mapping, Sequence

from intake.model.editions import CopyState
from intake.model.reasons import Reason, ReasonKind, reasons_in
from intake.model.sightings import Query, QueryDecision


def where_recorded(state: CopyState | None, box: str | None) -> str:
    """Write where a copy is according to the records.

    >>> where_recorded(CopyState.PACKED, "B7")
    'listed in box B7'
    """
    if state is CopyState.MISSING:
        return f"recorded as missing from box {box}" if box else "recorded as missing"
    if state is CopyState.PACKED:
        return f"listed in box {box}" if box else "listed as packed, in no known box"
    if state is CopyState.AT_HAND:
        return "recorded as not packed"
    return f"{state}, from box {box}" if box else str(state)


def _all_seen(reason: Reason) -> str:
    subject = "its one recorded copy has" if reason.count == 1 else f"each of its {reason.count} recorded copies has"
    return f"{subject} been seen already; this may be one more"


def _seen(reason: Reason, where: str) -> str:
    return f"copy {reason.copy} was {where}; this may be the same book again"


def _of_other_edition(reason: Reason) -> str:
    details = ", ".join(reason.texts) or "no details known"
    where = where_recorded(reason.state, reason.box)
    return f"same title under another number ({details}), copy {reason.copy} {where}"


def _alike(reason: Reason) -> str:
    cut = f" (the likest {reason.count} of {reason.of}; a search shows others)" if reason.count else ""
    return f"titles like {', '.join(map(repr, reason.texts))}{cut}"


def _cover_shared(reason: Reason) -> str:
    look = f"look at: {', '.join(reason.texts)}" if reason.texts else "their records do not tell them apart"
    return f"{reason.count} copies have this cover, or may have; {look}"


_WORDS: Mapping[ReasonKind, Callable[[Reason], str]] = {
    ReasonKind.UNLISTED: lambda _: "in the catalog, but no copy of it was ever recorded",
    ReasonKind.OTHER_EDITION_RECORDED: lambda _: (
        "no copy of this edition is recorded, but there are copies of the title in another edition"
    ),
    ReasonKind.COPY_OF_OTHER_EDITION: _of_other_edition,
    ReasonKind.LISTED_HERE: lambda _: "listed in this box",
    ReasonKind.LISTED_ELSEWHERE: lambda r: where_recorded(r.state, r.box),
    ReasonKind.TURNED_UP: lambda _: "recorded as missing from this box; it seems to have turned up",
    ReasonKind.ALIKE: lambda r: f"{r.count} alike; any of them may be booked",
    ReasonKind.ALL_SEEN: _all_seen,
    ReasonKind.SEEN_HERE: lambda r: _seen(r, "taken out of this box already"),
    ReasonKind.SEEN_ELSEWHERE: lambda r: _seen(r, where_recorded(r.state, r.box)),
    ReasonKind.SHARED_NUMBER: lambda r: f"{r.count} editions carry this number",
    ReasonKind.ADD_ON_AS_READ: lambda r: f"its add-on is {r.add_on}, as read",
    ReasonKind.ADD_ON_OTHER_ISSUE: lambda r: f"another issue: add-on {r.add_on}, read {r.number}",
    ReasonKind.ADD_ON_NOT_READ: lambda r: f"its add-on {r.add_on} was not read",
    ReasonKind.ADD_ON_STATED: lambda r: f"its add-on is {r.add_on}",
    ReasonKind.ISSUE_NOT_RECORDED: lambda _: "its issue is not recorded",
    ReasonKind.OWN_FLAG: lambda _: "it is named by its own number",
    ReasonKind.OUT_ALREADY: lambda r: f"copy {r.copy} was seen already, and is {r.state}",
    ReasonKind.COVER_SEEN: lambda r: f"its cover is that of the photograph of copy {r.copy}, {r.count} places agree",
    ReasonKind.COVER_LIKE: lambda r: (
        f"its cover is perhaps that of the photograph of copy {r.copy}, {r.count} places agree: compare them"
    ),
    ReasonKind.COVER_UNLIKE: lambda _: "parts of the two look different: look at the title",
    ReasonKind.COVER_OF_VOLUME: lambda _: "volumes without a photograph may look alike: look at the volume",
    ReasonKind.COVERS_BESIDE: lambda r: f"the picture shows {r.count} books beside each other: photograph each alone",
    ReasonKind.COVER_SHARED: _cover_shared,
    ReasonKind.NAMED: lambda _: "its key, or its words and volume, as typed",
    ReasonKind.SAME_TITLE: lambda _: "the very title",
    ReasonKind.WORDS_FOUND: lambda r: f"{r.count or 0} of {r.of} words found",
    ReasonKind.WORD_ALIKE: lambda r: " is like ".join(map(repr, r.texts)),
    ReasonKind.NOTHING_READ: lambda _: "nothing was read",
    ReasonKind.EMPTY_PICTURE: lambda _: "nothing could be read in the picture",
    ReasonKind.NOT_IN_CATALOG: lambda r: f"no edition in the catalog carries {r.number}",
    ReasonKind.NEIGHBOURS_SWAPPED: lambda r: f"but {r.number}, two neighbours swapped, is in it",
    ReasonKind.TWIN_NUMBER: lambda r: f"{r.number}, two neighbours swapped, is in the catalog too: compare the digits",
    ReasonKind.REJECTED: lambda r: "; ".join(r.texts),
    ReasonKind.REPAIRED: lambda r: f"{r.number} would be valid ({', '.join(r.texts)})",
    ReasonKind.NO_SUCH_COPY: lambda r: f"{r.number} is not a copy of this library",
    ReasonKind.NO_SUCH_NUMBER: lambda r: f"{r.number} is not in this library",
    ReasonKind.NO_COPY_THERE: lambda r: f"no copy is recorded in {r.number}",
    ReasonKind.WITHDRAWN: lambda r: f"copy {r.copy} is recorded as withdrawn from the collection",
    ReasonKind.TITLES_ALIKE: _alike,
    ReasonKind.NO_TITLE_ALIKE: lambda r: f"no title in the catalog is like {', '.join(map(repr, r.texts))}",
    ReasonKind.OTHER_NUMBERS: lambda r: f"it may be {', '.join(r.texts)} too",
    ReasonKind.UNCERTAIN_READING: lambda _: "the reading is not certain enough to book; if it is right",
    ReasonKind.BOOKED_BEFORE: lambda _: "was booked before",
}


def reason_words(reason: Reason) -> str:
    """Write one reason, without a capital or a full stop.

    >>> reason_words(Reason(ReasonKind.ALIKE, count=2))
    '2 alike; any of them may be booked'
    """
    return _WORDS[reason.kind](reason)


def reasons_words(reasons: Sequence[Reason]) -> str:
    """Write reasons in one line, the strongest first."""
    text = ""
    for nth, reason in enumerate(reasons):
        if nth and reasons[nth - 1].kind is ReasonKind.UNCERTAIN_READING:
            text += ": "
        elif nth:
            text += ", " if reason.kind is ReasonKind.NEIGHBOURS_SWAPPED else "; "
        text += reason_words(reason)
    return text


def query_reason(query: Query) -> str:
    """Write why a query waits; a sentence stored by an older version of the program is shown as it is."""
    reasons = reasons_in(query.reason)
    return query.reason if reasons is None else reasons_words(reasons)


def query_decision(query: Query) -> str:
    """Write how a query was decided; a sentence stored by an older version of the program is shown as it is."""
    return {
        QueryDecision.LISTED_COPY.value: f"copy {query.copy}, as listed",
        QueryDecision.COPY_SEEN_AGAIN.value: f"copy {query.copy}, seen again",
        QueryDecision.NEW_COPY.value: f"copy {query.copy}, which was on no list",
        QueryDecision.NEW_EDITION.value: f"copy {query.copy}, of a new edition",
        QueryDecision.SAME_BOOK.value: f"the same book as query {query.same_as}",
    }.get(query.decision, query.decision)
