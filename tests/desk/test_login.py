"""Nobody comes in but by the link or a code; no other site can make a browser do anything."""

import re
import socket
import ssl
from collections.abc import Iterator
from pathlib import Path

import httpx
import numpy as np
import pytest
import zxingcpp

from intake.desk.app import ROUTES
from intake.desk.guard import FORM_BYTES, OPEN_TO_ALL
from intake.edges import network
from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import ledger_head
from tests.desk.conftest import Running, Station, let_in, running
from tests.desk.shared_desk import desk, station

__all__ = ["desk", "station"]

FILLED = {"box": "1", "copy": "1", "edition": "1", "query": "1", "shelf": "1", "name": "desk.js", "size": "small",
          "sha256": "0" * 64, "mark": "0", "session": "bcdfgh", "number": "1", "paper": "inventory", "suffix": "pdf",
          "side": "front", "set": "1", "case": "2", "entry": "1", "key": "none", "step": "open"}  # fmt: skip


def addresses() -> Iterator[tuple[str, str]]:
    for route in ROUTES:
        path = re.sub(r"\{(\w+)\}", lambda found: FILLED[found[1]], route.path)
        for method in sorted((route.methods or set()) - {"HEAD"}):
            yield method, path


@pytest.mark.parametrize(("method", "path"), list(addresses()), ids=str)
def test_without_a_session_every_address_is_closed(desk: Running, method: str, path: str) -> None:
    headers = {"Origin": desk.base}
    content = b"" if method == "POST" else None
    answer = httpx.request(method, desk.base + path, headers=headers, content=content, verify=False)  # noqa: S501 - no TLS
    if path == "/enter":
        assert answer.status_code == 409, "no key, no entry"
    elif path == "/pair":
        assert answer.status_code == (200 if method == "GET" else 409)
    elif path in OPEN_TO_ALL:
        assert answer.status_code == 200
    else:
        assert answer.status_code == 401
        assert "set-cookie" not in answer.headers


def test_a_browser_that_is_not_in_finds_the_way_to_pair(desk: Running) -> None:
    form = {"code": "22222222", "name": "hall"}
    wrong = httpx.post(f"{desk.base}/pair", data=form, headers={"Origin": desk.base})
    assert wrong.status_code == 409
    assert 'action="/pair"' in wrong.text
    for value in form.values():  # the form is there again, with what was typed, and says why
        assert f'value="{value}"' in wrong.text
    assert re.search(r'role="alert">.*This pairing code ', wrong.text)
    long = httpx.post(f"{desk.base}/pair", data=form | {"name": "<b>" * 99}, headers={"Origin": desk.base})
    assert (long.status_code, "<b>" in long.text, 'action="/pair"' in long.text) == (400, False, True)
    for answer in (httpx.get(f"{desk.base}/"), httpx.get(f"{desk.base}/boxes")):
        assert re.findall(r'<a [^>]*href="([^"]+)"', answer.text) == ["/pair"]
    assert 'href="/pair"' not in let_in(desk).get("/editions/9999").text


def test_only_the_door_and_its_look_are_open() -> None:
    door = {"/pair", "/enter", "/static/desk.css"}
    app = {"/app.webmanifest", "/offline"} | {
        f"/static/icon{one}" for one in (".svg", "-192.png", "-512.png", "-full-512.png")
    }
    assert door | app == OPEN_TO_ALL, "what tells of a library is closed; a browser asks for icons without its cookie"


@pytest.mark.parametrize("path", ["/nowhere", "/static/../app.py", "/static/%2e%2e/app.py", "/unpack/", "//", "/%00"])
def test_an_address_that_is_none_is_closed_too(desk: Running, path: str) -> None:
    assert httpx.get(desk.base + path, verify=False).status_code == 401  # noqa: S501 - no TLS


def test_the_cookie_is_kept_from_scripts_and_other_sites(desk: Running) -> None:
    cookie = httpx.get(desk.link).headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert str(desk.opened.desk.endpoint.port) in cookie.partition("=")[0]


