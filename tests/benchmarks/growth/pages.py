"""The desk as a browser of the same machine meets it: `intake serve` started, its link opened, pages asked for."""

import http.client
import json
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import psutil

from tests.benchmarks.growth.jobs import Job
from tests.benchmarks.growth.running import Program, Run

STOPPING_S = 10
NO_LIBRARY_NEEDED = "/pairing"
"""A page that is asked for first, so that the desk has loaded what every page needs."""


class DeskError(Exception):
    """The desk did not start, or did not let its own machine in."""


class Desk:
    """A running desk and the one browser that it let in."""

    def __init__(self, process: psutil.Popen, link: str) -> None:
        self.process = process
        self.address = urlsplit(link)
        self.cookie = self.form_token = ""

    def ask(self, path: str, *, timeout: float, body: dict[str, str] | None = None) -> http.client.HTTPResponse:
        """Send one request and return its answer, unread.

        Raises:
            OSError: no answer came within `timeout` seconds.
        """
        connection = http.client.HTTPConnection(self.address.hostname or "", self.address.port, timeout=timeout)
        own = {"Cookie": self.cookie} if self.cookie else {}
        if body is None:
            connection.request("GET", path, headers=own)
        else:
            origin = f"{self.address.scheme}://{self.address.netloc}"
            more = {"X-Form-Token": self.form_token, "Origin": origin, "Content-Type": "application/json"}
            connection.request("POST", path, json.dumps(body), {**own, **more})
        return connection.getresponse()

    def enter(self) -> None:
        """Open the link, keep the cookie, and learn the token of its forms.

        Raises:
            DeskError: the desk gave no cookie.
        """
        answer = self.ask(f"{self.address.path}?{self.address.query}", timeout=30)
        self.cookie = answer.headers.get("Set-Cookie", "").partition(";")[0]
        page = self.ask(NO_LIBRARY_NEEDED, timeout=30).read().decode()
        self.form_token = page.partition('name="form-token" content="')[2].partition('"')[0]
        if not self.cookie or not self.form_token:
            raise DeskError(f"the desk did not let its own machine in: {answer.status}")

    def spent(self) -> float:
        """Return the processor seconds that the desk has used so far."""
        times = self.process.cpu_times()
        return float(times.user + times.system)


@contextmanager
def running(program: Program, library: Path) -> Iterator[Desk]:
    """Serve a library until the block ends.

    Raises:
        DeskError: the desk did not start.
    """
    with tempfile.TemporaryDirectory() as keys:
        own = ("--library", str(library), "serve", "--port", "0", "--no-open", "--keys", keys)
        process = psutil.Popen(
            [*program.words, *own],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env=program.environ(),
        )
        try:
            yield _entered(process)
        finally:
            process.terminate()
            try:
                process.wait(STOPPING_S)
            except psutil.TimeoutExpired:
                process.kill()
            process.stdout.close()


def _entered(process: psutil.Popen) -> Desk:
    told = []
    for line in process.stdout:
        told.append(line)
        if "/enter?" in line:
            desk = Desk(process, line[line.index("http") :].strip())
            desk.enter()
            return desk
    raise DeskError(f"the desk did not start: {''.join(told)}")


def measure(desk: Desk, page: Job, *, limit: float) -> Run:
    """Ask for a page once, the first time in the life of this desk, and return what the desk spent on it."""
    before = desk.spent()
    try:
        answer = desk.ask(page.words[0], timeout=limit, body=dict(page.body) if page.body else None)
        text = answer.read().decode("utf-8", "replace")
    except OSError:
        return Run(desk.spent() - before, desk.process.memory_info().rss, None, "")
    failed = 0 if answer.status == http.client.OK else answer.status
    return Run(desk.spent() - before, desk.process.memory_info().rss, failed, text[:4000] if failed else "")
