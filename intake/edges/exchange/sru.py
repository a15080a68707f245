"""Asking a library's server by SRU (Search/Retrieve via URL) 2.0, 1.2 or 1.1.

The newest version comes first; where a server does not understand it, the next older one is tried, and what a server
was found to understand is used for every later question. The same holds for the index (`bath.isbn` is what many
servers have for an ISBN, `dc.identifier` is the Bath profile's standard identifier) and for the format of the records
(MARCXML, then Dublin Core). Sources: SRU 1.1 and 1.2 (Library of Congress), searchRetrieve 1.0 of OASIS (30 January
2013) for 2.0, the Bath profile for the indexes, `info:srw/diagnostic/1` for the diagnostics.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol
from urllib.parse import quote, urlencode

from intake.edges.exchange.sru_records import read_record
from intake.edges.exchange.sru_response import SruPage, read_page
from intake.model.lookups import LookedUpRecord, ServerAnswer, ServerFault, ServerTrouble

VERSIONS = ("2.0", "1.2", "1.1")
SCHEMAS = ("marcxml", "dc")
PAGE = 10
MOST_RECORDS = 30
"""Records that are looked at for one question; a server that has more has not understood it."""

OTHER_OPERATION, OTHER_VERSION, OTHER_VALUE, MISSING, OTHER_PARAMETER = 4, 5, 6, 7, 8
VERSION_DIAGNOSTICS = {OTHER_OPERATION, OTHER_VERSION, OTHER_VALUE, MISSING, OTHER_PARAMETER}
SCHEMA_DIAGNOSTICS = {66, 67}
"""Unknown schema for retrieval; record not available in this schema."""
QUERY_DIAGNOSTICS = range(10, 50)
"""The server does not understand this query, or this index: another may do."""
VERSION_STATUSES = {"400", "404", "405", "406", "500", "501"}
NOT_UNDERSTOOD = {ServerTrouble.HTML, ServerTrouble.NOT_SRU, ServerTrouble.NOT_XML}


@dataclass(frozen=True, slots=True)
class IndexQuery:
    """One term in one index of the server, such as `bath.isbn`."""

    index: str
    term: str

    @property
    def cql(self) -> str:
        r"""Return the query in CQL, with the characters that have a meaning there escaped.

        >>> IndexQuery("dc.title", 'Who? "Me"').cql
        'dc.title="Who\\? \\"Me\\""'
        """
        escaped = "".join(f"\\{c}" if c in '\\"*?^' else c for c in self.term)
        return f'{self.index}="{escaped}"'


class Fetching(Protocol):
    """Whatever returns the body of an address, or why there is none; see `http_fetch.Fetcher`."""

    def get(self, url: str, /) -> bytes | ServerFault:
        """Fetch."""


class Keeping(Protocol):
    """Whatever keeps answers by their address; see `answer_cache.AnswerCache`."""

    def get(self, url: str, /) -> bytes | None:
        """Return what is kept."""

    def put(self, url: str, body: bytes, /) -> None:
        """Keep an answer."""


def request_url(address: str, version: str, cql: str, schema: str, start: int) -> str:
    """Return the address of one page; in version 2.0 the parameters `version` and `operation` do not exist.

    >>> request_url("https://catalog.example/books", "1.1", 'dc.identifier="9780306406157"', "marcxml", 1)[29:85]
    '?version=1.1&operation=searchRetrieve&query=dc.identifie'
    """
    old = {} if version == "2.0" else {"version": version, "operation": "searchRetrieve"}
    rest = {"query": cql, "startRecord": start, "maximumRecords": PAGE, "recordSchema": schema}
    separator = "&" if "?" in address else "?"
    return f"{address.rstrip('?&')}{separator}{urlencode({**old, **rest}, quote_via=quote)}"


class SruServer:
    """One server, and what it was found to understand."""

    def __init__(self, address: str, fetcher: Fetching, cache: Keeping | None = None) -> None:
        """Ask nothing yet.

        Args:
            address: its base URL with its database.
            fetcher: fetches an address.
            cache: what servers have answered before; None asks anew each time.
        """
        self.address = address
        self._fetcher = fetcher
        self._cache = cache
        self._versions: Sequence[str] = VERSIONS
        self._schemas: Sequence[str] = SCHEMAS
        self._refused_indexes: set[str] = set()
        self._asked_anew = False

    def search(self, queries: Sequence[IndexQuery], is_meant: Callable[[LookedUpRecord], bool]) -> ServerAnswer:
        """Ask the queries in turn until one brings a record that is meant.

        Args:
            queries: of one question, the likeliest index first.
            is_meant: tells the records that were asked for from others: there are servers that do not judge a query.

        Returns:
            The answer to the query that brought a record, else to the last that the server understood.
        """
        self._asked_anew = False
        answer = ServerAnswer(server=self.address)
        refused: ServerFault | None = None
        understood = False
        for query in queries:
            if query.index in self._refused_indexes:
                continue
            latest = self._ask(query.cql, is_meant)
            if latest.fault is not None and latest.fault.diagnostic in QUERY_DIAGNOSTICS:
                self._refused_indexes.add(query.index)
                refused = latest.fault
                continue
            answer, understood = latest, True
            if answer.records or answer.fault is not None:
                break
        fault = answer.fault if understood else refused or ServerFault(ServerTrouble.DIAGNOSTIC, diagnostic=16)
        return ServerAnswer(
            server=self.address,
            records=answer.records,
            others=answer.others,
            unreadable=answer.unreadable,
            total=answer.total,
            fault=fault,
            kept=not self._asked_anew,
        )

    def _ask(self, cql: str, is_meant: Callable[[LookedUpRecord], bool]) -> ServerAnswer:
        """Ask one query, in the first format of records that the server has."""
        answer = ServerAnswer(server=self.address)
        for schema in tuple(self._schemas):
            page = self._first_page(cql, schema)
            if isinstance(page, ServerFault):
                if page.diagnostic not in SCHEMA_DIAGNOSTICS:
                    return ServerAnswer(server=self.address, fault=page)
                answer = answer if answer.unreadable else ServerAnswer(server=self.address, fault=page)
                continue
            answer = self._gathered(page, cql, schema, is_meant)
            if answer.records or answer.others:
                self._schemas = (schema,)
            if not answer.unreadable or answer.records or answer.others:
                return answer
        return answer

    def _first_page(self, cql: str, schema: str) -> SruPage | ServerFault:
        """Ask in the newest version that the server understands."""
        faults: list[ServerFault] = []
        for version in self._versions:
            page = self._page(version, cql, schema, 1)
            if isinstance(page, SruPage) or not _may_be_version(page):
                if isinstance(page, SruPage) or page.kind is ServerTrouble.DIAGNOSTIC:
                    self._versions = (version,)
                return page
            faults.append(page)
        return next((fault for fault in faults if fault.kind is ServerTrouble.DIAGNOSTIC), faults[-1])

    def _gathered(
        self, page: SruPage, cql: str, schema: str, is_meant: Callable[[LookedUpRecord], bool]
    ) -> ServerAnswer:
        """Read page after page until a record that is meant has come, or no more do."""
        meant: list[LookedUpRecord] = []
        others = unreadable = 0
        start, total, fault = 1, page.total, None
        while True:
            for root in page.records[: MOST_RECORDS - (start - 1)]:
                record = None if root is None else read_record(root)
                if record is None:
                    unreadable += 1
                elif is_meant(record):
                    meant.append(record)
                else:
                    others += 1
            start = max(page.next_position or 0, start + len(page.records))
            if meant or not page.records or start > min(total, MOST_RECORDS):
                break
            following = self._page(self._versions[0], cql, schema, start)
            if isinstance(following, ServerFault):
                fault = following
                break
            page = following
        return ServerAnswer(
            server=self.address,
            records=tuple(meant),
            others=others,
            unreadable=unreadable,
            total=max(total, len(meant) + others + unreadable),
            fault=fault,
        )

    def _page(self, version: str, cql: str, schema: str, start: int) -> SruPage | ServerFault:
        url = request_url(self.address, version, cql, schema, start)
        kept = self._cache.get(url) if self._cache is not None else None
        body = kept if kept is not None else self._fetcher.get(url)
        self._asked_anew |= kept is None
        if isinstance(body, ServerFault):
            return body
        page = read_page(body)
        if self._cache is not None and kept is None and isinstance(page, SruPage):
            self._cache.put(url, body)
        return page


def _may_be_version(fault: ServerFault) -> bool:
    """Tell whether a fault may mean that the server does not know the version it was asked in."""
    if fault.kind is ServerTrouble.DIAGNOSTIC:
        return fault.diagnostic in VERSION_DIAGNOSTICS
    return fault.kind in NOT_UNDERSTOOD or (fault.kind is ServerTrouble.STATUS and fault.detail in VERSION_STATUSES)
