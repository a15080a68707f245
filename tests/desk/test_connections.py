"""Strangers hold few connections and none for long; a station that is sent away loses its own at once."""

import socket
import ssl
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from intake.desk import door_protocol
from intake.desk.connections import MOST_STRANGERS, Connections
from intake.desk.guard import STRANGER_BYTES
from intake.edges.store.library import Library
from tests.desk.conftest import Running, Station, let_in, running, until


class FakeConnection:
    """Remembers what it was told."""

    def __init__(self) -> None:
        self.told: list[str] = []

    def drop(self) -> None:
        self.told.append("drop")

    def limit(self) -> None:
        self.told.append("limit")

    def keep(self) -> None:
        self.told.append("keep")


def test_the_address_that_holds_most_loses_its_oldest() -> None:
    connections = Connections()
    phone = FakeConnection()
    connections.opened(("192.0.2.7", 1), phone)
    strangers = [FakeConnection() for _ in range(1100)]
    for port, stranger in enumerate(strangers):
        connections.opened(("198.51.100.1", port), stranger)
        assert connections.strangers <= MOST_STRANGERS
    assert phone.told == ["limit"]
    assert [stranger.told for stranger in strangers[-MOST_STRANGERS + 1 :]] == [["limit"]] * (MOST_STRANGERS - 1)
    assert all(stranger.told[-1] == "drop" for stranger in strangers[: -MOST_STRANGERS + 1])


def test_stations_do_not_count_and_are_not_pushed_out() -> None:
    connections = Connections()
    known = [FakeConnection() for _ in range(MOST_STRANGERS + 10)]
    for port, connection in enumerate(known):
        connections.opened(("192.0.2.7", port), connection)
        connections.known(("192.0.2.7", port), "hall")
    for port in range(MOST_STRANGERS + 10):
        connections.opened(("198.51.100.1", port), FakeConnection())
    assert all(connection.told == ["limit", "keep"] for connection in known)
    connections.drop("study")
    assert all(connection.told[-1] == "keep" for connection in known)
    connections.drop("hall")
    assert all(connection.told[-1] == "drop" for connection in known)


def test_after_signing_out_a_connection_is_a_strangers_again() -> None:
    connections = Connections()
    connection = FakeConnection()
    connections.opened(("192.0.2.7", 1), connection)
    connections.known(("192.0.2.7", 1), "hall")
    connections.release("hall")
    assert (connection.told, connections.strangers) == (["limit", "keep", "limit"], 1)
    connections.closed(("192.0.2.7", 1))
    assert connections.strangers == 0


@pytest.fixture(params=[False, True], ids=["clear", "tls"])
def any_desk(request: pytest.FixtureRequest, library: Library, tmp_path: Path) -> Iterator[Running]:
    with running(library, tmp_path / "keys", tls=request.param) as desk:
        yield desk


def trusting(desk: Running, keys: Path) -> dict[str, object]:
    """Return how a client trusts the desk's own authority, if it speaks TLS."""
    if not desk.opened.desk.endpoint.secure:
        return {}
    return {"verify": ssl.create_default_context(cafile=keys / "authority.pem")}


def enter(desk: Running, keys: Path) -> Station:
    station = Station(desk.base, **trusting(desk, keys))
    assert station.get(desk.link.removeprefix(desk.base)).status_code == 303
    return station.learn()


def wire(desk: Running) -> socket.socket:
    return socket.create_connection(("127.0.0.1", desk.opened.desk.endpoint.port), timeout=10)


def ended(connection: socket.socket) -> bool:
    """Tell whether the other end has ended a connection; waits for it."""
    try:
        while connection.recv(4096):
            pass
    except ConnectionError:
        return True
    except TimeoutError:
        return False
    return True


def test_idle_strangers_push_out_each_other_and_no_station(any_desk: Running, tmp_path: Path) -> None:
    station = enter(any_desk, tmp_path / "keys")
    idle = [wire(any_desk) for _ in range(3 * MOST_STRANGERS)]
    try:
        assert all(ended(connection) for connection in idle[:MOST_STRANGERS])
        assert any_desk.opened.desk.connections.strangers <= MOST_STRANGERS
        answer = station.post("/api/scan", box="1", text="9789999812252", request="among strangers").json()
        assert answer["answers"][0]["kind"] == "good"
        assert let_in(any_desk) if not any_desk.opened.desk.endpoint.secure else enter(any_desk, tmp_path / "keys")
    finally:
        for connection in idle:
            connection.close()


HALF_A_BODY = b"POST /pair HTTP/1.1\r\nHost: {host}\r\nOrigin: {base}\r\nContent-Length: 900\r\n\r\ncode=22"


