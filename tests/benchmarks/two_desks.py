"""Two desks of one library, four stations each, over HTTP: in a folder, and on a PostgreSQL server, side by side.

    pg_virtualenv -o fsync=on -o synchronous_commit=on python -m tests.benchmarks.two_desks [--seconds 60] [--rate 20]
                  [--restart "pg_ctlcluster 15 regress restart -m fast"] [--ramp 10,20,40]

At a third of the time one desk is killed (SIGKILL) and started again; at two thirds the server is restarted by the
command that is given. Every station sends what was not acknowledged once more, under the same request, as a phone does.
Afterwards: nothing lost, nothing booked twice, no number given twice, and `intake check` finds nothing. The ramp is
without faults: the scans a second that are answered with a 95th percentile of no more than 200 ms.
"""

import argparse
import os
import shlex
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx
from sqlalchemy import text

from intake.edges.clock import now
from intake.edges.server_address import LibraryPlace
from intake.edges.store.archive_restore import restore_archive
from intake.edges.store.archive_writing import write_archive
from intake.edges.store.library import open_library
from intake.flow.safekeeping.check_library import check_library
from intake.flow.safekeeping.finding_words import report_lines
from tests.faults.libraries import set_up
from tests.faults.recording import ROOT, environment
from tests.faults.stations import BOOKS, Client, let_in
from tests.servers import DATABASES, IS_THERE, WHY_NOT, address_of, execute

STATIONS = 4
PATIENCE_S = 90.0
AIM_MS = 200.0


@dataclass
class DeskProcess:
    """A desk as a command in a process of its own, at a port that it keeps."""

    place: LibraryPlace
    home: Path
    port: int
    process: subprocess.Popen[str] | None = None
    link: str = ""

    def start(self) -> None:
        """Start it and wait for its link."""
        url = getattr(self.place, "url", str(self.place))
        command = [sys.executable, "-m", "intake", "serve", "--lan", "--no-open", "--port", str(self.port)]
        own = {**os.environ, **environment(), "HOME": str(self.home), "PYTHONUNBUFFERED": "1", "INTAKE_LIBRARY": url}
        own |= {f"XDG_{name}_HOME": str(self.home / name.lower()) for name in ("DATA", "CACHE")}
        self.process = subprocess.Popen(
            [*command, "--keys", str(self.home / "keys")], cwd=ROOT, env=own, stdout=subprocess.PIPE, text=True
        )
        assert self.process.stdout is not None
        for line in self.process.stdout:
            if "/enter?key=" in line:
                self.link = line[line.index("http") :].strip()
                break
        threading.Thread(target=self.process.stdout.read, daemon=True).start()
        for _ in range(300):
            try:
                httpx.get(f"{self.link.partition('/enter')[0]}/pair", timeout=5)
            except httpx.TransportError:
                time.sleep(0.1)
            else:
                return

    def kill(self) -> None:
        """End it without a word."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()

    def stop(self) -> None:
        """Stop it as a person does."""
        if self.process is not None:
            self.process.terminate()
            self.process.wait(30)


@dataclass
class Told:
    """What the stations were told."""

    acknowledged: list[int] = field(default_factory=list)
    again: int = 0
    milliseconds: list[float] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def percentile_95_ms(self) -> float:
        """Return the time in which 95 of 100 scans were answered, from when each was due."""
        return statistics.quantiles(self.milliseconds, n=20)[-1]


def free_port() -> int:
    """Return a port that nobody has."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


@contextmanager
def two_desks(place: LibraryPlace, folder: Path) -> Iterator[tuple[list[DeskProcess], list[Client]]]:
    """Start two desks and let four stations in at each."""
    desks = [DeskProcess(place, folder / f"desk{nth}", free_port()) for nth in (1, 2)]
    clients: list[Client] = []
    try:
        for desk in desks:
            desk.home.mkdir(parents=True)
            desk.start()
        clients += [client for desk in desks for client in let_in(desk.link, STATIONS)]
        for client in clients:
            client.scan(0)  # what is loaded at the first scan is not part of the measurement
        yield desks, clients
    finally:
        for client in clients:
            client.http.close()
        for desk in desks:
            desk.stop()


def scan_all(client: Client, scans: Sequence[int], first: int, begun: float, rate: float, told: Told) -> None:
    """Send scans at their times, each until it is acknowledged."""
    for nth in scans:
        due = begun + (nth - first) / rate
        time.sleep(max(0.0, due - time.perf_counter()))
        end = time.perf_counter() + PATIENCE_S
        while time.perf_counter() < end:
            try:
                answer = client.scan(nth)
                if answer.status_code == 200:
                    break
                if answer.status_code in {401, 403}:
                    client.learn()
            except (httpx.TransportError, AssertionError):
                pass  # the desk is being started again
            with told.lock:
                told.again += 1
            time.sleep(0.25)
        else:
            continue
        with told.lock:
            told.acknowledged.append(nth)
            told.milliseconds.append(1000 * (time.perf_counter() - due))


