"""A server that answers as a test tells it, the standard's faults included, and notes what it was asked."""

import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlsplit

SRW = "http://www.loc.gov/zing/srw/"
OASIS = "http://docs.oasis-open.org/ns/search-ws/sruResponse"
DIAGNOSTIC = "http://www.loc.gov/zing/srw/diagnostic/"


@dataclass(frozen=True)
class Reply:
    """What is sent.

    Attributes:
        drips: send a byte each time after this many seconds, for ever.
        drips_headers: send headers in this way, and never a body.
        endless: send the body again and again.
        silent: send nothing.
        cut: promise more bytes than are sent.
    """

    body: str | bytes = ""
    status: int = 200
    headers: Mapping[str, str] = field(default_factory=dict)
    drips: float = 0
    drips_headers: float = 0
    endless: bool = False
    silent: bool = False
    cut: bool = False


Answering = Callable[[Mapping[str, str]], Reply]


@dataclass
class Stub:
    """A running server: its address, and the parameters of every request."""

    url: str
    answer: Answering
    asked: list[Mapping[str, str]] = field(default_factory=list)
    paths: list[str] = field(default_factory=list)
    sent_headers: list[Mapping[str, str]] = field(default_factory=list)
    stopped: threading.Event = field(default_factory=threading.Event)


class Handler(BaseHTTPRequestHandler):
    """Answers as the stub says."""

    protocol_version = "HTTP/1.1"
    stub: Stub

    def do_GET(self) -> None:
        parts, stub = urlsplit(self.path), self.stub
        stub.asked.append({name: values[0] for name, values in parse_qs(parts.query).items()})
        stub.paths.append(parts.path)
        stub.sent_headers.append({name.lower(): value for name, value in self.headers.items()})
        self.close_connection = True
        with suppress(OSError):  # the other side may have had enough
            self.reply(stub.answer(stub.asked[-1]))

    def reply(self, reply: Reply) -> None:
        if reply.silent:
            self.stub.stopped.wait(10)
            return
        if reply.drips_headers:
            self.wfile.write(b"HTTP/1.1 200 OK\r\nX-Slow: ")
            self.drip(reply.drips_headers)
            return
        data = reply.body.encode() if isinstance(reply.body, str) else reply.body
        self.send_response(reply.status)
        length = {} if reply.endless or reply.drips else {"Content-Length": str(len(data) + 100 * reply.cut)}
        for name, value in {"Connection": "close", **length, **reply.headers}.items():
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(data)
        if reply.drips:
            self.drip(reply.drips)
        while reply.endless and not self.stub.stopped.is_set():
            self.wfile.write(data)

    def drip(self, seconds: float) -> None:
        while not self.stub.stopped.is_set():
            self.wfile.write(b" ")
            self.wfile.flush()
            time.sleep(seconds)

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@contextmanager
def serving(answer: Answering) -> Iterator[Stub]:
    stub = Stub("", answer)
    server = ThreadingHTTPServer(("127.0.0.1", 0), type("StubHandler", (Handler,), {"stub": stub}))
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    stub.url = f"http://127.0.0.1:{server.server_port}/books"
    try:
        yield stub
    finally:
        stub.stopped.set()
        server.shutdown()
        thread.join(10)
        server.server_close()


def response(
    *records: str,
    total: int | None = None,
    namespace: str = SRW,
    prefix: str = "zs:",
    schema: str = "info:srw/schema/1/marcxml-v1.1",
    after: str = "",
) -> str:
    """A response in the form of the standard's schemas: the records' data as given, one element each."""
    p = prefix
    declared = f"xmlns:{p[:-1]}" if p else "xmlns"
    rows = "".join(
        f"<{p}record><{p}recordSchema>{schema}</{p}recordSchema><{p}recordPacking>xml</{p}recordPacking>"
        f"<{p}recordData>{data}</{p}recordData><{p}recordPosition>{nth}</{p}recordPosition></{p}record>"
        for nth, data in enumerate(records, 1)
    )
    listed = f"<{p}records>{rows}</{p}records>" if records else ""
    count = len(records) if total is None else total
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><{p}searchRetrieveResponse {declared}="{namespace}">'
        f"<{p}numberOfRecords>{count}</{p}numberOfRecords>{listed}{after}</{p}searchRetrieveResponse>"
    )


def diagnostic(number: int, details: str = "", message: str = "") -> str:
    """One diagnostic of the list info:srw/diagnostic/1."""
    return (
        f'<diagnostic xmlns="{DIAGNOSTIC}"><uri>info:srw/diagnostic/1/{number}</uri>'
        f"<details>{details}</details><message>{message}</message></diagnostic>"
    )


def failure(number: int, details: str = "", message: str = "", total: int = 0) -> str:
    """A response that is a fault; it comes with HTTP status 200."""
    inside = f'<zs:diagnostics xmlns:zs="{SRW}">{diagnostic(number, details, message)}</zs:diagnostics>'
    return response(total=total, after=inside)


def marc(*fields: str, control: str = "") -> str:
    """A MARCXML record of fields written as `TAG II $a text $b text` (spaces of indicators as `#`)."""
    rows = ""
    for line in fields:
        tag, indicators, rest = line.split(" ", 2)
        marks = indicators.replace("#", " ")
        subs = "".join(
            f'<subfield code="{part[0]}">{part[1:].strip()}</subfield>' for part in rest.split("$") if part.strip()
        )
        rows += f'<datafield tag="{tag}" ind1="{marks[0]}" ind2="{marks[1]}">{subs}</datafield>'
    leader = "<leader>00000nam a2200000 a 4500</leader>"
    return f'<record xmlns="http://www.loc.gov/MARC21/slim">{leader}{control}{rows}</record>'


SALT = marc(
    "020 ## $a 9780306406157 $q (hbk.)",
    "100 1# $a Thorn, Ada.",
    "245 10 $a Salt : $b a history / $c Ada Thorn.",
    "264 #1 $a Port Wren : $b Gull Press, $c 1987.",
    "300 ## $a xii, 345 p. : $b ill. ; $c 28 cm.",
)
"""An invented book under the number that ISBN handbooks use as their example."""
