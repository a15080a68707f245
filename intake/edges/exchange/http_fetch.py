"""Fetching one address politely: one request at a time, a deadline for the whole answer, a limit to its size.

A library of HTTP limits the time between two bytes only, so that a server which drips one byte a second would be read
for ever; here the deadline ends everything: looking up the name, connecting, the headers, the body. Redirects are
followed on the same host only. No account, no key and no cookie is ever sent. A server that fails is a value.
"""

import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from http.cookiejar import DefaultCookiePolicy
from types import TracebackType
from typing import Self
from urllib.parse import urlsplit

import anyio
import httpx
from anyio.from_thread import BlockingPortal, start_blocking_portal

from intake.model.lookups import ServerFault, ServerTrouble

DEADLINE_S = 15.0
LARGEST_BYTES = 8_000_000
"""Ten MARCXML records are some 100 kB; the longest that the format allows in its binary form is 100 kB each."""
MOST_REDIRECTS = 3
HEADERS = {
    "User-Agent": "book-intake (a household's catalog; one request at a time)",
    "Accept": "application/sru+xml, application/xml, text/xml",
    "Accept-Encoding": "identity",
}
PORTS = {"http": 80, "https": 443}


def is_address(text: str) -> bool:
    """Tell whether a text is the address of a server: http or https, a host, and no name or password in it.

    >>> is_address("https://catalog.example/sru/books"), is_address("catalog.example"), is_address("http://a:b@c.example/")
    (True, False, False)
    """
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        return False
    plain = not (parts.username or parts.password or parts.fragment) and text.isprintable() and " " not in text
    return parts.scheme in PORTS and bool(parts.hostname) and port != 0 and plain


class Fetcher:
    """Fetches addresses one after the other; one client keeps the connection to each server."""

    def __init__(self, *, deadline_s: float = DEADLINE_S, largest_bytes: int = LARGEST_BYTES) -> None:
        """Prepare.

        Args:
            deadline_s: seconds that one whole answer may take, redirects included.
            largest_bytes: size of the largest body that is read.
        """
        self._deadline_s = deadline_s
        self._largest_bytes = largest_bytes
        self._running = _client_in_loop()

    def __enter__(self) -> Self:
        """Start the loop that the requests run in."""
        self._portal, self._client = self._running.__enter__()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the connections."""
        self._running.__exit__(kind, error, trace)

    def get(self, url: str) -> bytes | ServerFault:
        """Return the body of an address, or why there is none."""
        if not is_address(url):
            return ServerFault(ServerTrouble.BAD_ADDRESS)
        return self._portal.call(self._get, url)

    async def _get(self, url: str) -> bytes | ServerFault:
        try:
            with anyio.fail_after(self._deadline_s):
                try:
                    return await self._followed(url)
                except (httpx.RemoteProtocolError, httpx.ReadError):
                    # A kept connection that the server has closed meanwhile looks like this; a new one will do.
                    return await self._followed(url)
        except TimeoutError:
            return ServerFault(ServerTrouble.TIMED_OUT, f"{self._deadline_s:g}")
        except (httpx.InvalidURL, httpx.UnsupportedProtocol):
            return ServerFault(ServerTrouble.BAD_ADDRESS)
        except (httpx.ConnectError, httpx.ProxyError) as error:
            return ServerFault(ServerTrouble.UNREACHABLE, str(error))
        except (httpx.HTTPError, ssl.SSLError) as error:
            return ServerFault(ServerTrouble.CUT_OFF, str(error))

    async def _followed(self, url: str) -> bytes | ServerFault:
        for _ in range(MOST_REDIRECTS + 1):
            async with self._client.stream("GET", url) as response:
                if response.next_request is None:
                    return await self._body(response)
                target = str(response.next_request.url)
            if not (is_address(target) and _same_host(url, target)):
                return ServerFault(ServerTrouble.REDIRECTED, urlsplit(target).hostname or target)
            url = target
        return ServerFault(ServerTrouble.REDIRECTED, urlsplit(url).hostname or url)

    async def _body(self, response: httpx.Response) -> bytes | ServerFault:
        if response.status_code != httpx.codes.OK:
            return ServerFault(ServerTrouble.STATUS, str(response.status_code))
        if response.headers.get("content-encoding", "identity") != "identity":
            return ServerFault(ServerTrouble.COMPRESSED, response.headers["content-encoding"])
        body = bytearray()
        async for chunk in response.aiter_raw():
            body += chunk
            if len(body) > self._largest_bytes:
                return ServerFault(ServerTrouble.TOO_LARGE, str(self._largest_bytes // 1_000_000))
        return bytes(body)


@contextmanager
def _client_in_loop() -> Iterator[tuple[BlockingPortal, httpx.AsyncClient]]:
    """Run a loop of its own in a thread, for whoever calls may be in a loop already; close it whatever happens."""
    with start_blocking_portal() as portal:
        # The deadline is this module's, so the client has none.
        client = httpx.AsyncClient(headers=HEADERS, timeout=None, follow_redirects=False)  # noqa: S113
        client.cookies.jar.set_policy(DefaultCookiePolicy(allowed_domains=()))
        with portal.wrap_async_context_manager(client) as opened:
            yield portal, opened


def _same_host(url: str, target: str) -> bool:
    """Tell whether a redirect stays on its host: the same name and port, or from http to https on their usual ports."""
    here, there = urlsplit(url), urlsplit(target)
    ports = tuple(parts.port or PORTS[parts.scheme] for parts in (here, there))
    same = here.scheme == there.scheme and ports[0] == ports[1]
    upgraded = (here.scheme, there.scheme) == ("http", "https") and ports == (80, 443)
    return here.hostname == there.hostname and (same or upgraded)