def at_rate(clients: Sequence[Client], first: int, seconds: float, rate: float) -> tuple[Told, list[threading.Thread]]:
    """Let the stations begin to scan, together so many a second."""
    told, begun = Told(), time.perf_counter() + 0.2
    numbers = range(first, first + round(seconds * rate))
    threads = [
        threading.Thread(target=scan_all, args=(client, numbers[nth :: len(clients)], first, begun, rate, told))
        for nth, client in enumerate(clients)
    ]
    for thread in threads:
        thread.start()
    return told, threads


def wrong_with(place: LibraryPlace, told: Sequence[Told]) -> list[str]:
    """Return what is lost, doubled or given twice, and what `intake check` finds."""
    with open_library(place) as library:
        with library.reading() as records:
            ask = records.connection.execute
            requests = Counter(
                int(request.rpartition("-")[2])
                for (request,) in ask(text("SELECT request FROM ledger WHERE request LIKE '%/scan-%'"))
            )
            new = "SELECT record_table, record_key FROM ledger_change WHERE before IS NULL"
            made = Counter(tuple(row) for row in ask(text(new)))
        report = check_library(library)
    acknowledged = {nth for each in told for nth in each.acknowledged}
    wrong = [f"scan {nth} is lost" for nth in sorted(acknowledged - requests.keys())]
    wrong += [f"scan {nth} is booked {count} times" for nth, count in requests.items() if nth and count > 1]
    wrong += [f"{table} {key} is given {count} times" for (table, key), count in made.items() if count > 1]
    if any(not finding.kind.is_note for finding in report.findings):
        wrong += map(str, report_lines(report))
    return wrong


def rehearse(name: str, place: LibraryPlace, folder: Path, chosen: argparse.Namespace) -> bool:
    """Measure one library, and print its lines."""
    done: list[Told] = []
    with two_desks(place, folder) as (desks, clients):
        first = 1
        for rate in filter(None, chosen.ramp.split(",")):
            told, threads = at_rate(clients, first, 10.0, float(rate))
            for thread in threads:
                thread.join()
            first += round(10 * float(rate))
            done.append(told)
            median = statistics.median(told.milliseconds)
            print(f"{name:12} {rate:>4} scans a second: median {median:6.0f} ms, 95th {told.percentile_95_ms:6.0f} ms")
            if told.percentile_95_ms > AIM_MS:
                break
        begun = time.perf_counter()
        told, threads = at_rate(clients, first, chosen.seconds, chosen.rate)
        done.append(told)
        time.sleep(chosen.seconds / 3)
        desks[1].kill()
        time.sleep(1.0)
        desks[1].start()
        if chosen.restart and name == "postgresql":
            time.sleep(max(0.0, begun + 2 * chosen.seconds / 3 - time.perf_counter()))
            subprocess.run(shlex.split(chosen.restart), check=True)
        for thread in threads:
            thread.join()
        sent, kept = round(chosen.seconds * chosen.rate), len(told.acknowledged)
        print(
            f"{name:12} {chosen.seconds:.0f} s at {chosen.rate:g} a second, a desk killed"
            f"{', the server restarted' if chosen.restart and name == 'postgresql' else ''}: "
            f"{sent} sent, {kept} acknowledged, {told.again} sent again; median "
            f"{statistics.median(told.milliseconds):.0f} ms, longest {max(told.milliseconds) / 1000:.1f} s"
        )
    wrong = wrong_with(place, done)
    print(f"{name:12} {'nothing lost, doubled or given twice; check finds nothing' if not wrong else 'WRONG'}")
    for line in wrong[:20]:
        print(f"  {line}")
    return not wrong and kept == sent


def main() -> int:
    """Measure both databases and say what was wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.two_desks")
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--rate", type=float, default=20.0)
    parser.add_argument("--ramp", default="10,20,40,80,160")
    parser.add_argument("--restart", default="", help="command that restarts the server")
    chosen = parser.parse_args()
    if not IS_THERE:
        print(WHY_NOT)
        return 2
    with tempfile.TemporaryDirectory(prefix="intake-desks-") as made:
        folder = Path(made)
        set_up(folder / "library", BOOKS)
        with open_library(folder / "library") as library:
            write_archive(library, folder / "books.zip", now())
        name = DATABASES.make()
        try:
            restore_archive(folder / "books.zip", address_of(name))
            is_sound = rehearse("sqlite", folder / "library", folder / "of-folder", chosen)
            is_sound &= rehearse("postgresql", address_of(name), folder / "of-server", chosen)
            size = execute("SELECT pg_size_pretty(pg_database_size(current_database()))", name)[0][0]
            print(f"postgresql   the database has {size}")
        finally:
            DATABASES.drop(name)
    return 0 if is_sound else 1


if __name__ == "__main__":
    sys.exit(main())
