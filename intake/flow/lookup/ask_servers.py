"""Ask libraries' servers what they have under a number or a title; off unless an address was given.

The servers are asked in their order, one request at a time, until one has what was asked for. One that cannot be
reached, or that is no such server, is left alone for the rest of the run. Nothing here writes to the library.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from stdnum import isbn

from intake.edges import clock
from intake.edges.exchange.answer_cache import AnswerCache
from intake.edges.exchange.http_fetch import Fetcher, is_address
from intake.edges.exchange.sru import IndexQuery, SruServer
from intake.errors import UsageError
from intake.flow.lookup.lookup_targets import LookupTarget, same_number
from intake.model.editions import whole_title_key
from intake.model.identifiers import NumberKind
from intake.model.lookups import LookedUpRecord, ServerAnswer, ServerFault, ServerTrouble

IDENTIFIER_INDEX = "dc.identifier"
KIND_INDEX = {NumberKind.ISBN: "bath.isbn", NumberKind.ISSN: "bath.issn"}
"""What many servers have for these; `dc.identifier` is the Bath profile's standard identifier, for every kind."""

LEFT_ALONE = frozenset(
    {
        ServerTrouble.BAD_ADDRESS,
        ServerTrouble.UNREACHABLE,
        ServerTrouble.TIMED_OUT,
        ServerTrouble.REDIRECTED,
        ServerTrouble.STATUS,
        ServerTrouble.COMPRESSED,
        ServerTrouble.HTML,
        ServerTrouble.NOT_SRU,
    }
)
"""Faults after which another question would fare no better."""


@dataclass(frozen=True, slots=True)
class LookupResult:
    """What the servers answered, as far as they were asked; only the last of them has records."""

    target: LookupTarget
    answers: tuple[ServerAnswer, ...]

    @property
    def found(self) -> tuple[tuple[str, LookedUpRecord], ...]:
        """Return the records, each with the address of its server."""
        return tuple((answer.server, record) for answer in self.answers for record in answer.records)

    @property
    def answered(self) -> bool:
        """Return whether any server could say what it has."""
        return any(answer.answered for answer in self.answers)


def look_up(
    targets: Sequence[LookupTarget], servers: Sequence[str], *, cache: Path | None = None
) -> Iterator[LookupResult]:
    """Look up one thing after the other.

    Args:
        targets: see `lookup_targets`.
        servers: their base URLs, each with its database, in the order they are asked.
        cache: folder of the answers of the last day; None asks anew.

    Raises:
        UsageError: one of the servers is not an address.
    """
    for server in servers:
        if not is_address(server):
            why = "is not the address of a server"
            raise UsageError(repr(server), why, "write it as https://host/path, without a name or a password")
    return _each(targets, servers, AnswerCache(cache, clock.now) if cache is not None else None)


def _each(
    targets: Sequence[LookupTarget], addresses: Sequence[str], cache: AnswerCache | None
) -> Iterator[LookupResult]:
    left_alone: dict[str, ServerFault] = {}
    with Fetcher() as fetcher:
        servers = [SruServer(address, fetcher, cache) for address in dict.fromkeys(addresses)]
        for target in targets:
            answers: list[ServerAnswer] = []
            for server in servers:
                if (fault := left_alone.get(server.address)) is not None:
                    answers.append(ServerAnswer(server=server.address, fault=fault))
                    continue
                answer = server.search(_queries(target), partial(_is_meant, target))
                answers.append(answer)
                if answer.fault is not None and answer.fault.kind in LEFT_ALONE:
                    left_alone[server.address] = answer.fault
                if answer.records:
                    break
            yield LookupResult(target, tuple(answers))


def _queries(target: LookupTarget) -> tuple[IndexQuery, ...]:
    """Return the questions to try in turn; an older record may have only the ISBN-10."""
    identifier = target.identifier
    if identifier is None:
        return (IndexQuery("dc.title", target.title),)
    terms = [identifier.written if identifier.kind is NumberKind.ISSN else identifier.number]
    if identifier.kind is NumberKind.ISBN and identifier.number.startswith("978"):
        terms.append(isbn.to_isbn10(identifier.number))
    indexes = filter(None, (KIND_INDEX.get(identifier.kind), IDENTIFIER_INDEX))
    return tuple(IndexQuery(index, term) for index in indexes for term in terms)


def _is_meant(target: LookupTarget, record: LookedUpRecord) -> bool:
    """Tell whether a record is what was asked for; a number that it gives as wrong or cancelled does not count."""
    if target.identifier is None:
        words = set(whole_title_key(target.title).split())
        return bool(words) and words <= set(whole_title_key(str(record.fields.get("title", ""))).split())
    return any(same_number(number.text, target.identifier) for number in record.numbers if not number.cancelled)
