"""A running desk with the demonstration's library, and Debian's Chromium to look at it."""

import re
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar, Literal

import cv2
import httpx
import pytest
from playwright.sync_api import Browser, Page, Playwright, ViewportSize, sync_playwright

from intake.desk.run import Opened, Server, make_server, open_desk
from intake.edges import clock, demo_scans, sheets
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.flow.demo.run_demo import LISTS
from intake.flow.lists.import_list import import_table
from intake.flow.moving import box_lifecycle
from intake.reading.decoders import available
from tests.made_library import copy_library, new_library

SCANS = demo_scans.folder(None)
PHOTOGRAPHS = SCANS / "photographs"
CHROMIUM = Path("/usr/bin/chromium")
FRAME = (1280, 720)
Scheme = Literal["light", "dark"]


@dataclass(frozen=True)
class Running:
    """A desk that takes requests."""

    opened: Opened
    library: Library
    server: Server

    @property
    def base(self) -> str:
        return self.opened.link.partition("/enter")[0]

    @property
    def link(self) -> str:
        """The link that works now: each works once."""
        return f"{self.base}/enter?key={self.opened.desk.authenticator.link_key}"


@pytest.fixture(scope="session")
def stocked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with the demonstration's lists, its first three boxes checked in."""
    folder = tmp_path_factory.mktemp("stocked") / "library"
    with new_library(folder) as library:
        for kind, name in LISTS:
            table = sheets.read_csv(SCANS / name)
            import_table(library, kind, table, file=name, station="test", today=clock.today())
        with library.reading() as records:
            boxes = [box.number for box in list_boxes(records)]
        for number in boxes:
            box_lifecycle.close_box(library, number, station="test")
        for serial in ("1", "2", "3"):
            box_lifecycle.check_in(library, serial, station="test")
    return folder


@contextmanager
def running(library: Library, keys: Path, *, lan: bool = False, tls: bool = False) -> Iterator[Running]:
    """Serve a library in a thread of its own."""
    opened = open_desk(library, available(), port=0, lan=lan, tls=tls, keys=keys)
    server = make_server(opened.desk, opened.certificates)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [opened.listening]})
    thread.start()
    try:
        until(lambda: server.started)
        yield Running(opened, library, server)
    finally:
        opened.desk.hub.close()
        for station in Station.opened:
            if station.base.endswith(f":{opened.desk.endpoint.port}"):
                station.client.close()
        # The server takes note of the closed connections; its event loop would otherwise end before it has.
        until(lambda: not server.server_state.connections)
        server.should_exit = True
        thread.join(10)
        opened.listening.close()
        assert not thread.is_alive(), "the desk did not stop"


@contextmanager
def running_copy(stocked: Path, folder: Path) -> Iterator[Running]:
    """Serve a copy of a library: one for all tests of a module that change nothing that another of them looks at."""
    with copy_library(stocked, folder / "library") as library, running(library, folder / "keys") as desk:
        yield desk


@pytest.fixture
def library(stocked: Path, tmp_path: Path) -> Iterator[Library]:
    with copy_library(stocked, tmp_path / "library") as opened:
        yield opened


@pytest.fixture
def desk(library: Library, tmp_path: Path) -> Iterator[Running]:
    with running(library, tmp_path / "keys") as desk:
        yield desk