@pytest.mark.parametrize("host", ["evil.example", "evil.example:80", "127.0.0.1", "127.0.0.1:1", "[::1]", ""])
def test_another_host_name_is_refused(desk: Running, station: Station, host: str) -> None:
    """A page of another site whose name was pointed at this machine has that name in its Host header."""
    assert station.client.get("/boxes", headers={"Host": host}).status_code == 403


@pytest.mark.parametrize("origin", [None, "null", "http://evil.example", "https://127.0.0.1", "http://127.0.0.1"])
def test_a_form_of_another_site_is_refused(station: Station, origin: str | None) -> None:
    headers = {"X-Form-Token": station.token, **({"Origin": origin} if origin else {})}
    answer = station.client.post("/api/undo", json={"entry": 1}, headers=headers)
    assert answer.status_code == 403


@pytest.mark.parametrize("token", ["", "0" * 64, "é"])
def test_a_form_without_the_sessions_token_is_refused(station: Station, token: str) -> None:
    headers = {b"Origin": station.base.encode(), b"X-Form-Token": token.encode()}
    assert station.client.post("/api/undo", json={"entry": 1}, headers=headers).status_code == 403
    form = {"entry": "1", "form_token": token}
    assert station.client.post("/undo", data=form, headers={"Origin": station.base}).status_code == 403


def test_the_token_of_another_session_is_refused(desk: Running, station: Station) -> None:
    other = let_in(desk)
    other.token = station.token
    assert other.post("/api/undo", entry=1).status_code == 403


def test_a_part_of_a_page_is_kept_under_the_address_of_its_version_alone(station: Station) -> None:
    (address,) = re.findall(r'<script src="([^"]+/early.js)"', station.get("/boxes").text)
    lasting, other = station.get(address), station.get("/static/0123456789abcdef/early.js")
    assert lasting.headers["cache-control"] == "private, max-age=31536000, immutable"
    assert (other.content, other.headers["cache-control"]) == (lasting.content, "no-cache")
    assert station.get(address.replace("early", "nothing")).status_code == 404


def test_every_page_carries_its_policy(station: Station) -> None:
    for path in ("/", "/boxes", "/pile", "/nowhere", "/static/desk.js", "/api/typing?text=a"):
        headers = station.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert headers["cache-control"] == ("no-cache" if path.startswith("/static/") else "no-store")
        assert headers.get("content-disposition", "").startswith("attachment") == path.startswith("/api/")
        assert not {"server", "access-control-allow-origin", "strict-transport-security"} & headers.keys()


@pytest.mark.parametrize(
    "path",
    ["/", "/boxes", "/boxes/1", "/unpack/1", "/pile", "/shelves", "/catalog?q=a", "/copies/1", "/editions/1",
     "/papers?paper=inventory", "/papers?paper=box-labels", "/pairing", "/ledger", "/ledger/1", "/progress", "/copies",
     "/sets", "/sets/1", "/bookcases/2"],
)  # fmt: skip
def test_no_page_has_a_script_or_a_style_of_its_own(station: Station, path: str) -> None:
    page = station.get(path)
    assert page.status_code == 200
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=|javascript:", page.text)
    assert not re.search(r"(?:src|href|action)=\"(?:https?:)?//", page.text), "nothing is loaded from elsewhere"


@pytest.mark.parametrize("method", ["DELETE", "PUT", "PATCH", "OPTIONS", "TRACE"])
def test_only_methods_in_use_are_answered(station: Station, method: str) -> None:
    headers = {"X-Form-Token": station.token, "Origin": station.base}
    for path in ("/boxes", "/api/scan", "/pair"):
        assert station.client.request(method, path, headers=headers).status_code == 405


def test_too_much_is_refused_before_it_is_read(station: Station) -> None:
    assert station.post("/api/scan", text="x" * (FORM_BYTES + 1)).status_code == 413
    headers = {"X-Form-Token": station.token, "Origin": station.base, "Content-Type": "application/json"}
    parts = (b"x" * 50_000 for _ in range(10))
    assert station.client.post("/api/scan", content=parts, headers=headers).status_code == 413


