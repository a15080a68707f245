"""Several stations at one desk, each a client of its own over HTTP, together at a steady pace.

The desk is the command itself, in a process of its own; each station is let in as a phone is, by a code.
"""

import re
import signal
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx
from sqlalchemy import text

from intake.edges.store.library import open_library
from tests.faults.libraries import faults_of, lost_or_doubled, set_up
from tests.faults.recording import ROOT, environment
from tests.faults.station import number_of

BOOKS = 2000
CODE = re.compile(r'id="code">([A-Z0-9-]+)<')
TRIES = 20


@dataclass
class StationsReport:
    """What became of all the scans.

    Attributes:
        sent: scans.
        acknowledged: answered as booked, queued or booked before.
        retried: answers that made a station send again.
        seconds: from the first to the last.
        milliseconds: how long each scan waited for its answer, from when it was due to be sent.
        wrong: what was lost, doubled or damaged.
    """

    sent: int = 0
    acknowledged: int = 0
    retried: int = 0
    seconds: float = 0.0
    milliseconds: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    @property
    def percentile_95_ms(self) -> float:
        """Return the time in which 95 of 100 scans were answered."""
        return statistics.quantiles(self.milliseconds, n=20)[-1]

    @property
    def median_ms(self) -> float:
        """Return the time in which half of the scans were answered."""
        return statistics.median(self.milliseconds)


@contextmanager
def desk_of(library: Path, home: Path) -> Iterator[str]:
    """Serve a library; give the link that opens the desk."""
    command = [sys.executable, "-m", "intake", "--library", str(library), "serve", "--lan", "--no-open", "--port", "0"]
    own = {**environment(), "HOME": str(home), "XDG_DATA_HOME": str(home / "data"), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(
        [*command, "--keys", str(home / "keys")], cwd=ROOT, env=own, stdout=subprocess.PIPE, text=True
    ) as desk:
        assert desk.stdout is not None
        try:
            link = ""
            while not link:
                line = desk.stdout.readline()
                assert line, "the desk did not open"
                link = next(iter(re.findall(r"https?://\S+/enter\?key=\S+", line)), "")
            threading.Thread(target=desk.stdout.read, daemon=True).start()
            _await(link.partition("/enter")[0])
            yield link
        finally:
            desk.send_signal(signal.SIGINT)


def _await(base: str) -> None:
    for _ in range(600):
        try:
            httpx.get(f"{base}/pair", timeout=5)
        except httpx.TransportError:
            time.sleep(0.1)
        else:
            return
    message = "the desk does not answer"
    raise AssertionError(message)


class Client:
    """One station: its cookie and its form token."""

    def __init__(self, base: str) -> None:
        self.http = httpx.Client(base_url=base, timeout=60, headers={"Origin": base})
        self.token = ""

    def learn(self) -> None:
        """Read the form token from a page."""
        page = self.http.get("/boxes").text
        self.token = page.partition('name="form-token" content="')[2].partition('"')[0]
        assert self.token, page[:500]

    def scan(self, nth: int) -> httpx.Response:
        """Send the nth scan."""
        fields = {"box": "1", "text": number_of(nth, BOOKS), "request": f"scan-{nth}"}
        return self.http.post("/api/scan", json=fields, headers={"X-Form-Token": self.token})


def let_in(link: str, count: int) -> list[Client]:
    """Let the laptop's browser in by its link, and so many phones by its codes."""
    base = link.partition("/enter")[0]
    laptop = Client(base)
    assert laptop.http.get(link.removeprefix(base)).status_code == 303
    phones = []
    for nth in range(count):
        phone = Client(base)
        code = CODE.findall(laptop.http.get("/pairing").text)[0]
        answer = phone.http.post("/pair", data={"code": code, "name": f"station {nth}"})
        assert answer.status_code == 303, answer.text[-500:]
        phone.learn()
        phones.append(phone)
    laptop.http.close()
    return phones


def rehearse(folder: Path, *, stations: int = 8, per_second: float = 50.0, seconds: float = 60.0) -> StationsReport:
    """Let the stations scan, each at its own times, together so many a second."""
    library, report = folder / "library", StationsReport()
    set_up(library, BOOKS)
    count = round(per_second * seconds)
    with desk_of(library, folder) as link:
        clients = let_in(link, stations)
        for client in clients:
            client.scan(0)  # what is loaded at the first scan is not part of the measurement
        lock, begun = threading.Lock(), time.perf_counter() + 0.2
        threads = [
            threading.Thread(
                target=_scan_all,
                args=(client, range(1 + nth, count + 1, stations), begun, per_second, report, lock),
            )
            for nth, client in enumerate(clients)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        report.seconds = time.perf_counter() - begun
        for client in clients:
            client.http.close()
    report.wrong += faults_of(library)
    report.wrong += _lost(library, count)
    return report


def _scan_all(
    client: Client, scans: range, begun: float, per_second: float, report: StationsReport, lock: threading.Lock
) -> None:
    for nth in scans:
        due = begun + nth / per_second
        time.sleep(max(0.0, due - time.perf_counter()))
        for _ in range(TRIES):
            answer = client.scan(nth)
            if answer.status_code == 200:
                break
            with lock:
                report.retried += 1
            time.sleep(0.1)
        ms = 1000 * (time.perf_counter() - due)
        with lock:
            report.sent += 1
            report.acknowledged += answer.status_code == 200
            report.milliseconds.append(ms)


def _lost(library: Path, count: int) -> list[str]:
    with open_library(library) as opened, opened.reading() as records:
        requests = list(records.connection.scalars(text("SELECT request FROM ledger WHERE request LIKE '%/scan-%'")))
    numbers = [int(request.rpartition("-")[2]) for request in requests if not request.endswith("/scan-0")]
    wrong = [f"scan {nth} is lost" for nth in sorted(set(range(1, count + 1)) - set(numbers))]
    if len(numbers) != len(set(numbers)):
        wrong.append(f"{len(numbers) - len(set(numbers))} scans are doubled")
    return [*wrong, *lost_or_doubled(library, (), {})]