class Station:
    """A browser without a screen: its cookie, its form token, its requests."""

    opened: ClassVar[list["Station"]] = []

    def __init__(self, base: str, **client: object) -> None:
        self.opened.append(self)
        self.base = base
        # Without TLS there is nothing to verify; reading the certificates of the machine takes longer than a page.
        trust = {} if base.startswith("https:") else {"verify": False}
        self.client = httpx.Client(base_url=base, timeout=30, **(trust | client))  # type: ignore[arg-type] # passed on
        self.token = ""

    def learn(self) -> "Station":
        page = self.client.get("/boxes").text
        self.token = page.partition('name="form-token" content="')[2].partition('"')[0]
        assert self.token
        return self

    def get(self, path: str) -> httpx.Response:
        return self.client.get(path)

    def version(self, path: str) -> str:
        """Return the version that the forms of a page carry."""
        found = re.search(r'name="version" value="(\d+)"', self.get(path).text)
        assert found is not None
        return found[1]

    def post(self, path: str, **fields: object) -> httpx.Response:
        headers = {"X-Form-Token": self.token, "Origin": self.base}
        return self.client.post(path, json=fields, headers=headers)

    def send(self, path: str, data: bytes, media_type: str = "image/jpeg") -> httpx.Response:
        headers = {"X-Form-Token": self.token, "Origin": self.base, "Content-Type": media_type}
        return self.client.post(path, content=data, headers=headers)


def let_in(desk: Running) -> Station:
    """Return a browser of the machine, let in by its link."""
    station = Station(desk.base)
    assert station.get(desk.link.removeprefix(desk.base)).status_code == 303
    return station.learn()


@pytest.fixture
def station(desk: Running) -> Station:
    return let_in(desk)


def until(holds: Callable[[], object], seconds: float = 10.0) -> None:
    """Wait until something holds."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "it never came to hold"
        time.sleep(0.02)


def film(pictures: Sequence[Path], to: Path, *, seconds_each: float = 0.5) -> Path:
    """Write pictures one after the other as a film that the browser's fake camera plays (YUV4MPEG2, 4:2:0)."""
    width, height = FRAME
    with to.open("wb") as file:
        file.write(f"YUV4MPEG2 W{width} H{height} F2:1 Ip A1:1 C420jpeg\n".encode())
        for path in pictures:
            picture = cv2.imread(str(path))
            assert picture is not None
            # A frame is wider than a photograph: its lower part, where the back of a book has its symbol.
            scale = width / picture.shape[1]
            frame = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)[-height:]
            planes = cv2.cvtColor(frame, cv2.COLOR_BGR2YUV_I420).tobytes()
            for _ in range(round(2 * seconds_each)):
                file.write(b"FRAME\n" + planes)
    return to


ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-fake-device-for-media-stream",
)
ALLOWED = "--use-fake-ui-for-media-stream"


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    if not CHROMIUM.exists():
        pytest.skip("there is no /usr/bin/chromium to look with")
    with sync_playwright() as started:
        yield started


@contextmanager
def browser(playwright: Playwright, *more: str) -> Iterator[Browser]:
    """Start Debian's Chromium without a screen."""
    started = playwright.chromium.launch(executable_path=str(CHROMIUM), headless=True, args=[*ARGUMENTS, *more])
    try:
        yield started
    finally:
        started.close()


@pytest.fixture(scope="session")
def chromium(playwright: Playwright) -> Iterator[Browser]:
    with browser(playwright, ALLOWED) as started:
        yield started


PHONE: ViewportSize = {"width": 390, "height": 844}
WIDE: ViewportSize = {"width": 1280, "height": 800}


@contextmanager
def visit(
    browser: Browser,
    address: str,
    *,
    size: ViewportSize = PHONE,
    scheme: Scheme = "light",
    service_workers: Literal["allow", "block"] = "block",
) -> Iterator[Page]:
    """Open a page in a browser of its own; whatever its scripts complain of fails the test.

    A test that holds requests back does not see those that pass through a service worker (Playwright, page.route).
    """
    context = browser.new_context(
        viewport=size, color_scheme=scheme, ignore_https_errors=True, service_workers=service_workers
    )
    complaints: list[str] = []
    page = context.new_page()
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda said: complaints.append(said.text) if "Content Security" in said.text else None)
    try:
        page.goto(address)
        yield page
    finally:
        context.close()
    assert not complaints


def eventually(page: Page, holds: Callable[[], object], seconds: float = 20.0) -> None:
    """Wait until something holds, while the browser's requests are answered by the test's own routes."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "it never came to hold"
        page.wait_for_timeout(50)