def test_a_connection_lost_in_mid_request_changes_nothing(desk: Running, station: Station) -> None:
    with desk.library.reading() as records:
        before = ledger_head(records)
    cookies = "; ".join(f"{name}={value}" for name, value in station.client.cookies.items())
    with socket.create_connection(("127.0.0.1", desk.opened.desk.endpoint.port)) as wire:
        wire.sendall(
            f"POST /api/scan HTTP/1.1\r\nHost: {desk.base.partition('//')[2]}\r\nOrigin: {desk.base}\r\n"
            f"Cookie: {cookies}\r\nX-Form-Token: {station.token}\r\nContent-Type: application/json\r\n"
            f'Content-Length: 500\r\n\r\n{{"box": "1", "text": "97'.encode()
        )
    assert station.get("/boxes").status_code == 200
    with desk.library.reading() as records:
        assert ledger_head(records) == before


def test_on_this_machine_only_without_lan(desk: Running, station: Station) -> None:
    assert desk.opened.listening.getsockname()[0] == "127.0.0.1"
    assert 'id="code"' not in station.get("/pairing").text


needs_network = pytest.mark.skipif(network.house_address() is None, reason="this machine is in no network")


@needs_network
def test_a_phone_is_paired_once_and_may_not_let_others_in(library: Library, tmp_path: Path) -> None:
    with running(library, tmp_path / "keys", lan=True) as desk:
        laptop = let_in(desk)
        page = laptop.get("/pairing").text
        address = re.search(r"<b>(http://[^<]+)/pair</b>", page)
        code = re.search(r'id="code">([^<]+)<', page)
        assert address
        assert code
        phone = Station(address[1])
        assert phone.get("/boxes").status_code == 401
        assert phone.get(desk.link.removeprefix(desk.base)).status_code == 403, "the link works on the laptop only"
        answer = phone.client.post("/pair", data={"code": code[1]}, headers={"Origin": address[1]})
        assert answer.status_code == 303
        phone.learn()
        assert phone.get("/pairing").status_code == 403
        assert phone.post("/pairing/forget").status_code == 403
        second = Station(address[1])
        assert second.client.post("/pair", data={"code": code[1]}, headers={"Origin": address[1]}).status_code == 409
        assert laptop.post("/pairing/forget").status_code == 303
        assert phone.get("/boxes").status_code == 401
        assert laptop.get("/boxes").status_code == 200


@needs_network
def test_the_symbol_on_the_screen_is_the_way_in(library: Library, tmp_path: Path) -> None:
    """Drawn from the page's own path and read by zxing-cpp, which did not draw it from there."""
    with running(library, tmp_path / "keys", lan=True) as desk:
        page = let_in(desk).get("/pairing").text
    side = int(re.search(r'viewBox="-4 -4 (\d+) ', page)[1])  # type: ignore[index] # a page without it fails here
    picture = np.full((side, side), 255, np.uint8)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", page):
        picture[int(y) + 4, int(x) + 4] = 0
    (read,) = zxingcpp.read_barcodes(np.kron(picture, np.ones((6, 6), np.uint8)))
    assert re.fullmatch(rf"http://{network.house_address()}:\d+/pair\?code=[A-Z2-9]{{8}}", read.text)


@needs_network
def test_tls_with_the_households_own_certificate(library: Library, tmp_path: Path) -> None:
    with running(library, tmp_path / "keys", lan=True, tls=True) as desk:
        with pytest.raises(httpx.ConnectError):
            httpx.get(desk.base)
        context = ssl.create_default_context(cafile=tmp_path / "keys" / "authority.pem")
        laptop = Station(desk.base, verify=context)
        cookie = laptop.get(desk.link.removeprefix(desk.base)).headers["set-cookie"]
        assert cookie.startswith("__Host-intake_")
        attributes = {part.strip().lower() for part in cookie.split(";")[1:]}
        assert {"secure", "httponly", "samesite=strict", "path=/"} <= attributes
        assert not any(part.startswith("domain") for part in attributes)
        assert desk.opened.desk.endpoint.fingerprint[:47] in laptop.get("/pairing").text
        assert laptop.get("/authority").content.startswith(b"-----BEGIN CERTIFICATE")
        house = Station(desk.opened.desk.endpoint.phone or "", verify=context)
        assert house.get("/boxes").status_code == 401