@pytest.mark.parametrize("begun", [b"", b"GET /pair HT", HALF_A_BODY], ids=["nothing", "half a head", "half a body"])
def test_half_a_request_of_a_stranger_is_not_waited_for(
    desk: Running, begun: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(door_protocol, "STRANGER_LASTS_S", 0.3)
    host = desk.base.partition("//")[2].encode()
    with wire(desk) as connection:
        connection.sendall(begun.replace(b"{host}", host).replace(b"{base}", desk.base.encode()))
        assert ended(connection)
    until(lambda: desk.opened.desk.connections.strangers == 0)


def test_a_stranger_who_sends_byte_by_byte_is_not_waited_for(desk: Running, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door_protocol, "STRANGER_LASTS_S", 0.5)
    with wire(desk) as connection:

        def dribble() -> None:
            for _ in range(200):
                connection.sendall(b"G")
                time.sleep(0.05)

        with pytest.raises(ConnectionError):
            dribble()


def test_half_a_handshake_is_not_waited_for(library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door_protocol, "STRANGER_LASTS_S", 0.3)
    with running(library, tmp_path / "keys", tls=True) as desk:
        with wire(desk) as connection:
            connection.sendall(b"\x16\x03\x01")
            assert ended(connection)
        with wire(desk) as connection:
            connection.sendall(b"GET / HTTP/1.1\r\n\r\n")
            assert ended(connection), "TLS is not left for plain HTTP"
        until(lambda: desk.opened.desk.connections.strangers == 0)


def test_a_stations_own_slow_request_is_waited_for(
    desk: Running, station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(door_protocol, "STRANGER_LASTS_S", 0.3)
    cookies = "; ".join(f"{name}={value}" for name, value in station.client.cookies.items())
    body = b'{"box": "1", "text": "9789999812252", "request": "slow"}'
    head = (
        f"POST /api/scan HTTP/1.1\r\nHost: {desk.base.partition('//')[2]}\r\nOrigin: {desk.base}\r\n"
        f"Cookie: {cookies}\r\nX-Form-Token: {station.token}\r\nContent-Type: application/json\r\n"
        f"Content-Length: {len(body)}\r\n\r\n"
    )
    with wire(desk) as connection:
        connection.sendall(head.encode() + body[:10])
        time.sleep(0.8)
        connection.sendall(body[10:])
        assert connection.recv(100).startswith(b"HTTP/1.1 200")


def test_before_pairing_a_body_is_64_kb_at_most(desk: Running, station: Station) -> None:
    headers = {"Origin": desk.base, "Content-Type": "image/jpeg"}
    assert STRANGER_BYTES == 65536
    for path in ("/pair", "/api/picture"):
        answer = httpx.post(desk.base + path, content=b"x" * (STRANGER_BYTES + 1), headers=headers)
        assert answer.status_code == (413 if path == "/pair" else 401)
    parts = (b"x" * 10_000 for _ in range(10))
    assert httpx.post(f"{desk.base}/pair", content=parts, headers=headers).status_code == 413
    assert httpx.post(f"{desk.base}/pair", content=b"x" * STRANGER_BYTES, headers=headers).status_code == 400
    assert station.send("/api/picture?box=1&request=x", b"x" * (STRANGER_BYTES + 1)).status_code == 422


def listen(station: Station, ready: threading.Event) -> None:
    try:
        with station.client.stream("GET", "/events", timeout=30) as stream:
            for _ in stream.iter_lines():
                ready.set()
    except httpx.HTTPError:
        pass  # the connection was ended


def test_a_station_that_is_sent_away_loses_its_stream_at_once(any_desk: Running, tmp_path: Path) -> None:
    laptop, other = enter(any_desk, tmp_path / "keys"), enter(any_desk, tmp_path / "keys")
    sessions = any_desk.opened.desk.authenticator.sessions
    cookie = other.client.cookies[any_desk.opened.desk.endpoint.cookie]
    session = sessions.find(cookie)
    assert session is not None
    ready = threading.Event()
    listener = threading.Thread(target=listen, args=(other, ready))
    listener.start()
    assert ready.wait(5)
    until(lambda: any_desk.opened.desk.hub.open_streams == 1)
    assert laptop.post(f"/stations/{session.id}/end").status_code == 303
    listener.join(5)
    assert not listener.is_alive()
    assert other.get("/boxes").status_code == 401
    assert laptop.get("/boxes").status_code == 200
    assert laptop.post(f"/stations/{session.id}/end").status_code == 404


def test_signing_out_ends_the_session_and_its_stream(desk: Running, station: Station) -> None:
    """OWASP ASVS 4.0.3, 3.3.1: what the browser still has opens nothing."""
    cookies = dict(station.client.cookies)
    ready = threading.Event()
    listener = threading.Thread(target=listen, args=(station, ready))
    listener.start()
    assert ready.wait(5)
    answer = station.post("/sign-out")
    assert answer.status_code == 303
    assert "max-age=0" in answer.headers["set-cookie"].lower()
    assert "clear-site-data" not in answer.headers, "scans that wait in the browser are kept"
    listener.join(5)
    assert not listener.is_alive()
    assert "Signed out" in station.get("/pair?out=1").text
    assert httpx.get(f"{desk.base}/boxes", cookies=cookies).status_code == 401
