"""WebKitGTK's small browser, driven by the W3C's WebDriver protocol; it needs an X server, of which Xvfb is one."""

import os
import socket
import subprocess
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from shutil import which

import httpx

DRIVER = "WebKitWebDriver"
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
"""The name that WebDriver gives a reference to an element (section 12)."""
ENTER, F2 = "\ue006", "\ue032"
"""Keys without a character (section 17.4.2)."""
KEY_MS = 5
PAINTED = "return !window.isLeft && performance.getEntriesByName('first-contentful-paint').length > 0"
WAIT_S = 30


def _browsers() -> list[str]:
    return sorted(str(path) for path in Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser"))


def what_is_missing() -> str:
    """Return what has to be installed first; nothing where all is there."""
    missing = [name for name in (DRIVER, "Xvfb") if which(name) is None]
    return ", ".join([*missing, *([] if _browsers() else ["MiniBrowser"])])


@contextmanager
def x_server() -> Iterator[str]:
    """Start an X server without a screen; yields its name."""
    reading, writing = os.pipe()
    command = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1400x900x24", "-nolisten", "tcp"]
    with subprocess.Popen(command, pass_fds=(writing,), stderr=subprocess.DEVNULL) as server:
        os.close(writing)
        try:
            with os.fdopen(reading) as told:
                yield f":{told.readline().strip()}"
        finally:
            server.terminate()


@dataclass(frozen=True)
class Window:
    """A window of the browser."""

    client: httpx.Client
    session: str

    def post(self, command: str, **values: object) -> object:
        """Send a command; returns its value."""
        answer = self.client.post(f"/session/{self.session}/{command}", json=values)
        answer.raise_for_status()
        return answer.json()["value"]

    def open(self, address: str) -> None:
        """Go to a page, and wait until it is painted: until then a browser may drop keys.

        On a busy machine the browser answers with the page before it.
        """
        self.run("window.isLeft = true")
        self.post("url", url=address)
        self.until(lambda: self.run(PAINTED), "the first paint")

    def run(self, script: str) -> object:
        """Return what the body of a function returns on the page."""
        return self.post("execute/sync", script=script, args=[])

    def text(self, selector: str) -> str:
        """Return the text that is seen of an element; nothing where there is none."""
        return str(self.run(f"return document.querySelector({selector!r})?.innerText ?? ''"))

    def until(self, holds: Callable[[], object], what: str) -> None:
        """Wait until something holds."""
        end = time.monotonic() + WAIT_S
        while not holds():
            assert time.monotonic() < end, f"never: {what}"
            time.sleep(0.1)

    def sees(self, selector: str, words: str) -> None:
        """Wait until an element says something."""
        self.until(lambda: words in self.text(selector), f"{words!r} in {selector}, which says {self.text(selector)!r}")

    def press(self, keys: Sequence[str]) -> None:
        """Press keys one after the other, as fast as a handheld scanner does."""
        steps: list[dict[str, object]] = []
        for key in keys:
            steps += [{"type": kind, "value": key} for kind in ("keyDown", "keyUp")]
            steps.append({"type": "pause", "duration": KEY_MS})
        self.post("actions", actions=[{"type": "key", "id": "scanner", "actions": steps}])

    def click(self, selector: str) -> None:
        """Press an element with the mouse, as a person does: it must be in sight."""
        found = self.post("element", using="css selector", value=selector)
        assert isinstance(found, dict)
        self.post(f"element/{found[ELEMENT]}/click")


def _free_port() -> int:
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


@contextmanager
def webkit() -> Iterator[Window]:
    """Start the browser with a window."""
    port = _free_port()
    with (
        x_server() as display,
        subprocess.Popen(
            [DRIVER, f"--port={port}"],
            env={**os.environ, "DISPLAY": display, "GDK_BACKEND": "x11", "WEBKIT_DISABLE_COMPOSITING_MODE": "1"},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        ) as driver,
    ):
        try:
            with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=60) as client:
                yield from _window(client)
        finally:
            driver.terminate()


def _window(client: httpx.Client) -> Iterator[Window]:
    options = {"binary": _browsers()[0], "args": ["--automation"]}
    wanted = {"capabilities": {"alwaysMatch": {"webkitgtk:browserOptions": options}}}
    for _ in range(100):
        with suppress(httpx.ConnectError):
            client.get("/status")
            break
        time.sleep(0.1)
    answer = client.post("/session", json=wanted)
    answer.raise_for_status()
    session = answer.json()["value"]["sessionId"]
    try:
        yield Window(client, session)
    finally:
        client.delete(f"/session/{session}")
